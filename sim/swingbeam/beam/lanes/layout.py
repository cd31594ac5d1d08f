"""Where the lanes' solver keeps what: slots of a group of runs, plain numbers that all its lanes share.

A slot holds one number of every lane. First come the slots of `Group` below, then one block of `INTERVAL` slots for
each interval of the rods.
"""

from __future__ import annotations

ROW_LENGTH = 50
"""As of `history`, which kernels do not import."""
TWISTS = 1
BENDS = 4
STRAINS = TWISTS + 2 * BENDS
"""Strain functions: twist, then κ_y, then κ_z of the principal planes."""
FREE = 3
"""The root's unknowns; a held root keeps them at zero."""
N = FREE + STRAINS
PAIRS = N * (N + 1) // 2
"""Entries of a symmetric matrix, the upper triangle row by row."""
STEPS_BEHIND = 6
"""Steps before a step from whose stages its own are extrapolated."""


def pair(i: int, j: int) -> int:
    """Place of entry (i, j) of a symmetric matrix."""
    if i > j:
        i, j = j, i
    return i * N - i * (i - 1) // 2 + j - i


# -- slots of a group, in this order: (name, count)
_GROUP = (
    # the clubs and the hands, which stay
    ("TIP", 13),  # mass, offset of the CG, inertia about it; principal planes
    ("ROOT_INERTIA", 9),
    ("SPINE", 2),  # cosine and sine
    ("VISCOSITY", 2),  # bend, twist
    ("STIFFNESS_TWIST", TWISTS * TWISTS),
    ("STIFFNESS_Y", BENDS * BENDS),
    ("STIFFNESS_Z", BENDS * BENDS),
    ("YIELDS", 1),  # 1: the root yields, 0: it is held
    ("HANDS_STIFFNESS", 3),
    ("HANDS_DAMPING", 3),
    # unknowns, rates and accelerations at the node and at either stage
    ("NODE", 3 * N),
    ("FIRST", 3 * N),
    ("SECOND", 3 * N),
    ("ENDED", 3 * N),  # the node at the step's end, until it is known
    ("STAGES", 2 * STEPS_BEHIND * N),  # accelerations of the stages before, oldest first
    # one evaluation of the equations of motion
    ("ROOT", 42),
    ("CARRY", 24),  # from interval to interval along the rod
    ("REACH", 1),  # largest |θ|² of an interval, over its limit
    ("FORCES", 2 * N),
    ("CHANGE", 2 * N),
    # matrices
    ("MASS", PAIRS),
    ("MASS_BEFORE", PAIRS),
    ("NODE_FACTORS", PAIRS),
    ("SIMPLIFIED", 2 * PAIRS),  # real parts, then imaginary ones
    ("JACOBIAN", 6 * N),
    ("TANGENT", N * N),  # of the balance at rest
    ("TANGENT_FACTORS", N * N),
    ("WANTS", 1),  # 1: the lane's tangent has aged
    # what the Newton iteration knows
    ("RUNS", 1),  # 1: the lane's run goes on
    ("ACTIVE", 1),  # 1: its iteration goes on
    ("LAST", 1),  # size of the last change
    ("RATIO", 1),  # by how much a pass shrinks the change, not less than it was seen to
    ("PASSES", 1),
    ("ROW", ROW_LENGTH),
    ("COUPLES", 9),
)


def _places(layout: tuple[tuple[str, int], ...]) -> dict[str, int]:
    places, at = {}, 0
    for name, count in layout:
        places[name] = at
        at += count
    places["end"] = at
    return places


_AT = _places(_GROUP)
TIP = _AT["TIP"]
ROOT_INERTIA = _AT["ROOT_INERTIA"]
SPINE = _AT["SPINE"]
VISCOSITY = _AT["VISCOSITY"]
STIFFNESS_TWIST = _AT["STIFFNESS_TWIST"]
STIFFNESS_Y = _AT["STIFFNESS_Y"]
STIFFNESS_Z = _AT["STIFFNESS_Z"]
YIELDS = _AT["YIELDS"]
HANDS_STIFFNESS = _AT["HANDS_STIFFNESS"]
HANDS_DAMPING = _AT["HANDS_DAMPING"]
OWN = NODE = _AT["NODE"]
"""So many numbers state a club and its hands, besides its intervals."""
FIRST = _AT["FIRST"]
SECOND = _AT["SECOND"]
ENDED = _AT["ENDED"]
STAGES = _AT["STAGES"]
ROOT = _AT["ROOT"]
CARRY = _AT["CARRY"]
REACH = _AT["REACH"]
FORCES = _AT["FORCES"]
CHANGE = _AT["CHANGE"]
MASS = _AT["MASS"]
MASS_BEFORE = _AT["MASS_BEFORE"]
NODE_FACTORS = _AT["NODE_FACTORS"]
SIMPLIFIED = _AT["SIMPLIFIED"]
JACOBIAN = _AT["JACOBIAN"]
TANGENT = _AT["TANGENT"]
TANGENT_FACTORS = _AT["TANGENT_FACTORS"]
WANTS = _AT["WANTS"]
RUNS = _AT["RUNS"]
ACTIVE = _AT["ACTIVE"]
LAST = _AT["LAST"]
RATIO = _AT["RATIO"]
PASSES = _AT["PASSES"]
ROW = _AT["ROW"]
COUPLES = _AT["COUPLES"]
GROUP = _AT["end"]

# -- parts of NODE, FIRST, SECOND
X = 0
RATE = N
ACCELERATION = 2 * N

# -- entries of ROOT, as of `curvature_layout`, principal planes
ROOT_OMEGA = 0
ROOT_ALPHA = 3
ROOT_ACCELERATION = 6
ROOT_VELOCITY = 9
ROOT_TURN = 12
ROOT_THETA = 21
ROOT_THETA_RATE = 24
ROOT_THETA_ACCELERATION = 27
ROOT_FORCE = 30
ROOT_MOMENT = 33
ROOT_COUPLE = 36

# -- slots of an interval
_INTERVAL = (
    ("TWIST", 2 * TWISTS),  # integral of each function, then its first moment
    ("BEND_Y", 2 * BENDS),
    ("BEND_Z", 2 * BENDS),
    ("REST", 6),
    ("LENGTH", 1),
    ("WEIGHT", 1),  # kg, at the interval's end
    ("ROTARY", 1),
    ("E", 9),  # rotation from node to node
    ("D", 3),  # offset, and its rate
    ("D_RATE", 3),
    ("THETA", 3),
    ("I0", 3),  # ∫κ
    ("I1", 3),  # first moment of κ
    ("COEFFICIENTS", 4),  # b, c and their slopes
    ("P", 3),  # θ×η
    ("S", 3),  # θ×(θ×η)
    ("OMEGA", 3),  # of the node at the interval's end, with its rate and acceleration
    ("ALPHA", 3),
    ("NODE_ACCELERATION", 3),
    ("FORCE", 3),
    ("MOMENT", 3),
)
_ALONG = _places(_INTERVAL)
TWIST = _ALONG["TWIST"]
BEND_Y = _ALONG["BEND_Y"]
BEND_Z = _ALONG["BEND_Z"]
REST = _ALONG["REST"]
LENGTH = _ALONG["LENGTH"]
WEIGHT = _ALONG["WEIGHT"]
ROTARY = _ALONG["ROTARY"]
E = TABLES = _ALONG["E"]
"""So many numbers state an interval of a rod."""
D = _ALONG["D"]
D_RATE = _ALONG["D_RATE"]
THETA = _ALONG["THETA"]
I0 = _ALONG["I0"]
I1 = _ALONG["I1"]
COEFFICIENTS = _ALONG["COEFFICIENTS"]
P = _ALONG["P"]
S = _ALONG["S"]
OMEGA = _ALONG["OMEGA"]
ALPHA = _ALONG["ALPHA"]
NODE_ACCELERATION = _ALONG["NODE_ACCELERATION"]
FORCE = _ALONG["FORCE"]
MOMENT = _ALONG["MOMENT"]
INTERVAL = _ALONG["end"]

# -- plain numbers that all lanes share, one row an instant
IN_ROTATION = 0
IN_POSITION = 9
IN_VELOCITY = 12
IN_ACCELERATION = 15
IN_OMEGA = 18
IN_OMEGA_DOT = 21
IN_AXES = 24  # of the hands, in the motion's body axes, and their rate
IN_AXES_RATE = 33
IN_COUPLE = 42
IN_GRAVITY = 45
INPUTS = 48
