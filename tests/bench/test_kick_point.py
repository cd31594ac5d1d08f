"""Kick point: closed forms, the full beam, and what the trade says of it."""

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from shaft.made_up import shaft
from swingbeam.beam import static_shape
from swingbeam.bench.kick_point import KickPointSetup, read_kick_point
from swingbeam.shaft.shaft import Shaft, cut
from swingbeam.units import InputError

NO_CLAMP = KickPointSetup(clamp=0.0, tip_load=2.0)


def test_uniform_shaft() -> None:
    # w = P x² (3L − x)/6EI against its chord: farthest at x/L = 1 − 1/√3 from the clamp, by (√3/27) P L³/EI
    # (elementary calculus). rtol 1e-9: root and quadrature; 1e-4 for the distance, which is taken square to
    # the chord: 1 − cos of its slope of 1.4 degrees is 3e-4 at 2 N on EI 40, so the cosine is put in.
    a = shaft(ei=40.0)
    found = read_kick_point(a, NO_CLAMP)
    assert 1.0 - found.share_of_free == pytest.approx(1.0 - 1.0 / np.sqrt(3.0), rel=1e-9)
    slope = 2.0 * 1.2**2 / (3.0 * 40.0)
    assert found.distance == pytest.approx(
        np.sqrt(3.0) / 27.0 * 2.0 * 1.2**3 / 40.0 * np.cos(np.arctan(slope)), rel=1e-9
    )
    assert found.tip_deflection == pytest.approx(2.0 * 1.2**3 / (3.0 * 40.0), rel=1e-12)


@pytest.mark.parametrize(
    ("ratio", "place", "deflection"),
    [
        (1 / 2, 0.44449, 0.386294),
        (1 / 3, 0.45572, 0.411980),
        (1 / 4, 0.46282, 0.427599),
        (0.1, 0.48020, None),
    ],
)
def test_ei_linear_from_butt_to_tip(ratio: float, place: float, deflection: float | None) -> None:
    # x/L from the clamp and tip δ·EI₀/PL³ of a cantilever with EI linear to r·EI₀, derived apart from this
    # code in closed form (∫ (L−x)/EI dx), printed to five and six figures.
    a = shaft(ei=(75.0, 75.0 * ratio))
    found = read_kick_point(a, NO_CLAMP)
    assert 1.0 - found.share_of_free == pytest.approx(place, abs=6e-6)
    if deflection is not None:
        assert found.tip_deflection * 75.0 / (2.0 * 1.2**3) == pytest.approx(deflection, abs=6e-7)


def full_beam_kick_share(a: Shaft, load: float) -> float:
    """From the tip over the free length, on the geometrically exact beam with 32 stations splined."""
    piece = cut(a, 0.127, a.raw_length)
    fine = np.linspace(0.0, piece.length, 33)
    columns = [np.interp(fine, piece.s, c) for c in (piece.ei[:, 0], piece.gj, piece.mass)]
    shape = static_shape(type(piece)(fine, *columns), tip_force=(0.0, load, 0.0)).position
    along = CubicSpline(fine, shape)
    s = np.linspace(0.0, piece.length, 4001)
    x, y, _ = along(s).T
    gap = np.abs(x * shape[-1, 1] - y * shape[-1, 0])
    return float(1.0 - s[np.argmax(gap)] / piece.length)


def test_it_is_not_moved_by_load_in_the_linear_range() -> None:
    a = shaft(s=(0.0, 1.1684), ei=(75.0, 20.0))
    linear = read_kick_point(a, KickPointSetup(tip_load=1.0))
    assert read_kick_point(a, KickPointSetup(tip_load=5.0)).share_of_free == linear.share_of_free
    # On the full beam 0.5 N and 2 N move the tip 4 and 16 mm; atol 1e-3: 32 elements and a grid of 4,000
    # places find the flat maximum to some 5e-4.
    for load in (0.5, 2.0):
        assert full_beam_kick_share(a, load) == pytest.approx(linear.share_of_free, abs=1e-3)


@pytest.mark.parametrize("tip", [8.0, 20.0, 40.0])
def test_on_tapered_shafts_it_is_tip_side_of_the_middle_of_the_raw_length(tip: float) -> None:
    found = read_kick_point(shaft(s=(0.0, 1.1684), ei=(75.0, tip)))
    assert found.share_of_raw < 0.5
    # With 5 in clamped the two shares differ by 46/41: the same place printed two ways.
    assert found.share_of_free / found.share_of_raw == pytest.approx(46.0 / 41.0, rel=1e-12)
    assert found.from_tip == pytest.approx(found.share_of_raw * 1.1684, rel=1e-12)


def test_firm_tip_and_soft_butt_reads_high() -> None:
    # High: nearer to the butt, a larger distance from the tip (common practice, no source).
    soft_tip = read_kick_point(shaft(ei=(75.0, 15.0)))
    even = read_kick_point(shaft(ei=(45.0, 45.0)))
    firm_tip = read_kick_point(shaft(ei=(35.0, 60.0)))
    assert soft_tip.from_tip < even.from_tip < firm_tip.from_tip


def test_a_step_is_respected() -> None:
    # EI 2 on the clamped half, 1 on the free half, L = P = 1 (Gere & Timoshenko, §9.7). Clamped half:
    # w' = (x − x²/2)/2, so w(½) = 5/96 and w'(½) = 3/16; the free half adds (½)³/3 = 1/24 of its own:
    # δ = 5/96 + 3/32 + 1/24 = 0.1875. The chord's slope is 0.1875 too, so the kick point is at the step.
    a = shaft(s=(0.0, 0.5, 0.5, 1.0), ei=(2.0, 2.0, 1.0, 1.0))
    found = read_kick_point(a, KickPointSetup(clamp=0.0, tip_load=1e-3))
    assert found.tip_deflection == pytest.approx(0.1875e-3, rel=1e-12)
    assert found.from_tip == pytest.approx(0.5, abs=1e-9)


def test_impossible_setups_are_refused() -> None:
    for setup in (KickPointSetup(clamp=-0.1), KickPointSetup(clamp=1.2), KickPointSetup(tip_load=0.0)):
        with pytest.raises(InputError):
            read_kick_point(shaft(), setup)
