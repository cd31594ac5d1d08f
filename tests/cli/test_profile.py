"""`swingbeam profile` and `convert`: a readings file to a shaft file, and to another bench."""

import json
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from swingbeam.bench.frequency import read_frequency
from swingbeam.cli import app
from swingbeam.files.club_file import ClubParts
from swingbeam.files.lookup import library_root
from swingbeam.shaft.load import load_shaft

FEW = """
note = "Invented."
[shaft]
name = "Few"
kind = "driver"
raw_length = "46 in"
butt_diameter = "15.2 mm"
tip_diameter = "8.5 mm"
parallel_tip = "3 in"

[[reading]]
test = "frequency"
value = "258 cpm"

[[reading]]
test = "balance"
value = "65 g"
"""


@pytest.fixture
def few(tmp_path: Path) -> Path:
    path = tmp_path / "few.toml"
    path.write_text(FEW, encoding="utf-8")
    return path


def run(*arguments: str | Path) -> tuple[int, str, str]:
    result = CliRunner().invoke(app, [str(a) for a in arguments])
    return result.exit_code, result.stdout, result.stderr


def test_the_starter_readings_become_a_shaft_that_can_be_built(tmp_path: Path) -> None:
    shaft_path, picture = tmp_path / "bench-sheet.toml", tmp_path / "bench-sheet.svg"
    code, out, err = run("profile", "bench_sheet", "--output", shaft_path, "--picture", picture)
    assert code == 0, err
    assert f"saved: {shaft_path}" in err
    assert picture.stat().st_size > 10_000
    for words in (
        "Readings",
        "Profile, with the ends of the 95 % band",
        "discrepancy principle",
        "GJ 0.0 in to 2.0 in",
    ):
        assert words in out
    found = load_shaft(shaft_path)
    # The starter readings are those of this shaft, with errors: 0.5 cpm over four frequencies and a scan leave some
    # 0.3 cpm under the usual clamp; 1.2 cpm is four of those.
    true = load_shaft(library_root() / "shafts" / "marl-60-r.toml")
    assert 60 * read_frequency(found).frequency == pytest.approx(60 * read_frequency(true).frequency, abs=1.2)
    text = shaft_path.read_text(encoding="utf-8")
    assert text.startswith("# Found by swingbeam")
    assert "#   frequency: butt clamped 5 in, 205 g at the tip end: 262.5 cpm ± 0.50 cpm; " in text
    assert "Invented" in found.note
    assert "ei_low" in text
    # What a ranking does with it first.
    from swingbeam.club.build import load_club

    parts = ClubParts.model_validate({"shaft": str(shaft_path), "head": "driver", "finished_length": "45.5 in"})
    club = load_club(parts, beside=shaft_path)
    assert club.shaft.name == "Bench sheet"
    # It is never overwritten.
    code, out, err = run("profile", "bench_sheet", "--output", shaft_path)
    assert (code, out) == (2, "")
    assert "exists already and is not overwritten" in err
    assert shaft_path.read_text(encoding="utf-8") == text


def test_json_is_all_there_is_on_stdout(few: Path) -> None:
    code, out, err = run("profile", few, "--json")
    assert code == 0, err
    table = json.loads(out)
    assert [r["quantity"] for r in table["readings"]] == ["frequency_cpm", "mass_g"]
    assert table["readings"][0]["value"] == pytest.approx(258.0, rel=1e-12)
    # Two readings of two levels fit to within a small part of their errors.
    for r in table["readings"]:
        assert abs(r["fitted"] - r["value"]) < 0.5 * r["error"]
    # The profile weighs what the reading found says; rtol 1e-9: the same sum.
    s = np.array([p["from_butt_m"] for p in table["stations"]])
    m = np.array([p["mass_kg_per_m"]["value"] for p in table["stations"]])
    assert 1e3 * np.trapezoid(m, s) == pytest.approx(table["mass_g"], rel=1e-9)
    assert all(p["ei_nm2"]["low"] < p["ei_nm2"]["value"] < p["ei_nm2"]["high"] for p in table["stations"])
    (butt,) = (r for r in table["not_determined"]["ranges"] if r["property"] == "EI" and not r["looked_at"])
    assert butt["from_butt_m"] == pytest.approx([0.0, 0.127], abs=0.002)
    assert any("GJ: no reading determines it" in line for line in table["not_determined"]["remarks"])


def test_convert_says_how_wide(few: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.toml"
    other.write_text(
        'name = "Other"\n[frequency]\nclamp = "6 in"\n[torque]\nmoment = "1 N*m"\n[spine]\nclamp = "6 in"\n',
        encoding="utf-8",
    )
    code, out, err = run("convert", few, "--to", other, "--json")
    assert code == 0, err
    table = json.loads(out)
    frequency, torque = table["readings"]
    assert frequency["quantity"] == "frequency_cpm"
    # One inch less of shaft, or 40/41: (41/40)^1.5 = 1.038 for a mass at the tip alone and EI the same all along, less
    # as the butt is the stiffest part: some 4 % (266 to 270 cpm), known to within a few cpm.
    assert 264.0 < frequency["value"] < 272.0
    assert frequency["band_half_width"] < 0.05 * frequency["band_half_width_without_readings"]
    # Torque was never read: the band is half of its value or more.
    assert torque["band_half_width"] > 0.5 * torque["value"]
    assert table["left_out"] == ["spine: left out: a shaft is looked for that bends the same in every plane"]
    code, out, err = run("convert", few, "--to", other, "--like", "wick-65-s")
    assert code == 0, err
    assert "scaled from EI by" in out


def test_what_is_wrong_is_one_or_two_lines(few: Path, tmp_path: Path) -> None:
    few.write_text(FEW.replace("258 cpm", "258"), encoding="utf-8")
    output = tmp_path / "new.toml"
    code, out, err = run("profile", few, "--output", output)
    assert (code, out) == (2, "")
    assert err.startswith("swingbeam: ")
    assert 'few.toml: reading #1.value: found "258", a number without a unit' in err
    assert not output.exists()
    code, _, err = run("profile", few, "--picture", tmp_path / "new.jpg")
    assert code == 2
    code, _, err = run("convert", few, "--to", "no_such_bench")
    assert (code, len(err.strip().splitlines())) == (2, 1)
