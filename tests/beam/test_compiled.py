"""The kernel cache: never stale, never in the way. A small package of our own stands in for the mechanics."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from swingbeam.beam import compiled

INNER = "from numba import njit\nFACTOR = {factor}\n\n@njit(error_model='numpy')\ndef inner(x):\n    return {body}\n"
ENTRY = (
    "from .compiled import kernel, is_cold, cache_folder\nfrom .inner import inner, FACTOR\n\n"
    "@kernel\ndef entry(x):\n    return FACTOR * inner(x)\n"
)
SAY = "from toy.beam.entry import entry, is_cold; print(is_cold(), entry(3.0), is_cold())"


class Toy:
    """A package with one kernel, its constants and its cache folder."""

    def __init__(self, folder: Path):
        self.folder, self.cache = folder, folder / "cache"
        self.beam = folder / "toy" / "beam"
        self.beam.mkdir(parents=True)
        (folder / "toy" / "__init__.py").write_text("")
        (self.beam / "__init__.py").write_text("")
        shutil.copy(Path(compiled.__file__), self.beam / "compiled.py")
        (self.beam / "entry.py").write_text(ENTRY)
        self.write()

    def write(self, factor="2.0", body="x + 1.0"):
        (self.beam / "inner.py").write_text(INNER.format(factor=factor, body=body))

    def start(self, code=SAY, **extra):
        environment = {
            **os.environ,
            "PYTHONPATH": str(self.folder),
            "SWINGBEAM_CACHE_DIR": str(self.cache),
            "PYTHONDONTWRITEBYTECODE": "1",
            **extra,
        }
        environment = {k: v for k, v in environment.items() if v is not None}
        return subprocess.Popen(
            [sys.executable, "-W", "error", "-c", code],
            cwd=self.folder,
            env=environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    def run(self, code=SAY, **extra):
        out, err = (process := self.start(code, **extra)).communicate(timeout=120)
        assert process.returncode == 0, err
        return out.split()


@pytest.fixture
def toy(tmp_path):
    return Toy(tmp_path)


def test_the_second_start_finds_the_kernel(toy):
    assert toy.run() == ["True", "8.0", "False"]
    assert toy.run() == ["False", "8.0", "False"]


@pytest.mark.parametrize(
    ("change", "answer"), [({"body": "x + 2.0"}, "10.0"), ({"factor": "3.0"}, "12.0")], ids=["kernel", "constant"]
)
def test_an_edit_in_an_imported_module_is_never_served_stale(toy, change, answer):
    assert toy.run()[1] == "8.0"
    stamp = (toy.beam / "inner.py").stat()
    toy.write(**change)
    # Even with the old time stamp: it is the text that counts.
    os.utime(toy.beam / "inner.py", ns=(stamp.st_atime_ns, stamp.st_mtime_ns))
    assert toy.run() == ["True", answer, "False"]


@pytest.mark.parametrize(
    "line",
    ["from .inner import inner, FACTOR", "from toy.beam.inner import inner, FACTOR"],
    ids=["relative", "absolute"],
)
def test_only_what_a_kernel_can_depend_on_counts(toy, line):
    (toy.beam / "entry.py").write_text(ENTRY.replace("from .inner import inner, FACTOR", line))
    (toy.folder / "toy" / "table.py").write_text("from .beam.entry import entry\nWIDTH = 1\n")
    (toy.beam / "constants.py").write_text("STEP = 1.0\n")
    toy.write(body="x + STEP")
    (toy.beam / "inner.py").write_text("from .constants import STEP\n" + (toy.beam / "inner.py").read_text())
    assert toy.run() == ["True", "8.0", "False"]
    (toy.folder / "toy" / "table.py").write_text("from .beam.entry import entry\nWIDTH = 2\n")
    assert toy.run() == ["False", "8.0", "False"]
    (toy.beam / "constants.py").write_text("STEP = 2.0\n")  # two imports away from the entry
    assert toy.run() == ["True", "10.0", "False"]


def test_the_package_s_own_kernel_sources():
    names = {f.relative_to(Path(compiled.__file__).parents[1]).as_posix() for f in compiled.kernel_sources()}
    assert {"beam/curvature_kernels.py", "beam/elements_tangent.py", "beam/rotations.py", "swing/hinge.py"} <= names
    assert not {n for n in names if n.startswith(("report/", "study/", "cli/", "files/"))}


def test_a_read_only_install_compiles_into_the_user_s_folder(toy):
    for path in sorted((toy.folder / "toy").rglob("*"), reverse=True):
        path.chmod(0o555 if path.is_dir() else 0o444)
    try:
        assert toy.run() == ["True", "8.0", "False"]
        assert toy.run() == ["False", "8.0", "False"]
        assert not list((toy.folder / "toy").rglob("*.nb?"))
    finally:
        for path in (toy.folder / "toy").rglob("*"):
            path.chmod(0o755)


def test_a_truncated_cache_file_is_compiled_again(toy):
    toy.run()
    for name in ("*.nbc", "*.nbi"):
        (file,) = toy.cache.rglob(name)
        file.write_bytes(file.read_bytes()[:40])
        assert toy.run()[1] == "8.0"


def test_nowhere_to_write_still_answers(toy):
    (toy.folder / "file").write_text("a file where the folder should be")
    assert toy.run(SWINGBEAM_CACHE_DIR=str(toy.folder / "file" / "below"))[1] == "8.0"


def test_no_home_still_answers(toy):
    temporary = toy.folder / "tmp"
    temporary.mkdir()
    assert toy.run(HOME=None, XDG_CACHE_HOME=None, SWINGBEAM_CACHE_DIR=None, TMPDIR=str(temporary))[1] == "8.0"


def test_three_cold_starts_at_once(toy):
    processes = [toy.start() for _ in range(3)]
    for process in processes:
        out, err = process.communicate(timeout=180)
        assert process.returncode == 0, err
        assert out.split()[1] == "8.0"


def test_the_host_program_s_cache_setting_is_left_alone(toy):
    code = (
        "from numba.core import config; config.CACHE_DIR = 'of-the-host';"
        "from toy.beam.entry import entry; entry(1.0); print(config.CACHE_DIR)"
    )
    assert toy.run(code) == ["of-the-host"]
    assert not (toy.folder / "of-the-host").exists()


def test_old_kernels_do_not_pile_up(toy):
    for k in range(compiled.KEPT_FOLDERS + 4):
        old = toy.cache / "kernels" / f"old{k}"
        old.mkdir(parents=True)
        (old / "file.nbc").write_bytes(b"")
        os.utime(old, (k, k))
    assert toy.run()[1] == "8.0"
    left = {f.name for f in (toy.cache / "kernels").iterdir()}
    assert "old3" not in left
    assert {f"old{k}" for k in range(4, compiled.KEPT_FOLDERS + 4)} < left
    assert len(left) == compiled.KEPT_FOLDERS + 1


@pytest.mark.skipif(os.name != "posix", reason="owners and modes are posix")
def test_kernels_are_not_read_from_a_folder_that_others_can_write_to(toy):
    temporary = toy.folder / "tmp"
    shared = temporary / f"swingbeam-{os.getuid()}"
    shared.mkdir(parents=True)
    shared.chmod(0o777)
    (toy.folder / "file").write_text("")
    code = "from toy.beam.compiled import cache_folder; print(cache_folder())"
    nowhere = str(toy.folder / "file")
    assert toy.run(code, HOME=nowhere, XDG_CACHE_HOME=nowhere, SWINGBEAM_CACHE_DIR=None, TMPDIR=str(temporary)) == [
        "None"
    ]
    shared.chmod(0o700)
    found = toy.run(code, HOME=nowhere, XDG_CACHE_HOME=nowhere, SWINGBEAM_CACHE_DIR=None, TMPDIR=str(temporary))
    assert Path(found[0]).is_relative_to(shared)
