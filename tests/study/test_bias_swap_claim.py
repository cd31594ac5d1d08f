"""The swap of lengthwise for bias plies: the scenario's inputs, and the words that follow from made-up figures."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

import pytest

from swingbeam.club.build import Club
from swingbeam.files.lookup import find
from swingbeam.shaft.layup_swap import load_swap
from swingbeam.study.quantities import STATIC
from swingbeam.study.readings import static_readings
from swingbeam.study.scenario import Scenario, load_scenario

BENCHMARKS = Path(__file__).resolve().parents[2] / "benchmarks"


@pytest.fixture(scope="module")
def claims():
    """Imports a module of `benchmarks/claims`, which is no part of the package."""
    sys.path.insert(0, str(BENCHMARKS))
    try:
        yield lambda name: importlib.import_module(f"claims.{name}")
    finally:
        sys.path.remove(str(BENCHMARKS))


@pytest.fixture(scope="module")
def scenario() -> Scenario:
    return load_scenario("bias_swap")


def test_the_scenario_keeps_the_text_of_both_lay_ups(scenario: Scenario) -> None:
    assert [club.label for club in scenario.clubs] == ["cairn-66-s", "cairn-66-s-bias"]
    names = [name for name, _ in scenario.inputs]
    assert "layups/cairn-66-s.toml" in names
    assert "layups/cairn-66-s-bias.toml" in names


def readings(club: Club) -> dict[str, float | None]:
    static = static_readings(club.shaft)
    return {q.key: q.of(static) for q in STATIC}


@pytest.mark.parametrize(
    ("loft", "half", "delivered", "unloads"),
    [
        # 0.1° and 0.1 ms are the least that counts; all else is equal.
        (14.05, -47.0, "**does not come out** in any of 2 cases", "**does not come out** in any of 2 cases"),
        (14.25, -47.0, "**comes out** in all 2 cases", "**does not come out** in any of 2 cases"),
        (14.05, -46.5, "**does not come out** in any of 2 cases", "**comes out** in all 2 cases"),
    ],
)
def test_the_words_follow_the_figures(claims, scenario, loft, half, delivered, unloads) -> None:
    twins, module = claims("twins"), claims("bias_swap")
    same = {key: 1.0 for key, *_ in twins.DELIVERED} | {"twist_peak_deg": 2.0, "twist_deg": 0.1, "resolution_ms": 0.1}
    before = same | {"dynamic_loft_at_strike_deg": 14.0, "half_ms": -47.0}
    after = same | {"dynamic_loft_at_strike_deg": loft, "half_ms": half}
    figures = {("bias_swap", "cairn-66-s"): before, ("bias_swap", "cairn-66-s-bias"): after}
    cases = {("Even", "hold"): figures, ("Even", "vice"): figures}
    swap = load_swap(find("shaft", "cairn-66-s-bias"))
    claim = module.bias_swap(cases, scenario.clubs, readings, swap)
    stays, changes, when = (row[1] for row in claim.summary)
    # On the bench nothing is made up: the swap is solved for the frequency, and its plies are equal in size and weight.
    assert stays == "**comes out**"
    assert "not all equal" not in claim.text
    assert (changes, when) == (delivered, unloads)
    assert f"{swap.e1_after / 1e9:.1f} GPa" in claim.text
