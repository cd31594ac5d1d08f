"""From a readings file to a shaft, or to what another bench would read of it."""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from pathlib import Path

from swingbeam import __version__
from swingbeam.bench.benches import Bench
from swingbeam.bench.determined import Gap, gaps, remarks
from swingbeam.bench.inverse import CONTRADICTORY, ROUGHEST, Foretold, FoundProfile, find_profile
from swingbeam.bench.readings import ReadShaft, load_readings, wanted_of_bench
from swingbeam.files.base import display_path, naming
from swingbeam.files.lookup import find
from swingbeam.files.write_shaft import ShaftBand, write_shaft_file
from swingbeam.shaft.load import load_shaft
from swingbeam.shaft.shaft import Shaft


@dataclass(frozen=True, eq=False)
class ProfileResult:
    """A profile found from a readings file.

    Attributes
    ----------
    read : the file's facts and readings
    found : the profile, its residuals and covariance
    gaps : where no reading, or hardly one, looks
    remarks : what the readings cannot say at all
    """

    read: ReadShaft
    found: FoundProfile
    gaps: tuple[Gap, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class ConversionResult:
    """Readings under one set-up as another bench would read them.

    Attributes
    ----------
    profile : what the readings say of the shaft
    bench : the other bench
    foretold : its readings
    left_out : why some of its tests are not among them
    """

    profile: ProfileResult
    bench: Bench
    foretold: tuple[Foretold, ...]
    left_out: tuple[str, ...]


def profile_readings(readings: str | os.PathLike[str], *, like: str | None = None) -> ProfileResult:
    """The profile that explains a file's readings.

    Parameters
    ----------
    readings : name or path of a readings file
    like : name or path of a shaft whose shape this one is expected to share

    Raises
    ------
    InputError
        A file that cannot be read, readings that say nothing of EI, readings that contradict each other.
    """
    path = find("readings", readings)
    read = load_readings(path)
    pattern = None if like is None else load_shaft(find("shaft", like))
    with naming(path):
        found = find_profile(read.facts, read.readings, like=pattern)
    return ProfileResult(read, found, gaps(found), remarks(found))


def convert_readings(
    readings: str | os.PathLike[str], bench: str | os.PathLike[str], *, like: str | None = None
) -> ConversionResult:
    """What another bench would read of the shaft behind a file's readings.

    Raises
    ------
    InputError
        As `profile_readings`; a bench's file that cannot be read or that the shaft does not allow.
    """
    bench = find("bench", bench)
    result = profile_readings(readings, like=like)
    other, wanted, left_out = wanted_of_bench(bench, result.found.shaft)
    return ConversionResult(result, other, result.found.foretell(wanted), left_out)


def write_profile(result: ProfileResult, path: str | os.PathLike[str]) -> Path:
    """Write the shaft found to a new file, with where it comes from and the 95 % band.

    Raises
    ------
    InputError
        The file exists already, or cannot be written; then nothing is written.
    """
    bands = result.found.bands()
    band = ShaftBand(result.found.unknowns.s, bands[0], bands[1], bands[2])
    return write_shaft_file(named(result), path, "\n".join(provenance(result)), band=band)


def named(result: ProfileResult) -> Shaft:
    """The shaft found, with a note that says what it is."""
    count = len(result.read.readings)
    words = f"Found from {count} bench readings ({result.read.source}), not measured station by station."
    return replace(result.found.shaft, note=" ".join(part for part in (words, result.read.note) if part))


def method(found: FoundProfile) -> tuple[str, ...]:
    """How the profile was found, in sentences."""
    count = len(found.residuals)
    chosen = (
        f"Smoothness: by the discrepancy principle, {found.roughness:g} times the usual bow: the smoothest profile "
        f"that the stated errors allow, no smoother than shafts usually are; χ² {found.chi_squared:.1f} of {count} "
        "readings."
    )
    if not found.explained:
        chosen += f" Even {ROUGHEST:g} times the usual bow leaves more than the errors: are they stated too small?"
    like = f' Shape expected: that of "{found.like}".' if found.like else ""
    return (
        "Regularised least squares on the bench's own tests for log EI, log GJ and log mass; the band is the 95 % band "
        f"of the same problem seen as a Gaussian process.{like}",
        chosen,
    )


def provenance(result: ProfileResult) -> list[str]:
    """Where a shaft found from readings comes from, line by line."""
    lines = [f"Found by swingbeam {__version__} from the readings of {display_path(result.read.source)}.", ""]
    lines += _wrapped(method(result.found))
    lines += [
        "",
        f"Readings, their standard deviation, what the profile reads; standardised residual (≤ {CONTRADICTORY:g}):",
    ]
    for one in result.found.residuals:
        wanted = one.measured.wanted
        lines.append(
            f"  {wanted.describe()}: {wanted.shown(one.measured.value)} ± {wanted.shown_error(one.measured.error)}; "
            f"{wanted.shown(one.fitted)}; {one.standardised:+.1f}"
        )
    said = [gap.describe(result.found.shaft.raw_length) for gap in result.gaps]
    if said or result.remarks:
        lines += ["", "What the readings do not determine:"]
        lines += [f"  {line}" for line in (*said, *result.remarks)]
    return [*lines, "", "Damping is as the readings' file states it, and a spine is not looked for."]


def _wrapped(sentences: tuple[str, ...], width: int = 110) -> list[str]:
    lines: list[str] = []
    for sentence in sentences:
        line = ""
        for word in sentence.split():
            if line and len(line) + len(word) + 1 > width:
                lines.append(line)
                line = word
            else:
                line = f"{line} {word}".strip()
        lines.append(line)
    return lines
