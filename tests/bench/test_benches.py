"""A bench out of its file."""

import pytest

from swingbeam.bench.benches import load_bench, usual_bench
from swingbeam.bench.registry import TESTS
from swingbeam.club.head import Head
from swingbeam.files.lookup import list_library
from swingbeam.units import InputError


@pytest.fixture
def write(tmp_path):
    def written(text: str):
        path = tmp_path / "bench.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return written


def test_what_is_not_stated_is_as_usual(write) -> None:
    bench = load_bench(write('name = "Mine"\n[torque]\ntip_clamp = "2 in"\n'))
    usual = usual_bench()
    assert bench.name == "Mine"
    assert list(bench.setups) == list(TESTS)
    assert bench.setups["torque"].tip_clamp == pytest.approx(0.0508, rel=1e-12)
    assert bench.setups["torque"].butt_clamp == usual.setups["torque"].butt_clamp
    assert bench.setups["frequency"] == usual.setups["frequency"]


def test_every_key_of_every_setup_can_be_stated(write) -> None:
    bench = load_bench(
        write("""
            name = "All of it"
            [frequency]
            clamp = "6 in"
            tip_mass = "200 g"
            tip_mass_cg = "-5 mm"
            tip_mass_inertia = "300 g*cm^2"
            plane = "30 deg"
            [torsional_frequency]
            head = "driver"
            [deflection]
            own_weight = true
            hung_at = "1 in"
            plane = "-10 deg"
            [kick_point]
            exact = true
            tip_load = "2 lbf"
            [bend_point]
            shortening = "0.5 in"
            [torque]
            moment = "-1 ft*lbf"
            tip_setback = "0.5 in"
            [balance]
            fulcrum = "12 in"
            [three_point]
            stations = ["8 in", "20 in"]
            [spine]
            turns = 24
        """)
    )
    assert bench.setups["frequency"].tip_mass_cg == pytest.approx(-0.005, rel=1e-12)
    assert isinstance(bench.setups["torsional_frequency"].head, Head)
    assert bench.setups["three_point"].stations == pytest.approx((0.2032, 0.508), rel=1e-12)
    assert bench.setups["spine"].turns == 24
    assert bench.setups["torque"].moment < 0.0
    # As a file would state it, it reads back to the same.
    assert bench.described()["kick_point"]["exact"] is True
    assert bench.described()["torsional_frequency"]["head"] == bench.setups["torsional_frequency"].head.name


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", ["name", "empty file"]),
        ('name = "x"\n[frequncy]\n', ["frequncy", 'did you mean "frequency"']),
        ('name = "x"\n[frequency]\nclmap = "5 in"\n', ["frequency.clmap", 'did you mean "clamp"']),
        ('name = "x"\n[frequency]\nclamp = 5\n', ["frequency.clamp", "unit"]),
        ('name = "x"\n[frequency]\nclamp = "-5 in"\n', ["frequency.clamp", "at least 0"]),
        ('name = "x"\n[frequency]\nclamp = "5 g"\n', ["frequency.clamp", "a mass"]),
        ('name = "x"\n[frequency]\nhead = "drivver"\n', ["frequency.head", 'did you mean "driver"']),
        ('name = "x"\n[spine]\nturns = 2.5\n', ["spine.turns", "whole number"]),
        ('name = "x"\n[deflection]\nown_weight = "yes"\n', ["deflection.own_weight", "true or false"]),
        ('name = "x"\nfrequency = 5\n', ["frequency", "a table"]),
    ],
)
def test_faults_are_named(write, text: str, words: list[str]) -> None:
    with pytest.raises(InputError) as error:
        load_bench(write(text))
    for word in ["bench.toml", *words]:
        assert word in str(error.value)


def test_the_library_has_a_second_bench() -> None:
    for name in list_library("bench"):
        bench = load_bench(name)
        assert bench.name
    assert "long_clamp" in list_library("bench")
    with pytest.raises(InputError, match='did you mean "long_clamp"'):
        load_bench("long_clam")


def test_a_bench_can_be_listed_and_checked() -> None:
    from swingbeam.study.library import check_file, describe_library

    (group,) = describe_library("benches")
    assert "long_clamp" in [name for name, _ in group.entries]
    assert check_file(list_library("bench")["long_clamp"]) == 'a sound bench, "Long clamp"'
