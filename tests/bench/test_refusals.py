"""Set-ups that cannot be are refused in words, whatever the test."""

import pytest

from shaft.made_up import shaft
from swingbeam.bench.bend_point import BendPointSetup, read_bend_point
from swingbeam.bench.deflection import DeflectionSetup, read_deflection
from swingbeam.bench.three_point import ThreePointSetup, read_three_point
from swingbeam.bench.torsional_frequency import TorsionalFrequencySetup, read_torsional_frequency
from swingbeam.units import InputError


@pytest.mark.parametrize(
    "setup",
    [
        DeflectionSetup(clamp=-0.1),
        DeflectionSetup(clamp=1.2),
        DeflectionSetup(weight=-1.0),
        DeflectionSetup(hung_at=1.1),
        DeflectionSetup(hung_at=-0.1),
    ],
)
def test_deflection(setup: DeflectionSetup) -> None:
    with pytest.raises(InputError, match="deflection"):
        read_deflection(shaft(), setup)


@pytest.mark.parametrize(
    "setup",
    [
        BendPointSetup(butt_pivot=-0.1),
        BendPointSetup(butt_pivot=0.7, tip_pivot=0.6),
        BendPointSetup(shortening=-0.1),
        BendPointSetup(shortening=0.7),
    ],
)
def test_bend_point(setup: BendPointSetup) -> None:
    with pytest.raises(InputError, match="bend point"):
        read_bend_point(shaft(), setup)


@pytest.mark.parametrize(
    "setup",
    [
        ThreePointSetup(span=1.3),
        ThreePointSetup(span=-0.1),
        ThreePointSetup(step=0.0),
        ThreePointSetup(load=5.0, preload=5.0),
        ThreePointSetup(preload=-1.0),
        ThreePointSetup(stations=(0.1,)),
        ThreePointSetup(stations=(1.1,)),
        ThreePointSetup(first=0.1),
    ],
)
def test_three_point(setup: ThreePointSetup) -> None:
    with pytest.raises(InputError, match="three-point"):
        read_three_point(shaft(), setup)


def test_torsional_frequency() -> None:
    for setup in (TorsionalFrequencySetup(clamp=1.2), TorsionalFrequencySetup(tip_inertia=-1.0)):
        with pytest.raises(InputError, match="torsional frequency"):
            read_torsional_frequency(shaft(), setup)


def test_a_scan_ends_where_its_supports_do() -> None:
    # 1.2 m, span 0.3: from 0.15 to 1.05 m of the tip, every 0.1 m: ten stations.
    found = read_three_point(shaft(), ThreePointSetup(span=0.3, step=0.1))
    assert found.from_tip.size == 10
    assert found.from_tip[0] == pytest.approx(0.15, rel=1e-12)
    assert found.from_tip[-1] == pytest.approx(1.05, rel=1e-12)
    # More preload, less of the load: the apparent EI stays.
    more = read_three_point(shaft(), ThreePointSetup(span=0.3, step=0.1, preload=50.0))
    assert more.deflection[3] == pytest.approx(0.5 * found.deflection[3], rel=1e-12)
    assert more.apparent_ei[3] == pytest.approx(found.apparent_ei[3], rel=1e-12)
