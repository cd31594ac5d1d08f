"""The walk-throughs are walked: every block of the pages, in order, in a folder of their own."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

DOCS = Path(__file__).resolve().parents[2] / "docs"
BLOCK = re.compile(r"```(sh|python|toml)\n(.*?)\n```", flags=re.S)
WALKS = ("fitter.md", "researcher.md")


def blocks(page: str) -> list[tuple[str, str]]:
    return BLOCK.findall((DOCS / page).read_text(encoding="utf-8"))


def run(arguments: list[str], folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(arguments, cwd=folder, capture_output=True, text=True, timeout=600)


@pytest.mark.parametrize("page", WALKS)
def test_every_block_does_what_the_page_says(page: str, tmp_path: Path) -> None:
    folder = tmp_path
    for language, text in blocks(page):
        if language == "toml":
            name = re.match(r"# (\S+\.toml)\n", text)
            assert name, "a file's first line says what it is called"
            (folder / name.group(1)).write_text(text + "\n", encoding="utf-8")
        elif language == "python":
            answer = run([sys.executable, "-c", text], folder)
            assert answer.returncode == 0, answer.stderr
            assert answer.stdout.strip()
        else:
            for line in text.splitlines():
                words = shlex.split(line)
                if words[0] == "cd":
                    folder = folder / words[1]
                    continue
                assert words[0] == "swingbeam"
                answer = run([sys.executable, "-m", "swingbeam.cli", *words[1:]], folder)
                assert answer.returncode == 0, f"{line}\n{answer.stdout}\n{answer.stderr}"
                for option in ("--output", "--out", "--picture"):
                    # Of `study plot` and `study explain` --output names a figure.
                    if option in words and "." in words[words.index(option) + 1]:
                        assert (folder / words[words.index(option) + 1]).stat().st_size > 0


@pytest.mark.parametrize("page", sorted(path.name for path in DOCS.glob("*.md")))
def test_every_file_a_page_links_to_is_there(page: str) -> None:
    for target in re.findall(r"\]\(([^)#\s]+)(?:#[^)]*)?\)", (DOCS / page).read_text(encoding="utf-8")):
        if "://" not in target:
            assert (DOCS / target).exists(), target


@pytest.mark.parametrize("page", sorted(path.name for path in DOCS.glob("*.md")))
def test_every_command_a_page_shows_is_one(page: str) -> None:
    from typer.main import get_command

    from swingbeam.cli import app

    known = get_command(app)
    text = (DOCS / page).read_text(encoding="utf-8")
    shown = [block for language, block in BLOCK.findall(text) if language == "sh"]
    shown += re.findall(r"`([^`\n]+)`", text) + re.findall(r"^    (.+)$", text, flags=re.M)
    for line in re.findall(r"^(?:\.venv/bin/)?swingbeam ([a-z]+)(?: ([a-z]+))?", "\n".join(shown), flags=re.M):
        command = known.commands[line[0]]
        if hasattr(command, "commands"):
            assert line[1] in command.commands, line
