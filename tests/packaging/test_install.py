"""What a stranger gets: from a checkout the data beside the package, from a wheel the packaged copies."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

import swingbeam

ROOT = Path(__file__).resolve().parents[2]
DATA = ("shafts", "layups", "swings", "scenarios")


def run(arguments, folder, **extra):
    environment = {**os.environ, **extra}
    return subprocess.run(
        [sys.executable, *arguments], cwd=folder, env=environment, capture_output=True, text=True, timeout=300
    )


@pytest.fixture(scope="module")
def unpacked_wheel(tmp_path_factory):
    """A wheel built from this checkout, unpacked in a folder of its own."""
    folder = tmp_path_factory.mktemp("wheel")
    built = run(
        ["-m", "pip", "wheel", "--no-deps", "--no-build-isolation", "--quiet", "-w", str(folder), str(ROOT)], folder
    )
    assert built.returncode == 0, built.stderr
    (wheel,) = folder.glob("*.whl")
    site = folder / "site"
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(site)
    return site


def test_this_environment_runs_the_checkout():
    assert Path(swingbeam.__file__).resolve().is_relative_to(ROOT / "sim")


def test_an_editable_install_serves_the_checkout_s_files(tmp_path):
    """Lookup prefers the checkout's data to any packaged copy, wherever it is started."""
    code = "from swingbeam.files import lookup; print(lookup.find('shaft', next(iter(lookup.list_library('shaft')))))"
    found = run(["-c", code], tmp_path)
    assert found.returncode == 0, found.stderr
    assert Path(found.stdout.strip()).is_relative_to(ROOT / "shafts")


def test_the_wheel_carries_the_data_folders(unpacked_wheel):
    for folder in DATA:
        packed = {
            p.relative_to(unpacked_wheel / "swingbeam/data" / folder)
            for p in (unpacked_wheel / "swingbeam/data" / folder).rglob("*.toml")
        }
        kept = {p.relative_to(ROOT / folder) for p in (ROOT / folder).rglob("*.toml")}
        assert packed == kept
        assert packed


def test_the_wheel_lists_its_own_library(unpacked_wheel, tmp_path):
    code = (
        "import swingbeam; from swingbeam.files import lookup; print(swingbeam.__file__);"
        "print(lookup.find('shaft', next(iter(lookup.list_library('shaft')))))"
    )
    found = run(["-c", code], tmp_path, PYTHONPATH=str(unpacked_wheel))
    assert found.returncode == 0, found.stderr
    for line in found.stdout.split("\n")[:2]:
        assert Path(line).is_relative_to(unpacked_wheel)


def test_the_wheel_answers_on_the_command_line(unpacked_wheel, tmp_path):
    answer = run(["-m", "swingbeam.cli", "list"], tmp_path, PYTHONPATH=str(unpacked_wheel))
    assert answer.returncode == 0, answer.stderr
    assert list(tmp_path.iterdir()) == []
