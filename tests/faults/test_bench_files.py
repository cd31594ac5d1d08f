"""Bench files and spreadsheets of readings with slips in them: an InputError of a line or two, or sound readings."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from swingbeam.bench.benches import load_bench
from swingbeam.bench.registry import TESTS
from swingbeam.files.lookup import library_root
from swingbeam.files.spreadsheet import parse_sheet
from swingbeam.shaft.load import load_shaft
from swingbeam.units import InputError

ROOT = library_root()
BENCH = (ROOT / "scenarios" / "benches" / "long_clamp.toml").read_text(encoding="utf-8")
SHAFT = load_shaft(ROOT / "shafts" / "wick-65-s.toml")
QUICK = [name for name in TESTS if name not in ("spine", "frequency_curve")]
SHEET = "shaft;frequency (cpm);deflection (mm)\nwick-65-s;256,1;62,2\nmarl-60-r;n/a;59,5\n;;\n"
NUMBERS = ["0", "-1", "1e9", "1e-9", "nan", "1e400", "2.5", "7,5", "", "46"]


def check_survives(read: Callable[[], None]) -> None:
    """An InputError of one or two printable lines, or none."""
    message = ""
    try:
        read()
    except InputError as error:
        message = str(error)
    assert len(message.splitlines()) <= 2
    assert all(line.isprintable() for line in message.splitlines())


def read_everything(text: str, folder: Path) -> None:
    path = folder / "bench.toml"
    path.write_text(text, encoding="utf-8")
    bench = load_bench(path)
    for name in QUICK:
        for reading in TESTS[name].readings:
            shown = reading.of(TESTS[name].read(SHAFT, bench.setups[name]))
            for value in shown if isinstance(shown, list) else [shown]:
                assert value is None or math.isfinite(value)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(which=st.integers(0, 200), number=st.sampled_from(NUMBERS))
def test_a_changed_number_of_a_bench_is_read_or_refused(tmp_path: Path, which: int, number: str) -> None:
    places = [m.span() for m in re.finditer(r"(?<=\")[0-9.]+(?= )", BENCH)]
    start, end = places[which % len(places)]
    check_survives(lambda: read_everything(BENCH[:start] + number + BENCH[end:], tmp_path))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(at=st.integers(0, len(BENCH)), cut=st.integers(0, 6), new=st.text(max_size=4))
def test_a_changed_text_of_a_bench_is_read_or_refused(tmp_path: Path, at: int, cut: int, new: str) -> None:
    try:
        text = BENCH[:at] + new + BENCH[at + cut :]
        text.encode("utf-8")
    except UnicodeEncodeError:
        return
    check_survives(lambda: read_everything(text, tmp_path))


@settings(max_examples=200, deadline=None)
@given(at=st.integers(0, len(SHEET)), cut=st.integers(0, 6), new=st.text(max_size=4), comma=st.booleans())
def test_a_changed_spreadsheet_is_read_or_refused(at: int, cut: int, new: str, comma: bool) -> None:
    def read() -> None:
        table = parse_sheet(SHEET[:at] + new + SHEET[at + cut :], decimal="," if comma else ".")
        for column in table.names[1:]:
            table.quantities(column, "frequency" if column.startswith("f") else "length")

    check_survives(read)
