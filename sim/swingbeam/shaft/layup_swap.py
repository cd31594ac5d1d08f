"""Plies out, plies in, and the modulus along the fibres of the rest raised until the bench frequency is back."""

from __future__ import annotations

import math
import os
from dataclasses import dataclass, replace
from pathlib import Path

from scipy.optimize import brentq

from swingbeam.beam.errors import InputError
from swingbeam.files.base import naming
from swingbeam.files.layup_file import LayupFile, SwappedLayupFile, check_ply, is_layup_file, read_layup_file
from swingbeam.files.lookup import find
from swingbeam.files.shaft_file import WHY_METAL_HAS_NO_OWN_TORQUE
from swingbeam.shaft.clamped import bending_frequency
from swingbeam.shaft.layup import Layup, Ply, layup_from_file, materials_from_file, ply_from_table, shaft_from_layup
from swingbeam.shaft.shaft import Shaft
from swingbeam.units import nearest, show

MOST_FACTOR = 4.0
"""The modulus may rise to this multiple, or fall to its reciprocal: fibres differ by no more."""


@dataclass(frozen=True, eq=False)
class Swap:
    """A lay-up before and after a swap of plies.

    Attributes
    ----------
    before, after : Layup
    material : name of the material whose modulus along the fibres was solved for
    e1_before, e1_after : of that ply, Pa
    """

    before: Layup
    after: Layup
    material: str
    e1_before: float
    e1_after: float


def solve_swap(record: SwappedLayupFile, base: LayupFile) -> Swap:
    """Take the plies out, put the others in where the first of them was, and solve for the modulus.

    The frequency is the bench's usual one (`clamped.bending_frequency`); it is met to 1e-9 of itself. E2, G12, ν12,
    density and thickness of the material stay: the resin decides the first two, and a fibre's modulus does not follow
    from its weight.

    Raises
    ------
    InputError
        A ply or material that is not there, a metal, plies of which no modulus within reach brings the frequency back.
    """
    before = layup_from_file(base)
    swap = record.swap
    names = [ply.name for ply in before.plies]
    for name in swap.plies_out:
        if name not in names:
            guess = nearest(name, names)
            hint = f'; did you mean "{guess}"?' if guess else ""
            raise InputError(f'swap.plies_out: found "{name}"; allowed: one of {", ".join(names)}{hint}')
    for number, table in enumerate(swap.plies_in, 1):
        where = f"swap.plies_in #{number}"
        check_ply(table, where, base.materials, base.raw_length)
        if table.name in names and table.name not in swap.plies_out:
            raise InputError(f'{where}.name: found "{table.name}", a ply of the base; allowed: a name of its own')
    materials = materials_from_file(base)
    flip = base.measured_from == "tip"
    added = [ply_from_table(table, materials, base.raw_length, flip) for table in swap.plies_in]
    place = min(names.index(name) for name in swap.plies_out)
    left = [ply for ply in before.plies if ply.name not in swap.plies_out]
    at = sum(ply.name not in swap.plies_out for ply in before.plies[:place])
    plies = (*left[:at], *added, *left[at:])
    _check_raised(swap.raise_e1_of, plies)
    changed = replace(before, name=record.name, note=record.note, plies=plies)
    factor = _factor(changed, swap.raise_e1_of, bending_frequency(shaft_from_layup(before)))
    e1 = next(ply.material.e1 for ply in plies if ply.material.name == swap.raise_e1_of)
    return Swap(before, with_e1(changed, swap.raise_e1_of, factor), swap.raise_e1_of, e1, factor * e1)


def _check_raised(name: str, plies: tuple[Ply, ...]) -> None:
    used = {ply.material.name: ply.material for ply in plies}
    if name not in used:
        raise InputError(f'swap.raise_e1_of: found "{name}"; allowed: a material of the plies left: {", ".join(used)}')
    if used[name].metal:
        raise InputError(f'swap.raise_e1_of: found "{name}", a metal: {WHY_METAL_HAS_NO_OWN_TORQUE}')


def with_e1(layup: Layup, material: str, factor: float) -> Layup:
    """The same lay-up with the modulus along the fibres of one material multiplied."""
    plies = tuple(
        replace(ply, material=replace(ply.material, e1=factor * ply.material.e1))
        if ply.material.name == material
        else ply
        for ply in layup.plies
    )
    return replace(layup, plies=plies)


def _factor(layup: Layup, material: str, frequency: float) -> float:
    def above(log_factor: float) -> float:
        return bending_frequency(shaft_from_layup(with_e1(layup, material, math.exp(log_factor)))) - frequency

    low, high = -math.log(MOST_FACTOR), math.log(MOST_FACTOR)
    at_low, at_high = above(low), above(high)
    if not at_low < 0.0 < at_high:
        raise InputError(
            f'swap: found no modulus of "{material}" between 1/{MOST_FACTOR:g} and {MOST_FACTOR:g} times its own that '
            f"brings the frequency back to {show(frequency, 'cpm', 1)} (it reaches "
            f"{show(frequency + at_low, 'cpm', 1)} to {show(frequency + at_high, 'cpm', 1)}); allowed: a smaller swap"
        )
    # The frequency goes at most as the root of the factor: 1e-9 of the logarithm is less than 1e-9 of the frequency.
    return math.exp(brentq(above, low, high, xtol=1e-9, rtol=1e-12))


def load_layup(path: str | os.PathLike[str]) -> Layup:
    """Read a lay-up file; one that swaps plies of another is solved.

    Raises
    ------
    InputError
        The file, or the one it is based on, cannot be read, or what it says cannot be a lay-up.
    """
    record = read_layup_file(path)
    if isinstance(record, SwappedLayupFile):
        return load_swap(path).after
    with naming(path):
        return layup_from_file(record)


def load_layup_shaft(path: str | os.PathLike[str]) -> Shaft:
    """The shaft that a lay-up file makes. Raises InputError as `load_layup` and `shaft_from_layup`."""
    layup = load_layup(path)
    with naming(path):
        return shaft_from_layup(layup)


def load_swap(path: str | os.PathLike[str]) -> Swap:
    """Read and solve a lay-up file that swaps plies of another.

    Raises
    ------
    InputError
        As `load_layup`, or the file states its own plies.
    """
    record = read_layup_file(path)
    with naming(path):
        if not isinstance(record, SwappedLayupFile):
            raise InputError("found a lay-up that states its plies; allowed: one with base and [swap]")
        where = find("layup", record.base, beside=path)
        base = read_layup_file(where)
        if isinstance(base, SwappedLayupFile):
            raise InputError(f'base: found "{record.base}", which swaps plies itself; allowed: one that does not')
        return solve_swap(record, base)


def shaft_files(path: Path) -> tuple[Path, ...]:
    """The file of a shaft or of a lay-up and, when it swaps plies of another, that one's."""
    if not is_layup_file(path):
        return (path,)
    record = read_layup_file(path)
    if isinstance(record, SwappedLayupFile):
        return path, find("layup", record.base, beside=path)
    return (path,)
