"""Shown values: units, signs and dashes."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace

import pytest

from swingbeam.beam.errors import InputError
from swingbeam.study.outputs import landing_path, output_paths
from swingbeam.study.quantities import CURVES, IMPACT, LANDING, SHOT, STATIC, UNLOAD, shown
from swingbeam.study.scenario import digest_of

LOFT = next(q for q in IMPACT if q.key == "dynamic_loft_deg")


@pytest.mark.parametrize(
    ("value", "sign", "text"),
    [
        (14.2, False, "14.20"),
        (-0.5, False, "−0.50"),
        (0.5, True, "+0.50"),
        (-0.001, False, "0.00"),
        (-0.001, True, "0.00"),
        (0.0, True, "0.00"),
        (None, True, "–"),
    ],
)
def test_values_as_a_table_shows_them(value, sign, text):
    assert shown(LOFT, value, sign=sign) == text


def test_a_value_that_is_not_finite_is_no_value():
    assert LOFT.of(SimpleNamespace(dynamic_loft=math.nan)) is None
    assert LOFT.of(SimpleNamespace(dynamic_loft=math.inf)) is None
    assert LOFT.of(None) is None
    assert LOFT.of(SimpleNamespace(dynamic_loft=math.pi)) == pytest.approx(180.0, rel=1e-15)


def test_every_key_is_there_once():
    keys = [q.key for q in (*UNLOAD, *IMPACT, *SHOT, *LANDING, *STATIC, *CURVES)]
    assert len(keys) == len(set(keys))


def test_digest_tells_texts_apart_that_run_together_alike():
    assert digest_of([("a", "bc")], []) != digest_of([("ab", "c")], [])
    assert digest_of([("a", "b")], ["c"]) != digest_of([("a", "b")], ["d"])


def test_an_output_needs_an_ending_that_tells_what_it_is(tmp_path):
    with pytest.raises(InputError, match="ends in"):
        output_paths(tmp_path / "x.csv", "s", Path("outputs"))
    assert landing_path(tmp_path / "x.png") == tmp_path / "x-landing.png"
    assert output_paths(tmp_path / "x.nc", "s", Path("outputs")) == (tmp_path / "x.nc", tmp_path / "x.png")


def test_no_picture_of_landings_is_overwritten(tmp_path):
    (tmp_path / "s-landing.png").write_bytes(b"mine")
    with pytest.raises(InputError, match="exists already"):
        output_paths(tmp_path / "s.h5", "s", tmp_path)
    assert output_paths(None, "s", tmp_path)[0] == tmp_path / "s-2.h5"
