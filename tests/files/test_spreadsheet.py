"""Tables as spreadsheets save them: put right where there is no doubt, refused by row and column where there is."""

import codecs
import math

import numpy as np
import pytest

from swingbeam.files.spreadsheet import parse_sheet, read_sheet, sheet_text, write_sheet
from swingbeam.units import InputError

PLAIN = "shaft,frequency (cpm),deflection [mm]\nWick,258,62.5\nMarl,249.5,n/a\n"


def test_a_plain_table() -> None:
    table = parse_sheet(PLAIN)
    assert table.names == ("shaft", "frequency", "deflection")
    assert table.units == ("", "cpm", "mm")
    assert table.text("shaft") == ("Wick", "Marl")
    # 60 cpm = 1 Hz by definition; rtol 1e-15: round-off.
    np.testing.assert_allclose(table.quantities("frequency", "frequency"), np.array([258.0, 249.5]) / 60.0, rtol=1e-15)
    millimetres = table.quantities("deflection", "length")
    assert millimetres[0] == pytest.approx(0.0625, rel=1e-15)
    assert math.isnan(millimetres[1])


@pytest.mark.parametrize(
    ("text", "decimal"),
    [
        ("\ufeff" + PLAIN, "."),
        (PLAIN.replace(",", ";"), "."),
        (PLAIN.replace(",", "\t"), "."),
        ("sep=;\n" + PLAIN.replace(",", ";"), "."),
        (PLAIN.replace(",", ";").replace("62.5", "62,5").replace("249.5", "249,5"), ","),
        (PLAIN.replace("\n", "\r\n"), "."),
        (PLAIN + "\n,,\n , ,\n", "."),
        ("\n" + PLAIN, "."),
        ("shaft,frequency (cpm),deflection [mm],,\nWick,258,62.5,,\nMarl,249.5,N/A,,\n", "."),
        ("shaft,frequency,deflection\n,cpm,mm\nWick,258,62.5\nMarl,249.5,\n", "."),
        ("shaft,frequency,deflection\n,(cpm),(mm)\nWick,258,62.5\nMarl,249.5,-\n", "."),
        ('shaft,"frequency (cpm)",deflection [mm]\n"Wick"," 258 ",62.5\u00a0\nMarl,249.5,#N/A\n', "."),
    ],
)
def test_what_spreadsheets_do_is_put_right(text: str, decimal: str) -> None:
    plain, table = parse_sheet(PLAIN), parse_sheet(text, decimal=decimal)  # type: ignore[arg-type]
    assert table.names == plain.names
    assert table.text("shaft") == plain.text("shaft")
    for column, kind in (("frequency", "frequency"), ("deflection", "length")):
        np.testing.assert_array_equal(table.quantities(column, kind), plain.quantities(column, kind))


def test_a_file_with_a_byte_order_mark(tmp_path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(codecs.BOM_UTF8 + PLAIN.encode())
    assert read_sheet(path).names == parse_sheet(PLAIN).names
    path.write_bytes(PLAIN.encode("utf-16"))
    with pytest.raises(InputError, match="UTF-16"):
        read_sheet(path)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (PLAIN.replace("249.5", "soft"), ["row 3", '"frequency"', "soft"]),
        (PLAIN.replace(",", ";").replace("62.5", "62,5"), ["row 2", '"deflection"', "decimal comma"]),
        (PLAIN.replace("258", "258 cpm"), ["row 2", '"frequency"']),
        (PLAIN.replace("258", '"1,258"'), ["row 2", '"frequency"']),
        (PLAIN.replace("258", "0x10"), ["row 2", '"frequency"']),
        (PLAIN.replace("258", "inf"), ["row 2", '"frequency"']),
        (PLAIN.replace("258", "1e300"), ["row 2", '"frequency"', "proportion"]),
        (PLAIN.replace("cpm", "rpm"), ['"frequency"', "rpm"]),
        (PLAIN.replace(" (cpm)", ""), ['"frequency"', "no unit"]),
    ],
)
def test_a_cell_that_is_wrong_is_named(text: str, words: list[str]) -> None:
    def read() -> None:
        table = parse_sheet(text, source="a.csv")
        table.quantities("frequency", "frequency")
        table.quantities("deflection", "length")

    with pytest.raises(InputError) as error:
        read()
    for word in ["a.csv", *words]:
        assert word in str(error.value)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no rows"),
        ("\n\n", "no rows"),
        (PLAIN + "Sedge,250\n", "row 4"),
        (PLAIN + "Sedge,250,60,1\n", "row 4"),
        (PLAIN.replace("Marl", "\nMarl"), "row 3 is blank"),
        ("shaft,,deflection (mm)\nWick,1,2\n", "column 2"),
        ("a\0b", "NUL"),
        ('shaft,"deflection\nWick,1', "not readable"),
    ],
)
def test_what_is_no_table_is_refused(text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        parse_sheet(text)


def test_commas_cannot_be_both() -> None:
    with pytest.raises(InputError, match="semicolons"):
        parse_sheet(PLAIN, decimal=",")
    # Declared decimal commas: a point is then refused too.
    with pytest.raises(InputError, match="decimal comma, as declared"):
        parse_sheet(PLAIN.replace(",", ";"), decimal=",").quantities("deflection", "length")


def test_an_unknown_column_gets_the_nearest_name() -> None:
    with pytest.raises(InputError, match='did you mean "frequency"'):
        parse_sheet(PLAIN).text("frequenzy")


def test_what_is_written_reads_back(tmp_path) -> None:
    path = write_sheet(tmp_path / "out.csv", ["shaft", "weight (g)"], [["A, with a comma", 65.25], ["B", None]])
    table = read_sheet(path)
    assert table.text("shaft") == ("A, with a comma", "B")
    weights = table.quantities("weight", "mass")
    assert weights[0] == pytest.approx(0.06525, rel=1e-15)
    assert math.isnan(weights[1])
    with pytest.raises(InputError, match="exists already"):
        write_sheet(path, ["x"], [])
    assert sheet_text(["a"], [[float("nan")]]) == 'a\n""\n'
