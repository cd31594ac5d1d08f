"""A shaft cut at both ends: what every reading must then do, and which trims are refused for which reason."""

import math
from pathlib import Path

import pytest
from scipy.optimize import brentq

from swingbeam.report.trim_figure import draw_trims
from swingbeam.report.trim_table import trims_object
from swingbeam.study.trim import TrimResult, TrimRow, trim_shaft
from swingbeam.study.trim_steps import read_trims
from swingbeam.units import InputError

INCH = 0.0254
EI, GJ, MASS, LENGTH = 40.0, 15.0, 0.05, 46 * INCH
"""N·m², N·m², kg/m, m of the uniform shaft."""


def shaft_file(folder: Path, name: str, *, butt_ei: float = EI, **keys: str) -> str:
    """A shaft of 46 in, EI straight from the tip's to the butt's."""
    head = {"parallel_tip": "4 in", "butt_diameter": "15 mm", "tip_diameter": "8.5 mm", "kind": "driver"} | keys
    lines = [f'{key} = "{text}"' for key, text in head.items()]
    rows = ((0, EI), (46, butt_ei))
    stations = [f'{{ at = "{at} in", ei = "{ei} N*m^2", gj = "{GJ} N*m^2", mass = "50 g/m" }}' for at, ei in rows]
    text = "\n".join(
        [
            f'name = "{name}"\nmaker = "Nobody"\nmaterial = "graphite"\nletter = "R"\nraw_length = "46 in"',
            f'mass = "{1e3 * MASS * LENGTH:.9f} g"',
            *lines,
            f'[profile]\nmeasured_from = "tip"\nshape = "linear"\nstations = [{", ".join(stations)}]\n',
        ]
    )
    path = folder / f"{name}.toml"
    path.write_text(text, encoding="utf-8")
    return str(path)


def row(result: TrimResult, tip: float, butt: float) -> TrimRow:
    return next(r for r in result.rows if abs(r.tip - tip * INCH) < 1e-9 and abs(r.butt - butt * INCH) < 1e-9)


def reading(found: TrimRow, key: str) -> float:
    assert found.bench is not None
    value = found.bench.readings[key]
    assert value is not None
    return value


def cantilever_cpm(free: float, tip_mass: float) -> float:
    """Uniform cantilever with a tip mass: 1 + cos β cosh β = μβ (sin β cosh β − cos β sinh β), ω = β² √(EI/m L⁴)
    (Blevins, Formulas for Natural Frequency and Mode Shape, table 8-8)."""
    mu = tip_mass / (MASS * free)

    def characteristic(b: float) -> float:
        c, s, ch, sh = math.cos(b), math.sin(b), math.cosh(b), math.sinh(b)
        return 1 + c * ch - mu * b * (s * ch - c * sh)

    beta = brentq(characteristic, 0.1, 1.8)
    return 60 / (2 * math.pi) * beta**2 * math.sqrt(EI / (MASS * free**4))


def test_a_uniform_shaft_reads_the_closed_forms_of_what_is_left(tmp_path: Path) -> None:
    result = trim_shaft(shaft_file(tmp_path, "even"), tip=["0 in", "1 in", "3 in"], butt=["0 in", "2 in"])
    assert [(round(r.tip / INCH), round(r.butt / INCH)) for r in result.rows] == [
        (0, 0),
        (1, 0),
        (3, 0),
        (0, 2),
        (1, 2),
        (3, 2),
    ]
    for found in result.rows:
        left = LENGTH - found.tip - found.butt
        # Usual set-ups: frequency 5 in clamped and 205 g, torque 2 in and 1 in clamped and 1 ft·lbf = 1.3558179 N·m.
        # rtol 2e-4 on frequency (rotary inertia of the tube and the mesh), 1e-9 on sums and on ∫ ds/GJ.
        assert reading(found, "frequency_cpm") == pytest.approx(cantilever_cpm(left - 5 * INCH, 0.205), rel=2e-4)
        twist = math.degrees(1.3558179483314004 * (left - 3 * INCH) / GJ)
        assert reading(found, "torque_deg") == pytest.approx(twist, rel=1e-9)
        assert reading(found, "mass_g") == pytest.approx(1e3 * MASS * left, rel=1e-9)
        assert reading(found, "balance_point_mm_from_butt") == pytest.approx(500 * left, rel=1e-9)
        assert reading(found, "moi_butt_kgm2") == pytest.approx(MASS * left**3 / 3, rel=1e-9)
        # Kick point of a uniform cantilever: 1/√3 of the free length from the tip (x = L(1 − 1/√3) from the clamp:
        # handbook deflection curve). rtol 3e-4: the load is not vanishingly small.
        assert reading(found, "kick_point_pct_of_free_from_tip") == pytest.approx(100 / math.sqrt(3), rel=3e-4)
    # An even shaft does not know which end was cut, but for the rotary inertia of a wall that is thicker at the butt:
    # (D/L)² = 1e-4 of the shaft's share of the energy, a quarter of it, of which the ends differ by some %: 1e-6.
    other = trim_shaft(shaft_file(tmp_path, "even"), tip=["2 in"], butt=["0 in"])
    for key in ("frequency_cpm", "deflection_mm", "torque_deg", "mass_g"):
        assert reading(row(other, 2, 0), key) == pytest.approx(reading(row(result, 0, 2), key), rel=1e-6)


def test_a_tip_trim_stiffens_a_tapered_shaft_more_than_a_butt_trim(tmp_path: Path) -> None:
    # Compliance at the tip C = ∫ x² dx/EI, x from the tip. A tip trim takes 2∫ x dx/EI per length, a butt trim
    # l²/EI(butt): less, where EI grows toward the butt. Weight falls by the same for even mass.
    result = trim_shaft(shaft_file(tmp_path, "taper", butt_ei=90.0), tip=["0 in", "1 in"], butt=["0 in", "1 in"])
    tip, butt, before = row(result, 1, 0), row(result, 0, 1), row(result, 0, 0)
    for key, sign in (("frequency_cpm", 1), ("deflection_mm", -1), ("deflection_slope_deg", -1)):
        by_tip, by_butt = (reading(r, key) - reading(before, key) for r in (tip, butt))
        assert sign * by_tip > sign * by_butt > 0
    assert reading(tip, "mass_g") == pytest.approx(reading(butt, "mass_g"), rel=1e-9)
    # Less length twists less and weighs less; the balance point moves toward the butt.
    for key in ("torque_deg", "mass_g", "balance_point_mm_from_butt"):
        assert reading(tip, key) < reading(before, key)
    # Rates: first differences against the closed form, EI = a + b x from the tip at the clamp's l. The deflection
    # of 1 kg is large enough to bend the law by some %, an inch is 2.4 % of the length: 8 %.
    free, slope = LENGTH - 5 * INCH, (90.0 - EI) / LENGTH
    steps = [(i + 0.5) * free / 2000 for i in range(2000)]
    soft = sum(x * x / (EI + slope * x) for x in steps) * free / 2000
    per_tip = 2 * sum(x / (EI + slope * x) for x in steps) * free / 2000 / soft
    per_butt = free**2 / (EI + slope * free) / soft
    now = [reading(r, "deflection_mm") / reading(before, "deflection_mm") - 1 for r in (tip, butt)]
    assert now[0] == pytest.approx(-per_tip * INCH, rel=0.08)
    assert now[1] == pytest.approx(-per_butt * INCH, rel=0.08)


def test_a_build_keeps_its_length_and_takes_the_rest_off_the_butt(tmp_path: Path) -> None:
    shaft = shaft_file(tmp_path, "even")
    result = trim_shaft(shaft, tip=["0 in", "1 in"], butt=["0 in", "0.5 in"], head="driver", length="45 in")
    clubs = {(round(r.tip / INCH, 3), round(r.butt / INCH, 3)): r.club for r in result.rows}
    assert all(club is not None for club in clubs.values())
    whole = clubs[0.0, 0.0]
    assert whole is not None
    for (tip, butt), club in clubs.items():
        assert club is not None
        assert club.finished_length == pytest.approx((45 - butt) * INCH, abs=1e-9)
        # What the tip trim takes, the cut to length need not.
        assert club.butt_trim - whole.butt_trim == pytest.approx((butt - tip) * INCH, abs=1e-9)
        assert club.insertion == whole.insertion
    # The shorter free length of the built club: as the raw shaft's, the frequency rises with either trim.
    cpm = [r.club_bench.readings["frequency_cpm"] for r in result.rows if r.club_bench is not None]
    assert cpm[2] is not None
    assert cpm[0] is not None
    assert cpm[2] > cpm[0]


@pytest.mark.parametrize(
    ("tip", "butt", "length", "says"),
    [
        # 4 in parallel, 32 mm = 1.26 in of them in the hosel: up to 2.74 in may be cut.
        ("3 in", "0 in", "45 in", "past the parallel section: tip_trim: found 3.00 in.*allowed: up to 2.74 in"),
        ("2 in", "0 in", "46 in", "too short for the build: finished_length"),
        ("0 in", "0.5 in", "47.3 in", "too short for the build: finished_length"),
        ("40 in", "0 in", "45 in", "allowed: at least 8.94 in left"),
        ("0 in", "46 in", "45 in", "allowed: at least 8.94 in left"),
    ],
)
def test_an_impossible_trim_says_which(tmp_path: Path, tip: str, butt: str, length: str, says: str) -> None:
    shaft = shaft_file(tmp_path, "even")
    with pytest.raises(InputError, match=says):
        trim_shaft(shaft, tip=[tip], butt=[butt], head="driver", length=length)
    # Among possible ones it is a row with its reason.
    result = trim_shaft(shaft, tip=["0.5 in", tip], butt=["0 in", butt], head="driver", length="44 in")
    assert row(result, 0.5, 0).error is None


def test_a_trim_that_fits_among_some_that_do_not(tmp_path: Path) -> None:
    result = trim_shaft(shaft_file(tmp_path, "even"), tip=["1 in:4 in:1 in"], head="driver", length="44 in")
    assert [r.error is None for r in result.rows] == [True, True, True, False, False]
    shown = trims_object(result)
    assert shown["trims"][3]["club"] is None
    assert shown["trims"][3]["readings"]["frequency_cpm"] > shown["trims"][0]["readings"]["frequency_cpm"]
    assert "past the parallel section" in shown["trims"][3]["error"]
    assert draw_trims(result).axes[0].get_lines()[0].get_xdata() == pytest.approx([0, 1, 2, 3, 4])


def test_warnings_of_parallel_and_taper_tips_and_of_the_bore(tmp_path: Path) -> None:
    # Bare: past the 4 in parallel section the tip is on the taper: 8.5 + 6.5 · 1/42 = 8.65 mm one inch beyond.
    past = row(trim_shaft(shaft_file(tmp_path, "even"), tip=["4 in", "5 in"]), 5, 0)
    assert "past the parallel section" in past.warnings[0]
    assert "8.65 mm thick instead of 8.50 mm" in past.warnings[0]
    within = row(trim_shaft(shaft_file(tmp_path, "even"), tip=["4 in"]), 4, 0)
    assert within.warnings == ()
    # A taper tip: any cut; 8.5 + 6.5 · 1/46 = 8.64 mm.
    taper = shaft_file(tmp_path, "taper_tip", parallel_tip="0 in")
    assert "a taper tip is cut: the tip is 8.64 mm" in row(trim_shaft(taper, tip=["1 in"]), 1, 0).warnings[0]
    with pytest.raises(InputError, match="past the parallel section: tip_trim"):
        trim_shaft(taper, tip=["1 in"], head="driver", length="44 in")
    # The starter driver's bore is 8.6 mm.
    thick = shaft_file(tmp_path, "thick", tip_diameter="9 mm")
    with pytest.raises(InputError, match=r"found a tip of 9\.00 mm where it goes into the hosel"):
        trim_shaft(thick, tip=["1 in"], head="driver", length="44 in")
    thin = shaft_file(tmp_path, "thin", tip_diameter="8 mm")
    result = trim_shaft(thin, tip=["1 in"], head="driver", length="44 in")
    assert "loose: a tip of 8.00 mm in a bore of 8.60 mm" in row(result, 1, 0).warnings[0]


def test_swung_before_and_after() -> None:
    # The reference club's own shaft, uncut, is the reference club: what its swing states it delivers. The change is the
    # difference of what is shown, and the uncut row changes by nothing.
    result = trim_shaft("wick-65-s", tip=["1 in"], swing="even")
    before, after = (r.run for r in result.rows)
    assert before is not None
    assert after is not None
    assert before.status == after.status == "ok"
    assert result.length == pytest.approx(45.5 * INCH, abs=1e-9)
    assert before.change is not None
    assert before.change.dynamic_loft == 0.0
    assert after.impact is not None
    assert before.impact is not None
    assert after.change is not None
    assert after.change.dynamic_loft == pytest.approx(after.impact.dynamic_loft - before.impact.dynamic_loft, abs=1e-12)
    # Stiffer all along: it bends less before the downswing's end. Sign only.
    assert after.unload is not None
    assert before.unload is not None
    assert abs(after.unload.lag_peak) < abs(before.unload.lag_peak)


def test_trims_as_people_write_them() -> None:
    assert read_trims([], "--tip") == (0.0,)
    assert read_trims(["1in", "0.5 in"], "--tip") == pytest.approx((0.5 * INCH, INCH))
    # 0 to 0.6 by 0.1: the last step falls on the end but for round-off. Shared values count once.
    sweep = read_trims(["0 in:0.6 in:0.1 in", "0.3 in", "10 mm"], "--tip")
    assert sweep == pytest.approx(sorted([*(0.1 * INCH * i for i in range(7)), 0.01]), abs=1e-9)
    assert read_trims(["0 in:1 in:0.4 in"], "--tip") == pytest.approx((0, 0.4 * INCH, 0.8 * INCH), abs=1e-9)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1", "without a unit"),
        ("-1 in", "negative"),
        ("−1 in", "hyphen"),
        ("1,5 in", "decimal comma"),
        ("1 lb", "a mass"),
        ("", "does not start with a number"),
        ("0 in:1 in", "first:last:step"),
        ("1 in:0 in:0.1 in", "does not rise"),
        ("0 in:1 in:0 in", "does not rise"),
        ("0 in:1 in:-0.1 in", "negative"),
        ("0 in:1 in:0.001 in", "up to 100"),
        ("nan in", "does not start with a number"),
    ],
)
def test_trims_that_cannot_be_read(text: str, says: str) -> None:
    with pytest.raises(InputError, match=says) as caught:
        read_trims([text], "--tip")
    assert str(caught.value).startswith("--tip: ")
    assert len(str(caught.value).splitlines()) == 1
