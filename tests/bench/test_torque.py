"""Torque against Saint-Venant's closed forms."""

import itertools
import math

import numpy as np
import pytest

from bench.printed import degrees
from shaft.made_up import shaft
from swingbeam.beam import static_shape
from swingbeam.bench.torque import TorqueSetup, read_torque
from swingbeam.shaft.shaft import cut
from swingbeam.units import InputError

OPEN = TorqueSetup(butt_clamp=0.0, tip_clamp=0.0, moment=2.0)


def test_uniform_shaft() -> None:
    # φ = M L/GJ; rtol 1e-13: round-off.
    assert degrees(shaft(gj=15.0), OPEN) == pytest.approx(math.degrees(2.0 * 1.2 / 15.0), rel=1e-13)


@pytest.mark.parametrize("ratio", [0.25, 0.5, 0.999999, 1.0 - 1e-9, 1.0 + 1e-12, 4.0])
def test_gj_linear_from_butt_to_tip(ratio: float) -> None:
    # φ = (M L/GJ₀) ln(1/r)/(1 − r), limit 1 + (1−r)/2 for r → 1 (elementary integral of ds/GJ).
    factor = -math.log1p(ratio - 1.0) / (1.0 - ratio) if ratio != 1.0 else 1.0
    # rtol 1e-9: near r = 1 the quotient loses digits in either form.
    assert degrees(shaft(gj=(30.0, 30.0 * ratio)), OPEN) == pytest.approx(
        math.degrees(2.0 * 1.2 / 30.0 * factor), rel=1e-9
    )


def test_stepped_shaft_is_a_sum() -> None:
    a = shaft(s=(0.0, 0.7, 0.7, 1.2), gj=(30.0, 30.0, 10.0, 10.0))
    setup = TorqueSetup(butt_clamp=0.1, tip_clamp=0.05, moment=1.0)
    assert degrees(a, setup) == pytest.approx(math.degrees(0.6 / 30.0 + 0.45 / 10.0), rel=1e-13)


def test_the_usual_setup_is_one_foot_pound() -> None:
    # 1 ft·lbf = 1.355818 N·m (NIST SP 811, appendix B.8).
    assert TorqueSetup().moment == pytest.approx(1.355818, rel=1e-6)
    assert "1 ft*lbf" in str(TorqueSetup())


def test_torque_falls_with_longer_clamps() -> None:
    a = shaft(gj=(30.0, 8.0))
    readings = [degrees(a, TorqueSetup(butt_clamp=c)) for c in (0.0, 0.03, 0.1, 0.3)]
    assert all(x > y for x, y in itertools.pairwise(readings))
    readings = [degrees(a, TorqueSetup(tip_clamp=c)) for c in (0.0, 0.03, 0.1, 0.3)]
    assert all(x > y for x, y in itertools.pairwise(readings))


def test_twist_is_odd_in_the_moment_on_the_full_beam() -> None:
    # Equipment Rules (R&A/USGA), part 2: a shaft twists the same amount in both directions.
    piece = cut(shaft(gj=(30.0, 8.0)), 0.05, 1.15)
    angles = []
    for moment in (1.0, -1.0):
        rotation = static_shape(piece, tip_moment=(moment, 0.0, 0.0)).rotation[-1]
        angles.append(math.degrees(math.atan2(rotation[2, 1], rotation[1, 1])))
    # atol 1e-9 deg: round-off; rtol 2e-3 against the closed form: 16 elements at least, second order.
    assert angles[0] == pytest.approx(-angles[1], abs=1e-9)
    reading = degrees(shaft(gj=(30.0, 8.0)), TorqueSetup(butt_clamp=0.05, tip_clamp=0.05, moment=1.0))
    assert angles[0] == pytest.approx(reading, rel=2e-3)


def test_both_directions_read_alike() -> None:
    found = read_torque(shaft(gj=(30.0, 8.0)))
    assert found.twist_back == -found.twist
    backward = read_torque(shaft(gj=(30.0, 8.0)), TorqueSetup(moment=-TorqueSetup().moment))
    assert (backward.twist, backward.twist_back) == (found.twist_back, found.twist)


def test_where_the_tip_is_gripped() -> None:
    # An inch from the tip end the clamp leaves an inch less of shaft to twist, as a clamp that is an inch longer does.
    a = shaft(gj=(30.0, 8.0))
    assert degrees(a, TorqueSetup(tip_setback=0.0254)) == pytest.approx(
        degrees(a, TorqueSetup(tip_clamp=0.0508)), rel=1e-12
    )
    assert degrees(a, TorqueSetup(tip_setback=0.0254)) < degrees(a)


def test_impossible_setups_are_refused() -> None:
    for setup in (
        TorqueSetup(butt_clamp=-0.1),
        TorqueSetup(tip_setback=-0.1),
        TorqueSetup(butt_clamp=0.7, tip_clamp=0.6),
    ):
        with pytest.raises(InputError):
            degrees(shaft(), setup)


def test_trade_size() -> None:
    # A driver shaft, GJ 30 → 8 N·m² (from memory), reads 2.5 to 6.5 degrees (common practice, no source).
    assert 2.5 < degrees(shaft(s=np.array([0.0, 1.1684]), gj=(30.0, 8.0))) < 6.5
