"""What the page's script moves: the chosen clubs over the downswing, and their curves, as short JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

import numpy as np
from markupsafe import Markup
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from swingbeam.study.quantities import CURVES
from swingbeam.study.result import Curves, RankResult, Replay
from swingbeam.study.store_looks import quaternions

from .choose import Chosen
from .figures import CURVE_CHARTS

Array = NDArray[np.float64]


def replay_object(result: RankResult, chosen: Sequence[Chosen]) -> dict[str, Any] | None:
    """The replay as plain lists; None where no chosen club has one.

    Lengths are in mm, whole ones in the world and tenths along the shaft; turns of the tip against the grip are
    rotation vectors in the grip frame, in milliradians, so that they can be enlarged; times are ms to impact.
    """
    kept = [(c, c.run.replay, c.run.curves) for c in chosen if c.run.replay is not None and c.run.curves is not None]
    if not kept:
        return None
    hub = result.reference_run.replay.hub if result.reference_run.replay is not None else None
    return {
        "leftHanded": result.left_handed,
        "t": _rounded(1e3 * kept[0][1].t, 3),
        "hub": None if hub is None else _rounded(1e3 * hub, 0),
        "clubs": [
            {
                "name": c.name,
                "colour": c.look.colour,
                "dashes": c.look.dashes,
                **_poses(replay),
                "curves": _curves(curves),
            }
            for c, replay, curves in kept
        ],
    }


def replay_json(found: dict[str, Any] | None) -> Markup:
    """JSON that may stand inside a script element: no < can end it."""
    text = json.dumps(found, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    return Markup(text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026"))


def _poses(replay: Replay) -> dict[str, Any]:
    grip = replay.grip_rotation
    away = replay.axis - replay.axis[:, :1]
    shape = np.einsum("nji,nkj->nki", grip, away)
    turn = Rotation.from_matrix(np.swapaxes(grip, 1, 2) @ replay.tip_rotation).as_rotvec()
    return {
        "hands": _rounded(1e3 * replay.axis[:, 0], 0),
        "grip": _rounded(quaternions(grip), 4),
        "shape": _rounded(1e3 * shape, 1),
        "turn": _rounded(1e3 * turn, 1),
        "rim": _rounded(1e3 * replay.rim, 1),
        "cg": _rounded(1e3 * replay.head_cg, 1),
        "ball": _rounded(1e3 * replay.ball, 0),
    }


def _curves(curves: Curves) -> dict[str, Any]:
    by_key = {q.key: q for q in CURVES}
    shown: dict[str, Any] = {"t": _rounded(1e3 * curves.t, 1)}
    for key, _, _ in CURVE_CHARTS:
        q = by_key[key]
        shown[key] = _rounded(q.scale * getattr(curves, q.attribute), q.decimals + 1)
    return shown


def _rounded(values: Array, places: int) -> Any:
    kept = np.round(np.asarray(values, dtype=float), places) + 0.0  # no −0
    return (kept.astype(int) if places == 0 else kept).tolist()
