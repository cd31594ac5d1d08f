"""Readings run backwards: against closed forms, scaling laws and the statistics of least squares."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad

from bench.round_trips import FIRST, IN, deflection, frequency, second, torque, wanted
from shaft.made_up import shaft
from swingbeam.bench.balance import BalanceSetup
from swingbeam.bench.determined import gaps, remarks
from swingbeam.bench.inverse import CONTRADICTORY, find_profile
from swingbeam.bench.measured import Measured, Wanted, main_reading, predict, usual_error
from swingbeam.bench.readings import NOT_LOOKED_FOR
from swingbeam.bench.registry import TESTS
from swingbeam.bench.sensitivity import depends_on, linearise
from swingbeam.bench.three_point import ThreePointSetup
from swingbeam.bench.unknowns import KnownFacts, bow_covariance, unknowns_of
from swingbeam.shaft.shaft import Shaft
from swingbeam.units import InputError, SimulationError

FACTS = KnownFacts("Made up", "driver", 1.1684, 0.0152, 0.0085, 0.0762)
POUND_FOOT = 1.3558179483314004


def taper(**other: float) -> Shaft:
    """EI 70 to 25, GJ 30 to 10, mass 50 to 60 g/m, straight, butt to tip."""
    return shaft(
        s=(0.0, FACTS.raw_length), ei=(70.0, 25.0), gj=(30.0, 10.0), mass=(0.05, 0.06), raw_length=FACTS.raw_length
    )


def read(a: Shaft, asked: tuple[Wanted, ...], share: float) -> list[Measured]:
    """Readings without error, of which a share of the value is stated as one."""
    return [Measured(one, float(v), float(share * v)) for one, v in zip(asked, predict(a, asked), strict=True)]


def scan(first: float, last: float, count: int, span: float = 8.0) -> tuple[Wanted, ...]:
    """A scan between two places, in from the tip."""
    use = ThreePointSetup(span=span * IN, stations=tuple(float(x) for x in np.linspace(first, last, count) * IN))
    return tuple(wanted("three_point_deflection_mm", use, i) for i in range(count))


def test_the_bow_is_an_integrated_wiener_process_off_its_chord() -> None:
    # Its values are ∫ G(x, u) w(u) du with w white noise and G the Green's function of f'' with f(0) = f(1) = 0, so
    # that the covariance is ∫ G(x, u) G(y, u) du. atol 1e-10: quadrature. At the middle ∫ G² = 2·(1/8)·(1/24) = 1/96…
    # by hand: G(½, u) = u/2 for u < ½, so ∫ G² = 2 ∫₀^½ u²/4 du = 1/48.
    def green(x: float, u: float) -> float:
        return min(x, u) * (1.0 - max(x, u))

    x = np.array([0.0, 0.2, 0.5, 0.9, 1.0])
    found = bow_covariance(x)
    for i, a in enumerate(x):
        for j, b in enumerate(x):
            expected = quad(lambda u, a=a, b=b: green(a, u) * green(b, u), 0.0, 1.0, points=sorted({a, b}))[0]
            assert found[i, j] == pytest.approx(expected, abs=1e-10)
    assert found[2, 2] == pytest.approx(1.0 / 48.0, rel=1e-12)


def test_derivatives_add_up_to_what_scaling_does() -> None:
    # With EI scaled as a whole f ~ √EI and small deflections ~ 1/EI, with GJ twist ~ 1/GJ, and weight ~ mass: the
    # derivatives by the logs at all stations add up to ½, −1, −1 and 1 times the reading. rtol 2e-3: one-sided
    # differences of 0.001 leave half of that, times the second derivative; the small deflection bends 3 mm.
    unknowns = unknowns_of(FACTS)
    asked = (frequency(5.0, 0.205), deflection(5.0, 0.03, 0.0), torque(2.0, 1.0, POUND_FOOT), FIRST[4])
    seen = depends_on(unknowns, unknowns.mean, asked)
    np.testing.assert_array_equal(
        seen, [[True, False, True], [True, False, False], [False, True, False], [False, False, True]]
    )
    linear = linearise(unknowns, unknowns.mean, asked, seen)
    by = linear.logs.reshape(4, 3, -1).sum(axis=2) / linear.value[:, None]
    np.testing.assert_allclose(by[:3, :2], [[0.5, 0.0], [-1.0, 0.0], [0.0, -1.0]], rtol=2e-3, atol=1e-12)
    assert by[3, 2] == pytest.approx(1.0, rel=1e-3)


def test_derivatives_by_the_unknowns_are_those_of_the_tests() -> None:
    # Along a direction picked at random, against a central difference; rtol 3e-3 as above.
    for facts in (FACTS, replace(FACTS, steps=(0.4, 0.8), constant=True, poisson=0.29)):
        unknowns = unknowns_of(facts)
        asked = FIRST + second(FACTS.raw_length)
        way = np.random.default_rng(3).standard_normal(unknowns.mean.size)
        linear = linearise(unknowns, unknowns.mean, asked, depends_on(unknowns, unknowns.mean, asked))
        h = 1e-3
        ahead, behind = (predict(unknowns.shaft(unknowns.mean + x * way), asked) for x in (h, -h))
        expected = (ahead - behind) / (2.0 * h)
        size = np.abs(linear.unknowns) @ np.abs(way)
        np.testing.assert_allclose(linear.unknowns @ way / size, expected / size, atol=3e-3)


def test_sharp_readings_give_the_shaft_back() -> None:
    # A straight taper read without error but for a stated 0.05 %: a scan from end to end, torques with longer and
    # longer clamps, weight and balance. EI within 1 % where the scan looks (from memory of nothing: 5 of its own
    # standard deviations of 0.2 %), all else within its band.
    a = taper()
    asked = (
        *scan(4.0, 42.0, 20),
        *(torque(2.0, tip, POUND_FOOT) for tip in (1.0, 8.0, 16.0, 24.0, 32.0)),
        wanted("mass_g", BalanceSetup()),
        wanted("balance_point_mm_from_butt", BalanceSetup()),
        wanted("moi_butt_kgm2", BalanceSetup()),
    )
    found = find_profile(FACTS, read(a, asked, 5e-4))
    s = found.unknowns.s
    inside = (s > 4.0 * IN) & (s < FACTS.raw_length - 4.0 * IN)
    true = [np.interp(s, a.s, v) for v in (a.ei, a.gj, a.mass_per_length)]
    np.testing.assert_allclose(found.shaft.ei[inside], true[0][inside], rtol=0.01)
    bands = found.bands()
    for k in range(3):
        assert np.all(bands[k, :, 0] <= true[k])
        assert np.all(true[k] <= bands[k, :, 1])
    assert found.shaft.mass == pytest.approx(a.mass, rel=1e-3)


def test_readings_repeated_make_it_surer_by_the_root_of_their_number() -> None:
    # Frequency has next to no prior (some half of its value): n readings of 0.5 cpm foretell it to 0.5/√n cpm. rtol
    # 1 %: (0.5/130)² of the prior.
    one = frequency(5.0, 0.205)
    value = float(predict(taper(), [one])[0])
    for count in (1, 4):
        found = find_profile(FACTS, [Measured(one, value, 0.5 / 60.0)] * count)
        (again,) = found.foretell([one])
        assert again.sd == pytest.approx(0.5 / 60.0 / np.sqrt(count), rel=0.01)
        # atol: a tenth of that standard deviation, at which the search stops.
        assert again.value == pytest.approx(value, abs=0.05 / 60.0)


def test_the_order_of_readings_does_not_matter() -> None:
    readings = read(taper(), FIRST, 0.003)
    a, b = find_profile(FACTS, readings), find_profile(FACTS, readings[::-1])
    # rtol 1e-6: sums in another order.
    np.testing.assert_allclose(a.shaft.ei, b.shaft.ei, rtol=1e-6)
    np.testing.assert_allclose(a.log_sd, b.log_sd, rtol=1e-6)


def test_a_search_that_begins_near_by_arrives_at_the_same() -> None:
    a = taper()
    first = find_profile(FACTS, read(a, FIRST, 0.003))
    moved = [
        replace(m, value=m.value * x)
        for m, x in zip(read(a, FIRST, 0.003), (1.002, 0.998, 1.004, 1.01, 0.997), strict=True)
    ]
    anew, on = find_profile(FACTS, moved), find_profile(FACTS, moved, start=first)
    # atol: a tenth of the band's standard deviation; derivatives a few hundredths old.
    assert np.all(np.abs(anew.unknowns.logs(anew.at - on.at)) < 0.1 * anew.log_sd)
    np.testing.assert_allclose(on.log_sd, anew.log_sd, rtol=0.1)
    with pytest.raises(InputError, match="start: found a profile of other facts or other readings"):
        find_profile(FACTS, moved[:3], start=first)


def test_the_worst_of_contradictory_readings_is_named() -> None:
    # Three frequencies agree, a fourth under the same set-up is 10 cpm high: the others foretell it to 0.5/√3 cpm,
    # so that it is 10/(0.5 √(1 + 1/3)) = 17.3 standard deviations off; each of the others is 10/3 cpm off a mean of
    # three that it spoils: 10/3/(0.5 √(4/3)) = 5.8.
    one = frequency(5.0, 0.205)
    value = float(predict(taper(), [one])[0])
    readings = [
        Measured(replace(one, label=f"reading #{i + 1}"), value + off / 60.0, 0.5 / 60.0)
        for i, off in enumerate((0.0, 0.0, 10.0, 0.0))
    ]
    with pytest.raises(InputError, match=r"reading #3: contradicts the others") as caught:
        find_profile(FACTS, readings)
    assert "17.3; allowed: up to 4" in str(caught.value)
    found = find_profile(FACTS, readings, check=False)
    # atol 0.02: the prior's share, (0.5/130)², and where the search stops.
    np.testing.assert_allclose([r.standardised for r in found.residuals], [-5.77, -5.77, 17.32, -5.77], atol=0.05)
    assert CONTRADICTORY == 4.0


def test_readings_that_a_rougher_profile_explains_are_not_contradictory() -> None:
    # EI half as high again over some eight inches about mid-shaft: no straight taper, read sharply by a scan.
    s = np.array([0.0, 0.42, 0.53, 0.63, 0.74, FACTS.raw_length])
    a = shaft(s=s, ei=(70.0, 51.0, 72.0, 68.0, 42.0, 25.0), gj=20.0, mass=0.055, raw_length=FACTS.raw_length)
    found = find_profile(FACTS, read(a, scan(4.0, 42.0, 39), 0.003), check=False)
    assert found.roughness > 1.0
    smooth = find_profile(FACTS, read(taper(), scan(4.0, 42.0, 39), 0.003))
    assert smooth.roughness == 1.0
    assert found.explained
    # Discrepancy principle: no more than one a reading is left over; 1.2 for the linear estimate it is chosen by.
    assert found.chi_squared < 1.2 * len(found.residuals)


def test_what_no_reading_looks_at_is_named() -> None:
    # Clamped 5 in at the butt: nothing inside is seen in bending; torque with 2 in and 1 in clamped.
    found = find_profile(FACTS, read(taper(), FIRST[:1], 0.002))
    (butt,) = [gap for gap in gaps(found) if gap.property == "EI" and not gap.touched]
    # atol 2 mm: the edge is looked for to one.
    assert (butt.start, butt.end) == pytest.approx((0.0, 5.0 * IN), abs=0.002)
    assert any("GJ: no reading determines it: scaled from EI by 0.45" in line for line in remarks(found))

    found = find_profile(FACTS, read(taper(), FIRST, 0.002))
    edges = [(gap.start, gap.end) for gap in gaps(found) if gap.property == "GJ" and not gap.touched]
    np.testing.assert_allclose(edges, [(0.0, 2.0 * IN), (FACTS.raw_length - IN, FACTS.raw_length)], atol=0.002)
    assert any(line.startswith("Mass: weight and balance point fix the whole") for line in remarks(found))


def test_a_stepped_tube_of_metal() -> None:
    # EI steps 60, 45, 30 with the steps declared; GJ = EI/1.29 for a Poisson's ratio of 0.29 (elasticity: G = E/2(1 +
    # ν), J = 2 I). The scan reads inside every piece: within 3 % with readings of 0.1 %.
    facts = replace(FACTS, steps=(0.4, 0.8), constant=True, poisson=0.29)
    s = np.array([0.0, 0.4, 0.4, 0.8, 0.8, FACTS.raw_length])
    ei = np.array([60.0, 60.0, 45.0, 45.0, 30.0, 30.0])
    a = shaft(s=s, ei=ei, gj=ei / 1.29, mass=0.09, raw_length=FACTS.raw_length)
    found = find_profile(facts, read(a, (*scan(6.0, 40.0, 12), FIRST[4]), 1e-3))
    np.testing.assert_allclose(found.shaft.s, s, atol=1e-12)
    np.testing.assert_array_equal(found.shaft.ei[0::2], found.shaft.ei[1::2])
    np.testing.assert_allclose(found.shaft.ei, ei, rtol=0.03)
    np.testing.assert_allclose(found.shaft.gj, found.shaft.ei / 1.29, rtol=1e-12)
    assert any("1 + ν" in line for line in remarks(found))


def test_a_step_in_a_taper_jumps_where_it_is_declared_only() -> None:
    s = np.array([0.0, 0.5, 0.5, FACTS.raw_length])
    a = shaft(s=s, ei=(75.0, 60.0, 48.0, 25.0), gj=15.0, mass=0.055, raw_length=FACTS.raw_length)
    asked = (*scan(4.0, 42.0, 39, span=6.0)[1:-1], FIRST[4])
    found = find_profile(replace(FACTS, steps=(0.5,)), read(a, asked, 2e-3))
    at = np.flatnonzero(np.diff(found.shaft.s) == 0.0)
    assert at.size == 1
    jump = found.shaft.ei[at[0] + 1] / found.shaft.ei[at[0]]
    # 48/60 = 0.8; atol: two of its own standard deviations, some 0.02 of a scan that smears six inches.
    assert jump == pytest.approx(0.8, abs=0.04)


def test_a_named_shape_makes_it_surer() -> None:
    a = taper()
    readings = read(a, (frequency(5.0, 0.205),), 0.002)
    other = deflection(9.0, 1.0, 0.0)
    alone, like = (find_profile(FACTS, readings, like=pattern).foretell([other])[0] for pattern in (None, a))
    # Fall and bow are expected within half of what they are otherwise; the levels, of mass too, are not.
    assert like.sd < 0.8 * alone.sd
    true = float(predict(a, [other])[0])
    assert abs(like.value - true) < 2.0 * like.sd


def test_any_mix_of_tests_is_taken() -> None:
    # The main figure of every test that reads one (scans are read above; a spine is not looked for), as a taper reads
    # it, with the usual errors: the profile explains them all (χ² no more than their number: they have no error), and
    # its bands hold the taper.
    a = taper()
    asked = []
    for name, test in TESTS.items():
        if name in NOT_LOOKED_FOR:
            continue
        reading = main_reading(test)
        if not reading.scan:
            asked.append(Wanted(test, test.setup_type(), reading, None, name))
    values = predict(a, asked)
    assert len(asked) >= 7
    readings = [Measured(one, float(v), usual_error(one.reading)) for one, v in zip(asked, values, strict=True)]
    found = find_profile(FACTS, readings)
    assert found.chi_squared <= len(readings)
    bands = found.bands()
    for k, ends in enumerate(((70.0, 25.0), (30.0, 10.0), (0.05, 0.06))):
        true = np.interp(found.unknowns.s, (0.0, FACTS.raw_length), ends)
        assert np.all((bands[k, :, 0] <= true) & (true <= bands[k, :, 1]))


def test_the_bench_is_told_what_it_cannot_say() -> None:
    a = taper()
    with pytest.raises(InputError, match="no reading that depends on EI"):
        find_profile(FACTS, read(a, FIRST[3:], 0.01))
    with pytest.raises(InputError, match="found no readings"):
        find_profile(FACTS, [])
    spot = Measured(wanted("three_point_from_tip_mm", ThreePointSetup(), 2), 0.2, 0.001)
    with pytest.raises(InputError, match="does not change with EI, GJ or mass"):
        find_profile(FACTS, [*read(a, FIRST, 0.01), spot])
    with pytest.raises(InputError, match=r"frequency: butt clamped 60 in.* is not possible"):
        find_profile(FACTS, [Measured(frequency(60.0, 0.2), 4.0, 0.01)])
    with pytest.raises(InputError, match="above 0"):
        Measured(frequency(5.0, 0.2), 4.0, 0.0)
    for steps in ((0.0,), (0.5, 0.5), (1.2,)):
        with pytest.raises(InputError, match="steps"):
            unknowns_of(replace(FACTS, steps=steps))


@pytest.mark.slow
def test_a_reading_that_no_shaft_gives_is_given_up() -> None:
    """Some ten seconds: a deflection of 1.2 m of 1.04 m of free shaft."""
    with pytest.raises(SimulationError, match="no profile was found that explains the readings"):
        find_profile(FACTS, [Measured(deflection(5.0, 5.0, 0.0), 1.2, 0.001)])
