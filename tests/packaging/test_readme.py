"""The README's commands and examples do what they say."""

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
SHELL = re.findall(r"```sh\n(.*?)\n```", README, flags=re.S)
PYTHON = re.findall(r"```python\n(.*?)\n```", README, flags=re.S)


def test_there_are_two_commands_of_one_line_each_that_install_for_themselves():
    assert len(SHELL) == 2
    for command in SHELL:
        assert "\n" not in command
        assert command.startswith("python3 -m venv .venv && .venv/bin/pip install -e ")


def test_the_first_command_ranks_and_writes_its_files(tmp_path):
    words = shlex.split(SHELL[0].split("&&")[-1])
    assert words[:2] == [".venv/bin/swingbeam", "rank"]
    output = tmp_path / "ranking.h5"
    answer = subprocess.run(
        [sys.executable, "-m", "swingbeam.cli", *words[1:], "--output", str(output)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=600,
    )
    assert answer.returncode == 0, answer.stderr
    assert "half-unload" in answer.stdout
    assert sorted(p.suffix for p in tmp_path.iterdir()) == [".h5", ".png", ".png"]


@pytest.mark.parametrize("code", PYTHON)
def test_an_example_runs(code):
    answer = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, timeout=600)
    assert answer.returncode == 0, answer.stderr
    assert answer.stdout.strip()


def test_every_file_it_links_to_is_there():
    for target in re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", README):
        assert (ROOT / target).exists(), target


def test_every_command_it_lists_is_one():
    from typer.main import get_command

    from swingbeam.cli import app

    listed = set(re.findall(r"^    swingbeam (\w+)", README, flags=re.M))
    assert listed == set(get_command(app).commands)
