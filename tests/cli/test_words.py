"""How the program speaks: alone, in its help, quietly, without colours, on a terminal that knows ASCII only."""

from __future__ import annotations

import json
import re
import shlex

import pytest
from typer.main import get_command
from typer.testing import CliRunner

from cli.test_cli import PATCHED, python
from study.made_up import NAMES, ranking
from swingbeam.cli import app
from swingbeam.cli.terminal import hoisted
from swingbeam.report.plain import ASCII, in_ascii
from swingbeam.report.table import console_for, print_ranking

runner = CliRunner()


def commands(group=None, path=()):
    """(words, command) of every command, those of groups too."""
    group = get_command(app) if group is None else group
    for name, command in group.commands.items():
        if hasattr(command, "commands"):
            yield from commands(command, (*path, name))
        else:
            yield (*path, name), command


EVERY = list(commands())


def test_alone_it_shows_the_job_and_what_to_type_next(tmp_path):
    answer = python("import sys; sys.argv = ['swingbeam']; from swingbeam.cli import main; main()", tmp_path)
    assert answer.returncode == 0
    assert answer.stderr == ""
    job = [line for line in answer.stdout.splitlines() if line.startswith("  ")]
    assert len(job) == 5
    assert max(map(len, answer.stdout.splitlines())) <= 80
    named = {word for line in job for word in line[2:18].replace(",", " ").split()}
    known = {words[0] for words, _ in EVERY} | {"page"}
    assert named <= known
    assert "swingbeam rank first_fitting" in answer.stdout


@pytest.mark.parametrize(("words", "command"), EVERY, ids=[" ".join(words) for words, _ in EVERY])
def test_every_command_has_an_example_in_its_help_that_it_takes(words, command):
    text = " ".join(runner.invoke(app, [*words, "--help"]).stdout.split())
    found = re.search(r"For example: (swingbeam .+?)(?: Arguments:| Options:| Usage:|$)", text)
    assert found, text
    example = shlex.split(found.group(1))
    assert example[: len(words) + 1] == ["swingbeam", *words]
    # Parsed as the command line would be: an option or argument that is not there raises.
    command.make_context("swingbeam", example[len(words) + 1 :])


@pytest.mark.parametrize(("words", "command"), EVERY, ids=[" ".join(words) for words, _ in EVERY])
def test_the_list_of_commands_cuts_no_sentence_off(words, command):
    assert not command.get_short_help_str(66).endswith("...")


def test_options_of_the_program_may_stand_anywhere():
    assert hoisted(["rank", "a", "--quiet", "--json"]) == ["--quiet", "rank", "a", "--json"]
    assert hoisted(["--no-color", "rank", "a", "--quiet"]) == ["--no-color", "--quiet", "rank", "a"]
    assert hoisted(["check", "--", "--quiet"]) == ["check", "--", "--quiet"]


@pytest.mark.parametrize("line", [["--quiet", "rank", "made_up"], ["rank", "made_up", "--quiet"]])
def test_quietly_it_writes_and_says_nothing(tmp_path, line):
    answer = python(f"{PATCHED}\nsys.argv = ['swingbeam', *{line!r}]\ncli.main()", tmp_path)
    assert (answer.returncode, answer.stdout, answer.stderr) == (0, "", "")
    assert (tmp_path / "outputs" / "made_up.h5").exists()


def test_quietly_json_and_errors_are_still_told(tmp_path):
    answer = python(f"{PATCHED}\nsys.argv = ['swingbeam', 'rank', 'a', '--json', '--quiet']\ncli.main()", tmp_path)
    assert {run["shaft"] for run in json.loads(answer.stdout)["runs"]} >= set(NAMES)
    assert answer.stderr == ""
    answer = python(
        "import sys; sys.argv = ['s', 'rank', 'none_such', '--quiet']\nfrom swingbeam.cli import main\nmain()", tmp_path
    )
    assert answer.returncode == 2
    assert "none_such" in answer.stderr


class Terminal:
    """A stream that says it is a terminal."""

    def __init__(self, encoding="utf-8"):
        self.text, self.encoding = "", encoding

    def write(self, text):
        text.encode(self.encoding)  # raises where it cannot be shown
        self.text += text

    def flush(self):
        pass

    def isatty(self):
        return True


def test_colours_can_be_left_out(monkeypatch):
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.delenv("NO_COLOR", raising=False)
    coloured, plain = Terminal(), Terminal()
    print_ranking(ranking(), console_for(coloured))
    print_ranking(ranking(), console_for(plain, color=False))
    assert "\x1b[" in coloured.text
    assert "\x1b[" not in plain.text


def test_a_terminal_without_unicode_gets_ascii_in_columns_that_still_line_up():
    stream = Terminal("ascii")
    print_ranking(ranking(), console_for(stream, color=False))
    lines = stream.text.splitlines()
    assert any("+/-" in line for line in lines)
    rows = [line for line in lines if line.split()[1:2] and line.split()[1] in NAMES]
    # Right-aligned figures of one table end in the same columns whatever the sign.
    ends = [{m.end() for m in re.finditer(r"\S+", line)} for line in rows[: len(NAMES)]]
    assert len(set.intersection(*ends)) >= 3


def test_the_real_program_writes_ascii_where_nothing_else_can_be_shown(tmp_path):
    code = f"{PATCHED}\nsys.argv = ['swingbeam', 'rank', 'made_up']\ncli.main()"
    answer = python(code, tmp_path, PYTHONIOENCODING="ascii")
    assert answer.returncode == 0, answer.stderr
    assert answer.stdout.isascii()
    assert "half-unload" in answer.stdout


def test_every_replacement_is_ascii():
    assert all(text.isascii() for text in ASCII.values())
    assert in_ascii("−0.5° ± 2, naïve 漢") == "-0.5 deg +/- 2, naive ?"
