"""Weight, balance, MOI and swing weight against sums by hand."""

import math

import pytest

from bench.made_up_heads import point_head
from shaft.made_up import shaft
from swingbeam.bench.balance import INCH_OUNCE, BalanceSetup, read_balance, swing_weight_letter
from swingbeam.bench.specimen import Specimen
from swingbeam.units import InputError


def test_a_uniform_shaft() -> None:
    # m = ρL, balance in the middle, MOI about the butt mL²/3 (any handbook). rtol 1e-12: round-off.
    found = read_balance(shaft(s=(0.0, 1.2), mass=0.05))
    assert found.mass == pytest.approx(0.06, rel=1e-12)
    assert found.balance_point == pytest.approx(0.6, rel=1e-12)
    assert found.balance_share == pytest.approx(0.5, rel=1e-12)
    assert found.moi_butt == pytest.approx(0.06 * 1.2**2 / 3.0, rel=1e-12)
    for name in ("swing_weight", "finished_length", "lie"):
        assert math.isnan(getattr(found, name))
    assert found.swing_weight_letter is None


def test_a_mass_per_length_that_rises_straight() -> None:
    # ρ = a + b x on L = 1: m = a + b/2, m x = a/2 + b/3, MOI = a/3 + b/4.
    a, b = 0.05, 0.02
    found = read_balance(shaft(s=(0.0, 1.0), mass=(a, a + b)))
    assert found.mass == pytest.approx(a + b / 2, rel=1e-12)
    assert found.balance_point == pytest.approx((a / 2 + b / 3) / (a + b / 2), rel=1e-12)
    assert found.moi_butt == pytest.approx(a / 3 + b / 4, rel=1e-12)


def test_a_club_of_a_uniform_shaft_a_point_and_a_grip() -> None:
    # Shaft 60 g over 1.2 m, the last 30 mm inside the hosel; 200 g at the hosel mouth; grip 50 g over 0.26 m, whose
    # MOI about the butt is mL²/3. Fulcrum at 0.3556 m.
    raw = shaft(s=(0.0, 1.2), mass=0.05)
    club = Specimen("club", raw, inserted=0.03, head=point_head(), grip_mass=0.05, grip_length=0.26)
    found = read_balance(club)
    mass = 0.06 + 0.2 + 0.05
    first = 0.06 * 0.6 + 0.2 * 1.17 + 0.05 * 0.13
    assert found.mass == pytest.approx(mass, rel=1e-12)
    assert found.balance_point == pytest.approx(first / mass, rel=1e-12)
    assert found.moi_butt == pytest.approx(0.06 * 1.2**2 / 3 + 0.2 * 1.17**2 + 0.05 * 0.26**2 / 3, rel=1e-9)
    assert found.swing_weight == pytest.approx(first - 0.3556 * mass, rel=1e-12)


def test_swing_weight_rises_with_head_and_falls_with_grip() -> None:
    def moment(head: float, grip: float) -> float:
        raw = shaft(s=(0.0, 1.2), mass=0.05)
        return read_balance(Specimen("c", raw, 0.03, None, point_head(head), grip, 0.26)).swing_weight

    assert moment(0.21, 0.05) > moment(0.2, 0.05) > moment(0.2, 0.06)
    # A fulcrum nearer to the head makes it lighter by the whole mass times the shift.
    raw = Specimen("c", shaft(s=(0.0, 1.2), mass=0.05), 0.03, None, point_head(), 0.05, 0.26)
    near = read_balance(raw, BalanceSetup(fulcrum=0.4556)).swing_weight
    assert read_balance(raw).swing_weight - near == pytest.approx(0.1 * 0.31, rel=1e-9)


@pytest.mark.parametrize(
    ("inch_ounces", "letter"),
    [(161.0, "A0.0"), (178.5, "B0.0"), (213.5, "D0.0"), (217.0, "D2.0"), (282.0, "G9.1"), (160.0, None), (283.5, None)],
)
def test_the_letter_scale(inch_ounces: float, letter: str | None) -> None:
    # A0 at 161 inch-ounces, 1.75 to a point, ten points to a letter: common practice, no source, from memory.
    assert swing_weight_letter(inch_ounces * INCH_OUNCE) == letter


def test_an_inch_ounce() -> None:
    # 0.0254 m times an avoirdupois ounce, 28.349523125 g (NIST SP 811, appendix B).
    assert pytest.approx(0.0254 * 0.028349523125, rel=1e-12) == INCH_OUNCE


def test_a_negative_fulcrum_is_refused() -> None:
    with pytest.raises(InputError):
        read_balance(shaft(), BalanceSetup(fulcrum=-0.1))
