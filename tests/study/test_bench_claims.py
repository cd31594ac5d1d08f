"""What the trade says of trims and of steel's torque: the words follow the numbers, and the numbers are the bench's."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

import pytest

from bench.printed import cpm, degrees
from shaft.made_up import shaft

BENCHMARKS = Path(__file__).resolve().parents[2] / "benchmarks"


@pytest.fixture(scope="module")
def claims():
    """The module of `benchmarks/claims`, which is no part of the package."""
    sys.path.insert(0, str(BENCHMARKS))
    try:
        yield importlib.import_module("claims.on_the_bench")
    finally:
        sys.path.remove(str(BENCHMARKS))


@pytest.mark.parametrize(
    ("tips", "outcome"),
    [
        ((262.0, 263.0), "**comes out** in all 2 cases"),
        ((262.0, 257.9), "**comes out in part**, in 1 of 2 cases"),
        ((257.9, 250.0), "**does not come out** in any of 2 cases"),
    ],
)
def test_trims(claims, tips, outcome) -> None:
    # An inch off the butt takes 250 to 257 cpm; 257.9 is less than 1 cpm apart from it.
    trims = [claims.Trim("a", "driver", "graphite", 250.0, tip, 257.0) for tip in tips]
    claim = claims.tip_against_butt(trims)
    assert claim.summary[0][1] == outcome
    assert f"{outcome}:" in claim.text


@pytest.mark.parametrize(
    ("graphite", "outcome"),
    [((2.5, 2.3), "**comes out** in all 2 cases"), ((2.09, 1.5), "**does not come out** in any of 2 cases")],
)
def test_steel(claims, graphite, outcome) -> None:
    pairs = [claims.Pair("s", "g", 330.0, 1.1, 2.0, torque) for torque in graphite]
    assert claims.steel_torque(pairs).summary[0][1] == outcome


def test_the_numbers_are_the_benchs(claims) -> None:
    steel = shaft(s=(0.0, 1.0), ei=(70.0, 30.0), gj=(54.0, 23.0), material="steel", kind="iron")
    graphite = shaft(s=(0.0, 1.0), ei=(50.0, 20.0), gj=(25.0, 10.0), material="graphite", kind="iron")
    driver = shaft(kind="driver")
    (pair,) = claims.read_pairs({"s": steel, "g": graphite, "d": driver})
    assert pair.frequency == pytest.approx(cpm(steel), rel=1e-12)
    assert pair.steel_torque == pytest.approx(degrees(steel), rel=1e-12)
    # Scaled by f², frequencies are equal (ω ~ √EI at one weight) and torque falls by the same factor. rtol 1e-9.
    assert pair.factor == pytest.approx((cpm(steel) / cpm(graphite)) ** 2, rel=1e-12)
    assert pair.graphite_torque == pytest.approx(degrees(graphite) / pair.factor, rel=1e-9)
    (trim,) = claims.read_trims({"g": graphite})
    assert trim.raw < min(trim.tip, trim.butt)
