"""Every shaft of the starter library against exudyn, a general flexible-multibody library."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from swing.golfers import reference
from swingbeam.beam import History, simulate
from swingbeam.club.build import Club, build_club
from swingbeam.delivery.decompose import face_angle, loft
from swingbeam.files.lookup import list_library
from swingbeam.shaft.load import load_shaft
from verification.exudyn_model import TipCourse, drive
from verification.test_against_exudyn import finite

STEP = 5e-4
"""s, exudyn's and that of `elements` beside it."""
ELEMENTS = 16


class Apart(NamedTuple):
    """Largest differences to exudyn."""

    shaft: str
    solver: str
    tip: float
    """mm, over the downswing and on past impact"""
    face: float
    """deg, of the face angle at the planned impact"""
    loft: float
    """deg, of dynamic loft at the planned impact"""


GOLFERS = ("even", "even-iron")
"""Each swings the shafts of his own club's kind, with its head and length."""


def clubs() -> list[tuple[str, Club, str]]:
    """A club with every shaft of the library: the shaft's file, the club, its golfer."""
    out = []
    for golfer in GOLFERS:
        own = reference(golfer).club
        for name, file in list_library("shaft").items():
            shaft = load_shaft(file)
            if shaft.kind == own.shaft.kind:
                out.append((name, build_club(shaft, own.head, finished_length=own.finished_length), golfer))
    return out


def differences(name: str, club: Club, golfer: str) -> list[Apart]:
    """Both solvers against exudyn on the reference pose, held fast, without viscosity, from the address on."""
    made = reference(golfer)
    profile, motion = finite(club.profile), made.motion
    course = drive(profile, club.tip, motion, ELEMENTS, STEP, coarse=(made.top - 0.05, 4e-3))
    out = []
    for solver, options in (("elements", {"elements": ELEMENTS, "step": STEP}), ("curvature", {})):
        run = simulate(profile, club.tip, motion, solver=solver, **options)
        out.append(_apart(name, solver, club, run, course, made.top))
    return out


def _apart(name: str, solver: str, club: Club, run: History, course: TipCourse, top: float) -> Apart:
    keep = course.t >= top
    seen = run.at(np.clip(course.t[keep], run.t[0], run.t[-1]))
    tip = 1e3 * np.linalg.norm(seen.tip_position_world - course.position[keep], axis=1).max()
    # exudyn's instant nearest to the planned impact: its turning until then would be no difference of theirs.
    k = int(np.argmin(np.abs(course.t)))
    ours = run.at(course.t[k]).tip_rotation_world[0] @ club.face.normal
    theirs = course.rotation[k] @ club.face.normal
    return Apart(
        name,
        solver,
        float(tip),
        float(np.degrees(face_angle(ours) - face_angle(theirs))),
        float(np.degrees(loft(ours) - loft(theirs))),
    )
