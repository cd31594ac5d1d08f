"""How far a run is, in words."""

from __future__ import annotations

import io

import pytest
from rich.console import Console

from swingbeam.study.sweep.progress import Bar, Lines, duration, rate_words, watch_for


def test_a_line_every_five_percent():
    lines, now = [], [0.0]
    watch = Lines(lines.append, lambda: now[0])
    watch.begin("cases", 1000, 100)
    for _ in range(90):
        now[0] += 0.5
        watch.advance(10)
    assert lines[0] == "cases: 100 of 1,000 are there already"
    # 10 cases in half a second: 20 a second, of those of this run; 850 are left after the first line.
    assert lines[1] == " 15 %  150 of 1,000 cases, 20/s, 42 s left"
    assert [line[:5] for line in lines[1:]] == [f"{percent:3d} %" for percent in range(15, 101, 5)]
    assert lines[-1] == "100 %  1,000 of 1,000 cases, 20/s, 0 s left"


def test_large_units_skip_lines():
    lines = []
    watch = Lines(lines.append)
    watch.begin("cases", 10, 0)
    for _ in range(2):
        watch.advance(5)
    assert [line[:5] for line in lines] == [" 50 %", "100 %"]


def test_a_terminal_has_a_bar_and_anything_else_lines():
    class Terminal(io.StringIO):
        def isatty(self):
            return True

    assert isinstance(watch_for(Terminal(), print), Bar)
    assert isinstance(watch_for(io.StringIO(), print), Lines)


def test_the_bar_shows_rate_and_time_left():
    stream = io.StringIO()
    watch = Bar(Console(file=stream, force_terminal=True, width=100))
    watch.begin("cases", 100, 0)
    watch.advance(40)
    watch.note("something to know")
    watch.advance(60)
    watch.end()
    shown = stream.getvalue()
    assert "100/100" in shown
    assert "/s" in shown
    assert "0:00:00" in shown
    assert "something to know" in shown


@pytest.mark.parametrize(
    ("seconds", "words"), [(0.4, "0 s"), (59.4, "59 s"), (61, "1 min 1 s"), (3600, "1 h 0 min"), (9000, "2 h 30 min")]
)
def test_times_in_words(seconds, words):
    assert duration(seconds) == words


@pytest.mark.parametrize(("rate", "words"), [(8123.4, "8,123/s"), (12.6, "13/s"), (1.234, "1.2/s"), (0.05, "3/min")])
def test_rates_in_words(rate, words):
    assert rate_words(rate) == words
