"""A file is whole or absent, and never overwritten."""

from pathlib import Path

import pytest

from swingbeam.files.safe_write import new_file, refuse_existing, write_new
from swingbeam.units import InputError


def test_writes_a_new_file_and_leaves_nothing_else(tmp_path: Path) -> None:
    target = write_new(tmp_path / "deep" / "a.txt", "höhe\n")
    assert target.read_bytes() == "höhe\n".encode()
    assert [p.name for p in target.parent.iterdir()] == ["a.txt"]


def test_an_existing_file_is_refused_and_untouched(tmp_path: Path) -> None:
    target = tmp_path / "a.txt"
    target.write_text("old")
    with pytest.raises(InputError, match="exists already"):
        write_new(target, "new")
    with pytest.raises(InputError, match="exists already"):
        refuse_existing(target)
    assert target.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["a.txt"]


def test_a_dangling_link_counts_as_existing(tmp_path: Path) -> None:
    (tmp_path / "a.txt").symlink_to(tmp_path / "nothing")
    with pytest.raises(InputError, match="exists already"):
        write_new(tmp_path / "a.txt", "new")
    assert not (tmp_path / "nothing").exists()


def test_a_file_that_appears_meanwhile_is_not_overwritten(tmp_path: Path) -> None:
    target = tmp_path / "a.txt"

    def write_while_another_does() -> None:
        with new_file(target) as temporary:
            temporary.write_text("new")
            target.write_text("from someone else")

    with pytest.raises(InputError, match="exists already"):
        write_while_another_does()
    assert target.read_text() == "from someone else"
    assert [p.name for p in tmp_path.iterdir()] == ["a.txt"]


def test_a_failure_inside_leaves_nothing(tmp_path: Path) -> None:
    def write_and_be_stopped() -> None:
        with new_file(tmp_path / "a.txt") as temporary:
            temporary.write_text("half")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_and_be_stopped()
    assert list(tmp_path.iterdir()) == []


def test_impossible_places_are_input_errors(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    for place in (tmp_path / "file" / "a.txt", tmp_path / "a\0b", tmp_path / ("n" * 300)):
        with pytest.raises(InputError):
            write_new(place, "x")
