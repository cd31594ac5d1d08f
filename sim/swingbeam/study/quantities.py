"""The reported figures: one name, unit and description for each, whatever they are written to."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

_DEGREE = 180.0 / math.pi
_RPM = 30.0 / math.pi


@dataclass(frozen=True)
class Quantity:
    """A figure as people read it.

    Attributes
    ----------
    key : its name in JSON and HDF5, unit included
    attribute : its name in the record that holds it, SI
    scale : shown value = scale · SI value
    unit : in CF notation
    long_name : in words, with its sign
    label : short, for the head of a column, with the unit people write
    decimals : shown in a table
    """

    key: str
    attribute: str
    scale: float
    unit: str
    long_name: str
    label: str
    decimals: int

    def of(self, record: Any) -> float | None:
        """The shown value from a record, None where the record or the figure does not exist."""
        value = None if record is None else getattr(record, self.attribute)
        if value is None or not math.isfinite(value):
            return None
        return self.scale * value


UNLOAD = (
    Quantity("half_ms", "half", 1e3, "ms", "half-unload against impact (before −)", "half-unload\nms", 2),
    Quantity("straight_ms", "straight", 1e3, "ms", "last crossing from lag to lead", "straight\nms", 1),
    Quantity("crossings", "crossings", 1, "1", "crossings from lag to lead in the downswing", "cross-\nings", 0),
    Quantity("lag_peak_mm", "lag_peak", 1e3, "mm", "deepest in-plane bend of the downswing", "lag\nmm", 0),
    Quantity("lag_peak_ms", "lag_peak_at", 1e3, "ms", "instant of the deepest in-plane bend", "at\nms", 0),
    Quantity("kick_peak_mps", "kick_peak", 1, "m s-1", "largest rate of in-plane bend", "kick\nm/s", 1),
    Quantity("kick_peak_ms", "kick_peak_at", 1e3, "ms", "instant of the largest rate of bend", "at\nms", 0),
    Quantity("kick_at_impact_mps", "kick_at_impact", 1, "m s-1", "rate of bend at impact", "at impact\nm/s", 1),
    Quantity("left_in_shaft", "left_in_shaft", 1, "1", "strain energy at impact over its peak", "left in\nshaft", 2),
)
"""Unload figures, in the order of the JSON object; times against the club's own impact."""

RESOLUTION = Quantity(
    "resolution_ms",
    "resolution",
    1e3,
    "ms",
    "resolution of half-unload from damping halved and doubled",
    "±\nms",
    2,
)

IMPACT = (
    Quantity("face_angle_deg", "face_angle", _DEGREE, "degree", "face angle at face centre (open +)", "face\n°", 2),
    Quantity("dynamic_loft_deg", "dynamic_loft", _DEGREE, "degree", "dynamic loft at face centre", "loft\n°", 2),
    Quantity(
        "face_angle_at_strike_deg",
        "face_angle_at_strike",
        _DEGREE,
        "degree",
        "face angle at the strike point (open +)",
        "face at\nstrike °",
        2,
    ),
    Quantity(
        "dynamic_loft_at_strike_deg",
        "dynamic_loft_at_strike",
        _DEGREE,
        "degree",
        "dynamic loft at the strike point",
        "loft at\nstrike °",
        2,
    ),
    Quantity("toe_up_deg", "toe_up", _DEGREE, "degree", "toe above the level of the sole line +", "toe-up\n°", 2),
    Quantity("droop_mm", "droop", 1e3, "mm", "tip deflection toe-down +", "droop\nmm", 1),
    Quantity("lead_mm", "lead", 1e3, "mm", "tip deflection to the face-normal side +", "lead\nmm", 1),
    Quantity("in_plane_mm", "in_plane", 1e3, "mm", "tip deflection in the swing plane, lead +", "in plane\nmm", 1),
    Quantity("twist_deg", "twist", _DEGREE, "degree", "twist of the tip (opens the face +)", "twist\n°", 2),
    Quantity("attack_deg", "attack", _DEGREE, "degree", "attack angle of the head's CG (up +)", "attack\n°", 1),
    Quantity("path_deg", "path", _DEGREE, "degree", "path of the head's CG (in-to-out +)", "path\n°", 1),
    Quantity("head_speed_mps", "head_speed", 1, "m s-1", "speed of the head's CG", "speed\nm/s", 2),
    Quantity(
        "closure_dps",
        "closure",
        _DEGREE,
        "degree s-1",
        "rate of the face angle (closing +)",
        "closure\n°/s",
        0,
    ),
    Quantity(
        "strike_toe_mm",
        "strike_toe",
        1e3,
        "mm",
        "strike point from the face centre, toe-ward +",
        "strike\ntoe mm",
        1,
    ),
    Quantity("strike_up_mm", "strike_up", 1e3, "mm", "strike point from the face centre, up +", "strike\nup mm", 1),
    Quantity("arrives_ms", "arrives", 1e3, "ms", "own impact minus the planned one", "arrives\nms", 2),
)
"""Figures at impact, in the order of the JSON object."""

FACE_CENTRE_SPEED = Quantity(
    "face_centre_speed_mps",
    "face_centre_speed",
    1,
    "m s-1",
    "speed of the face centre",
    "face centre\nm/s",
    2,
)

SHOT = (
    Quantity("ball_speed_mps", "ball_speed", 1, "m s-1", "ball speed", "ball\nm/s", 2),
    Quantity("launch_angle_deg", "launch_angle", _DEGREE, "degree", "launch angle above level", "launch\n°", 2),
    Quantity(
        "launch_direction_deg",
        "launch_direction",
        _DEGREE,
        "degree",
        "launch direction (open-face side +)",
        "direction\n°",
        2,
    ),
    Quantity("spin_rpm", "spin_rate", _RPM, "rpm", "spin rate", "spin\nrpm", 0),
    Quantity("back_spin_rpm", "back_spin", _RPM, "rpm", "back spin", "back\nrpm", 0),
    Quantity("side_spin_rpm", "side_spin", _RPM, "rpm", "side spin (slice +, hook −)", "side\nrpm", 0),
    Quantity("spin_axis_deg", "spin_axis", _DEGREE, "degree", "tilt of the spin axis (slice +)", "axis\n°", 1),
    Quantity("carry_m", "carry", 1, "m", "carry along the target line", "carry\nm", 1),
    Quantity("side_m", "side", 1, "m", "side of the line it lands on (slice +)", "side\nm", 1),
    Quantity("apex_m", "apex", 1, "m", "greatest height above the tee", "apex\nm", 1),
    Quantity("descent_deg", "descent", _DEGREE, "degree", "descent angle as it lands", "descent\n°", 1),
    Quantity("flight_time_s", "flight_time", 1, "s", "time from face to ground", "time\ns", 2),
)
"""Launch and flight, in the order of the JSON object. For a left-hander the slice side is the left."""

CHANGES_UNDER = ("carry", "side")
"""Figures of a shot whose change is given under each hand mode."""

LANDING = (
    Quantity("landing_sd_carry_m", "carry", 1, "m", "swing-to-swing spread of carry, 1σ", "carry ±\nm", 1),
    Quantity("landing_sd_side_m", "side", 1, "m", "swing-to-swing spread of side, 1σ", "side ±\nm", 1),
    Quantity("landing_correlation", "correlation", 1, "1", "correlation of carry and side", "corre-\nlation", 2),
    Quantity("landing_mean_carry_m", "mean_carry", 1, "m", "mean carry over all swings, less that of the shot", "", 1),
    Quantity("landing_mean_side_m", "mean_side", 1, "m", "mean side over all swings, less that of the shot", "", 1),
)
"""Where one golfer's balls come down from swing to swing."""

CAUSES = ("rigid", "when", "reference", "hands", "bend", "twist")
"""The causes of face angle and dynamic loft, in their fixed order."""

STATIC = (
    Quantity(
        "frequency_cpm",
        "frequency",
        60.0,
        "min-1",
        "first bending frequency, cycles a minute",
        "frequency\ncpm",
        1,
    ),
    Quantity("torque_deg", "torque", _DEGREE, "degree", "twist under the torque test", "torque\n°", 2),
    Quantity(
        "kick_point_pct_from_tip",
        "kick_point",
        100.0,
        "percent",
        "kick point from the tip over raw length",
        "kick point\n% from tip",
        1,
    ),
    Quantity("mass_g", "mass", 1e3, "g", "mass of the raw shaft", "weight\ng", 1),
)

CURVES = (
    Quantity("curve_in_plane_mm", "in_plane", 1e3, "mm", "tip deflection in the swing plane, lead +", "", 1),
    Quantity("curve_lead_mm", "lead", 1e3, "mm", "tip deflection to the face-normal side +", "", 1),
    Quantity("curve_droop_mm", "droop", 1e3, "mm", "tip deflection toe-down +", "", 1),
    Quantity("curve_twist_deg", "twist", _DEGREE, "degree", "twist of the tip (opens the face +)", "", 2),
    Quantity("curve_hand_force_N", "hand_force", 1, "N", "size of the hands' force on the club", "", 0),
    Quantity("curve_hand_couple_Nm", "hand_couple", 1, "N m", "hands' couple about the swing plane's normal", "", 1),
)
"""Curves over the downswing, against time to the club's own impact."""


def shown(quantity: Quantity, value: float | None, *, sign: bool = False) -> str:
    """A value as a table shows it; a dash where there is none; no minus before zero."""
    if value is None:
        return "–"
    text = f"{value:{'+' if sign else ''}.{quantity.decimals}f}"
    return text.replace("-", "−") if text.strip("+-0.") else text.lstrip("+-")
