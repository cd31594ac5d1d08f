"""The picture of a swing."""

from dataclasses import replace

import numpy as np
import pytest

from swingbeam.beam.errors import InputError
from swingbeam.files.lookup import find
from swingbeam.report.swing_figure import draw_swing, from_behind, in_plane, write_swing_figure
from swingbeam.study.golfer import load_golfer
from swingbeam.study.motion import swing_motion


@pytest.fixture(scope="module")
def motion():
    golfer = load_golfer(find("swing", "even"))
    return swing_motion(golfer, golfer.club, "hold", "re-aimed", "curvature")


def test_views_keep_lengths_and_directions(motion):
    plane = in_plane(motion, motion.grip)
    arm = plane - in_plane(motion, motion.hub)
    # The arms move in the plane: nothing is foreshortened there.
    np.testing.assert_allclose(np.hypot(*arm.T), np.linalg.norm(motion.grip - motion.hub, axis=1), rtol=1e-9)
    assert plane[0, 1] > plane[-1, 1]  # from the top down to the ball
    assert in_plane(motion, motion.face)[-1, 0] < 0.0  # the face is behind the ball's centre
    behind = from_behind(motion, motion.hub)
    assert behind[-1, 0] < 0.0  # a right-hander stands to the left of the line, seen from behind the ball
    assert behind[-1, 1] > 1.0
    left = from_behind(replace(motion, handed="left"), motion.hub)
    np.testing.assert_allclose(left * [-1.0, 1.0], behind, atol=1e-15)


def test_the_picture_names_every_instant_and_axis(motion):
    figure = draw_swing(motion)
    written = [text.get_text() for axes in figure.axes for text in axes.texts]
    for name in ("lag peak", "half-unload", "straight", "peak kick speed", "impact"):
        assert any(name in text for text in written), name
    for axes in figure.axes:
        assert axes.get_title(loc="left")
        assert axes.get_xlabel()
    assert any("idealised" in text.get_text() for text in figure.texts)


def test_without_a_hub_no_arms_are_drawn_or_named(motion):
    handless = replace(motion, hub=None, kinetics=replace(motion.kinetics, hub_couple=None, arm_rate=None))
    plane, _, rates, *_ = draw_swing(handless).axes
    assert not any("brown" in text.get_text() for text in plane.texts)
    assert [text.get_text() for text in rates.get_legend().get_texts()] == ["club", "forearm roll"]
    assert any("brown" in text.get_text() for text in draw_swing(motion).axes[0].texts)


def test_numbers_of_a_view_do_not_cover_each_other(motion):
    for axes in draw_swing(motion).axes[:2]:
        at = [text.xy for text in axes.texts if hasattr(text, "xy")]
        apart = [np.hypot(*np.subtract(a, b)) for i, a in enumerate(at) for b in at[:i]]
        assert min(apart) > 0.14
        numbers = [n for text in axes.texts if hasattr(text, "xy") for n in text.get_text().split(", ")]
        # Every instant that is drawn has its number, some together.
        assert sorted(map(int, numbers)) == list(range(1, len(numbers) + 1))
        assert 2 <= len(numbers) <= len(motion.instants)


def test_png_and_svg_and_never_over_a_file(motion, tmp_path):
    assert write_swing_figure(motion, tmp_path / "a.png").read_bytes().startswith(b"\x89PNG")
    drawn = write_swing_figure(motion, tmp_path / "a.svg").read_bytes()
    assert b"<svg" in drawn
    assert write_swing_figure(motion, tmp_path / "b.svg").read_bytes() == drawn
    with pytest.raises(InputError, match="allowed: a name that ends in"):
        write_swing_figure(motion, tmp_path / "a.jpg")
    with pytest.raises(InputError, match="exists"):
        write_swing_figure(motion, tmp_path / "a.png")


def test_half_unload_is_drawn_however_near_another_instant_lies(motion):
    half = motion.instants["half-unload"]
    crowded = replace(motion, instants={**motion.instants, "peak kick speed": half - 0.004})
    legend = next(text.get_text() for text in draw_swing(crowded).axes[0].texts if "top" in text.get_text())
    assert "half-unload" in legend
    assert "peak kick speed" not in legend
