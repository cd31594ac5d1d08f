"""Slips in readings files: a line or two that name the file, the key, what was found and what is allowed."""

from pathlib import Path

import pytest

from swingbeam.bench.readings import load_readings
from swingbeam.files.lookup import library_root
from swingbeam.study.profile import convert_readings, profile_readings
from swingbeam.units import InputError

FOLDER = library_root() / "scenarios" / "readings"
TEXT = (FOLDER / "bench_sheet.toml").read_text(encoding="utf-8")
SCAN = (FOLDER / "bench_sheet_scan.csv").read_text(encoding="utf-8")

# (what is replaced, by what, what the message says)
SLIPS = [
    ('test = "torque"', 'test = "torqe"', 'reading #3.test: found "torqe"; allowed: "frequency"'),
    ('test = "torque"', 'test = "torqe"', 'did you mean "torque"?'),
    ('test = "torque"', "test = 3", "reading #3.test: found 3; allowed: "),
    ('test = "torque"\n', "", "reading #3.test: missing key; needed: the name of a test"),
    ("butt_clamp", "but_clamp", 'reading #3.but_clamp: unknown key; allowed: test, quantity, value, error, csv, butt'),
    ("butt_clamp", "but_clamp", 'did you mean "butt_clamp"?'),
    ('"3.95 deg"', '"3.95"', 'reading #3.value: found "3.95", a number without a unit'),
    ('"3.95 deg"', "3.95", "reading #3.value: found 3.95, a bare number; a unit is needed"),
    ('"3.95 deg"', '"3.95 cpm"', 'reading #3.value: found "3.95 cpm", a frequency; allowed: '),
    ('value = "3.95 deg"\n', "", "reading #3.value: missing key; needed: what was read"),
    ('"0.05 deg"', '"0 deg"', 'reading #3.error: found "0 deg"; allowed: a standard deviation above 0'),
    ('"0.05 deg"', '"0.05"', 'reading #3.error: found "0.05", a number without a unit'),
    ('"0.05 deg"', '"1 %%"', 'reading #3.error: found "1 %%"'),
    ('moment = "1 ft*lbf"', 'moment = "1 in"', 'moment: found "1 in", a length; allowed: a torque'),
    ('quantity = "mass"', 'quantity = "weigth"', 'reading #4.quantity: found "weigth"; allowed: "mass"'),
    ('quantity = "mass"', "quantity = 4", "reading #4.quantity: found 4; allowed: text"),
    ('clamp = ["5 in", "8 in", "11 in", "14 in"]', 'clamp = ["5 in", "8 in"]',
     "reading #1.clamp: found 2 beside 4 values; allowed: one for each value"),
    ('clamp = ["5 in", "8 in", "11 in", "14 in"]', 'clamp = "5 in"', "reading #1.value: found a list; allowed: one"),
    ('clamp = ["5 in", "8 in"', 'clamp = ["5", "8 in"', "reading #1, value 1: clamp: found"),
    ('clamp = ["5 in", "8 in"', 'clamp = ["5 in", "50 in"', "is not possible with 46.00 in of shaft"),
    ('value = ["262.5 cpm", "290.1 cpm", "323.6 cpm", "363.2 cpm"]', "value = []", "found an empty list"),
    ('value = ["262.5 cpm", "290.1 cpm", "323.6 cpm", "363.2 cpm"]', 'value = "262.5 cpm"',
     "reading #1.clamp: found a list with one value"),
    ('span = "12 in"', 'span = "14 in"', "found a station whose supports do not lie on the shaft"),
    ('csv = "bench_sheet_scan.csv"', 'csv = "scann.csv"', "scann.csv: no such file"),
    ('csv = "bench_sheet_scan.csv"', 'csv = "bench_sheet_scan.csv"\nvalue = "1 mm"', "found both value and csv"),
    ('csv = "bench_sheet_scan.csv"', 'stations = ["10 in", "20 in"]\nvalue = ["1 mm"]',
     "allowed: a list of 2, one for each station"),
    ('test = "balance"\nquantity = "mass"', 'test = "spine"', "bends the same in every plane"),
    ('raw_length = "46 in"', 'raw_length = "460 in"', 'shaft.raw_length: found "460 in"'),
    ('raw_length = "46 in"\n', "", "shaft.raw_length: missing key; needed: the uncut length"),
    ('parallel_tip = "3 in"', 'parallel_tip = "47 in"', "parallel_tip: found the whole shaft or more"),
    ('tip_diameter = "8.5 mm"', 'tip_diameter = "18.5 mm"', "tip_diameter: found 18.5 mm; allowed: at most the butt"),
    ('parallel_tip = "3 in"', 'parallel_tip = "3 in"\nsteps = ["47 in"]', "shaft: steps #1: found 47 in; allowed:"),
    ('parallel_tip = "3 in"', 'parallel_tip = "3 in"\nsteps = ["4 in", "4 in"]', "steps: found one twice"),
    ('parallel_tip = "3 in"', 'parallel_tip = "3 in"\nbetween_steps = "constant"', "between_steps: found"),
    ('parallel_tip = "3 in"', 'parallel_tip = "3 in"\npoisson = "0.3"', "shaft.poisson: found"),
    ('material = "graphite"', 'flex = "graphite"', "shaft.flex: unknown key"),
    ('note = "Inv', 'bench = "no_such"\nnote = "Inv', 'found "no_such", no bench of that name'),
]  # fmt: skip

CSV_SLIPS = [
    ("stations (in)", "stations", 'column "stations" has no unit; write it in the header'),
    ("stations (in)", "station (in)", 'did you mean "stations"?'),
    ("deflection (mm)", "deflection (cpm)", 'reading #6, value 1.value: found "1.055 cpm", a frequency'),
    ("deflection (mm)", "sag (mm)", 'reading #6, value 1.quantity: found "sag"; allowed: "from_tip", "deflection"'),
    ("10,1.057", "10;1.057", "line 4: found 1 cells; allowed: 2"),
    ("10,1.057", "ten,1.057", 'line 4, column "stations": found "ten"; allowed: a number'),
    ("10,1.057", '10,"1,057"', "a decimal comma is not read"),
    ("10,1.057", ",1.057", 'line 4, column "stations": found nothing; allowed: a number'),
    ("40,0.659", "45,0.659", "found a station whose supports do not lie on the shaft"),
    (SCAN, "stations (in),deflection (mm)\n", "found a header without rows"),
    (SCAN, "", "found no line"),
]


def refusal(folder: Path, text: str, scan: str = SCAN) -> str:
    (folder / "bench_sheet_scan.csv").write_text(scan, encoding="utf-8")
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_readings(path)
    message = str(caught.value)
    assert 1 <= len(message.splitlines()) <= 2
    assert str(folder) in message
    return message


@pytest.mark.parametrize(("old", "new", "says"), SLIPS)
def test_each_slip_in_a_readings_file_is_told(old: str, new: str, says: str, tmp_path: Path) -> None:
    assert old in TEXT
    assert says in refusal(tmp_path, TEXT.replace(old, new, 1))


@pytest.mark.parametrize(("old", "new", "says"), CSV_SLIPS)
def test_each_slip_in_its_csv_is_told(old: str, new: str, says: str, tmp_path: Path) -> None:
    assert old in SCAN
    assert says in refusal(tmp_path, TEXT, SCAN.replace(old, new, 1))


def test_a_file_without_readings_is_refused(tmp_path: Path) -> None:
    head = TEXT[: TEXT.index("[[reading]]")]
    assert "reading: missing key; needed: tables [[reading]]" in refusal(tmp_path, head)
    assert "reading: found none" in refusal(tmp_path, "reading = []\n" + head)


def test_a_reading_too_many_is_named(tmp_path: Path) -> None:
    # 25 cpm off: a slip of the pen in one of four frequencies, which the other readings hold against it.
    (tmp_path / "bench_sheet_scan.csv").write_text(SCAN, encoding="utf-8")
    path = tmp_path / "mine.toml"
    path.write_text(TEXT.replace('"290.1 cpm"', '"315.1 cpm"'), encoding="utf-8")
    says = r"mine\.toml: reading #1, value 2: contradicts the others: found 315\.1 cpm where 290"
    with pytest.raises(InputError, match=says):
        profile_readings(path)


def test_names_that_are_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match='did you mean "bench_sheet"'):
        profile_readings("bench_shet")
    with pytest.raises(InputError, match="no shaft of that name"):
        profile_readings("bench_sheet", like="no-such-shaft")
    bench = tmp_path / "other.toml"
    bench.write_text('name = "Other"\n', encoding="utf-8")
    with pytest.raises(InputError, match=r"other\.toml: found no test to foretell"):
        convert_readings("bench_sheet", bench)
    bench.write_text('name = "Other"\n[frequency]\nclamp = "46 in"\n', encoding="utf-8")
    with pytest.raises(InputError, match=r"is not possible with 46\.00 in of shaft"):
        convert_readings("bench_sheet", bench)
