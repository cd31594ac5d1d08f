"""Profiles from files: either end, linear or stepped, cut where a club is cut."""

import numpy as np
import pytest

from shaft.made_up import shaft
from swingbeam.files.base import parse_toml
from swingbeam.files.shaft_file import ShaftFile
from swingbeam.shaft.shaft import Shaft, cut, integrate, scale, shaft_from_file
from swingbeam.units import InputError

HEAD = """
name = "A"
maker = "B"
kind = "driver"
material = "graphite"
letter = "R"
raw_length = "1.2 m"
butt_diameter = "15 mm"
tip_diameter = "9 mm"
parallel_tip = "100 mm"
mass = "{mass} g"
"""
LINEAR = """
[profile]
measured_from = "{end}"
stations = [
    {{ at = "0 m", ei = "20 N*m^2", gj = "10 N*m^2", mass = "40 g/m" }},
    {{ at = "0.4 m", ei = "30 N*m^2", gj = "14 N*m^2", mass = "50 g/m" }},
    {{ at = "1.2 m", ei = "70 N*m^2", gj = "30 N*m^2", mass = "60 g/m" }},
]
"""
STEPPED = """
[profile]
measured_from = "{end}"
shape = "stepped"
stations = [
    {{ at = "0 m", ei = "20 N*m^2", gj = "10 N*m^2", mass = "40 g/m" }},
    {{ at = "0.4 m", ei = "30 N*m^2", gj = "14 N*m^2", mass = "50 g/m" }},
]
"""
TUBE = """
[tube]
measured_from = "tip"
shape = "{shape}"
wall = "0.4 mm"
modulus = "205 GPa"
poisson = 0.29
density = "7850 kg/m^3"
steps = [{steps}]
"""


def read(text: str, mass: float) -> Shaft:
    return shaft_from_file(parse_toml(HEAD.format(mass=mass) + text, ShaftFile, source="a.toml"))


# Mass of the linear profile: 0.4 · 45 + 0.8 · 55 = 62 g; of the stepped one: 0.4 · 40 + 0.8 · 50 = 56 g.


def test_stations_from_the_tip_are_turned_round() -> None:
    a, b = read(LINEAR.format(end="tip"), 62.0), read(LINEAR.format(end="butt"), 62.0)
    np.testing.assert_allclose(a.s, [0.0, 0.8, 1.2], rtol=0.0, atol=1e-15)
    np.testing.assert_allclose(a.ei, [70.0, 30.0, 20.0], rtol=1e-15)
    np.testing.assert_allclose(a.gj, [30.0, 14.0, 10.0], rtol=1e-15)
    np.testing.assert_allclose(b.s, [0.0, 0.4, 1.2], rtol=0.0, atol=1e-15)
    np.testing.assert_allclose(b.ei, [20.0, 30.0, 70.0], rtol=1e-15)


def test_steps_have_a_value_on_either_side() -> None:
    a = read(STEPPED.format(end="tip"), 56.0)
    np.testing.assert_allclose(a.s, [0.0, 0.8, 0.8, 1.2], rtol=0.0, atol=1e-15)
    np.testing.assert_allclose(a.ei, [30.0, 30.0, 20.0, 20.0], rtol=1e-15)
    b = read(STEPPED.format(end="butt"), 56.0)
    np.testing.assert_allclose(b.s, [0.0, 0.4, 0.4, 1.2], rtol=0.0, atol=1e-15)
    np.testing.assert_allclose(b.ei, [20.0, 20.0, 30.0, 30.0], rtol=1e-15)


def test_the_profile_is_scaled_to_the_stated_mass_within_five_percent() -> None:
    a = read(LINEAR.format(end="tip"), 64.0)
    # rtol 1e-14: round-off.
    assert a.profile.total_mass == pytest.approx(0.064, rel=1e-14)
    np.testing.assert_allclose(a.mass_per_length, np.array([60.0, 50.0, 40.0]) * 64.0 / 62.0 * 1e-3, rtol=1e-14)
    np.testing.assert_allclose(a.ei, [70.0, 30.0, 20.0], rtol=1e-15)
    for mass in (58.0, 66.0):
        with pytest.raises(InputError, match=f"found {mass:g} g stated and 62.0 g in the profile"):
            read(LINEAR.format(end="tip"), mass)


def test_stepped_tube() -> None:
    a = read(
        TUBE.format(
            shape="stepped",
            steps='{ at = "0 m", diameter = "9 mm", wall = "0.5 mm" }, { at = "0.4 m", diameter = "15 mm" }',
        ),
        162.6,
    )
    # By hand: π/64 (50,625 − 40,658.7) = 489.22 mm⁴ · 205 GPa = 100.29; π/64 (9⁴ − 8⁴) = 121.00 mm⁴ → 24.805
    # N·m².
    np.testing.assert_allclose(a.ei, [100.29, 100.29, 24.805, 24.805], rtol=1e-4)
    np.testing.assert_allclose(a.gj, a.ei / 1.29, rtol=1e-14)
    np.testing.assert_allclose(a.diameter, [0.015, 0.015, 0.009, 0.009], rtol=1e-15)
    # A = π (15² − 14.2²)/4 = 18.347 mm² over 0.8 m and π (9² − 8²)/4 = 13.352 mm² over 0.4 m: 157.14 g,
    # scaled to the 162.6 g stated.
    assert a.profile.total_mass == pytest.approx(0.1626, rel=1e-14)


def test_tapered_tube_follows_the_diameter_between_stations() -> None:
    a = read(
        TUBE.format(shape="linear", steps='{ at="0 m", diameter="9 mm" }, { at="1.2 m", diameter="15 mm" }'),
        137.0,
    )
    middle = np.interp(0.6, a.s, a.ei)
    # Half-way the diameter is 12 mm: π/64 (12⁴ − 11.2⁴) = 245.46 mm⁴, 50.319 N·m²; rtol 1e-4 is the hand's
    # figures (and more than the second-order error of 200 straight pieces, ~1e-5).
    assert middle == pytest.approx(50.319, rel=1e-4)


def test_a_cut_keeps_the_values_where_it_cuts() -> None:
    a = read(LINEAR.format(end="butt"), 62.0)
    piece = cut(a, 0.2, 0.8)
    np.testing.assert_allclose(piece.s, [0.0, 0.2, 0.6], rtol=0.0, atol=1e-15)
    # Between 20 at 0 and 30 at 0.4: 25 at 0.2; between 30 at 0.4 and 70 at 1.2: 50 at 0.8.
    np.testing.assert_allclose(piece.ei[:, 0], [25.0, 30.0, 50.0], rtol=1e-14)
    np.testing.assert_allclose(piece.ei[:, 1], [25.0, 30.0, 50.0], rtol=1e-14)
    np.testing.assert_allclose(piece.mass, [0.045, 0.050, 0.055], rtol=1e-14)


@pytest.mark.parametrize(
    ("start", "end", "ei"),
    [(0.0, 0.8, [30.0, 30.0]), (0.8, 1.2, [20.0, 20.0]), (0.7, 0.9, [30.0, 30.0, 20.0, 20.0])],
)
def test_a_cut_at_a_step_takes_the_side_inside_the_piece(start: float, end: float, ei: list[float]) -> None:
    a = read(STEPPED.format(end="tip"), 56.0)
    np.testing.assert_allclose(cut(a, start, end).ei[:, 0], ei, rtol=1e-15)


def test_pieces_add_up() -> None:
    a = read(STEPPED.format(end="tip"), 56.0)
    # rtol 1e-13: round-off of a few sums.
    parts = [integrate(a, x, y) for x, y in ((0.0, 0.3), (0.3, 0.8), (0.8, 0.95), (0.95, 1.2))]
    mass, centre, second = integrate(a, 0.0, 1.2)
    assert sum(p[0] for p in parts) == pytest.approx(mass, rel=1e-13)
    assert sum(p[0] * p[1] for p in parts) == pytest.approx(mass * centre, rel=1e-13)
    assert sum(p[2] + p[0] * (p[1] - centre) ** 2 for p in parts) == pytest.approx(second, rel=1e-13)


def test_a_linear_piece_by_hand() -> None:
    # Mass per length 1 + x over 0…1: mass 3/2, centre 5/9, second moment about it 7/12 − 25/54 = 13/108.
    a = shaft(s=(0.0, 1.0), mass=(1.0, 2.0))
    mass, centre, second = integrate(a, 0.0, 1.0)
    assert (mass, centre, second) == pytest.approx((1.5, 5.0 / 9.0, 13.0 / 108.0), rel=1e-14)


def test_a_piece_beyond_the_shaft_is_refused() -> None:
    a = shaft()
    for start, end in ((-0.1, 1.0), (0.0, 1.3), (0.5, 0.5), (0.8, 0.2), (float("nan"), 1.0)):
        with pytest.raises(InputError):
            cut(a, start, end)


def test_a_spine_splits_the_planes_about_the_mean() -> None:
    a = read(LINEAR.format(end="butt") + '[spine]\ndifference = "4 %"\nangle = "90 deg"\n', 62.0)
    piece = a.profile
    np.testing.assert_allclose(piece.ei.mean(axis=1), [20.0, 30.0, 70.0], rtol=1e-14)
    np.testing.assert_allclose(piece.ei[:, 0] - piece.ei[:, 1], 0.04 * np.array([20.0, 30.0, 70.0]), rtol=1e-12)
    assert piece.spine_angle == pytest.approx(np.pi / 2, rel=1e-15)


def test_labels_change_nothing() -> None:
    text = HEAD.format(mass=62.0) + LINEAR.format(end="tip")
    other = text.replace('letter = "R"', 'letter = "X"').replace('"graphite"', '"steel"')
    a, b = (shaft_from_file(parse_toml(t, ShaftFile, source="a")) for t in (text, other))
    for name in ("s", "ei", "gj", "mass_per_length"):
        np.testing.assert_array_equal(getattr(a, name), getattr(b, name))


def test_scale_and_frozen_arrays() -> None:
    a = shaft()
    b = scale(a, ei=1.5, gj=0.5)
    np.testing.assert_allclose(b.ei, 60.0, rtol=1e-15)
    np.testing.assert_allclose(b.gj, 7.5, rtol=1e-15)
    with pytest.raises(ValueError, match="read-only"):
        b.ei[0] = 1.0
    for factor in (0.0, -1.0, float("nan"), float("inf")):
        with pytest.raises(InputError):
            scale(a, ei=factor)
