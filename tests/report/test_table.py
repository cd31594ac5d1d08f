"""Tables keep every number, whatever the width; plain text where there is no terminal."""

from __future__ import annotations

import dataclasses
import io
import re

import pytest
from rich.console import Console

from study.made_up import NAMES, ranking
from swingbeam.delivery.ranking import Agreement
from swingbeam.report.caution import CAUTION
from swingbeam.report.table import cause_columns, console_for, print_ranking


def printed(width, **more):
    stream = io.StringIO()
    print_ranking(ranking(), Console(file=stream, width=width, highlight=False, markup=False, **more))
    return stream.getvalue()


def numbers(text):
    """How often each shown number occurs inside the tables of the page."""
    body = text.split("What the bench says")[0]
    found = {}
    for number in re.findall(r"(?<![\w.-])[−+]?\d+\.\d+", body):
        found[number] = found.get(number, 0) + 1
    return found


@pytest.mark.parametrize("width", [20, 40, 60, 80, 120])
def test_a_narrow_terminal_loses_no_number(width):
    assert numbers(printed(width)) == numbers(printed(200))


@pytest.mark.parametrize("width", [60, 80, 120])
def test_tables_fit_the_terminal(width):
    assert max(len(line.rstrip()) for line in printed(width).splitlines()) <= width


def test_names_are_repeated_in_every_part_and_nothing_is_shortened():
    text = printed(80)
    assert "…" not in text
    parts = text.count("half-unload") and text.count("continued")
    assert parts >= 3
    assert text.count(NAMES[0]) >= 4 + parts


def test_says_what_a_reader_must_know():
    text = printed(200)
    assert " ".join(CAUTION.split()) in " ".join(text.split())
    assert "made_up" in text
    assert "reed-35-l: failed: no convergence at 0.9 s" in text
    assert "heavier unloads later" in text
    assert "Timing order under hold" in text
    assert "half-way from its deepest" in text


def test_a_pipe_gets_plain_text():
    stream = io.StringIO()
    print_ranking(ranking(), console_for(stream))
    assert "\x1b" not in stream.getvalue()


def test_no_colour_is_respected(monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    text = printed(100, force_terminal=True)
    assert not re.search(r"\x1b\[[0-9;]*3[0-9]", text)


def test_causes_have_a_column_each():
    columns = cause_columns(ranking().runs)
    assert len(columns) == 12
    assert columns[0].cells[-1] == "–"


def test_a_reference_club_outside_the_scenario_has_a_row_of_its_own():
    result = ranking()
    object.__setattr__(result, "reference", "old-faithful")
    object.__setattr__(
        result, "reference_run", dataclasses.replace(result.reference_run, shaft="old-faithful", rank=None)
    )
    stream = io.StringIO()
    print_ranking(result, Console(file=stream, width=200, highlight=False, markup=False))
    rows = [line for line in stream.getvalue().splitlines() if "old-faithful *" in line]
    # Unload, delivery, and launch and flight; in the tables of changes it would be all zeros.
    assert len(rows) == 3
    assert all(row.split()[0] == "–" for row in rows)


def test_no_agreement_at_all_is_said_once():
    result = ranking()
    none = Agreement("weight", "timing", None, "fewer than three clubs to compare")
    object.__setattr__(result, "agreements", (none, none, none))
    stream = io.StringIO()
    print_ranking(result, Console(file=stream, width=200, highlight=False, markup=False))
    assert stream.getvalue().count("fewer than three clubs") == 1
