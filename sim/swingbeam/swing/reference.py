"""The reference run: the golfer's own club swung once, and what it leaves for every other club.

About the hinge the reference club's grip is driven by the couple that the rigid club needs, with the small
stiffness and damping of `effort` about the line; about forearm roll and the third axis it is held on the
line. So the shaft follows the hand couple without ringing. The run gives the reference pose of the grip; a
`vice` run of the same club on that pose gives the reference couple about all three axes, kept at the
integrator's own instants.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..beam import ElasticRoot, History, Motion, RigidBody, rigid_body, simulate
from ..beam.errors import InputError
from ..club.build import Club
from .hands import EFFORT, HAND_INERTIA, MEDIUM, VICE, Hands, firm
from .line import Line

Array = NDArray[np.float64]


def root_inertia(club: Club) -> Array:
    """(3,) kg·m² about (hinge, roll, third): both hands and what they hold of the reference club.

    The same for every club of a golfer, so that grip and butt of the others have no effect.
    """
    polar, across = float(club.held_inertia[0]), float(club.held_inertia[1])
    return HAND_INERTIA + np.array([across, polar, across])


def rigid_with_hands(club: Club) -> RigidBody:
    """The club made rigid, about the hold point in the grip frame, with the root's inertia added."""
    body = rigid_body(club.profile, club.tip)
    hinge, roll, third = root_inertia(club)
    return RigidBody(body.mass, body.first_moment, body.inertia + np.diag([roll, third, hinge]))


def hand_axes(rotation: Array, normal: Array) -> Array:
    """The hands' axes (n, 3, 3), world columns: hinge, forearm roll, third.

    Parameters
    ----------
    rotation : (n, 3, 3) grip frame → world
    normal : (3,) of the swing plane, world; the hinge is what of it is square to the shaft

    Raises
    ------
    InputError
        The shaft comes within 10 degrees of the normal: there is no such plane.
    """
    shaft = rotation[:, :, 0]
    along = shaft @ normal
    if np.abs(along).max() > math.cos(math.radians(10.0)):
        raise InputError("the shaft points along the normal of the swing plane: this plane is not that of the swing")
    hinge = normal - along[:, None] * shaft
    hinge /= np.linalg.norm(hinge, axis=1, keepdims=True)
    return np.stack([hinge, shaft, np.cross(hinge, shaft)], axis=2)


def scaled_viscosity(club: Club, damping_scale: float) -> tuple[float, float]:
    """(bend, twist) s of a club, its damping ratios multiplied."""
    bend, twist = club.viscosity
    return bend * damping_scale, twist * damping_scale


def drive_reference(line: Line, club: Club, *, step: float | None = None) -> History:
    """Swing the reference club: driven about the hinge, held on the line about the other axes.

    Raises
    ------
    SimulationError
        The solver could not finish.
    """
    couple = np.zeros((line.t.size, 3))
    couple[:, 0] = line.couple
    root = ElasticRoot(
        np.array([EFFORT.stiffness[0], math.inf, math.inf]),
        np.array([EFFORT.damping[0], 0.0, 0.0]),
        root_inertia(club),
        axes=line.axes,
        couple=couple,
    )
    return simulate(club.profile, club.tip, line.motion(), root=root, viscosity=club.viscosity, step=step)


@dataclass(frozen=True, eq=False)
class Reference:
    """What a golfer has learnt with the reference club; world frame of DEVELOPERS.md, planned impact at t =
    0.

    `line` is None for a recording and for a golfer driven by torque, whose grip motion is itself the reference
    pose.
    """

    name: str
    club: Club
    line: Line | None
    motion: Motion
    """The grip's reference pose."""
    axes: Array
    """(n, 3, 3) at the samples of `motion`, world columns: hinge, forearm roll, third"""
    normal: Array
    """(3,) of the swing plane"""
    top: float
    """The downswing begins here, s relative to the planned impact."""
    inertia: Array
    """(3,) kg·m² of hands and grip, about `axes`"""
    ball: Array
    """(3,) m: ball centre for which the reference club's face centre meets the ball at the planned instant"""
    raw_ball: Array
    """(3,) m: ball centre for which the face centre of the rigid reference club on `line_motion` does"""
    strike: tuple[float, float] = (0.0, 0.0)
    """Where on its face the reference club strikes: m from the face centre, toe-ward and up"""
    firmness: float = MEDIUM
    """Of the golfer's grip, 0 … 1 (`hands.firm`)"""
    hub: tuple[Array, Array] | None = None
    """Of a swing by torque: instants (k,) s and places (k, 3) m, world, of the hub; a line knows its own"""
    _records: dict[tuple[str, float, float | None], History] = field(default_factory=dict, repr=False)

    @property
    def planned(self) -> float:
        """The planned impact, s."""
        return 0.0

    @property
    def downswing(self) -> float:
        """Length of the downswing, s, the same for every club."""
        return -self.top

    @property
    def line_motion(self) -> Motion:
        """The line as a motion (without a line: the reference pose)."""
        return self.motion if self.line is None else self.line.motion()

    def record(self, solver: str = "curvature", damping_scale: float = 1.0, step: float | None = None) -> History:
        """The reference couple: the reference club's `vice` run on the reference pose; made once, then kept.

        Parameters
        ----------
        step : s of the solver; None: its default

        Raises
        ------
        SimulationError
            The solver could not finish.
        """
        key = (solver, float(damping_scale), step)
        if key not in self._records:
            root = ElasticRoot(VICE.stiffness, VICE.damping, self.inertia, axes=self.axes)
            self._records[key] = simulate(
                self.club.profile,
                self.club.tip,
                self.motion,
                root=root,
                solver=solver,
                step=step,
                viscosity=scaled_viscosity(self.club, damping_scale),
            )
        return self._records[key]


def run_club(
    club: Club,
    reference: Reference,
    hands: Hands,
    *,
    solver: str = "curvature",
    damping_scale: float = 1.0,
    step: float | None = None,
    stop: Callable[[History], ArrayLike] | None = None,
) -> History:
    """Swing a club as the golfer of a reference run does.

    Parameters
    ----------
    hands : `hands.VICE`, `HOLD`, `EFFORT` or one's own, as with a medium grip; the golfer's own firmness is put in
    damping_scale : multiplies the damping ratios of the shafts, the reference's too
    step : s of the solver; None: its default
    stop : event that ends the run, as of `beam.simulate`

    Raises
    ------
    InputError
        A grip too loose for those hands.
    SimulationError
        The solver could not finish.
    """
    hands = firm(hands, reference.firmness)
    couple = None if hands.is_held else reference.record(solver, damping_scale, step)
    root = ElasticRoot(hands.stiffness, hands.damping, reference.inertia, axes=reference.axes, couple=couple)
    return simulate(
        club.profile,
        club.tip,
        reference.motion,
        root=root,
        solver=solver,
        step=step,
        viscosity=scaled_viscosity(club, damping_scale),
        stop=stop,  # type: ignore[arg-type]
    )
