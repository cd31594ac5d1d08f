"""Read a ranking's HDF5 file back into the record it was written from."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import fields
from typing import Any, TypeVar

import h5py
import numpy as np
from numpy.typing import NDArray

from swingbeam.beam.errors import InputError
from swingbeam.delivery.decompose import Causes
from swingbeam.delivery.doubt import LandingSpread
from swingbeam.delivery.presentation import Impact
from swingbeam.delivery.ranking import Agreement
from swingbeam.delivery.shot import Shot
from swingbeam.delivery.unload import Unload
from swingbeam.files.base import display_path

from .conclusions import FIGURES
from .hdf5 import read_attribute, read_numbers, read_texts
from .quantities import (
    CURVES,
    FACE_CENTRE_SPEED,
    IMPACT,
    LANDING,
    RESOLUTION,
    SHOT,
    STATIC,
    UNLOAD,
    Quantity,
)
from .read_looks import read_look, read_replay, read_verification
from .read_repeat import read_repeated
from .result import HANDS, STATUSES, ClubRun, Curves, RankResult, ShotRecord, StaticReadings
from .store import FORMAT, NO_RANK

Array = NDArray[np.float64]
Record = TypeVar("Record")
_DEGREE = next(q.scale for q in IMPACT if q.key == "face_angle_deg")
_OWNED = (OSError, KeyError, ValueError, IndexError, TypeError, AttributeError, RuntimeError, OverflowError)
"""What h5py and numpy raise on a file that does not hold what it should."""


def read_ranking(path: str | os.PathLike[str]) -> RankResult:
    """The ranking of a file.

    Figures come back to the last places of a double. What is kept short in the file, the replay and the shafts, comes
    back to seven digits.

    Raises
    ------
    InputError
        No such file, not a ranking's, of another version, or damaged.
    """
    with opened(path) as file:
        return _Reader(file).result()


@contextmanager
def opened(path: str | os.PathLike[str]) -> Iterator[h5py.File]:
    """A ranking's file, open for reading; whatever is wrong with it while it is open is an InputError."""
    shown = display_path(path)
    if not os.path.exists(path):
        raise InputError(f"{shown}: no such file; allowed: an HDF5 file that `swingbeam rank` wrote")
    if os.path.isdir(path):
        raise InputError(f"{shown}: is a folder; allowed: an HDF5 file that `swingbeam rank` wrote")
    try:
        file = h5py.File(path, "r")
    except PermissionError:
        raise InputError(f"{shown}: may not be read") from None
    except _OWNED:
        raise InputError(
            f"{shown}: is no HDF5 file, or is cut short; allowed: a file that `swingbeam rank` wrote"
        ) from None
    with file:
        _check_format(file, shown)
        try:
            with np.errstate(all="ignore"):
                yield file
        except InputError:
            raise
        except _OWNED as error:
            words = " ".join(str(error).split())[:120]
            raise InputError(f"{shown}: is damaged or incomplete ({words}); rank the scenario again") from None


def _check_format(file: h5py.File, shown: str) -> None:
    try:
        found = file.attrs.get("format", "")
        found = found.decode("utf-8", "replace") if isinstance(found, bytes) else str(found)
    except _OWNED:
        raise InputError(f"{shown}: is damaged: its format cannot be read; rank the scenario again") from None
    if found == FORMAT:
        return
    if found.startswith("swingbeam rank "):
        raise InputError(f'{shown}: found format "{found}"; allowed: "{FORMAT}": rank the scenario again')
    words = f'format "{found}"' if found else "an HDF5 file without a format"
    raise InputError(f"{shown}: found {words}; allowed: a ranking's file, as `swingbeam rank` writes it")


class _Reader:
    """Values of a file's variables by club, as records of SI."""

    def __init__(self, file: h5py.File) -> None:
        self.file = file
        self.clubs = self.texts("club")

    # -- pieces -----------------------------------------------------------------------------------------------
    def attr(self, name: str) -> str:
        return read_attribute(self.file, name)

    def texts(self, name: str) -> list[str]:
        return read_texts(self.file[name])

    def values(self, name: str) -> Array:
        return read_numbers(self.file[name])

    def si(self, q: Quantity, prefix: str = "") -> Array:
        """(clubs,) or scalar, SI."""
        return np.asarray(self.values(prefix + q.key) / q.scale)

    def records(
        self, kind: Callable[..., Record], quantities: Sequence[Quantity], prefix: str = ""
    ) -> Callable[[int | None], Record | None]:
        """From a club's place (None: the reference club) to its record; None where it has none of the figures."""
        start = f"reference_{prefix}"
        own = {q.attribute: self.si(q, prefix) for q in quantities}
        reference = {q.attribute: self.si(q, start) for q in quantities if start + q.key in self.file}

        def record(i: int | None) -> Record | None:
            if i is None:
                found = {key: float(value) for key, value in reference.items()}
            else:
                found = {key: float(values[i]) for key, values in own.items()}
            if not found or all(np.isnan(v) for v in found.values()):
                return None
            return kind(**found)

        return record

    # -- the whole --------------------------------------------------------------------------------------------
    def result(self) -> RankResult:
        rows = self._rows()
        reference = rows.pop()
        return RankResult(
            scenario=self.attr("scenario"),
            golfer=self.attr("golfer"),
            reference=self.attr("reference"),
            hands=self.attr("hand_mode"),
            ball=self.attr("ball_rule"),
            solver=self.attr("solver"),
            runs=tuple(rows),
            reference_run=reference,
            downswing=1e-3 * float(self.file.attrs["downswing_ms"]),
            agreements=self._agreements(),
            statement=self.attr("order_statement"),
            notes=tuple(line for line in self.attr("notes").split("\n") if line),
            inputs=tuple(zip(self.texts("input"), self.texts("input_text"), strict=True)),
            digest=self.attr("inputs_sha256"),
            version=self.attr("source").removeprefix("swingbeam "),
            verification=read_verification(self.file),
            air=self.attr("air"),
            repeatability=self.attr("repeatability"),
            left_handed=self.attr("handed") == "left",
            question=self.attr("question"),
            repeated=read_repeated(self.file, self.clubs),
        )

    def _rows(self) -> list[ClubRun]:
        """Every club, and last the reference club."""
        status = [STATUSES[int(k)] for k in self.file["status"][()]]
        rank = [_rank(k) for k in self.file["rank"][()]]
        modes = [[_rank(k) for k in row] for row in self.file["order_under"][()]]
        reasons = [dict(line.split(": ", 1) for line in t.split("\n") if ": " in line) for t in self.texts("reasons")]
        sure = self.si(RESOLUTION)
        impact = self.records(Impact, (*IMPACT, FACE_CENTRE_SPEED))
        change = self.records(Impact, (*IMPACT, FACE_CENTRE_SPEED), "change_")
        causes = {name: self.values(f"{name}_from_deg") / _DEGREE for name in ("face", "loft")}
        under = {q.key: self.values(f"change_under_{q.key}") for q in FIGURES}
        unload, static = self.records(_unload, UNLOAD), self._static()
        curves, flight = self._curves(), self._flights()
        rows = []
        for i, name in enumerate(self.clubs):
            struck = status[i] == "ok"
            rows.append(
                ClubRun(
                    shaft=name,
                    status=status[i],
                    rank=rank[i],
                    unload=unload(i) if struck else None,
                    resolution=_finite(sure[i]),
                    impact=impact(i) if struck else None,
                    change=change(i) if struck else None,
                    face=Causes(*map(float, causes["face"][i])) if struck else None,
                    loft=Causes(*map(float, causes["loft"][i])) if struck else None,
                    order_under=dict(zip(HANDS, modes[i], strict=True)),
                    static=static(i),
                    curves=curves(i) if struck else None,
                    flight=flight(i) if struck else None,
                    reasons=reasons[i],
                    under=_under(under, i),
                    replay=read_replay(self.file, i),
                    look=read_look(self.file, i),
                )
            )
        rows.append(
            ClubRun(
                shaft=self.attr("reference"),
                status="ok",
                unload=unload(None),
                resolution=_finite(self.si(RESOLUTION, "reference_")),
                impact=impact(None),
                static=static(None),
                curves=curves(None),
                flight=flight(None),
                replay=read_replay(self.file, None),
                look=read_look(self.file, None),
            )
        )
        return rows

    def _agreements(self) -> tuple[Agreement, ...]:
        if not int(self.file.attrs["agreements"]):
            return ()
        names = ("figure", "order", "words")
        figures, orders, words = (self.texts(f"agreement_{name}") for name in names)
        tau = self.values("agreement_tau")
        rows = zip(figures, orders, tau, words, strict=True)
        return tuple(Agreement(figure, order, _finite(t), text) for figure, order, t, text in rows)

    def _static(self) -> Callable[[int | None], StaticReadings | None]:
        letters, setups = self.texts("letter"), self.texts("setup")

        def made(place: int | None) -> StaticReadings | None:
            letter = self.attr("reference_letter") if place is None else letters[place]
            setup = self.attr("reference_setup") if place is None else setups[place]
            return self.records(lambda **v: StaticReadings(letter=letter or None, setup=setup, **v), STATIC)(place)

        return made

    def _curves(self) -> Callable[[int | None], Curves | None]:
        if "time_ms" not in self.file:
            return lambda place: None
        t = 1e-3 * self.values("time_ms")
        own = {q.attribute: self.si(q) for q in CURVES}
        reference = {q.attribute: self.si(q, "reference_") for q in CURVES if f"reference_{q.key}" in self.file}

        def made(place: int | None) -> Curves | None:
            found = reference if place is None else {key: table[place] for key, table in own.items()}
            if not found or not all(np.all(np.isfinite(v)) for v in found.values()):
                return None
            return Curves(t=t, **found)

        return made

    def _flights(self) -> Callable[[int | None], ShotRecord | None]:
        parts = {prefix: self.records(Shot, SHOT, prefix) for prefix in ("", "error_", "change_", "change_error_")}
        spread = self.records(LandingSpread, LANDING)
        under = {q.attribute: self.values(f"change_under_{q.key}") / q.scale for q in SHOT}
        still = Shot(*([0.0] * len(fields(Shot))))

        def made(place: int | None) -> ShotRecord | None:
            shot, error, landing = parts[""](place), parts["error_"](place), spread(place)
            if shot is None or error is None or landing is None:
                return None
            if place is None:  # against itself
                return ShotRecord(shot, error, still, still, landing)
            change, change_error = parts["change_"](place), parts["change_error_"](place)
            if change is None or change_error is None:
                return None
            modes = {}
            for k, mode in enumerate(HANDS):
                found = {key: float(table[place, k]) for key, table in under.items()}
                if all(np.isfinite(v) for v in found.values()):
                    modes[mode] = Shot(**found)
            return ShotRecord(shot, error, change, change_error, landing, modes)

        return made


def _unload(**values: float) -> Unload:
    crossings = values.pop("crossings")
    kick = {key: values.pop(key) for key in ("kick_peak", "kick_peak_at", "kick_at_impact")}
    rest = {key: _finite(value) for key, value in values.items()}
    return Unload(crossings=0 if np.isnan(crossings) else round(crossings), state="", **kick, **rest)  # type: ignore[arg-type]


def _under(tables: Mapping[str, Array], i: int) -> dict[str, dict[str, float]]:
    """Hand mode → figure → change; empty where nothing was kept."""
    found = {
        mode: {key: float(table[i, k]) for key, table in tables.items() if np.isfinite(table[i, k])}
        for k, mode in enumerate(HANDS)
    }
    return found if any(found.values()) else {}


def _rank(value: Any) -> int | None:
    return None if int(value) == int(NO_RANK) else int(value)


def _finite(value: Any) -> float | None:
    return float(value) if np.isfinite(value) else None
