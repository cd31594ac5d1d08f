"""Where names lead: the working folder, the naming file's workspace, the checkout or the packaged copy."""

from pathlib import Path

import pytest

from swingbeam.files import lookup
from swingbeam.files.lookup import FOLDERS, find, library_root, list_library, write_workspace
from swingbeam.units import InputError


def make(root: Path, kind: str, name: str) -> Path:
    path = root / FOLDERS[kind] / f"{name}.toml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("")
    return path


def test_the_starter_library_is_found_from_anywhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert find("shaft", "wick-65-s") == library_root() / "shafts" / "wick-65-s.toml"
    assert find("head", "driver").is_file()
    assert find("scenario", "scenarios/first_fitting.toml").is_file()


def test_the_working_folder_comes_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    own = make(tmp_path, "shaft", "wick-65-s")
    assert find("shaft", "wick-65-s").resolve() == own.resolve()
    assert list_library("shaft")["wick-65-s"].resolve() == own.resolve()


def test_then_the_workspace_of_the_file_that_names_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    workspace, elsewhere = tmp_path / "ws", tmp_path / "cwd"
    elsewhere.mkdir()
    own = make(workspace, "shaft", "own")
    scenario = make(workspace, "scenario", "mine")
    monkeypatch.chdir(elsewhere)
    assert find("shaft", "own", beside=scenario).resolve() == own.resolve()
    assert find("shaft", "../shafts/own.toml", beside=scenario).resolve() == own.resolve()
    with pytest.raises(InputError):
        find("shaft", "own")


def test_the_packaged_copy_serves_without_a_checkout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = tmp_path / "site" / "lib" / "swingbeam"
    packaged = make(package / "data", "shaft", "only-here")
    monkeypatch.setattr(lookup, "PACKAGE", package)
    monkeypatch.chdir(tmp_path)
    assert find("shaft", "only-here") == packaged


def test_the_checkout_wins_over_a_packaged_copy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = tmp_path / "sim" / "swingbeam"
    make(package / "data", "shaft", "stale")
    (tmp_path / "pyproject.toml").write_text("")
    for kind in ("shaft", "layup", "swing", "scenario"):
        make(tmp_path, kind, "fresh")
    (tmp_path / "cwd").mkdir()
    monkeypatch.setattr(lookup, "PACKAGE", package)
    monkeypatch.chdir(tmp_path / "cwd")
    assert find("shaft", "fresh") == tmp_path / "shafts" / "fresh.toml"
    with pytest.raises(InputError):
        find("shaft", "stale")


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("wick-65-z", 'did you mean "wick-65-'),
        ("Wick-65-S", 'did you mean "wick-65-s"'),
        ("shafts/wick-65-t.toml", 'no such shaft file; did you mean "wick-65-s'),
        ("", "allowed: the name or path of a shaft"),
        ("a\0b", "allowed: the name or path of a shaft"),
        ("x" * 5000, "no shaft of that name"),
        ("x" * 5000 + ".toml", "no such shaft file"),
    ],
)
def test_unknown_names_suggest_the_nearest(name: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        find("shaft", name)
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_workspace_is_a_copy_of_the_library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = write_workspace(tmp_path / "mine")
    assert sorted(p.name for p in target.iterdir()) == ["layups", "outputs", "scenarios", "shafts", "swings"]
    copied = (target / "shafts" / "wick-65-s.toml").read_bytes()
    assert copied == (library_root() / "shafts" / "wick-65-s.toml").read_bytes()
    monkeypatch.chdir(target)
    assert find("shaft", "wick-65-s").resolve() == (target / "shafts" / "wick-65-s.toml").resolve()
    assert [p.name for p in tmp_path.iterdir()] == ["mine"]


def test_a_workspace_never_overwrites(tmp_path: Path) -> None:
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "keep.txt").write_text("keep")
    (tmp_path / "file").write_text("keep")
    for name, says in (("full", "not empty"), ("file", "found a file")):
        with pytest.raises(InputError, match=says):
            write_workspace(tmp_path / name)
    assert [p.name for p in (tmp_path / "full").iterdir()] == ["keep.txt"]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["file", "full"]
    (tmp_path / "empty").mkdir()
    assert (write_workspace(tmp_path / "empty") / "shafts").is_dir()


def test_a_workspace_in_the_empty_folder_one_stands_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    write_workspace(".")
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted([*lookup.WORKSPACE_FOLDERS, "outputs"])
    assert Path.cwd() == tmp_path
