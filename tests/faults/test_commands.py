"""Every slip, through the command: exit code 2, a line or two on stderr that says what to do, nothing written."""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from faults.bad_inputs import ALL, GROUPS, Slip
from swingbeam.cli import app
from swingbeam.files.lookup import library_root

IDS = [f"{number}-{found.line[:40]}" for number, (_, found) in enumerate(ALL)]
LONGEST = 520
"""Characters of a line of a message: longer ones are not read."""


def prepared(found: Slip, folder: Path) -> None:
    """Write the changed copy into the working folder."""
    if found.text is not None:
        (folder / found.called).write_text(found.text, encoding="utf-8")
    if found.copy_of is None:
        return
    text = (library_root() / found.copy_of).read_text(encoding="utf-8")
    for old, new in found.changes:
        assert old in text, f"{found.copy_of} holds no {old!r}"
        text = text.replace(old, new, 1)
    (folder / found.called).write_text(text, encoding="utf-8")


def there(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


@pytest.mark.parametrize(("group", "found"), ALL, ids=IDS)
def test_it_is_told_and_nothing_happens(
    group: str, found: Slip, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    prepared(found, tmp_path)
    before = there(tmp_path)
    answer = CliRunner().invoke(app, shlex.split(found.line))
    assert answer.exit_code == 2, (answer.exit_code, answer.output, answer.exception)
    assert answer.stdout == ""
    usage = "Usage:" in answer.stderr  # typer's own refusal, made one line by the real program
    lines = answer.stderr.strip().splitlines()
    assert usage or 1 <= len(lines) <= 2, answer.stderr
    assert all(len(line) <= LONGEST for line in lines)
    for words in found.says:
        assert words in answer.stderr, answer.stderr
    assert "Traceback" not in answer.output
    assert there(tmp_path) == before
    assert not (tmp_path / "outputs").exists()


@pytest.mark.parametrize(("group", "found"), ALL[::3], ids=IDS[::3])
def test_the_real_program_says_it_too(group: str, found: Slip, tmp_path: Path) -> None:
    prepared(found, tmp_path)
    before = there(tmp_path)
    answer = subprocess.run(
        [sys.executable, "-m", "swingbeam.cli", *shlex.split(found.line)],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=300,
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
    )
    assert answer.returncode == 2, answer.stderr
    assert answer.stdout == ""
    lines = answer.stderr.strip().splitlines()
    # A first run on a machine says that it compiles.
    lines = [line for line in lines if "compiling the solver" not in line]
    assert 1 <= len(lines) <= 2, answer.stderr
    for words in found.says:
        assert words in answer.stderr, answer.stderr
    assert there(tmp_path) == before


def test_there_are_enough_of_them_over_every_command_and_kind_of_file() -> None:
    assert len(ALL) >= 120
    tried = {found.line.split()[0] for _, found in ALL}
    assert tried >= {
        "rank",
        "swing",
        "match",
        "bench",
        "layup",
        "trim",
        "profile",
        "convert",
        "record",
        "list",
        "check",
        "init",
    }
    copied = {found.copy_of for _, found in ALL if found.copy_of}
    assert len({Path(name).parent for name in copied}) >= 8
    assert all(len(slips) >= 10 for slips in GROUPS.values())
    assert len({(found.line, found.copy_of, found.changes, found.text) for _, found in ALL}) == len(ALL)
