"""Numbers of a file by their key path: "tempo.backswing", "profile.stations.3.ei"; lists count from 1.

What a record of a file holds says which paths there are and in which unit each number is: a field that is added to a
record has a path at once.
"""

from __future__ import annotations

import types
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from typing import Annotated, Any, Union, get_args, get_origin, get_type_hints

from swingbeam.beam.errors import InputError
from swingbeam.files.base import Record
from swingbeam.units import KINDS, AsRead, PlainNumber, Quantity, nearest, quote

PLAIN = ""
"""The kind of a number without a unit."""


@cache
def _hints(model: type[Record]) -> dict[str, Any]:
    hints = get_type_hints(model, include_extras=True)
    return {name: hints[name] for name in model.model_fields}


def kind_at(model: type[Record], path: str) -> str | None:
    """The kind of quantity (of `units.KINDS`; `PLAIN` without a unit) of the number at a path; None: there is none."""
    return _kind(model, path.split("."))


def _kind(hint: Any, parts: Sequence[str]) -> str | None:
    origin = get_origin(hint)
    if origin is Annotated:
        base, *marks = get_args(hint)
        for mark in marks:
            if isinstance(mark, Quantity | PlainNumber):
                return None if parts else (mark.kind if isinstance(mark, Quantity) else PLAIN)
        return _kind(base, parts)
    if origin in (Union, types.UnionType):
        found = (_kind(one, parts) for one in get_args(hint))
        return next((kind for kind in found if kind is not None), None)
    if not parts:
        return None
    first, rest = parts[0], parts[1:]
    if origin is tuple:
        return _kind(get_args(hint)[0], rest) if first.isdigit() and int(first) > 0 else None
    if origin is dict:
        return _kind(get_args(hint)[1], rest)
    if isinstance(hint, type) and issubclass(hint, Record):
        return _kind(_hints(hint)[first], rest) if first in _hints(hint) else None
    return None


def paths_of(model: type[Record]) -> list[str]:
    """Every key path of a number of a record, the first element standing for a list."""
    return list(_paths(model, ""))


def _paths(hint: Any, at: str) -> Iterator[str]:
    origin = get_origin(hint)
    if origin is Annotated:
        base, *marks = get_args(hint)
        if any(isinstance(mark, Quantity | PlainNumber) for mark in marks):
            yield at
        else:
            yield from _paths(base, at)
    elif origin in (Union, types.UnionType):
        for one in get_args(hint):
            yield from _paths(one, at)
    elif origin is tuple:
        yield from _paths(get_args(hint)[0], f"{at}.1")
    elif isinstance(hint, type) and issubclass(hint, Record):
        for name, inner in _hints(hint).items():
            yield from _paths(inner, f"{at}.{name}" if at else name)


def unknown_path(model: type[Record], path: str, prefix: str) -> InputError:
    """What to say of a path that leads to no number; `prefix` stands before it in the study."""
    known = [f"{prefix}{own}" for own in paths_of(model)]
    guess = nearest(f"{prefix}{path}", known)
    if guess is None:  # the last word alone may be right
        last = path.rsplit(".", 1)[-1]
        guess = next((own for own in known if own.rsplit(".", 1)[-1] == last), None)
    hint = f"; did you mean {quote(guess)}?" if guess else f", such as {quote(known[0])}" if known else ""
    return InputError(f"found {quote(prefix + path)}, no number of that file; allowed: a key path of one{hint}")


def value_at(record: Any, path: str) -> float | None:
    """The SI value at a path of a record that was read, None where it states none and has no default."""
    found = record
    for part in path.split("."):
        if found is None:
            return None
        if isinstance(found, tuple):
            place = int(part) - 1
            found = found[place] if place < len(found) else None
        elif isinstance(found, dict):
            found = found.get(part)
        else:
            found = getattr(found, part, None)
    return float(found) if isinstance(found, int | float) and not isinstance(found, bool) else None


def with_numbers(table: Mapping[str, Any], values: Mapping[str, float]) -> dict[str, Any]:
    """A file's table with the numbers at some paths replaced by SI values; the table given stays as it is.

    Raises
    ------
    InputError
        A path through a list that is not so long, or through something that is no table.
    """
    changed: Any = dict(table)
    for path, value in values.items():
        changed = _put(changed, path.split("."), value if isinstance(value, AsRead) else AsRead(value), path)
    return dict(changed)


def as_read(table: Mapping[str, Any], record: Record, paths: Iterable[str]) -> dict[str, Any]:
    """A file's table in which all that no path leads to has been read, so that what a changed number makes of it is
    read sooner: records stand for their tables, SI values for quantities.

    Parameters
    ----------
    table, record : the file's, and what it was read into
    paths : of the numbers that will be changed
    """
    return dict(_read_but(table, record, [path.split(".") for path in paths]))


def _read_but(written: Any, found: Any, paths: Sequence[Sequence[str]]) -> Any:
    if isinstance(found, Record):
        if not paths or not isinstance(written, Mapping):
            return found
        return {
            key: _read_but(value, getattr(found, key), [path[1:] for path in paths if path[0] == key and path[1:]])
            for key, value in written.items()
        }
    if isinstance(found, tuple) and isinstance(written, list | tuple) and len(found) == len(written):
        return tuple(
            _read_but(value, own, [path[1:] for path in paths if path[0] == str(place) and path[1:]])
            for place, (value, own) in enumerate(zip(written, found, strict=True), 1)
        )
    if isinstance(found, float) and isinstance(written, str):
        return AsRead(found)
    return written


def _put(inner: Any, parts: Sequence[str], value: AsRead, path: str) -> Any:
    if not parts:
        return value
    first, rest = parts[0], parts[1:]
    if isinstance(inner, list | tuple):
        place = int(first) - 1 if first.isdigit() else -1
        if not 0 <= place < len(inner):
            raise InputError(f"{path}: found the list's number {quote(first)}; allowed: 1 to {len(inner)}")
        return [*inner[:place], _put(inner[place], rest, value, path), *inner[place + 1 :]]
    if inner is None:
        inner = {}
    if not isinstance(inner, Mapping):
        raise InputError(f"{path}: leads through {quote(inner)}, which is no table")
    return {**inner, first: _put(inner.get(first), rest, value, path)}


def likely_unit(kind: str) -> str:
    """The unit people use first for a kind of quantity; empty for a plain number."""
    return KINDS[kind].example.rsplit(" ", 1)[1] if kind else ""
