"""Lay-ups: from plies on a mandrel to a shaft, swaps of plies, and what is refused."""

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from swingbeam.bench.frequency import read_frequency
from swingbeam.files.base import parse_table
from swingbeam.files.layup_file import LayupFile
from swingbeam.files.lookup import find, list_library
from swingbeam.shaft.clamped import bending_frequency
from swingbeam.shaft.layup import layup_from_file, pull_twist, shaft_from_layup, wind
from swingbeam.shaft.layup_swap import load_layup, load_swap, shaft_files
from swingbeam.shaft.load import load_shaft
from swingbeam.shaft.shaft import Shaft
from swingbeam.shaft.tube import tube_stiffness
from swingbeam.units import InputError

CARBON = {
    "e1": "130 GPa",
    "e2": "8.5 GPa",
    "g12": "4.5 GPa",
    "nu12": 0.3,
    "density": "1550 kg/m^3",
    "thickness": "0.1 mm",
}
STEEL = {"modulus": "205 GPa", "poisson": 0.29, "density": "7850 kg/m^3", "thickness": "0.1 mm"}
PAIR = {"name": "bias", "material": "carbon", "angle": "45 deg", "pair": True, "wraps": 2}
LENGTHWISE = {"name": "lengthwise", "material": "carbon", "angle": "0 deg", "wraps": 4}


def table(*plies: dict[str, Any], **other: Any) -> dict[str, Any]:
    """A lay-up's file as plain values: 1 m long on a mandrel from 5 mm at the tip to 13 mm at the butt."""
    return {
        "name": "Made up",
        "maker": "Nobody",
        "kind": "driver",
        "letter": "R",
        "raw_length": "1 m",
        "parallel_tip": "0 in",
        "measured_from": "tip",
        "mandrel": [{"at": "0 m", "diameter": "5 mm"}, {"at": "1 m", "diameter": "13 mm"}],
        "materials": {"carbon": CARBON, "steel": STEEL},
        "plies": list(plies or (PAIR, LENGTHWISE)),
        **other,
    }


def made(*plies: dict[str, Any], **other: Any) -> Shaft:
    return shaft_from_layup(layup_from_file(parse_table(table(*plies, **other), LayupFile)))


def at(shaft: Shaft, from_tip: float, name: str) -> float:
    return float(np.interp(shaft.raw_length - from_tip, shaft.s, getattr(shaft, name)))


def test_mass_by_volume() -> None:
    # Outer less inner cone: V = π L (a² + ab + b²)/3 for radii a to b. 8 wraps of 0.1 mm. rtol 1e-12: the mass
    # per length of plies of even thickness is straight along a cone, so that its integral has no error but round-off.
    shaft = made()

    def cone(a: float, b: float) -> float:
        return math.pi * (a * a + a * b + b * b) / 3.0

    wall = 8 * 0.1e-3
    volume = cone(2.5e-3 + wall, 6.5e-3 + wall) - cone(2.5e-3, 6.5e-3)
    assert shaft.mass == pytest.approx(1550.0 * volume, rel=1e-12)
    assert shaft.tip_diameter == pytest.approx(5e-3 + 2 * wall, rel=1e-12)
    assert shaft.butt_diameter == pytest.approx(13e-3 + 2 * wall, rel=1e-12)


def test_a_metal_lay_up_is_the_metal_tube() -> None:
    # 4 wraps of 0.1 mm of one metal. GJ = EI/(1 + ν). EI within ν²/(1 − ν²) h²/(12 r²) = 2e-4 of the elementary formula
    # at the tip, the thickest wall for its radius (derived with the wound tube).
    shaft = made({"name": "wall", "material": "steel", "angle": "0 deg", "wraps": 4})
    inner = np.interp(shaft.s, [0.0, 1.0], [13e-3, 5e-3])
    ei, gj, mass = tube_stiffness(inner + 0.8e-3, 0.4e-3, 205e9, 0.29, 7850.0)
    np.testing.assert_allclose(shaft.gj, gj, rtol=1e-12)
    np.testing.assert_allclose(shaft.mass_per_length, mass, rtol=1e-12)
    np.testing.assert_allclose(shaft.ei, ei, rtol=2.5e-4)


def test_either_end_may_be_measured_from() -> None:
    tip = {**LENGTHWISE, "name": "tip", "start": "0 m", "end": "0.3 m", "end_taper": "0.1 m", "start_wraps": 3.0}
    tip |= {"end_wraps": 2.0}
    del tip["wraps"]
    butt = tip | {"start": "0.7 m", "end": "1 m", "start_taper": "0.1 m", "end_taper": "0 m"}
    butt |= {"start_wraps": 2.0, "end_wraps": 3.0}
    mandrel = [{"at": "0 m", "diameter": "13 mm"}, {"at": "1 m", "diameter": "5 mm"}]
    a, b = made(PAIR, tip), made(PAIR, butt, measured_from="butt", mandrel=mandrel)
    for name in ("s", "ei", "gj", "mass_per_length", "diameter"):
        np.testing.assert_allclose(getattr(a, name), getattr(b, name), rtol=1e-12, atol=1e-15)


def test_a_ply_that_ends_steps_and_a_slanted_one_does_not() -> None:
    plain = made(PAIR, LENGTHWISE)
    ply = {"name": "tip", "material": "carbon", "angle": "0 deg", "wraps": 2, "end": "0.25 m"}
    stepped, slanted = made(PAIR, LENGTHWISE, ply), made(PAIR, LENGTHWISE, {**ply, "end_taper": "0.2 m"})
    place = np.flatnonzero(np.abs(stepped.s - 0.75) < 1e-9)
    assert place.size == 2
    low, high = stepped.ei[place]
    # Beyond the ply nothing changes; at the step the one side is the shaft without it.
    assert low == pytest.approx(at(plain, 0.25, "ei"), rel=1e-4)
    assert high > 1.2 * low
    for name in ("ei", "gj", "mass_per_length", "diameter"):
        assert at(stepped, 0.6, name) == pytest.approx(at(plain, 0.6, name), rel=1e-4)
        # Slanted: no station twice with different values.
        jumps = np.abs(np.diff(getattr(slanted, name)))[np.diff(slanted.s) < 1e-9]
        assert np.all(jumps < 1e-9 * getattr(slanted, name).max())
    # Half way up the slant lies half the ply, 1 wrap.
    half = made(PAIR, LENGTHWISE, {**ply, "wraps": 1})
    assert at(slanted, 0.15, "diameter") == pytest.approx(at(half, 0.15, "diameter"), rel=1e-9)
    assert at(slanted, 0.15, "ei") == pytest.approx(at(half, 0.15, "ei"), rel=1e-4)


def test_stiffness_is_continuous_in_where_a_ply_ends() -> None:
    # A ply's end moved by δ changes the frequency by about δ times its rate: no jump. Both steps of 2 mm, and the rate
    # is the same before and after to 10 % (it changes along the shaft by some % per mm at most).
    def frequency(end: float) -> float:
        ply = {"name": "tip", "material": "carbon", "angle": "0 deg", "wraps": 2, "end": f"{1e3 * end:.6f} mm"}
        return bending_frequency(made(PAIR, LENGTHWISE, ply))

    before, middle, after = (frequency(x) for x in (0.398, 0.400, 0.402))
    assert after != middle
    assert after - middle == pytest.approx(middle - before, rel=0.1)
    assert abs(after / middle - 1.0) < 2e-3
    # The same end a hair further on, where it falls on another station: equal to the rate times 1e-6 m.
    assert frequency(0.400001) == pytest.approx(middle, rel=1e-5)


def test_a_fraction_of_a_wrap_is_spread_round() -> None:
    half = made(PAIR, {**LENGTHWISE, "wraps": 2.5})
    two, three = made(PAIR, {**LENGTHWISE, "wraps": 2}), made(PAIR, {**LENGTHWISE, "wraps": 3})
    assert half.spine is None
    assert at(half, 0.5, "diameter") == pytest.approx(
        0.5 * (at(two, 0.5, "diameter") + at(three, 0.5, "diameter")), rel=1e-12
    )
    assert at(two, 0.5, "ei") < at(half, 0.5, "ei") < at(three, 0.5, "ei")
    # A pair of one and a half turns: two sheets at + and −, then half a sheet of each.
    pair = made({**PAIR, "wraps": 1.5}, LENGTHWISE)
    assert at(pair, 0.5, "diameter") == pytest.approx(9e-3 + 2 * (3 + 4) * 0.1e-3, rel=1e-12)


def test_stations_are_close_enough() -> None:
    # Straight lines between stations against the section wound just there: half an inch apart, EI errs by < 1e-4.
    layup = load_layup(find("layup", "cairn-66-s"))
    shaft = shaft_from_layup(layup)
    middle = 0.5 * (shaft.s[1:] + shaft.s[:-1])[np.diff(shaft.s) > 1e-6]
    for place in middle[::7]:
        piece = layup_from_file_at(layup, float(place))
        assert float(np.interp(place, shaft.s, shaft.ei)) == pytest.approx(piece[0], rel=1e-4)
        assert float(np.interp(place, shaft.s, shaft.gj)) == pytest.approx(piece[1], rel=1e-4)


def layup_from_file_at(layup: Any, place: float) -> tuple[float, float]:
    """EI and GJ of the lay-up wound with a station of the mandrel put at a place."""
    s = np.unique(np.append(layup.mandrel_s, place))
    finer = replace(layup, mandrel_s=s, mandrel_diameter=np.interp(s, layup.mandrel_s, layup.mandrel_diameter))
    wound = wind(finer)
    i = int(np.argmin(np.abs(wound.s - place)))
    assert abs(wound.s[i] - place) < 1e-12
    return float(wound.sections.ei[i]), float(wound.sections.gj[i])


def test_every_starter_lay_up_makes_a_shaft_and_says_it_is_invented() -> None:
    names = list_library("layup")
    assert names
    for path in names.values():
        shaft = load_shaft(path)
        assert "Invented" in shaft.note
        assert 0.05 < shaft.mass < 0.14
        assert np.degrees(pull_twist(wind(load_layup(path)))) < 0.1


def test_a_lay_up_stands_for_its_shaft() -> None:
    assert find("shaft", "cairn-66-s").parent.name == "layups"
    assert "cairn-66-s" not in list_library("shaft")
    files = shaft_files(find("shaft", "cairn-66-s-bias"))
    assert [Path(file).stem for file in files] == ["cairn-66-s-bias", "cairn-66-s"]
    with pytest.raises(InputError, match='did you mean "cairn-66-s"'):
        find("shaft", "cairn-66-z")


def test_the_bias_swap() -> None:
    # Two lengthwise plies out, two bias plies in, the modulus of the others solved for. Equal within: weight 1 mg and
    # diameter 1 nm (the plies are of one thickness and density), bench frequency 0.001 cpm, kick and EI below.
    swap = load_swap(find("layup", "cairn-66-s-bias"))
    before, after = shaft_from_layup(swap.before), shaft_from_layup(swap.after)
    assert after.mass == pytest.approx(before.mass, abs=1e-6)
    np.testing.assert_allclose(after.diameter, before.diameter, atol=1e-9)
    assert read_frequency(after).frequency * 60 == pytest.approx(read_frequency(before).frequency * 60, abs=1e-3)
    assert swap.e1_after > swap.e1_before
    # More bias plies: more GJ everywhere. EI is back at one frequency, not station by station: within 2 %.
    assert np.all(after.gj > 1.1 * before.gj)
    np.testing.assert_allclose(after.ei, before.ei, rtol=0.02)
    raised = {ply.name for ply in swap.after.plies if ply.material.e1 == swap.e1_after}
    assert raised == {"lengthwise 3", "lengthwise 4", "lengthwise 5"}
    # The bias plies lie where the first ply taken out was: on the hoop ply.
    assert [ply.name for ply in swap.after.plies][2:5] == ["hoop", "second bias pair", "lengthwise 3"]


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"materials": {"carbon": CARBON, "steel": STEEL | {"g12": "80 GPa"}}}, "whatever the diameters"),
        ({"plies": [{**LENGTHWISE, "material": "steel", "angle": "45 deg"}]}, "cannot be chosen"),
        ({"plies": [{**PAIR, "material": "steel"}]}, "cannot be chosen"),
        ({"plies": [{**LENGTHWISE, "material": "carbn"}]}, 'did you mean "carbon"'),
        ({"plies": [{**LENGTHWISE, "wraps": 0}]}, "above 0"),
        ({"plies": [{**LENGTHWISE, "start_wraps": 1}]}, "wraps, or start_wraps and end_wraps"),
        ({"plies": [{**LENGTHWISE, "end": "1.1 m"}]}, "at most the raw length"),
        ({"plies": [{**LENGTHWISE, "start": "0.5 m", "end": "0.4 m"}]}, "an end beyond the start"),
        ({"plies": [{**LENGTHWISE, "end": "0.1 m", "end_taper": "0.2 m"}]}, "tapers that fit"),
        ({"plies": [LENGTHWISE, LENGTHWISE]}, "a name of its own"),
        ({"plies": [{**LENGTHWISE, "angle": 45}]}, "a unit is needed"),
        ({"plies": [{**LENGTHWISE, "wrap": 2}]}, 'did you mean "wraps"'),
        ({"plies": []}, "plies"),
        ({"mandrel": [{"at": "0 m", "diameter": "5 mm"}]}, "2 or more"),
        ({"mandrel": [{"at": "0 m", "diameter": "5 mm"}, {"at": "0.9 m", "diameter": "5 mm"}]}, "the far end"),
        ({"materials": {"carbon": {k: v for k, v in CARBON.items() if k != "g12"}}}, "g12: missing key"),
        ({"parallel_tip": "1 m"}, "less than raw_length"),
    ],
)
def test_what_a_file_may_not_say(changes: dict[str, Any], says: str) -> None:
    with pytest.raises(InputError, match=says) as caught:
        parse_table(table(**changes), LayupFile)
    assert len(str(caught.value).splitlines()) <= 2


@pytest.mark.parametrize(
    ("plies", "other", "says"),
    [
        ([{**LENGTHWISE, "end": "0.5 m"}], {}, "at least one ply everywhere"),
        ([{**PAIR, "pair": False}, LENGTHWISE], {}, "unbalanced lay-up: pulled by 400 N"),
        ([PAIR, LENGTHWISE], {"parallel_tip": "3 in"}, "changes by 0.61 mm"),
        (
            [LENGTHWISE],
            {"mandrel": [{"at": "0 m", "diameter": "13 mm"}, {"at": "1 m", "diameter": "5 mm"}]},
            "at most the butt's at the tip",
        ),
        (
            [LENGTHWISE],
            {"materials": {"carbon": CARBON | {"nu12": 4.0}}},
            "less than √",
        ),
    ],
)
def test_what_no_shaft_is_made_of(plies: list[dict[str, Any]], other: dict[str, Any], says: str) -> None:
    with pytest.raises(InputError, match=says):
        made(*plies, **other)


def swap_text(**changes: str) -> str:
    keys = {"base": '"base.toml"', "out": '["lengthwise 1"]', "raised": '"lengthwise"', "material": '"bias"'} | changes
    return (
        f'name = "Swapped"\nbase = {keys["base"]}\n[swap]\nplies_out = {keys["out"]}\nraise_e1_of = {keys["raised"]}\n'
        f'[[swap.plies_in]]\nname = "in"\nmaterial = {keys["material"]}\nangle = "45 deg"\npair = true\nwraps = 0.5\n'
    )


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"out": '["lengthwise 9"]'}, 'did you mean "lengthwise'),
        ({"raised": '"glass"'}, "a material of the plies left"),
        ({"material": '"bis"'}, 'did you mean "bias"'),
        ({"base": '"swap.toml"'}, "swaps plies itself"),
        ({"base": '"nothing.toml"'}, "no such layup file"),
        ({"raised": '"hoop"'}, "no modulus of"),
    ],
)
def test_swaps_that_cannot_be(tmp_path: Path, changes: dict[str, str], says: str) -> None:
    base = find("layup", "cairn-66-s").read_text(encoding="utf-8")
    (tmp_path / "base.toml").write_text(base, encoding="utf-8")
    (tmp_path / "swap.toml").write_text(swap_text(**changes), encoding="utf-8")
    with pytest.raises(InputError, match=says) as caught:
        load_shaft(tmp_path / "swap.toml")
    assert str(caught.value).startswith(f"{tmp_path / 'swap.toml'}: ") or "swap.toml" in str(caught.value)


def test_a_swap_of_a_metal_is_refused(tmp_path: Path) -> None:
    base = find("layup", "cairn-66-s").read_text(encoding="utf-8")
    steel = '[materials.steel]\nmodulus = "205 GPa"\npoisson = 0.29\ndensity = "7850 kg/m^3"\nthickness = "0.1 mm"\n'
    ply = '[[plies]]\nname = "foil"\nmaterial = "steel"\nangle = "0 deg"\nwraps = 1\n'
    (tmp_path / "base.toml").write_text(f"{base}\n{ply}\n{steel}", encoding="utf-8")
    (tmp_path / "swap.toml").write_text(swap_text(raised='"steel"'), encoding="utf-8")
    with pytest.raises(InputError, match="a metal: one homogeneous metal has one shear modulus"):
        load_shaft(tmp_path / "swap.toml")
