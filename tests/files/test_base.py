"""Records: errors of one or two lines: file, key path, what was found, what is allowed, the nearest fix."""

from pathlib import Path
from typing import Annotated, Literal

import pytest
from pydantic import Field, ValidationError, model_validator

from swingbeam.files.base import Record, decode, naming, parse_toml, read_toml
from swingbeam.units import InputError, Number, PositiveLength, PositiveStiffness, Quantity


class Place(Record):
    at: PositiveLength
    ei: PositiveStiffness


class Thing(Record):
    length: PositiveLength = Field(description='the length, such as "10 in"')
    size: Literal["men", "women"] = "men"
    name: str = "x"
    count: int = 1
    factor: Number = 1.0
    lean: Annotated[float, Quantity("angle", at_least=0.0)] = 0.0
    places: tuple[Place, ...] = ()
    inner: Place | None = None

    @model_validator(mode="after")
    def _check(self) -> "Thing":
        if self.length > 1.0:
            raise InputError("length: found more than a metre; allowed: up to 1 m")
        return self


def refusal(text: str) -> str:
    with pytest.raises(InputError) as caught:
        parse_toml(text, Thing, source="thing.toml")
    message = str(caught.value)
    assert 1 <= len(message.splitlines()) <= 2
    assert all(line.startswith("thing.toml: ") for line in message.splitlines())
    return message


GOOD = 'length = "10 in"\n'


def test_a_record_is_si_and_frozen() -> None:
    thing = parse_toml(GOOD + 'lean = "180 deg"\nplaces = [{ at = "1 m", ei = "3 N*m^2" }]', Thing, source="thing.toml")
    assert thing.length == pytest.approx(0.254, rel=1e-15)
    assert thing.places[0].ei == 3.0
    assert isinstance(thing.places, tuple)
    with pytest.raises(ValidationError):
        thing.length = 2.0  # type: ignore[misc]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('lenght = "10 in"', 'lenght: unknown key; allowed: length, size, name, count, factor, lean, places, '
         'inner; did you mean "length"?'),
        ("", "found an empty file; needed: length"),
        ("length = 10", "length: found 10, a bare number; a unit is needed"),
        ('length = "10 kg"', 'length: found "10 kg", a mass; allowed: a length'),
        ('length = "9 m"', "length: found more than a metre"),
        (GOOD + 'size = "man"', 'size: found "man"; allowed: "men", "women"; did you mean "men"?'),
        (GOOD + "name = 3", "name: found 3; allowed: text in quotation marks"),
        (GOOD + "count = 1.5", "count: found 1.5; allowed: a whole number"),
        (GOOD + "factor = inf", "factor: found inf; allowed: a finite number"),
        (GOOD + "factor = nan", "factor: found nan; allowed: a finite number"),
        (GOOD + "factor = 1e400", "factor: found inf; allowed: a finite number"),
        (GOOD + "factor = true", "factor: found true"),
        (GOOD + 'factor = "1"', "factor: found \"1\"; allowed: a plain number"),
        (GOOD + 'places = [{ at = "1 m", ei = "3 N*m^2" }, { at = "1 m" }]', "places #2.ei: missing key"),
        (GOOD + 'places = [{ at = "1 m", eii = "3 N*m^2" }]', 'places #1.eii: unknown key; allowed: at, ei; '
         'did you mean "ei"?'),
        (GOOD + "places = 3", "places: found 3; allowed: a list"),
        (GOOD + "places = [3]", "places #1: found 3; allowed: a table"),
        (GOOD + "inner = 3", "inner: found 3; allowed: a table"),
        (GOOD + 'inner = { at = "−1 m", ei = "3 N*m^2" }',
         'inner.at: found "−1 m"; the sign is "−" (U+2212)'),
        ("length = ", "not readable as TOML: Invalid value (at end of document)"),
        (GOOD + GOOD, "not readable as TOML: a key or table is there twice (at line 2"),
        ("a = " + "[" * 9000, "nested too deeply"),
        ("count = " + "9" * 5000, "not readable as TOML"),
        ('"\\u0000" = 1', "unknown key"),
    ],
)  # fmt: skip
def test_refusals(text: str, says: str) -> None:
    assert says in refusal(text)


def test_at_most_two_errors_and_the_number_of_the_rest() -> None:
    message = refusal('length = 1\nsize = 2\nname = 3\ncount = "4"')
    assert message.splitlines()[1].endswith("(and 2 more)")


def test_files_that_cannot_be_text(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    good = GOOD.encode()
    cases = {
        "bom.toml": (b"\xef\xbb\xbf" + good, "byte-order mark"),
        "utf16.toml": (GOOD.encode("utf-16"), "UTF-16"),
        "latin.toml": (good + 'name = "é"'.encode("latin-1"), "line 2: not UTF-8"),
        "big.toml": (b"#" * 2_000_001, "2,000,000 bytes"),
    }
    for name, (data, says) in cases.items():
        Path(name).write_bytes(data)
        with pytest.raises(InputError, match=says) as caught:
            read_toml(name, Thing)
        assert str(caught.value).startswith(f"{name}: ")
    Path("folder.toml").mkdir()
    with pytest.raises(InputError, match=r"folder\.toml: found a directory; allowed: a file"):
        read_toml("folder.toml", Thing)
    Path("thing.toml").write_bytes(good)
    with pytest.raises(InputError, match=r'thingg\.toml: no such file; did you mean "thing\.toml"\?'):
        read_toml("thingg.toml", Thing)
    with pytest.raises(InputError, match="the folder nowhere does not exist"):
        read_toml("nowhere/thing.toml", Thing)
    with pytest.raises(InputError):
        read_toml("a\0b.toml", Thing)
    assert read_toml(tmp_path / "thing.toml", Thing).length == pytest.approx(0.254, rel=1e-15)


def test_decode_accepts_plain_utf8() -> None:
    assert decode("é".encode(), "x") == "é"


def test_naming_puts_the_file_first_once() -> None:
    for message in ("mass: found too much", "a.toml: mass: found too much"):
        with pytest.raises(InputError, match=r"^a\.toml: mass: found too much$"), naming("a.toml"):
            raise InputError(message)
