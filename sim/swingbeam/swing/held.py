"""The same golfer in another tempo or with a heavier shaft, and what of him is held: speed, effort or motion.

A swing's head speed, its times and its effort cannot all be kept when one of them changes, and what is found
depends on which is. `slower` changes the times, `same_effort` the club; both give a new plan.

Effort, of a swing along a line, is the mean power that the hands give the reference club from the top to impact:
their work, F · v + M · ω summed over the downswing, over its time. Work and power at the grip are what golfers of
different speed were found to differ in (Nesbit & Serrano 2005, J. Sports Sci. Med. 4:520, from memory). Work alone is
little else than the head's kinetic energy, and the power's peak lies so near impact that the head's speed decides it
too: with either held, a tempo could not change the speed. Effort, of a golfer driven by torque, is the torques
themselves.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from ..beam.errors import InputError
from ..club.build import Club
from ..units import quote
from .aim import Shot, aim, reference_along
from .ball import delivered
from .effort import Effort
from .hands import HOLD
from .plan import SwingPlan, Target
from .power import mean_power
from .recorded_swing import RecordedPlan
from .reference import run_club
from .torque_aim import aim_torques, instant_of_attack
from .torque_golfer import TorqueGolfer, TorquePlan, swing_by_torque

Plan = SwingPlan | TorquePlan | RecordedPlan

HELD_OF_TEMPO = {
    "head speed": "backswing and transition take longer or shorter, the head speed stays, the downswing time follows",
    "effort": "backswing and transition take longer or shorter, the effort stays, the head speed follows",
    "motion": "the same motion in more or less time: every time is scaled, every speed goes the other way",
}
"""What may be held while the tempo changes, in words."""
LEAST_SCALE, MOST_SCALE = 0.5, 2.0
"""Of the times: beyond that it is another swing."""
POWER_TOLERANCE = 1e-7
"""Of the mean power: a head speed to some 3e-8 of itself, as power goes with about its third power."""
MOST_PASSES = 12


def slower(plan: Plan, scale: float, held: str, club: Club) -> Plan:
    """The plan with another tempo; a scale above 1 is slower.

    Held "head speed": of a swing along a line the times of the backswing and of the transition (its delay and width,
    and when the wrists are set) are multiplied; what the reference club delivers stays as stated, and the downswing
    time follows. Of a golfer driven by torque those of the downswing's start are multiplied (when and how slowly the
    shoulders set in, and what held everything at the top gives way), and the size of the shoulders' torque follows.

    Held "effort": the same times; the head speed follows so that the mean power of the hands on the reference club
    is what it was, and the rates of arms and forearms at impact go with it. Of a golfer driven by torque the
    shoulders' and wrists' torques stay as large as they are; the head speed follows, and only the onset of the
    release and the forearms' roll are found again, for loft and face.

    Held "motion": every time is multiplied, rates and the head speed are divided, couples divided twice: the same
    path, but for what gravity and the shaft make of it. The only one a recording has.

    Parameters
    ----------
    scale : of the times, `LEAST_SCALE` … `MOST_SCALE`; 1 gives the plan itself
    held : one of `HELD_OF_TEMPO`
    club : the golfer's reference club

    Raises
    ------
    InputError
        Another thing to hold, a scale out of range, a recording with anything but its motion held, or a swing that
        is not feasible.
    SimulationError
        The solver could not finish.
    """
    if held not in HELD_OF_TEMPO:
        raise InputError(f"tempo: found {quote(held)} held; allowed: {', '.join(HELD_OF_TEMPO)}")
    if not LEAST_SCALE <= scale <= MOST_SCALE:
        raise InputError(
            f"tempo scale: found {scale:g}; allowed: {LEAST_SCALE:g} to {MOST_SCALE:g} (above 1 is slower)"
        )
    if isinstance(plan, RecordedPlan):
        if held != "motion":
            raise InputError(
                f'swing "{plan.name}": found {quote(held)} held; a recording has no tempo of its own; allowed: motion'
            )
        return plan if scale == 1.0 else replace(plan, t=plan.t * scale)
    if scale == 1.0:
        return plan
    if isinstance(plan, TorquePlan):
        return _slower_torques(plan, scale, held, club)
    if held == "motion":
        return _same_motion(plan, scale)
    timed = _slower_start(plan, scale)
    if held == "head speed":
        return _with_speed(timed, stated_speed(plan, club))
    shot = aim(plan, club)
    return _of_power(timed, shot.at_impact.head_speed, _power_of(shot), lambda other: _power_of(aim(other, club)))


def same_effort(plan: Plan, reference: Club, other: Club, *, first: Club | None = None) -> Plan:
    """The golfer as he swings another club with the effort that a first one takes: only his speed differs.

    He is aimed with his reference club still, at the head speed he would deliver with that one. Along a line: the
    mean power of the hands (`hold`) on the other club is that on the first, and the rates of arms and forearms at
    impact go with the speed. By torque: head speeds are in the ratio of the two clubs' under the same torques.

    Parameters
    ----------
    reference : the golfer's own club
    other : the one he swings
    first : the one whose effort is held; None: his own

    Raises
    ------
    InputError
        A recording, which has no effort to hold, or a swing that is not feasible.
    SimulationError
        The solver could not finish.
    """
    if isinstance(plan, RecordedPlan):
        raise InputError(f'swing "{plan.name}": a recording has no effort to hold; allowed: its motion')
    club = reference if first is None else first
    if other is club:
        return plan
    if isinstance(plan, TorquePlan):
        aimed = aim_torques(plan.golfer, reference, plan.target)
        was, now = (_speed_by_torque(aimed.golfer, c, plan.target) for c in (club, other))
        speed = aimed.at_impact.head_speed * now / was
        return replace(plan, target=replace(plan.target, head_speed=speed))
    shot = aim(plan, reference)

    def power(trial: SwingPlan, swung: Club) -> float:
        made = reference_along(aim(trial, reference), trial, reference)
        return mean_power(run_club(swung, made, HOLD), made.top, made.planned)

    return _of_power(plan, shot.at_impact.head_speed, power(plan, club), lambda trial: power(trial, other))


def _speed_by_torque(golfer: TorqueGolfer, club: Club, target: Target) -> float:
    run = swing_by_torque(golfer, club)
    return delivered(run, club.face, instant_of_attack(run, target.attack)).head_speed


def stated_speed(plan: SwingPlan, club: Club) -> float:
    """The head speed a plan states, or that its stated downswing time gives with its reference club, m/s."""
    if plan.target.head_speed is not None:
        return plan.target.head_speed
    return aim(plan, club).at_impact.head_speed


def _with_speed(plan: SwingPlan, speed: float) -> SwingPlan:
    """The plan with the head speed stated; the downswing time follows."""
    return replace(
        plan, tempo=replace(plan.tempo, downswing=None), target=replace(plan.target, head_speed=float(speed))
    )


def _as_fast(plan: SwingPlan, speed: float, factor: float) -> SwingPlan:
    """The plan at another head speed, m/s; the rates of arms and forearms at impact go with it."""
    return replace(
        _with_speed(plan, speed),
        arms=replace(plan.arms, rate_at_impact=factor * plan.arms.rate_at_impact),
        forearms=replace(plan.forearms, rate_at_impact=factor * plan.forearms.rate_at_impact),
    )


def _slower_start(plan: SwingPlan, scale: float) -> SwingPlan:
    """Backswing and transition in `scale` times the time."""
    tempo, wrists = plan.tempo, plan.wrists
    return replace(
        plan,
        tempo=replace(
            tempo,
            backswing=scale * tempo.backswing,
            transition_delay=scale * tempo.transition_delay,
            transition_width=scale * tempo.transition_width,
        ),
        wrists=replace(wrists, set_after_top=scale * wrists.set_after_top),
    )


def _same_motion(plan: SwingPlan, scale: float) -> SwingPlan:
    timed = _slower_start(plan, scale)
    arms, wrists, forearms = timed.arms, timed.wrists, timed.forearms
    downswing, speed, start = timed.tempo.downswing, timed.target.head_speed, timed.start
    return replace(
        timed,
        tempo=replace(timed.tempo, downswing=None if downswing is None else scale * downswing),
        arms=replace(
            arms,
            rate_at_impact=arms.rate_at_impact / scale,
            peak=scale * arms.peak,
            slowing_width=scale * arms.slowing_width,
        ),
        wrists=replace(
            wrists,
            couple_at_impact=wrists.couple_at_impact / scale**2,
            push=wrists.push / scale**2,
            fade=scale * wrists.fade,
            release_width=scale * wrists.release_width,
        ),
        forearms=replace(
            forearms, rate_at_impact=forearms.rate_at_impact / scale, onset_width=scale * forearms.onset_width
        ),
        target=replace(timed.target, head_speed=None if speed is None else speed / scale),
        start=None if start is None else replace(start, downswing=scale * start.downswing),
    )


def _power_of(shot: Shot) -> float:
    """Mean power of the hands on the reference club, W."""
    return mean_power(shot.run, shot.line.top, 0.0)


def _of_power(plan: SwingPlan, speed: float, wanted: float, power: Callable[[SwingPlan], float]) -> SwingPlan:
    """The plan with the head speed at which `power` (W) is `wanted`: secants on its cube root, from `speed`, m/s."""
    last: tuple[float, float] | None = None
    usual, slope = speed, 1.0 / speed  # of the cube root of the power over the wanted one
    for _ in range(MOST_PASSES):
        own = _as_fast(plan, speed, speed / usual)
        miss = math.cbrt(power(own) / wanted) - 1.0
        if abs(miss) < POWER_TOLERANCE / 3.0:
            return own
        if last is not None and speed != last[0]:
            slope = (miss - last[1]) / (speed - last[0])
        last = (speed, miss)
        if slope <= 0.0:
            break
        speed -= max(-0.1 * speed, min(0.1 * speed, miss / slope))
    raise InputError(
        f'swing "{plan.name}": no head speed was found at which it takes the same effort; allowed: a smaller change'
    )


def _slower_torques(plan: TorquePlan, scale: float, held: str, club: Club) -> TorquePlan:
    if held == "motion":
        return _same_motion_by_torque(plan, scale)
    golfer, target = plan.golfer, plan.target
    if held == "effort":
        golfer = aim_torques(golfer, club, target).golfer
        target = replace(target, head_speed=None)
    shoulders = replace(golfer.shoulders, onset=scale * golfer.shoulders.onset, rise=scale * golfer.shoulders.rise)
    return replace(plan, golfer=replace(golfer, shoulders=shoulders, settling=scale * golfer.settling), target=target)


def _in_time(effort: Effort, scale: float) -> Effort:
    """The same effort in `scale` times the time, as it takes for the same motion."""
    return replace(
        effort,
        size=effort.size / scale**2,
        onset=scale * effort.onset,
        rise=scale * effort.rise,
        hold=scale * effort.hold,
        fade=scale * effort.fade,
        fastest=effort.fastest / scale,
    )


def _same_motion_by_torque(plan: TorquePlan, scale: float) -> TorquePlan:
    """Torques divided by the scale twice, dampings once: the same equations in another time, but for gravity."""
    golfer = plan.golfer
    hinge, forearms = golfer.hinge, golfer.forearms
    timed = replace(
        golfer,
        shoulders=_in_time(golfer.shoulders, scale),
        release=_in_time(golfer.release, scale),
        roll=_in_time(golfer.roll, scale),
        hold_back=_in_time(golfer.hold_back, scale),
        settling=scale * golfer.settling,
        arms=replace(golfer.arms, travel=scale * golfer.arms.travel),
        wrist_damping=golfer.wrist_damping / scale,
        roll_damping=golfer.roll_damping / scale,
        hinge=replace(hinge, stiffness=hinge.stiffness / scale**2, damping=hinge.damping / scale),
        forearms=replace(forearms, stiffness=forearms.stiffness / scale**2, damping=forearms.damping / scale),
    )
    speed = plan.target.head_speed
    return replace(plan, golfer=timed, target=replace(plan.target, head_speed=None if speed is None else speed / scale))
