"""Read a TOML file into a frozen record, or say in a line or two what is wrong with it and how to mend it.

How to describe a file of your own::

    from typing import Annotated, Literal
    from pydantic import Field, model_validator
    from swingbeam.files.base import Record, read_toml
    from swingbeam.units import InputError, PositiveLength, Quantity

    class Grip(Record):
        length: PositiveLength = Field(description='the length of the grip, such as "10.5 in"')
        size: Literal["men", "women"] = "men"
        lean: Annotated[float, Quantity("angle", at_least=0.0, below=1.0)] = 0.0   # SI (rad) once read
        notes: tuple[str, ...] = ()

        @model_validator(mode="after")
        def _check(self) -> "Grip":
            if self.length > 0.5:
                raise InputError("length: found more than half a metre; allowed: up to 20 in")
            return self

    grip = read_toml(path, Grip)

Unknown keys, missing keys, missing units and wrong kinds are refused by `Record` and the types of
`swingbeam.units`; a `description` is what a user is told when the key is missing. Lists arrive as tuples.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar, cast

from pydantic import BaseModel, ConfigDict, ValidationError, model_validator
from pydantic_core import PydanticCustomError

from swingbeam.beam.errors import InputError
from swingbeam.files.file_kinds import in_words, mistaken_kind
from swingbeam.units import nearest, quote

LARGEST_FILE = 2_000_000
"""bytes; a text file a person writes is far smaller, and anything larger is another kind of file."""
MOST_ERRORS_SHOWN = 2


class Record(BaseModel):
    """A table of a file: frozen, every key known, nothing converted silently."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)

    @model_validator(mode="before")
    @classmethod
    def _refuse_unknown_keys(cls, data: Any) -> Any:
        if isinstance(data, cls):  # read before
            return data
        if not isinstance(data, dict):
            raise PydanticCustomError("not_a_table", "found {found}; allowed: a table", {"found": _name(data)})
        known = list(cls.model_fields)
        for key in data:
            if key not in known:
                guess = nearest(str(key), known)
                hint = f'; did you mean "{guess}"?' if guess else ""
                raise PydanticCustomError(
                    "unknown_key",
                    "unknown key; allowed: {allowed}{hint}",
                    {"key": str(key), "allowed": ", ".join(known), "hint": hint},
                )
        for key, field in cls.model_fields.items():
            if field.is_required() and key not in data:
                needed = f"needed: {field.description}" if field.description else "it is needed"
                raise PydanticCustomError("missing_key", "missing key; {needed}", {"key": key, "needed": needed})
        return data


R = TypeVar("R", bound=Record)


def read_toml(path: str | os.PathLike[str], model: type[R]) -> R:
    """Read a TOML file into a record.

    Raises
    ------
    InputError
        One or two lines: file, key path, what was found, what is allowed, the nearest fix.
    """
    return parse_toml(read_text(path), model, source=display_path(path))


def read_text(path: str | os.PathLike[str]) -> str:
    """The text of a UTF-8 file.

    Raises
    ------
    InputError
        As `read_bytes`; not UTF-8, or with a byte-order mark.
    """
    return decode(read_bytes(path), display_path(Path(path)))


def read_bytes(path: str | os.PathLike[str]) -> bytes:
    """What a file holds.

    Raises
    ------
    InputError
        No such file (the nearest name is suggested), a directory, unreadable, too large.
    """
    where = Path(path)
    shown = display_path(where)
    try:
        if where.is_dir():
            raise InputError(f"{shown}: found a directory; allowed: a file")
        with where.open("rb") as stream:
            data = stream.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise InputError(f"{shown}: no such file{_nearest_file(where)}") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise InputError(f"{shown}: cannot be read: {reason}") from None
    if len(data) > LARGEST_FILE:
        raise InputError(f"{shown}: found more than {LARGEST_FILE:,} bytes; allowed: a text file a person wrote")
    return data


def decode(data: bytes, source: str) -> str:
    """UTF-8 bytes to text; InputError for a byte-order mark or another encoding."""
    if data.startswith(b"\xef\xbb\xbf"):
        raise InputError(f'{source}: starts with a byte-order mark (BOM); save it as plain "UTF-8", without BOM')
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise InputError(f'{source}: found UTF-16 text; save it as plain "UTF-8"')
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise InputError(f'{source}: line {line}: not UTF-8 text; save it as plain "UTF-8"') from None


def parse_toml(text: str, model: type[R], *, source: str = "text") -> R:
    """Read TOML text into a record; `source` names it in messages. Raises InputError as `read_toml`."""
    return parse_table(load_toml(text, source=source), model, source=source)


def load_toml(text: str, *, source: str = "text") -> dict[str, Any]:
    """TOML text to plain values; InputError names line and column."""
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise InputError(f"{source}: nested too deeply to be read") from None
    except (ValueError, OverflowError) as error:
        if "overwrite a value" in str(error) or "multiple times" in str(error):
            place = str(error).rsplit("(", 1)[-1].rstrip(")")
            raise InputError(f"{source}: not readable as TOML: a key or table is there twice ({place})") from None
        first = quote(str(error), 120).replace("\\n", " ").strip('"').replace('\\"', '"')
        raise InputError(f"{source}: not readable as TOML: {first}") from None


def parse_table(table: dict[str, Any], model: type[R], *, source: str = "text") -> R:
    """Plain values (of a TOML file, or made in Python) to a record. Raises InputError as `read_toml`."""
    try:
        return model.model_validate(_tuples(table))
    except ValidationError as error:
        raise InputError(_other_kind(table, model, source) or _say(error, source)) from None
    except RecursionError:
        raise InputError(f"{source}: nested too deeply to be read") from None


@contextmanager
def naming(source: str | os.PathLike[str]) -> Iterator[None]:
    """Put the file's name before the message of an InputError raised inside, unless it is there already."""
    name = source if isinstance(source, str) else display_path(source)
    try:
        yield
    except InputError as error:
        message = str(error)
        raise InputError(message if message.startswith(f"{name}: ") else f"{name}: {message}") from None


def display_path(path: str | os.PathLike[str]) -> str:
    """A path as a user would write it: relative when it lies under the working folder."""
    where = Path(path)
    try:
        relative = where.resolve().relative_to(Path.cwd().resolve()) if where.is_absolute() else where
    except (ValueError, OSError, RuntimeError):
        relative = where
    text = str(relative) if str(relative) != "." else str(where)
    return text if text.isprintable() else quote(text, 200)


def _nearest_file(path: Path) -> str:
    try:
        names = sorted(p.name for p in path.parent.iterdir()) if path.parent.is_dir() else None
    except (OSError, ValueError):
        return ""
    if names is None:
        return f"; the folder {display_path(path.parent)} does not exist"
    guess = nearest(path.name, names)
    return f'; did you mean "{display_path(path.with_name(guess))}"?' if guess else ""


def _tuples(value: Any) -> Any:
    """Lists become tuples, so that records are frozen through and through."""
    if isinstance(value, list | tuple):
        return tuple(_tuples(v) for v in value)
    if isinstance(value, dict):
        return {k: _tuples(v) for k, v in value.items()}
    return value


def _name(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list | tuple):
        return "a list"
    if isinstance(value, dict):
        return "a table"
    return quote(value)


_WANTED = {
    "string_type": "text in quotation marks",
    "tuple_type": "a list, [ ... ]",
    "list_type": "a list, [ ... ]",
    "dict_type": "a table",
    "model_type": "a table",
    "model_attributes_type": "a table",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "finite_number": "a finite number",
}


def _other_kind(table: dict[str, Any], model: type[Record], source: str) -> str | None:
    """What to say of a file that is of another kind altogether."""
    if not table:
        return f"{source}: found an empty file; needed: {', '.join(_required(model))}"
    kind = mistaken_kind(table, model.model_fields)
    if kind is None:
        return None
    return f"{source}: found a {in_words(kind)} file; allowed: a file with the keys {', '.join(_required(model))}"


def _required(model: type[Record]) -> list[str]:
    return [key for key, field in model.model_fields.items() if field.is_required()] or list(model.model_fields)


def _say(error: ValidationError, source: str) -> str:
    """The first one or two errors, a line each."""
    errors = cast("list[dict[str, Any]]", error.errors(include_url=False))
    lines = [f"{source}: {_one(e)}" for e in errors[:MOST_ERRORS_SHOWN]]
    more = len(errors) - len(lines)
    if more > 0:
        lines[-1] += f" (and {more} more)"
    return "\n".join(line.replace("\n", " ") for line in lines)


def _one(error: dict[str, Any]) -> str:
    kind, context, found = error["type"], error.get("ctx") or {}, error.get("input")
    path = [part for part in error["loc"] if part != "function-plain"]
    if kind == "unknown_key":
        path.append(context["key"])
        return _at(path, f"unknown key; allowed: {context['allowed']}{context['hint']}")
    if kind == "value_error":
        return _at(path, str(context.get("error", error["msg"])))
    if kind == "missing_key":
        path.append(context["key"])
        return _at(path, f"missing key; {context['needed']}")
    if kind == "literal_error" and found is not None:
        words = [w.strip().strip("'") for w in str(context.get("expected", "")).replace(" or ", ", ").split(",")]
        guess = nearest(found, words) if isinstance(found, str) else None
        hint = f'; did you mean "{guess}"?' if guess else ""
        listed = ", ".join(f'"{w}"' for w in words)
        return _at(path, f"found {_name(found)}; allowed: {listed}{hint}")
    if kind in _WANTED:
        return _at(path, f"found {_name(found)}; allowed: {_WANTED[kind]}")
    if kind == "not_a_table":
        return _at(path, error["msg"])
    return _at(path, f"found {_name(found)}; {error['msg'][:1].lower()}{error['msg'][1:]}")


def _at(path: list[Any], message: str) -> str:
    where = ""
    for part in path:
        if isinstance(part, int):
            where += f" #{part + 1}"
        else:
            word = str(part)
            where += ("." if where else "") + (word if word.isprintable() and len(word) < 60 else quote(word))
    return f"{where}: {message}" if where else message
