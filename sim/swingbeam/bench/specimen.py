"""What lies on the bench: a raw shaft, a piece of one, or a built club."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from swingbeam.beam import Profile, TipBody
from swingbeam.beam.errors import InputError
from swingbeam.club.build import Club, tip_body
from swingbeam.club.head import Head
from swingbeam.shaft.shaft import Shaft, cut
from swingbeam.shaft.trim import trimmed


@dataclass(frozen=True, eq=False)
class Specimen:
    """A shaft as it is cut, with what is on it.

    Attributes
    ----------
    name : what it is called in tables
    shaft : as cut; distances from its own butt end
    inserted : m of its tip end inside a hosel: rigid
    body : head and inserted piece of shaft as one rigid body from the hosel mouth, grip frame; None for a bare shaft
    head : None for a bare shaft
    grip_mass, grip_length : kg, m from the butt end; 0 without a grip
    """

    name: str
    shaft: Shaft
    inserted: float = 0.0
    body: TipBody | None = None
    head: Head | None = None
    grip_mass: float = 0.0
    grip_length: float = 0.0

    @property
    def raw_length(self) -> float:
        """Butt end to tip end, m."""
        return self.shaft.raw_length

    @property
    def end(self) -> float:
        """m from the butt end to where the free shaft ends: its tip, or the hosel mouth of a built club."""
        return self.shaft.raw_length - self.inserted

    def piece(self, start: float, end: float | None = None) -> Profile:
        """The beam from `start` m of the butt end to `end` (default: the end of the free shaft)."""
        return cut(self.shaft, start, self.end if end is None else end)


Subject = Shaft | Club | Specimen


def specimen(subject: Subject) -> Specimen:
    """What is read: a shaft bare, a club as it is built (cut shaft, head, grip)."""
    if isinstance(subject, Specimen):
        return subject
    if isinstance(subject, Shaft):
        return Specimen(subject.name, subject)
    return _of_club(subject)


@lru_cache(maxsize=64)
def _of_club(club: Club) -> Specimen:
    return Specimen(
        name=club.label,
        shaft=trimmed(club.shaft, tip=club.tip_trim, butt=club.butt_trim),
        inserted=club.insertion,
        body=club.tip,
        head=club.head,
        grip_mass=club.grip_mass,
        grip_length=club.grip_length,
    )


def with_head(on_bench: Specimen, head: Head) -> Specimen:
    """A bare shaft with a head put over its tip, as deep as its hosel.

    Raises
    ------
    InputError
        A head is on it already, or the head is of the other kind.
    """
    shaft = on_bench.shaft
    if on_bench.head is not None:
        raise InputError(
            f'head: found "{head.name}" for the built club "{on_bench.name}"; allowed: on a bare shaft only'
        )
    if shaft.kind != head.kind:
        raise InputError(f'found the {head.kind} head "{head.name}" for a {shaft.kind} shaft; allowed: two of one kind')
    mouth = shaft.raw_length - head.insertion
    return replace(on_bench, inserted=head.insertion, body=tip_body(shaft, head, mouth, head.insertion), head=head)


def in_mean_plane(profile: Profile) -> Profile:
    """The same beam with the mean of its two bending stiffnesses in every plane."""
    return profile if profile.spine_angle == 0.0 and _is_round(profile) else _planar(profile, profile.ei.mean(axis=1))


def guided_in(profile: Profile, plane: float) -> Profile:
    """The beam a guide keeps in one plane (rad about x, from the target side toward the toe): EI is then
    EI₁ cos² + EI₂ sin² of the angle to the principal planes (rotation of a symmetric tensor)."""
    share = np.cos(plane - profile.spine_angle) ** 2
    return _planar(profile, share * profile.ei[:, 0] + (1.0 - share) * profile.ei[:, 1])


def _is_round(profile: Profile) -> bool:
    return bool(np.array_equal(profile.ei[:, 0], profile.ei[:, 1]))


def _planar(profile: Profile, ei: np.ndarray) -> Profile:
    return Profile(profile.s, ei, profile.gj, profile.mass, profile.ea, profile.ga, profile.rotary)
