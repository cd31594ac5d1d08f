"""A made-up ranking of a dozen shafts: numbers of a believable size, from no simulation."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from study.made_up_looks import look, replay, under
from swingbeam.delivery.decompose import Causes
from swingbeam.delivery.doubt import LandingSpread
from swingbeam.delivery.presentation import Impact
from swingbeam.delivery.ranking import agreement
from swingbeam.delivery.shot import Shot
from swingbeam.delivery.unload import Unload
from swingbeam.study.result import ClubRun, Curves, Difference, RankResult, ShotRecord, StaticReadings, Verification

NAMES = (
    "larch-45-l",
    "larch-50-a",
    "larch-55-r",
    "larch-60-s",
    "tern-50-r",
    "tern-60-s",
    "tern-65-x",
    "tern-70-x",
    "quarry-60-r",
    "quarry-70-s",
    "quarry-80-x",
    "twin-soft",
)
RADIAN = np.pi / 180.0


def curves(lag: float, lead: float, droop: float, twist: float) -> Curves:
    t = np.linspace(-0.28, 0.0, 281)
    x = (t + 0.28) / 0.28
    bend = -lag * np.sin(np.pi * np.clip(x / 0.85, 0.0, 1.0)) ** 2 + lead * np.clip((x - 0.8) / 0.2, 0.0, 1.0) ** 2
    return Curves(t, bend, 0.9 * bend, droop * x**6, twist * x**4, 400.0 * x**2, 20.0 * np.sin(np.pi * x) - 5.0 * x**8)


def flight(k: float) -> ShotRecord:
    """A shot whose carry and side change with k; one change is below its error, one turns round under effort."""
    shot = Shot(66.0 + 0.1 * k, 0.2 - 0.02 * k, 0.001, 300.0, 298.0, 34.0, 0.11, 205.0 + 3.0 * k, 11.0, 27.8, 0.66, 6.4)
    change = Shot(0.1 * k, -0.02 * k, 0.0, 0.0, 0.0, 0.0, 0.0, 3.0 * k, -2.0 * k, 0.5 * k, 0.01 * k, 0.1 * k)
    turned = Shot(*(-v for v in vars(change).values()))
    error = Shot(*([0.5] * 12))
    return ShotRecord(
        shot,
        error,
        change,
        Shot(0.05, 0.001, 0.001, 2.0, 2.0, 2.0, 0.005, 0.4, 0.5, 0.6, 0.002, 0.02),
        LandingSpread(5.0, 20.0, -0.5, -3.0, 0.2),
        {"vice": change, "hold": change, "effort": Shot(**{**vars(change), "side": turned.side})},
    )


def club(i: int, name: str, rank: int) -> ClubRun:
    k = i / 11.0
    impact = Impact(
        face_angle=(0.4 - 0.5 * k) * RADIAN,
        dynamic_loft=(14.2 - 1.4 * k) * RADIAN,
        face_angle_at_strike=(0.9 - 0.6 * k) * RADIAN,
        dynamic_loft_at_strike=(14.6 - 1.5 * k) * RADIAN,
        toe_up=(-2.1 + 0.8 * k) * RADIAN,
        droop=0.031 - 0.008 * k,
        lead=0.042 - 0.02 * k,
        in_plane=0.04 - 0.019 * k,
        twist=(0.4 - 0.3 * k) * RADIAN,
        attack=1.0 * RADIAN,
        path=-0.5 * RADIAN,
        head_speed=46.0 + 0.2 * k,
        face_centre_speed=47.5 + 0.2 * k,
        closure=2500.0 * RADIAN,
        strike_toe=0.003 * k,
        strike_up=-0.002 * k,
        arrives=-0.0004 * k,
    )
    change = impact.minus(impact)
    return ClubRun(
        shaft=name,
        status="ok",
        rank=rank,
        unload=Unload(
            half=-0.0480 + 0.0002 * i,
            straight=-0.04 + 0.0003 * i,
            crossings=1,
            state="",
            lag_peak=-0.12 + 0.004 * i,
            lag_peak_at=-0.12,
            kick_peak=3.0 - 0.1 * k,
            kick_peak_at=-0.03,
            kick_at_impact=1.0,
            left_in_shaft=0.21,
        ),
        resolution=0.15e-3,
        impact=impact,
        change=change,
        face=Causes(0.003, -0.001, 0.002, 0.0001, 0.001, 0.0002),
        loft=Causes(0.18, 0.001, 0.002, 0.0001, 0.04, 0.0002),
        order_under={"vice": rank, "hold": rank, "effort": None},
        static=StaticReadings("R", 4.0 + 0.05 * i, 4.5 * RADIAN, 0.46, 0.045 + 0.003 * i, "invented set-up"),
        flight=flight(k),
        curves=curves(0.12 - 0.004 * i, 0.04 - 0.0017 * i, 0.031 - 0.0007 * i, (0.4 - 0.03 * i) * RADIAN),
        reasons={"effort": "no convergence under effort"},
        under=under(i),
        replay=replay(0.12 - 0.004 * i, 0.04 - 0.0017 * i),
        look=look(20.0 + 2.0 * i),
    )


def ranking(*, failing: bool = True, verified: bool = True) -> RankResult:
    runs = [club(i, name, i + 1) for i, name in enumerate(NAMES)]
    if failing:
        runs.append(ClubRun("reed-35-l", "failed", reasons={"status": "no convergence at 0.9 s"}))
    half = [None if run.unload is None else run.unload.half for run in runs]
    weights = [None if run.static is None else run.static.mass for run in runs]
    return RankResult(
        scenario="made_up",
        golfer="nobody",
        reference=NAMES[3],
        hands="hold",
        ball="re-aimed",
        solver="curvature",
        runs=tuple(runs),
        reference_run=replace(runs[3], replay=replay(0.108, 0.0349, hub=True)),
        downswing=0.28,
        agreements=(agreement("weight", weights, "timing", half, "heavier unloads later", "heavier unloads earlier"),),
        statement="Timing order under hold: it holds under vice.",
        notes=("Everything here is made up.",),
        inputs=(("made_up.toml", 'title = "made up"\n'),),
        digest="0" * 64,
        version="0.0.0",
        air="20 °C, no wind",
        repeatability="a made-up repeatability: face 1.5°",
        question="Which of these made-up shafts unloads first?",
        verification=Verification("elements", (Difference("half_ms", NAMES[0], 1e-5),), ()) if verified else None,
    )
