"""A ranking's file read back: nothing is lost, and a file that is not one is refused in words."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace

import h5py
import numpy as np
import pytest

from study.made_up import ranking
from swingbeam.beam.errors import InputError
from swingbeam.study.read_ranking import read_ranking
from swingbeam.study.repeated import Band, Repeated
from swingbeam.study.result import HANDS, Replay, ShaftLook
from swingbeam.study.store import write_ranking

SHORT = (Replay, ShaftLook)
"""Kept with seven digits."""


def same(found, expected, where="", rtol=1e-13):
    """Equal to the rounding of a change of units; what is only looked at to seven digits."""
    if is_dataclass(expected):
        for f in fields(expected):
            like = 2e-7 if isinstance(expected, SHORT) else rtol
            same(getattr(found, f.name), getattr(expected, f.name), f"{where}.{f.name}", like)
    elif isinstance(expected, dict):
        assert found.keys() == expected.keys(), where
        for key in expected:
            same(found[key], expected[key], f"{where}[{key}]", rtol)
    elif isinstance(expected, tuple):
        assert len(found) == len(expected), where
        for i, (a, b) in enumerate(zip(found, expected, strict=True)):
            same(a, b, f"{where}[{i}]", rtol)
    elif isinstance(expected, np.ndarray):
        np.testing.assert_allclose(found, expected, rtol=rtol, atol=2.0 * rtol, err_msg=where)
    elif isinstance(expected, float):
        assert found == pytest.approx(expected, rel=rtol, abs=1e-15), where
    else:
        assert found == expected, where


@pytest.fixture
def written(tmp_path):
    path = tmp_path / "made_up.h5"
    write_ranking(ranking(), path)
    return path


def test_every_figure_comes_back(written):
    found, expected = read_ranking(written), ranking()
    # What the file does not hold of the reference club, it holds of its row.
    reference = replace(
        found.reference_run,
        rank=4, order_under=expected.reference_run.order_under, change=expected.reference_run.change,
        face=expected.reference_run.face, loft=expected.reference_run.loft, reasons=expected.reference_run.reasons,
        under=expected.reference_run.under, flight=expected.reference_run.flight,
    )  # fmt: skip
    runs = tuple(replace(run, order_under={m: run.order_under.get(m) for m in HANDS}) for run in expected.runs)
    same(replace(found, reference_run=reference), replace(expected, runs=runs))


def test_the_flight_of_the_reference_club_comes_back(written):
    found, expected = read_ranking(written).reference_run.flight, ranking().reference_run.flight
    for part in ("shot", "error", "spread"):
        same(getattr(found, part), getattr(expected, part), part)
    assert set(vars(found.change).values()) == {0.0}


def test_what_is_resolved_is_what_was(written):
    for found, expected in zip(read_ranking(written).runs, ranking().runs, strict=True):
        if expected.flight is not None:
            for figure in vars(expected.flight.shot):
                assert found.flight.resolution(figure) == expected.flight.resolution(figure)


def test_repeated_swings_come_back(tmp_path):
    result = ranking(failing=False)
    names = tuple(run.shaft for run in result.runs)
    rng = np.random.default_rng(4)
    table = rng.uniform(size=(3, 12, 12))
    own = {name: {"half_ms": Band(-0.05, -0.048, -0.047, 300)} for name in names}
    told = Repeated(names, 300, 2, 7, True, "made up", (300,) * 12, own, own, *table, (1,) * 11 + (None,), {})
    path = write_ranking(replace(result, repeated=told), tmp_path / "repeated.h5")
    same(read_ranking(path).repeated, told)
    assert read_ranking(path).repeated.first(names[2]) == told.first(names[2])


def test_unverified_is_none(tmp_path):
    path = write_ranking(ranking(verified=False), tmp_path / "x.h5")
    assert read_ranking(path).verification is None
    assert read_ranking(path).repeated is None


def break_format(file):
    file.attrs["format"] = "swingbeam rank 1"


def break_kind(file):
    del file.attrs["format"]


def take_away(name):
    def change(file):
        del file[name]

    return change


def take_attribute(name):
    def change(file):
        del file.attrs[name]

    return change


def wrong_status(file):
    file["status"][0] = 9


def wrong_text(file):
    del file["reasons"]
    file["reasons"] = np.arange(13)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (break_format, 'found format "swingbeam rank 1"; allowed: "swingbeam rank 2": rank the scenario again'),
        (break_kind, "an HDF5 file without a format"),
        (take_away("half_ms"), "is damaged or incomplete"),
        (take_away("replay_grip_rotation"), "is damaged or incomplete"),
        (take_away("club"), "is damaged or incomplete"),
        (take_attribute("golfer"), "is damaged or incomplete"),
        (take_attribute("downswing_ms"), "is damaged or incomplete"),
        (wrong_status, "is damaged or incomplete"),
        (wrong_text, "is damaged or incomplete"),
    ],
)
def test_a_damaged_file_is_refused_in_words(written, change, words):
    with h5py.File(written, "r+") as file:
        change(file)
    with pytest.raises(InputError) as caught:
        read_ranking(written)
    assert words in str(caught.value)
    assert "made_up.h5" in str(caught.value)


@pytest.mark.parametrize("share", [0.0, 0.01, 0.3, 0.9])
def test_a_file_cut_short_is_refused(written, share):
    data = written.read_bytes()
    written.write_bytes(data[: int(share * len(data))])
    with pytest.raises(InputError, match="no HDF5 file, or is cut short"):
        read_ranking(written)


def test_what_is_no_file(tmp_path):
    with pytest.raises(InputError, match="no such file"):
        read_ranking(tmp_path / "nothing.h5")
    with pytest.raises(InputError, match="is a folder"):
        read_ranking(tmp_path)
    text = tmp_path / "text.h5"
    text.write_text("rank,shaft\n")
    with pytest.raises(InputError, match="no HDF5 file"):
        read_ranking(text)
    with h5py.File(tmp_path / "other.h5", "w") as file:
        file.attrs["format"] = "swingbeam study 1"
    with pytest.raises(InputError, match='format "swingbeam study 1"; allowed: a ranking'):
        read_ranking(tmp_path / "other.h5")


@pytest.mark.parametrize("seed", range(60))
def test_flipped_bits_never_end_in_a_traceback(written, seed):
    rng = np.random.default_rng(seed)
    data = bytearray(written.read_bytes())
    for place in rng.integers(0, len(data), size=12):
        data[place] ^= 1 << int(rng.integers(0, 8))
    written.write_bytes(bytes(data))
    try:
        found = read_ranking(written)
    except InputError as error:
        assert "made_up.h5" in str(error)  # noqa: PT017
    else:
        from swingbeam.report.page import page_html

        assert "</html>" in page_html(found)
