"""A recording read, smoothed, judged and made a swing: what it delivers, and how sure that is."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from swingbeam import __version__
from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.beam.rotations import quaternion_from_rotation
from swingbeam.club.build import Club, load_club
from swingbeam.delivery.contact import find_contact
from swingbeam.files.base import naming
from swingbeam.files.recorded_swing_file import SourceTable, write_recorded_swing
from swingbeam.files.recording_file import RecordingFile
from swingbeam.swing.cutoff import SHARE_OF_RATE, Choice, choose_cutoff
from swingbeam.swing.jumps import find_jumps
from swingbeam.swing.pose_smoothing import CutOff, Poses, make_grid
from swingbeam.swing.recorded_aim import aim_recording
from swingbeam.swing.recorded_checks import check_swing, check_units
from swingbeam.swing.recorded_poses import Recording, load_recording
from swingbeam.swing.recorded_swing import (
    LONGEST_BEFORE,
    RUNS_ON,
    RecordedPlan,
    SmoothedRecording,
    find_top,
    head_plane,
    smooth_recording,
    vice_run,
)
from swingbeam.swing.time_stamps import check_gaps, check_impact
from swingbeam.units import show

from .record_bounds import DRAWS, Noise, bounds_of, noise_of
from .record_figures import FIGURES, read_figures

Array = NDArray[np.float64]

FIRST_CUTOFF = CutOff(20.0, 20.0)
"""Hz; to see that it is a swing, and where the club meets the ball, before anything is chosen."""

MARGIN = 0.1
"""s of frames before and after what is simulated that the smoothing takes in."""
DOUBTFUL_HALF = 5e-3
"""s; a bound of half-unload above it is spoken of: shafts differ by less."""


@dataclass(frozen=True, eq=False)
class RecordResult:
    """What came of a recording."""

    recording: Recording
    club: Club
    impact: float
    """s, in the recording's own time"""
    plan: RecordedPlan
    cutoff: CutOff
    choice: Choice | None
    """None where the cut-off was stated"""
    noise: Noise
    figures: Mapping[str, float | None]
    """SI, by key of `record_figures.FIGURES`"""
    bounds: Mapping[str, float | None]
    """(SI) 95 % of recordings like this one lie within ± so much; None where it cannot be said"""
    halved: Mapping[str, float | None]
    doubled: Mapping[str, float | None]
    doubled_cutoff: CutOff
    top: float
    """s from impact"""
    plane: float
    """rad, of the swing plane above the ground"""
    notes: tuple[str, ...]


def record_swing(
    path: str | os.PathLike[str],
    *,
    record: RecordingFile | None = None,
    cutoff: float | None = None,
    seed: int = 1,
    draws: int = DRAWS,
) -> RecordResult:
    """Read a recording and make it a swing.

    Parameters
    ----------
    path : of the recording's file; of the data if `record` is given
    record : what the file would say
    cutoff : Hz, for positions and rotations, instead of the stated or chosen ones
    seed, draws : of the draws behind the bounds

    Raises
    ------
    InputError
        A recording that cannot be read or is not a golf swing; it says why.
    SimulationError
        The solver could not finish.
    """
    recording = load_recording(path, record)
    parts = recording.record.reference_club
    with naming(recording.path):
        club = load_club(parts, beside=recording.path)
        return _make(recording, club, cutoff, seed, draws)


def _make(recording: Recording, club: Club, cutoff: float | None, seed: int, draws: int) -> RecordResult:
    record, source, notes = recording.record, recording.data, list(recording.notes)
    impact = record.impact if record.impact is not None else _find_impact(recording, club)
    if record.impact is None:
        notes.append(f"the face meets the ball at {impact:.4f} s")
    check_impact(recording.poses.t, impact, source)
    check_units(recording.poses, impact, source)
    poses, more = _use(recording, impact)
    notes += more
    stated = _stated(record, cutoff)
    poses, more = _without_jumps(poses, impact, source)
    notes += more
    first = smooth_recording(record.name, poses, impact, _capped(FIRST_CUTOFF, poses))
    notes += check_swing(first.plan, club, record.handed, source)
    smoothed, choice = _smooth(recording, poses, impact, stated)
    notes += _continuation(smoothed, record.ball_struck)
    noise = noise_of(smoothed, poses)
    notes += noise.words
    plan = smoothed.plan
    if record.delivery is not None:
        plan, words = aim_recording(plan, club, record.delivery.face_angle, record.delivery.path)
        notes.append(words)
    figures = read_figures(plan, club)
    if figures["head_speed"] is None:
        raise SimulationError("the reference club could not be read at impact")
    bounds = bounds_of(smoothed, poses, club, figures, noise, seed=seed, draws=draws)
    notes += _doubtful(bounds["half"])
    if record.delivery is not None:
        # What is asked for is delivered exactly: it has no bound.
        bounds = {key: None if getattr(record.delivery, key, None) is not None else v for key, v in bounds.items()}
    doubled = _capped(smoothed.cutoff.times(2.0), poses)
    motion = plan.motion()
    normal = head_plane(vice_run(motion, club))
    return RecordResult(
        recording,
        club,
        impact,
        plan,
        smoothed.cutoff,
        choice,
        noise,
        figures,
        bounds,
        _figures_at(recording, poses, impact, smoothed.cutoff.times(0.5), club),
        _figures_at(recording, poses, impact, doubled, club),
        doubled,
        find_top(motion, normal),
        float(np.arccos(abs(normal[2]))),
        tuple(notes),
    )


def _use(recording: Recording, impact: float) -> tuple[Poses, list[str]]:
    """The poses that are smoothed, after a look at the gaps."""
    poses = _around(recording.poses, impact)
    left = recording.poses.t.size - poses.t.size
    notes = [f"{left} frames far from impact are left out"] if left else []
    notes += check_gaps(poses.t, impact, recording.data)
    if not recording.record.ball_struck:
        return poses, notes
    before = poses.t <= impact
    dropped = int(np.sum(~before))
    if dropped:
        notes.append(f"a ball was struck: {dropped} frames after impact are left out")
    return Poses(poses.t[before], poses.position[before], poses.rotation[before]), notes


def _around(poses: Poses, impact: float) -> Poses:
    """What is near enough to impact to matter."""
    near = (poses.t > impact - LONGEST_BEFORE - MARGIN) & (poses.t < impact + RUNS_ON + MARGIN)
    return Poses(poses.t[near], poses.position[near], poses.rotation[near])


def _stated(record: RecordingFile, cutoff: float | None) -> CutOff | None:
    if cutoff is not None:
        return CutOff(cutoff, cutoff)
    stated = record.smoothing
    if stated.position is None and stated.rotation is None:
        return None
    if stated.position is None or stated.rotation is None:
        raise InputError("smoothing: found one of position and rotation; allowed: both, or none to have them chosen")
    return CutOff(stated.position, stated.rotation)


def _smooth(
    recording: Recording, poses: Poses, impact: float, stated: CutOff | None
) -> tuple[SmoothedRecording, Choice | None]:
    choice = None if stated is not None else choose_cutoff(make_grid(poses, impact + RUNS_ON), poses, impact)
    used = stated if choice is None else choice.cutoff
    if used is None:
        raise InputError("found no cut-off")
    most = SHARE_OF_RATE / poses.spacing
    if max(used.position, used.rotation) > most:
        raise InputError(
            f"cut-off: found {max(used.position, used.rotation):g} Hz; allowed: up to {most:.3g} Hz, "
            f"{100 * SHARE_OF_RATE:.0f} % of the frame rate"
        )
    return smooth_recording(recording.name, poses, impact, used), choice


def _capped(cutoff: CutOff, poses: Poses) -> CutOff:
    most = SHARE_OF_RATE / poses.spacing
    return CutOff(min(cutoff.position, most), min(cutoff.rotation, most))


def _without_jumps(poses: Poses, impact: float, source: str) -> tuple[Poses, list[str]]:
    """Leave out frames that no smooth motion explains; what is then missing is judged as any gap."""
    out = find_jumps(poses)
    if not np.any(out):
        return poses, []
    shown = ", ".join(f"{t:.4f}" for t in poses.t[out][:5]) + (" …" if np.sum(out) > 5 else "")
    notes = [f"left out {int(np.sum(out))} frames that jump away from the motion, at {shown} s"]
    kept = Poses(poses.t[~out], poses.position[~out], poses.rotation[~out])
    check_gaps(kept.t, min(impact, float(poses.t[-1])), source)
    return kept, notes


def _continuation(smoothed: SmoothedRecording, ball_struck: bool) -> list[str]:
    if not np.isfinite(smoothed.continued):
        return []
    why = "frames up to impact are used" if ball_struck else "the frames end"
    return [
        f"{why}: from {1e3 * smoothed.continued:+.1f} ms on, up to {1e3 * RUNS_ON:+.0f} ms, the motion is continued "
        "with the acceleration of the hold point and the rate of the body's angular rate held"
    ]


def _doubtful(bound: float | None) -> list[str]:
    """What to do about a half-unload that the recording does not place."""
    if bound is not None and bound <= DOUBTFUL_HALF:
        return []
    size = "not at all" if bound is None else f"within ± {1e3 * bound:.0f} ms only"
    return [
        f"noise of the grip's pose rings the shaft: this recording places half-unload {size}; the archetype fitted "
        "to it (--fit) swings without that noise"
    ]


def _figures_at(
    recording: Recording, poses: Poses, impact: float, cutoff: CutOff, club: Club
) -> Mapping[str, float | None]:
    """Figures with another cut-off, aimed again where that was asked for; None where they do not exist."""
    try:
        plan = smooth_recording(recording.name, poses, impact, cutoff).plan
        wanted = recording.record.delivery
        if wanted is not None:
            plan, _ = aim_recording(plan, club, wanted.face_angle, wanted.path)
    except (InputError, SimulationError):
        return dict.fromkeys(FIGURES)
    return read_figures(plan, club)


def _find_impact(recording: Recording, club: Club) -> float:
    """When the face of the reference club meets the declared ball, s, in the recording's time.

    Raises
    ------
    InputError
        It does not.
    """
    poses, ball = recording.poses, recording.ball
    if ball is None:
        raise InputError("found no ball")
    arm = np.array([club.length_beyond_hold, 0.0, 0.0]) + club.face.centre
    distance = np.linalg.norm(poses.position + poses.rotation @ arm - ball, axis=1)
    moving = np.gradient(poses.position + poses.rotation @ arm, poses.t, axis=0)[:, 0]
    swift = moving > 0.5 * moving.max()  # at address the face is at the ball too
    near = int(np.argmin(np.where(swift, distance, np.inf)))
    if distance[near] > 0.5:
        raise InputError(
            f"{recording.data}: the face comes no nearer to the ball than {distance[near]:.2g} m; check ball.centre "
            "and its axes"
        )
    impact = float(poses.t[near])
    for _ in range(3):
        use = poses
        if recording.record.ball_struck:
            before = poses.t <= impact + poses.spacing
            use = Poses(poses.t[before], poses.position[before], poses.rotation[before])
        cutoff = _capped(FIRST_CUTOFF, use)
        motion = smooth_recording(recording.name, use, impact, cutoff).plan.motion()
        contact = find_contact(vice_run(motion, club), club.face, ball, -0.1)
        if contact.time is None:
            raise InputError(f"{recording.data}: the face does not meet the ball: {contact.reason}")
        impact += contact.time
        if abs(contact.time) < 1e-5:
            break
    return impact


def write_swing(result: RecordResult, path: str | os.PathLike[str], bound_words: tuple[str, ...]) -> Path:
    """Write the swing's file; InputError when it exists or cannot be written."""
    record, plan = result.recording.record, result.plan
    quaternion = quaternion_from_rotation(plan.rotation)
    flips = np.cumprod(np.where(np.sum(quaternion[1:] * quaternion[:-1], axis=1) < 0.0, -1.0, 1.0))
    quaternion[1:] *= flips[:, None]
    return write_recorded_swing(
        path,
        name=record.name,
        note=record.note,
        handed=record.handed,
        tee_height=record.tee_height,
        grip_firmness=record.hands.grip_firmness,
        reference_club=record.reference_club,
        source=SourceTable(
            data=result.recording.data,
            sha256=result.recording.digest,
            made_by=f"swingbeam {__version__}",
            cutoff=cutoff_words(result.cutoff),
            statements=result.notes,
            delivered=bound_words,
        ),
        rows=np.column_stack([plan.t, plan.position, quaternion]),
    )


def cutoff_words(cutoff: CutOff) -> str:
    """Both cut-offs as people read them."""
    return f"{show(cutoff.position, 'Hz', 1)} for positions, {show(cutoff.rotation, 'Hz', 1)} for rotations"
