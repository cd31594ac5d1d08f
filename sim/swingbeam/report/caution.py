"""What is said wherever results are shown."""

from __future__ import annotations

IDEALISED = (
    "Simulation of an idealised club and golfer: it ranks and explains, and does not certify. "
    "Differences of face and loft are those before the golfer adapts."
)
WORKSHOP = (
    "Cutting and sanding shafts makes harmful dust and sharp splinters: protect eyes, lungs and hands. An "
    "over-trimmed, under-inserted or damaged shaft can break in play and injure: follow the component "
    "maker's limits, and the equipment rules in force where the club will be played."
)
CAUTION = f"{IDEALISED} {WORKSHOP}"
