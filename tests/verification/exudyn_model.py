"""The same driven beam in exudyn, a general flexible-multibody library (Gerstmayr 2023, Multibody Syst. Dyn. 60:533).

Its geometrically exact beam is interpolated on SE(3) as ours is, but the code, the parameters of rotation (Euler
parameters), the constraint at the root and the time integration (index 3) are its own.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from swingbeam.beam import Motion, Profile, TipBody
from swingbeam.beam.rotations import quaternion_from_rotation

GRAVITY = (0.0, 0.0, -9.80665)


class TipCourse(NamedTuple):
    """Tip of the beam over time, world."""

    t: np.ndarray
    """(n,) s"""
    position: np.ndarray
    """(n, 3) m"""
    rotation: np.ndarray
    """(n, 3, 3) section → world"""


def drive(
    profile: Profile,
    body: TipBody,
    motion: Motion,
    elements: int,
    step: float,
    *,
    coarse: tuple[float, float] | None = None,
) -> TipCourse:
    """Run exudyn from the static shape; the root follows the motion at every step's end.

    The motion must start at rest: exudyn's beam does.

    Parameters
    ----------
    coarse : until this instant, s, take steps of this size, s, instead (where little happens)
    """
    import exudyn
    from exudyn import itemInterface as item

    system = exudyn.SystemContainer().AddSystem()
    first = motion.at(motion.start)
    nodes = _add_beam(exudyn, item, system, profile, elements, first.position[0], first.rotation[0])
    tensor = body.inertia_about_tip()
    head = system.AddObject(
        item.ObjectRigidBody(
            mass=body.mass,
            inertia=[*np.diag(tensor), tensor[1, 2], tensor[0, 2], tensor[0, 1]],
            centerOfMass=list(body.offset),
            nodeNumber=nodes[-1],
        )
    )
    _add_gravity(item, system, head)
    base = system.AddObject(item.ObjectGround(referencePosition=first.position[0], referenceRotation=first.rotation[0]))
    system.AddObject(
        item.ObjectJointGeneric(
            markerNumbers=[
                system.AddMarker(item.MarkerBodyRigid(bodyNumber=base)),
                system.AddMarker(item.MarkerNodeRigid(nodeNumber=nodes[0])),
            ]
        )
    )
    sensors = [
        system.AddSensor(item.SensorNode(nodeNumber=nodes[-1], storeInternal=True, outputVariableType=what))
        for what in (exudyn.OutputVariableType.Position, exudyn.OutputVariableType.RotationMatrix)
    ]

    def carry_root(system: Any, t: float) -> bool:
        pose = motion.at(min(motion.start + t, motion.end))
        system.SetObjectParameter(base, "referencePosition", pose.position[0])
        system.SetObjectParameter(base, "referenceRotation", pose.rotation[0])
        return True

    system.Assemble()
    span = motion.end - motion.start
    system.SolveStatic(_settings(exudyn, 0.0, span, step))
    current, initial = exudyn.ConfigurationType.Current, exudyn.ConfigurationType.Initial
    system.systemData.SetODE2Coordinates(system.systemData.GetODE2Coordinates(current), initial)
    system.SetPreStepUserFunction(carry_root)
    # exudyn counts time from zero.
    parts = [(0.0, span, step)]
    if coarse is not None:
        change = coarse[0] - motion.start
        parts = [(0.0, change, coarse[1]), (change, span, step)]
    seen = []
    for begin, end, size in parts:
        system.SolveDynamic(_settings(exudyn, begin, end, size), updateInitialValues=True)
        seen.append([np.array(system.GetSensorStoredData(sensor)) for sensor in sensors])
    position, rotation = (np.vstack(rows) for rows in zip(*seen, strict=True))
    return TipCourse(motion.start + position[:, 0], position[:, 1:], rotation[:, 1:].reshape(-1, 3, 3))


def _add_beam(
    exudyn: Any, item: Any, system: Any, profile: Profile, elements: int, root: np.ndarray, turn: np.ndarray
) -> list[Any]:
    """Nodes root to tip and the elements between them: compliance averaged by element, mass likewise."""
    stations = np.linspace(0.0, profile.length, elements + 1)
    quaternion = quaternion_from_rotation(turn[None])[0]
    nodes = [
        system.AddNode(item.NodeRigidBodyEP(referenceCoordinates=[*(root + turn @ [s, 0.0, 0.0]), *quaternion]))
        for s in stations
    ]
    x, w = np.polynomial.legendre.leggauss(20)
    for k in range(elements):
        s = 0.5 * (stations[k] + stations[k + 1]) + 0.5 * (stations[k + 1] - stations[k]) * x

        def mean(values: np.ndarray, s: np.ndarray = s) -> float:
            return 0.5 * float(w @ np.interp(s, profile.s, values))

        def compliant(values: np.ndarray, s: np.ndarray = s) -> float:
            return 2.0 / float(w @ (1.0 / np.interp(s, profile.s, values)))

        section = exudyn.BeamSection()
        stiffness = [profile.ea, profile.ga, profile.ga, profile.gj, profile.ei[:, 1], profile.ei[:, 0]]
        section.stiffnessMatrix = np.diag([compliant(values) for values in stiffness])
        section.massPerLength = mean(profile.mass)
        section.inertia = np.diag(mean(profile.rotary) * np.array([1.0, 0.5, 0.5]))
        beam = system.AddObject(
            item.ObjectBeamGeometricallyExact(
                nodeNumbers=[nodes[k], nodes[k + 1]],
                length=stations[k + 1] - stations[k],
                sectionData=section,
            )
        )
        _add_gravity(item, system, beam)
    return nodes


def _add_gravity(item: Any, system: Any, thing: Any) -> None:
    marker = system.AddMarker(item.MarkerBodyMass(bodyNumber=thing))
    system.AddLoad(item.LoadMassProportional(markerNumber=marker, loadVector=list(GRAVITY)))


def _settings(exudyn: Any, start: float, end: float, step: float) -> Any:
    settings = exudyn.SimulationSettings()
    settings.solution.file.write = False
    settings.solution.sensors.writePeriod = step
    settings.staticSolver.numberOfLoadSteps = 5
    settings.timeIntegration.numberOfSteps = round((end - start) / step)
    settings.timeIntegration.startTime = start
    settings.timeIntegration.endTime = end
    settings.timeIntegration.generalizedAlpha.spectralRadius = 0.8
    # At rest at first, and known where a second part begins.
    settings.timeIntegration.generalizedAlpha.computeInitialAccelerations = False
    settings.timeIntegration.newton.useModifiedNewton = True
    for solver in (settings.staticSolver, settings.timeIntegration):
        solver.verboseMode = 0
        # Residuals are forces of some 10⁶ N · strain: below this they are round-off.
        solver.newton.relativeTolerance = 1e-6
        solver.newton.absoluteTolerance = 1e-6
    return settings
