"""What the trade says of trims and of steel's torque, over the library on the bench; nothing is swung."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from claims.parts import HYPOTHESIS, Claim
from claims.rules import LEAST_CPM, LEAST_DEG, change_of, interval, number, table, verdict
from swingbeam.bench.benches import usual_bench
from swingbeam.bench.frequency import read_frequency
from swingbeam.bench.torque import read_torque
from swingbeam.files.lookup import list_library
from swingbeam.shaft.load import load_shaft
from swingbeam.shaft.shaft import Shaft, scale
from swingbeam.shaft.trim import trimmed
from swingbeam.units import to_unit
from swingbeam.units.kinds import METRES_PER_INCH


@dataclass(frozen=True)
class Trim:
    """One shaft an inch shorter at either end.

    Attributes
    ----------
    shaft, kind, material : its name and labels
    raw, tip, butt : cpm of the raw shaft, with an inch off its tip, with an inch off its butt
    """

    shaft: str
    kind: str
    material: str
    raw: float
    tip: float
    butt: float


@dataclass(frozen=True)
class Pair:
    """A steel and a graphite shaft of one frequency.

    Attributes
    ----------
    steel, graphite : names
    frequency : cpm, of the steel shaft and of the graphite one once scaled
    factor : what EI and GJ of the graphite shaft were multiplied with
    steel_torque, graphite_torque : degrees
    """

    steel: str
    graphite: str
    frequency: float
    factor: float
    steel_torque: float
    graphite_torque: float


def library_shafts() -> dict[str, Shaft]:
    """Name → shaft of the whole library."""
    return {name: load_shaft(path) for name, path in list_library("shaft").items()}


def _cpm(shaft: Shaft) -> float:
    return to_unit(read_frequency(shaft, usual_bench().setups["frequency"]).frequency, "cpm")


def _degrees(shaft: Shaft) -> float:
    return to_unit(read_torque(shaft, usual_bench().setups["torque"]).twist, "deg")


def read_trims(shafts: dict[str, Shaft]) -> list[Trim]:
    """Every shaft raw and an inch shorter at either end: both cuts leave the same length."""
    return [
        Trim(
            name,
            shaft.kind,
            shaft.material,
            _cpm(shaft),
            _cpm(trimmed(shaft, tip=METRES_PER_INCH)),
            _cpm(trimmed(shaft, butt=METRES_PER_INCH)),
        )
        for name, shaft in shafts.items()
    ]


def read_pairs(shafts: dict[str, Shaft]) -> list[Pair]:
    """Every steel shaft with every graphite shaft of its kind, whose EI and GJ are multiplied alike until both read
    the same frequency: frequency goes with the root of stiffness while the weight stays."""
    found = []
    for steel_name, steel in shafts.items():
        for name, graphite in shafts.items():
            if steel.material != "steel" or graphite.material != "graphite" or steel.kind != graphite.kind:
                continue
            wanted = _cpm(steel)
            factor = (wanted / _cpm(graphite)) ** 2
            found.append(
                Pair(
                    steel_name,
                    name,
                    wanted,
                    factor,
                    _degrees(steel),
                    _degrees(scale(graphite, ei=factor, gj=factor)),
                )
            )
    return found


def tip_against_butt(trims: Sequence[Trim]) -> Claim:
    """The claim's part of the page."""
    tip, butt = [t.tip - t.raw for t in trims], [t.butt - t.raw for t in trims]
    holds: list[bool | None] = [a - b >= LEAST_CPM for a, b in zip(tip, butt, strict=True)]
    share = [100.0 * (a / b - 1.0) for a, b in zip(tip, butt, strict=True)]
    size = f"tip {interval(tip, 1)} cpm an inch, butt {interval(butt, 1)} cpm an inch"
    rows = [
        [
            t.shaft,
            t.material,
            number(t.raw, 1),
            number(a, 1, sign=True),
            number(b, 1, sign=True),
            number(s, 0, sign=True),
        ]
        for t, a, b, s in zip(trims, tip, butt, share, strict=True)
    ]
    body = [
        f"> An inch off the tip stiffens a shaft more than an inch off the butt. ({HYPOTHESIS})",
        f"**How tested.** The library's {len(trims)} raw shafts on the usual bench (frequency: "
        f"{usual_bench().setups['frequency']}), an inch cut off either end: both leave the same length, and the same "
        f"length free of the clamp. A case is a shaft; differences below {LEAST_CPM:g} cpm are none.",
        table(["shaft", "material", "raw cpm", "1 in off the tip", "1 in off the butt", "tip against butt %"], rows, 2),
        f"**What came out.** That an inch off the tip raises the frequency more than an inch off the butt "
        f"{verdict(holds)}: {size}; the tip's is {change_of(share, '%', 0)} against the butt's.",
        "Not seen: clubs built to one length, in which a tip trim is made up for at the butt, and what a trim does in "
        "a swing (`swingbeam trim --swing`).",
    ]
    return Claim(
        "4. Tip trim against butt trim",
        "\n\n".join(body),
        (("4. Tip trim stiffens more per inch than butt trim", verdict(holds), size),),
    )


def steel_torque(pairs: Sequence[Pair]) -> Claim:
    """The claim's part of the page."""
    apart = [p.graphite_torque - p.steel_torque for p in pairs]
    holds: list[bool | None] = [d >= LEAST_DEG for d in apart]
    steel, graphite = [p.steel_torque for p in pairs], [p.graphite_torque for p in pairs]
    size = f"steel {interval(steel, 2, '°')}, graphite {interval(graphite, 2, '°')}"
    rows = [
        [
            p.steel,
            p.graphite,
            number(p.frequency, 1),
            number(p.factor, 2),
            number(p.steel_torque, 2),
            number(p.graphite_torque, 2),
            number(d, 2, sign=True),
        ]
        for p, d in zip(pairs, apart, strict=True)
    ]
    head = ["steel", "graphite", "both at cpm", "graphite times", "steel °", "graphite °", "graphite less steel °"]
    body = [
        f"> Steel reads a lower torque than graphite of equal flex. ({HYPOTHESIS})",
        f"**How tested.** Every steel shaft of the library with every graphite shaft of its kind, {len(pairs)} pairs, "
        f"on the usual bench (torque: {usual_bench().setups['torque']}). Equal flex: bending and torsional stiffness "
        "of the graphite shaft are multiplied by one factor until both read the same frequency, its weight kept. A "
        f"case is a pair; differences below {LEAST_DEG:g}° are none.",
        table(head, rows, left=2),
        f"**What came out.** That the steel shaft reads less torque {verdict(holds)}: {size}; graphite reads "
        f"{change_of(apart, '°', 2)} against steel.",
        "Not seen: a graphite shaft made stiffer in other ways than as a whole; bias plies set its torque by "
        "themselves, which a tube of one metal cannot.",
    ]
    return Claim(
        "5. Torque of steel and of graphite",
        "\n\n".join(body),
        (("5. Steel reads lower torque than graphite of equal flex", verdict(holds), size),),
    )
