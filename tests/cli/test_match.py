"""The command `match`: a swing file that check, swing and rank can read."""

from __future__ import annotations

import json

import pytest
from typer.testing import CliRunner

from swingbeam.cli import app

runner = CliRunner()


@pytest.fixture(scope="module")
def workspace(tmp_path_factory):
    """A working folder in which the starter customer is matched once, with one search."""
    folder = tmp_path_factory.mktemp("match")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        import swingbeam.study.match as module

        whole = module.match_customer
        patch.setattr(module, "match_customer", lambda name: whole(name, searches=1))
        result = runner.invoke(app, ["match", "first_customer", "--json"])
        assert result.exit_code == 0, result.stderr
        return folder, json.loads(result.stdout)


def test_the_json_says_what_is_pinned_down(workspace):
    _, shown = workspace
    assert set(shown) == {
        "customer", "archetype", "reference", "figures", "parameters", "misfit", "searches", "searches_that_agree",
        "statements",
    }  # fmt: skip
    figures = {row["figure"]: row for row in shown["figures"]}
    # What the file states, within the standard error it has there.
    assert figures["head_speed"]["delivered"] == pytest.approx(43.2, abs=figures["head_speed"]["error"])
    assert figures["dynamic_loft"]["delivered"] == pytest.approx(15.0, abs=figures["dynamic_loft"]["error"])
    kinds = {row["parameter"]: row["kind"] for row in shown["parameters"]}
    assert kinds["delivery.attack"] == "pinned down"
    assert kinds["wrists.release_width"] == "as the archetype"
    assert {row["width_from"] for row in shown["parameters"]} == {
        "the starter archetypes", "common practice, no source", "from memory",
    }  # fmt: skip


def test_the_file_is_a_swing_for_check_and_swing(workspace, monkeypatch):
    folder, _ = workspace
    monkeypatch.chdir(folder)
    checked = runner.invoke(app, ["check", "outputs/first_customer.toml"])
    assert checked.exit_code == 0
    assert 'a sound swing, "First customer", with its spread' in checked.stdout
    swung = runner.invoke(app, ["swing", "outputs/first_customer.toml", "--json"])
    assert swung.exit_code == 0, swung.stderr
    impact = json.loads(swung.stdout)["run"]["impact"]
    assert impact["head_speed_mps"] == pytest.approx(43.2, abs=0.3)
    assert impact["path_deg"] == pytest.approx(-1.8, abs=0.5)


def test_rank_repeats_the_swing_of_a_golfer_with_a_spread(workspace, monkeypatch):
    import swingbeam.study.rank as module

    folder, _ = workspace
    monkeypatch.chdir(folder)
    monkeypatch.setattr(module, "REPETITIONS", 19)
    (folder / "mine.toml").write_text(
        'name = "Mine"\nquestion = "Which?"\nswing = "outputs/first_customer.toml"\n'
        'shafts = ["marl-60-r", "bracken-46-l"]\n'
        '[club]\nhead = "driver"\nfinished_length = "45.5 in"\ngrip_mass = "50 g"\n',
        encoding="utf-8",
    )
    shown = runner.invoke(app, ["rank", "mine.toml"])
    assert shown.exit_code == 0, shown.stderr
    assert "Repeated 19 times: how sure the order is" in shown.stdout
    assert "not known of the golfer's mean swing" in " ".join(shown.stdout.split())
    assert "19 of 19 swings repeated" in shown.stderr
    assert "outputs/mine-places.png" in shown.stderr
    result = runner.invoke(app, ["rank", "mine.toml", "--json", "--output", "again.h5"])
    repeat = json.loads(result.stdout)["repeat"]
    # The club he plays against itself: nothing changes, whoever he is.
    for band in repeat["clubs"]["marl-60-r"]["changes"].values():
        assert band["low"] == band["high"] == 0.0
    loft = repeat["clubs"]["bracken-46-l"]["changes"]["dynamic_loft_deg"]
    assert loft["low"] < loft["median"] < loft["high"]
    import h5py

    with h5py.File(folder / "again.h5") as file:
        assert file.attrs["repeat_swings"] == 19
        assert file["change_low_dynamic_loft_deg"].attrs["units"] == "degree"


def test_rank_does_not_repeat_where_it_is_told_so(workspace, monkeypatch):
    folder, _ = workspace
    monkeypatch.chdir(folder)
    (folder / "once.toml").write_text(
        'name = "Once"\nquestion = "Which?"\nswing = "outputs/first_customer.toml"\nshafts = ["marl-60-r"]\n'
        '[club]\nhead = "driver"\nfinished_length = "45.5 in"\ngrip_mass = "50 g"\n',
        encoding="utf-8",
    )
    once = runner.invoke(app, ["rank", "once.toml", "--json", "--repeat", "0"])
    assert once.exit_code == 0, once.stderr
    assert "repeat" not in json.loads(once.stdout)
    assert not (folder / "outputs/once-places.png").exists()
    few = runner.invoke(app, ["rank", "once.toml", "--repeat", "5"])
    assert few.exit_code == 2
    assert "--repeat: found 5; allowed: 0, or 19 to" in few.stderr
    every = runner.invoke(app, ["rank", "once.toml", "--repeat", "50", "--hands", "all"])
    assert every.exit_code == 2
    assert "allowed: one kind of hands" in every.stderr


def test_the_table_for_people(workspace, monkeypatch):
    folder, _ = workspace
    monkeypatch.chdir(folder)
    import swingbeam.study.match as module

    whole = module.match_customer
    monkeypatch.setattr(module, "match_customer", lambda name: whole(name, searches=1))
    result = runner.invoke(app, ["match", "first_customer"])
    assert result.exit_code == 0, result.stderr
    assert "saved: outputs/first_customer-2.toml" in result.stderr
    for words in ("measured", "pinned down by the figures", "not pinned down: they stay", "couple at impact"):
        assert words in result.stdout
    # The same file twice: the same bytes.
    first, second = (folder / f"outputs/first_customer{end}.toml" for end in ("", "-2"))
    assert first.read_bytes() == second.read_bytes()
