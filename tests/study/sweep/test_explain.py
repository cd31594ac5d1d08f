"""What is said of a study's file: by its plan, with failed cases, with inputs that go together."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from study.sweep.toy_results import ishigami, saltelli, write_results, write_sensitivity
from swingbeam.beam.errors import InputError
from swingbeam.study.sweep.explain import CANNOT, explain_study
from swingbeam.study.sweep.results import open_results


@pytest.fixture
def sound(tmp_path: Path) -> Path:
    outputs = {"y": ishigami, "z": lambda x: 3.0 * x[:, 0] - x[:, 2]}
    return write_sensitivity(tmp_path / "s.h5", outputs, rows=256, low=-math.pi, high=math.pi, inputs=3)


def test_a_sensitivity_plan_gives_indices(sound: Path) -> None:
    found = explain_study(sound, resamples=200)
    assert found.kind == "sensitivity"
    assert found.cannot == ""
    assert found.cautions == ()
    y, z = found.outputs
    assert (y.output.name, z.output.name) == ("y", "z")
    assert (y.rows.used, y.rows.left_out, y.rows.spares) == (256, 0, 0)
    # A and B, not the rows that repeat A.
    assert y.count == 512
    # Linear: indices 9/10 and 1/10 (c_i² over their sum); 256 rows leave some hundredths.
    np.testing.assert_allclose(z.indices.total, [0.9, 0.0, 0.1], atol=0.06)
    assert z.effects[0].rank.value > 0.9
    assert z.effects[2].rank.value < -0.2
    assert z.effects[1].main.share < 0.05
    assert (z.effects[0].low, z.effects[0].high) == (pytest.approx(-math.pi, abs=0.1), pytest.approx(math.pi, abs=0.1))


def test_failed_cases_take_their_rows_and_spares_stand_in(tmp_path: Path) -> None:
    """The indices are those of the sample without the failed rows, with the next spare rows."""
    rows, wanted = 64, 60
    failed = (5, 2 * rows + 9)
    path = write_sensitivity(
        tmp_path / "f.h5",
        {"y": ishigami},
        rows=rows,
        low=-math.pi,
        high=math.pi,
        inputs=3,
        failed=failed,
        sample_rows=wanted,
    )
    found = explain_study(path, resamples=50)
    (y,) = found.outputs
    assert (y.rows.used, y.rows.wanted, y.rows.left_out, y.rows.spares) == (60, 60, 2, 2)
    assert "2 of 60 rows are left out" in y.words[0]
    assert "next 2 whole spare rows" in y.words[0]
    assert "2 of 320 cases missed or failed" in found.cautions[0]
    # By hand: Saltelli's and Jansen's formulas over rows 0 … 61 but 5 and 9.
    unit, _ = saltelli(rows, 3, 11)
    f = ishigami(-math.pi + 2.0 * math.pi * unit).reshape(5, rows)
    kept = [row for row in range(62) if row not in (5, 9)]
    a, b, ab = f[0, kept], f[1, kept], f[2:, kept]
    centre, variance = np.mean([a, b]), np.var([a, b])
    np.testing.assert_allclose(
        y.indices.first, ((b - centre) * (ab - a)).mean(axis=1) / variance, rtol=1e-10, atol=1e-12
    )
    np.testing.assert_allclose(y.indices.total, 0.5 * ((ab - a) ** 2).mean(axis=1) / variance, rtol=1e-10)


def test_a_row_that_no_spare_replaces_is_said(tmp_path: Path) -> None:
    path = write_sensitivity(tmp_path / "f.h5", {"y": ishigami}, rows=32, low=-3.0, high=3.0, inputs=3, failed=(31,))
    (y,) = explain_study(path, resamples=20).outputs
    assert (y.rows.used, y.rows.wanted, y.rows.left_out) == (31, 32, 1)
    assert "The other 31 are used, spare rows among them" in y.words[0]
    stated = write_sensitivity(
        tmp_path / "g.h5", {"y": ishigami}, rows=32, low=-3.0, high=3.0, inputs=3, failed=(31,), sample_rows=32
    )
    (y,) = explain_study(stated, resamples=20).outputs
    assert "No spare rows" in y.words[0]


def test_one_output_missing_leaves_the_others_rows_alone(tmp_path: Path) -> None:
    def sometimes(x: np.ndarray) -> np.ndarray:
        return np.where(x[:, 0] > 2.9, np.nan, x[:, 0])

    path = write_sensitivity(
        tmp_path / "f.h5", {"y": ishigami, "half": sometimes}, rows=128, low=-3.0, high=3.0, inputs=3
    )
    y, half = explain_study(path, resamples=20).outputs
    assert y.rows.left_out == 0
    assert half.rows.left_out > 0
    assert any("have no such figure" in words for words in half.words)


def test_the_same_file_gives_the_same_bits(sound: Path) -> None:
    one, two = (explain_study(sound, outputs=["y"], resamples=100).outputs[0].indices for _ in range(2))
    assert np.array_equal(one.first_low, two.first_low)
    assert np.array_equal(one.total_high, two.total_high)


@pytest.mark.parametrize("kind", sorted(CANNOT))
def test_other_plans_say_what_they_cannot_give(tmp_path: Path, kind: str) -> None:
    x = np.linspace(0.0, 1.0, 60)
    path = write_results(tmp_path / "p.h5", {"x": x}, {"y": x**2}, kind=kind)
    found = explain_study(path)
    assert "total indices" in found.cannot
    assert "sensitivity" in found.cannot or kind == "repeatability"
    (y,) = found.outputs
    assert y.indices is None
    assert y.effects[0].rank.value == pytest.approx(1.0, abs=1e-14)
    # A grid was not drawn.
    assert (y.effects[0].rank.low is None) == (kind == "grid")


def test_cautions(tmp_path: Path) -> None:
    rng = np.random.default_rng(0)
    x = rng.normal(size=(40, 2)) @ np.array([[1.0, 0.9], [0.0, math.sqrt(1.0 - 0.81)]])
    status = np.where(x[:, 0] > 0.6, 2, 0)
    status[0] = 9
    y = np.where(status == 0, x[:, 0], np.nan)
    path = write_results(
        tmp_path / "c.h5", {"a__b": x[:, 0], "c": x[:, 1]}, {"y": y}, status=status, complete=0, doubtful="off by 2°"
    )
    found = explain_study(path)
    text = " ".join(found.cautions)
    assert "cast doubt on this study: off by 2°" in text
    assert "1 of 40 cases have not been run" in text
    assert f"{int((status == 2).sum())} of 40 cases missed or failed" in text
    assert "mostly at high values of a.b" in text
    assert f"Only {int((status == 0).sum())} cases" in text
    assert "a.b with c (+0." in text
    assert found.counts["not run"] == 1


def test_independent_inputs_get_no_caution(tmp_path: Path) -> None:
    rng = np.random.default_rng(1)
    path = write_results(
        tmp_path / "i.h5", {"a": rng.normal(size=400), "b": rng.normal(size=400)}, {"y": rng.normal(size=400)}
    )
    assert explain_study(path).cautions == ()


def test_named_things_have_levels_and_no_ranks(tmp_path: Path) -> None:
    place = np.tile([0, 1, 2], 20)
    y = np.array([1.0, 5.0, 2.0])[place] + 0.01 * np.arange(60)
    path = write_results(tmp_path / "n.h5", {"shaft": place}, {"y": y}, choices={"shaft": ["p", "q", "r"]})
    effect = explain_study(path).outputs[0].effects[0]
    assert effect.of.choices == ("p", "q", "r")
    assert effect.rank is None
    # Means over 20 cases each of 0.01·(place + 3k): 0.285 + 0.01·place.
    np.testing.assert_allclose(effect.main.mean, [1.285, 5.295, 2.305], rtol=1e-12)
    assert effect.main.levels


def test_against_any_other_column(tmp_path: Path) -> None:
    rng = np.random.default_rng(1)
    x = rng.normal(size=300)
    path = write_results(tmp_path / "a.h5", {"x": x}, {"y": x, "half_ms": -np.exp(x), "free": rng.normal(size=300)})
    found = explain_study(path, outputs=["y"], against=["half_ms", "x", "free", "y"])
    (y,) = found.outputs
    assert [effect.of.name for effect in y.against] == ["half_ms", "x", "free"]
    assert y.against[0].rank.value == pytest.approx(-1.0, abs=1e-14)
    assert abs(y.against[2].rank.value) < 4.0 / math.sqrt(300.0)
    assert [v.name for v in found.more] == ["half_ms", "free"]


def test_columns_that_are_not_there(sound: Path) -> None:
    with pytest.raises(InputError, match=r'--output: found "x1".*allowed: y, z'):
        explain_study(sound, outputs=["x1"])
    with pytest.raises(InputError, match=r'--against: found "Z".*did you mean "z"'):
        explain_study(sound, against=["Z"])


def test_an_output_that_does_not_vary(tmp_path: Path) -> None:
    path = write_sensitivity(tmp_path / "f.h5", {"y": lambda x: np.ones(len(x))}, rows=16, low=0.0, high=1.0, inputs=2)
    (y,) = explain_study(path).outputs
    assert y.indices is None
    assert "does not vary" in " ".join(y.words)


def test_files_that_cannot_be_explained(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        explain_study(tmp_path / "none.h5")
    (tmp_path / "text.h5").write_text("no HDF5")
    with pytest.raises(InputError, match="no whole HDF5"):
        explain_study(tmp_path / "text.h5")
    x = np.arange(4.0)
    write_results(tmp_path / "rank.h5", {"x": x}, {"y": x}, format="swingbeam rank 1")
    with pytest.raises(InputError, match='found format "swingbeam rank 1"'):
        explain_study(tmp_path / "rank.h5")
    write_results(tmp_path / "later.h5", {"x": x}, {"y": x}, schema_version=2)
    with pytest.raises(InputError, match="schema_version 2"):
        explain_study(tmp_path / "later.h5")
    write_results(tmp_path / "failed.h5", {"x": x}, {"y": x}, status=np.full(4, 2))
    with pytest.raises(InputError, match="no case is ok"):
        explain_study(tmp_path / "failed.h5")


def test_columns_are_read_one_at_a_time(tmp_path: Path) -> None:
    x = np.arange(5.0)
    path = write_results(
        tmp_path / "r.h5", {"a__b": x}, {"y": 2.0 * x}, words={"y": ("degree", "face angle at face centre (open +)")}
    )
    with open_results(path) as results:
        assert (results.count, results.kind, results.complete) == (5, "random", True)
        assert [(v.name, v.key) for v in results.inputs] == [("a__b", "a.b")]
        assert results.outputs[0].unit == "degree"
        np.testing.assert_array_equal(results.read("y"), 2.0 * x)
        assert results.find("a.b") is results.find("a__b")
        assert results.counts() == {"ok": 5, "missed": 0, "failed": 0}
        assert results.sample() is None
