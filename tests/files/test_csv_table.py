"""Tables of numbers from CSV, and what spreadsheets do to them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from swingbeam.files.csv_table import parse_csv_table, read_csv_table
from swingbeam.units import InputError


def test_names_units_and_numbers() -> None:
    table = parse_csv_table('time (s), x [mm], "q w"\n# a comment\n0.5, 1e2, -.5\n\n1., nan,\n')
    assert table.names == ("time", "x", "q w")
    assert table.units == ("s", "mm", None)
    assert_allclose(table.column("time", "time"), [0.5, 1.0])
    assert_allclose(table.column("x", "length"), [0.1, np.nan])
    assert_allclose(table.plain_column("q w"), [-0.5, np.nan])
    assert list(table.lines) == [3, 5]


def test_a_byte_order_mark_and_other_line_ends_are_read(tmp_path: Path) -> None:
    path = tmp_path / "data.csv"
    path.write_bytes(b"\xef\xbb\xbftime (ms),x (m)\r\n1,2\r\n")
    assert_allclose(read_csv_table(path).column("time", "time"), [1e-3])


def test_a_unit_may_be_declared_where_the_header_has_none() -> None:
    table = parse_csv_table("time,x (mm)\n1,2\n")
    assert_allclose(table.column("time", "time", "ms"), [1e-3])
    with pytest.raises(InputError, match="the header says mm, and m is declared"):
        table.column("x", "length", "m")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "found no line"),
        ("time (s),x (m)\n", "header without rows"),
        ("1,2\n3,4\n", "found no header"),
        ("time (s);x (m)\n1;2\n", "separated by semicolons"),
        ("time (s)\tx (m)\n1\t2\n", "separated by tabs"),
        ("time (s),x (m)\n0,5,1,5\n", "decimal commas are not read"),
        ('time (s),x (m)\n"0,5",1\n', "a decimal comma is not read: write a point"),
        (
            "time (s),x (m)\n1;2\n",
            "line 2: found 1 cells; allowed: 2, as the header; cells must be separated by commas",
        ),
        ("time (s),x (m)\n1,2\n1,2,3\n", "line 3: found 3 cells"),
        ("time (s),x (m)\n1,two\n", 'line 2, column "x": found "two"'),
        ("time (s),x (m)\n1,inf\n", 'found "inf"'),
        ("time (s),x (m)\n1,1e999\n", "1e999"),
        ("x (m),x (m)\n1,2\n", 'two columns called "x"'),
        ("time (s),\n1,2\n", "column 2 has no name"),
        ('time (s),x (m)\n1,"2\n', "not readable as CSV"),
    ],
)
def test_faults_are_named_by_line_and_column(text: str, words: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_csv_table(text, "data.csv")
    assert words in str(caught.value)
    assert str(caught.value).startswith("data.csv: ")


def test_columns_that_are_not_there_or_have_other_units() -> None:
    table = parse_csv_table("time (s),x (kg),q (m)\n1,2,3\n")
    with pytest.raises(InputError, match=r'no column "tiem".*did you mean "time"'):
        table.column("tiem", "time")
    with pytest.raises(InputError, match=r'unit "kg"; allowed: mm, cm, m'):
        table.column("x", "length")
    with pytest.raises(InputError, match="allowed: no unit"):
        table.plain_column("q")


@pytest.mark.parametrize("content", [b"\xff\xfet\x00", b"time,x\n1,\xe9\n", b"a,b\0\n"])
def test_bytes_that_are_no_utf8_text(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "data.csv"
    path.write_bytes(content)
    with pytest.raises(InputError, match="CSV UTF-8"):
        read_csv_table(path)


def test_files_that_are_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_csv_table(tmp_path / "none.csv")
    with pytest.raises(InputError, match="a directory"):
        read_csv_table(tmp_path)
