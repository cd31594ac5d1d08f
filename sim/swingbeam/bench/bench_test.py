"""What a bench test is: a set-up, a function that reads a shaft under it, and the readings people print."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import Annotated, Any, get_args, get_origin, get_type_hints

import numpy as np
from numpy.typing import NDArray

from swingbeam.units import KINDS, Quantity, show, to_unit

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Reading:
    """One figure a test prints.

    Attributes
    ----------
    key : its name in JSON, CSV and readings files, unit included
    attribute : its name in the test's record, SI there (a float, or (n,) floats of a scan)
    unit : people's unit, one of `swingbeam.units`, "%" included; with a `factor` of its own, any text
    label : short, for the head of a column, with the unit people write
    long_name : in words
    decimals : shown in a table
    usual_error : standard deviation of one careful reading, in `unit`; common practice, no source
    factor : shown value over SI value where the unit is none of `swingbeam.units`
    scan : whether it is a list, read at many stations or rotations
    detail : whether tables leave it out unless its test is asked for by name
    """

    key: str
    attribute: str
    unit: str
    label: str
    long_name: str
    decimals: int
    usual_error: float
    factor: float | None = None
    scan: bool = False
    detail: bool = False

    @property
    def scale(self) -> float:
        """Shown value over SI value."""
        return to_unit(1.0, self.unit) if self.factor is None else self.factor

    def si(self, record: Any) -> float | Array:
        """The figure from a test's record, SI."""
        value = getattr(record, self.attribute)
        return np.asarray(value, dtype=float) if np.ndim(value) else float(value)

    def of(self, record: Any) -> float | list[float] | None:
        """The figure as it is printed, a list for a scan; None where it does not exist."""
        value = self.si(record)
        if isinstance(value, float):
            return self.scale * value if math.isfinite(value) else None
        return [float(v) for v in self.scale * value]


@dataclass(frozen=True)
class BenchTest:
    """One test of the bench.

    Attributes
    ----------
    name : what it is called on the command line and in set-up files
    setup_type : frozen dataclass whose fields all have defaults (common practice where not sourced); the types of
        its fields are those of `swingbeam.units`, from which set-up files are read. `str(setup)` says it in words
    read : (subject, setup) → a frozen dataclass of SI floats. The subject is a `Shaft`, a `Club` or a `Specimen`
    readings : what is printed of that record
    on_request : whether it is read only where it is asked for by name
    """

    name: str
    setup_type: type[Any]
    read: Callable[[Any, Any], Any]
    readings: tuple[Reading, ...]
    on_request: bool = False

    def printed(self, subject: Any, setup: Any = None) -> dict[str, float | list[float] | None]:
        """Key → printed value of every reading of a subject."""
        record = self.read(subject, self.setup_type() if setup is None else setup)
        return {reading.key: reading.of(record) for reading in self.readings}


def described(setup: Any) -> dict[str, Any]:
    """A set-up's fields as a set-up file would state them: quantities with units, names, plain values."""
    hints = get_type_hints(type(setup), include_extras=True)
    out = {}
    for field in fields(setup):
        value = getattr(setup, field.name)
        if value is None:
            continue
        kind = _kind_of(hints[field.name])
        if kind is not None:
            unit = KINDS[kind].example.rsplit(" ", 1)[1]
            out[field.name] = [show(v, unit) for v in value] if isinstance(value, tuple) else show(value, unit)
        else:
            out[field.name] = getattr(value, "name", value)
    return out


def _kind_of(hint: Any) -> str | None:
    """The kind of quantity a field's type stands for, through `| None`."""
    for part in (hint, *get_args(hint)):
        for mark in get_args(part)[1:] if get_origin(part) is Annotated else ():
            if isinstance(mark, Quantity):
                return mark.kind
    return None
