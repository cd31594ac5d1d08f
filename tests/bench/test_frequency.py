"""Frequency against the closed form of a uniform cantilever with a tip mass."""

import numpy as np
import pytest
from scipy.optimize import brentq

from bench.made_up_heads import point_head
from bench.printed import cpm
from shaft.made_up import shaft
from swingbeam.beam import TipBody, natural_frequencies
from swingbeam.bench.frequency import FrequencySetup, frequency_curve, read_frequency
from swingbeam.bench.frequency_curve import FrequencyCurveSetup, read_frequency_curve
from swingbeam.bench.specimen import Specimen
from swingbeam.club.head import load_head
from swingbeam.files.lookup import find
from swingbeam.shaft.shaft import Spine, cut
from swingbeam.shaft.trim import trimmed
from swingbeam.units import InputError


def closed_form_cpm(ei: float, length: float, mass_per_length: float, tip_mass: float) -> float:
    """1 + cos β cosh β = μ β (sin β cosh β − cos β sinh β), ω = β² √(EI/(m L⁴)).

    Source: Blevins, Formulas for Natural Frequency and Mode Shape, table 8-8 (cantilever with a tip mass).
    """
    mu = tip_mass / (mass_per_length * length)

    def f(b: float) -> float:
        return 1 + np.cos(b) * np.cosh(b) - mu * b * (np.sin(b) * np.cosh(b) - np.cos(b) * np.sinh(b))

    beta = brentq(f, 1e-3, 1.9)
    return float(beta**2 * np.sqrt(ei / (mass_per_length * length**4)) / (2 * np.pi) * 60)


def test_the_closed_form_itself() -> None:
    # EI 40 N·m², 1 m, 60 g/m, 205 g: 223.446 cpm (derived apart from this code with the same equation).
    assert closed_form_cpm(40.0, 1.0, 0.06, 0.205) == pytest.approx(223.446, abs=5e-4)


@pytest.mark.parametrize(("clamp", "tip_mass"), [(0.127, 0.205), (0.0, 0.205), (0.127, 0.1)])
def test_uniform_shaft(clamp: float, tip_mass: float) -> None:
    a = shaft(s=(0.0, 1.127), ei=40.0, mass=0.06)
    # rtol 3e-5: eight bending functions leave less than 1e-6, the rotary inertia of a 12 mm tube 1e-5.
    assert cpm(a, FrequencySetup(clamp, tip_mass)) == pytest.approx(
        closed_form_cpm(40.0, 1.127 - clamp, 0.06, tip_mass), rel=3e-5
    )


def test_the_element_solver_agrees() -> None:
    # On a taper with a step; rtol 3e-5: 128 elements, second order, leave about 1e-5.
    a = shaft(s=(0.0, 0.6, 0.6, 1.1684), ei=(75.0, 50.0, 40.0, 20.0), mass=0.055)
    piece = cut(a, 0.127, 1.1684)
    hertz = natural_frequencies(piece, TipBody(0.205), count=1, solver="elements", elements=128)[0]
    assert cpm(a) == pytest.approx(60.0 * hertz, rel=3e-5)


def test_arithmetic_of_the_trade() -> None:
    a = shaft(s=(0.0, 1.1684), ei=(75.0, 20.0), mass=0.055)
    base = cpm(a)
    assert cpm(a, FrequencySetup(clamp=0.15)) > base
    assert cpm(a, FrequencySetup(tip_mass=0.21)) < base
    # ω ~ √EI exactly when the mass stays; rtol 1e-6: the eigenvalue solver's round-off.
    stiffer = shaft(s=(0.0, 1.1684), ei=(150.0, 40.0), mass=0.055)
    assert cpm(stiffer) == pytest.approx(base * np.sqrt(2.0), rel=1e-6)


def test_a_spine_is_read_in_its_softer_plane() -> None:
    # Equipment Rules (R&A/USGA), part 2: a shaft bends the same however it is turned. One with a spine does
    # not: 10 % between its planes is 5 % less EI than the mean in the softer, √0.95 of the frequency. rtol
    # 1e-6: round-off.
    plain = cpm(shaft(ei=(75.0, 20.0)))
    for angle in (0.0, 0.4):
        spined = cpm(shaft(ei=(75.0, 20.0), spine=Spine(0.1, angle)))
        assert spined == pytest.approx(plain * np.sqrt(0.95), rel=1e-6)


def test_impossible_setups_are_refused() -> None:
    a = shaft()
    for setup in (FrequencySetup(clamp=-0.1), FrequencySetup(clamp=1.2), FrequencySetup(tip_mass=-1.0)):
        with pytest.raises(InputError):
            cpm(a, setup)


def test_the_curve_over_free_length_is_reading_after_reading() -> None:
    a = shaft(s=(0.0, 1.1684), ei=(75.0, 20.0), mass=0.055)
    curve = frequency_curve(a, [0.1, 0.2, 0.4])
    np.testing.assert_allclose(curve.free_length, 1.1684 - np.array([0.1, 0.2, 0.4]), rtol=1e-12)
    for clamp, hertz in zip(curve.clamp, curve.frequency, strict=True):
        assert 60.0 * hertz == cpm(a, FrequencySetup(clamp=float(clamp)))
    # A massless uniform shaft with a point mass: f ~ free length^(−3/2) (ω² = 3EI/ML³). rtol 1e-3: a tenth of a gram
    # of shaft against 205 g.
    light = frequency_curve(shaft(s=(0.0, 1.2), ei=40.0, mass=1e-4), [0.2, 0.7])
    assert light.frequency[1] / light.frequency[0] == pytest.approx(2.0**1.5, rel=1e-3)


def test_a_curve_by_step() -> None:
    # 1.2 m, from 0.2 m held every 0.1 m until 0.5 m are free: clamps of 0.2 to 0.7 m, six of them.
    a = shaft(s=(0.0, 1.2), ei=(75.0, 20.0), mass=0.055)
    found = read_frequency_curve(a, FrequencyCurveSetup(clamp=0.2, step=0.1, shortest=0.5))
    np.testing.assert_allclose(found.free_length, [1.0, 0.9, 0.8, 0.7, 0.6, 0.5], rtol=1e-12)
    assert np.all(np.diff(found.frequency) > 0.0)
    for setup in (FrequencyCurveSetup(step=0.0), FrequencyCurveSetup(clamp=0.8, shortest=0.5)):
        with pytest.raises(InputError, match="frequency curve"):
            read_frequency_curve(a, setup)


def test_a_head_instead_of_a_tip_mass() -> None:
    # A head of a point mass with its CG on the axis is a tip mass at the end of a shaft that ends at the hosel mouth,
    # its inserted tip (2 g) with it. rtol 1e-4: that piece's own inertia.
    a = shaft(s=(0.0, 1.1684), ei=(75.0, 20.0), mass=0.055)
    point = point_head(0.2)
    found = cpm(a, FrequencySetup(head=point))
    short = trimmed(a, tip=point.insertion)
    piece = 0.055 * point.insertion
    centre = 0.5 * point.insertion * piece / (0.2 + piece)
    assert found == pytest.approx(cpm(short, FrequencySetup(tip_mass=0.2 + piece, tip_mass_cg=centre)), rel=1e-4)
    # A real head hangs beside the axis, so that it swings slower than its mass alone on the same length.
    real = load_head(find("head", "driver"))
    mouth = trimmed(a, tip=real.insertion)
    assert cpm(a, FrequencySetup(head=real)) < cpm(mouth, FrequencySetup(tip_mass=real.mass))


def test_what_cannot_be_put_on_is_refused() -> None:
    iron = shaft(kind="iron")
    real = load_head(find("head", "driver"))
    with pytest.raises(InputError, match="two of one kind"):
        read_frequency(iron, FrequencySetup(head=real))
    with pytest.raises(InputError, match="plane"):
        read_frequency(shaft(), FrequencySetup(head=real, plane=0.1))
    club = Specimen("club", shaft(), 0.03, TipBody(0.2), real)
    with pytest.raises(InputError, match="bare shaft"):
        read_frequency(club, FrequencySetup(head=real))
