"""What arrives at the ball: contact, presentation of the face, its causes, unload timing and ranking."""

from __future__ import annotations

from .contact import BALL_RADIUS, Contact, Strike, ball_event, find_contact, penetration, strike
from .decompose import Causes, decompose
from .presentation import Impact, present
from .ranking import Agreement, agreement, order_statement, rank_by, resolution
from .unload import Unload, read_unload, unload

__all__ = [
    "BALL_RADIUS",
    "Agreement",
    "Causes",
    "Contact",
    "Impact",
    "Strike",
    "Unload",
    "agreement",
    "ball_event",
    "decompose",
    "find_contact",
    "order_statement",
    "penetration",
    "present",
    "rank_by",
    "read_unload",
    "resolution",
    "strike",
    "unload",
]
