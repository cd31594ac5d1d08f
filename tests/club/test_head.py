"""Inertia: axes, reference points, and what no body can have."""

import numpy as np
import pytest

from club.made_up import head
from swingbeam.club.head import head_from_file, move_inertia, soled_axes
from swingbeam.files.base import parse_toml
from swingbeam.files.head_file import HeadFile
from swingbeam.units import InputError

TEXT = """
name = "A"
kind = "driver"
mass = "200 g"
loft = "10 deg"
lie = "{lie} deg"
hosel_height = "53 mm"
insertion = "32 mm"
cg = {{ along = "50 mm", rearward = "18 mm", toe = "34 mm" }}
face.centre = {{ along = "50 mm", forward = "12 mm", toe = "35 mm" }}
face.width = "105 mm"
face.height = "56 mm"

[inertia]
{inertia}
"""


def inertia(lines: str, lie: float = 58.0) -> np.ndarray:
    return head_from_file(parse_toml(TEXT.format(lie=lie, inertia=lines), HeadFile, source="a.toml")).inertia * 1e7


def test_rod_and_block_by_hand() -> None:
    # A rod m, L about its end: mL²/3 (from mL²/12 about its middle); rtol 1e-14: round-off.
    rod = np.diag([0.0, 1.0, 1.0]) * 2.0 * 3.0**2 / 12.0
    np.testing.assert_allclose(move_inertia(rod, 2.0, (1.5, 0, 0)), np.diag([0.0, 6.0, 6.0]), rtol=1e-14)
    # A block a, b, c about a corner: diagonal m(b² + c²)/3 …, off it −m ab/4 … (Goldstein §5-3, problems).
    a, b, c, m = 1.0, 2.0, 3.0, 5.0
    middle = m / 12.0 * np.diag([b * b + c * c, a * a + c * c, a * a + b * b])
    corner = m * np.array(
        [
            [(b * b + c * c) / 3, -a * b / 4, -a * c / 4],
            [-a * b / 4, (a * a + c * c) / 3, -b * c / 4],
            [-a * c / 4, -b * c / 4, (a * a + b * b) / 3],
        ]
    )
    np.testing.assert_allclose(move_inertia(middle, m, (a / 2, b / 2, c / 2)), corner, rtol=1e-14)


def test_positions_are_in_the_grip_frame() -> None:
    a = head_from_file(
        parse_toml(
            TEXT.format(lie=58, inertia='axes = "shaft"\nmoments = ["4000 g*cm^2", "3000 g*cm^2", "3500 g*cm^2"]'),
            HeadFile,
        )
    )
    np.testing.assert_allclose(a.cg, [0.05, -0.018, 0.034], rtol=1e-15)
    np.testing.assert_allclose(a.face_centre, [0.05, 0.012, 0.035], rtol=1e-15)
    np.testing.assert_allclose(a.inertia * 1e7, np.diag([4000.0, 3000.0, 3500.0]), rtol=1e-12)


def test_axes_of_the_soled_head() -> None:
    lines = 'axes = "head"\nmoments = ["2600 g*cm^2", "3100 g*cm^2", "4800 g*cm^2"]'
    # With the shaft upright (lie near 90 degrees would be refused, 88 is not): up is −x, toe is z, forward y.
    np.testing.assert_allclose(
        inertia(lines, 88.0),
        np.diag([4800.0, 2600.0, 3100.0]),
        rtol=0.0,
        atol=1700.0 * np.sin(np.radians(2.0)) + 1,
    )
    # At 45 degrees the shaft lies half-way between down and toe: I_xx = I_zz = (3100 + 4800)/2 and
    # I_xz = −(4800 − 3100)/2 with x = (toe − up)/√2, z = (toe + up)/√2: I_xz = (3100 − 4800)/2.
    np.testing.assert_allclose(
        inertia(lines, 45.0),
        [[3950.0, 0.0, -850.0], [0.0, 2600.0, 0.0], [-850.0, 0.0, 3950.0]],
        rtol=0.0,
        atol=1e-9,
    )


def test_a_tensor_turns_like_its_moments() -> None:
    tensor = np.array([[2600.0, 40.0, -70.0], [40.0, 3100.0, 120.0], [-70.0, 120.0, 4800.0]])
    rows = ", ".join("[" + ", ".join(f'"{v} g*cm^2"' for v in row) + "]" for row in tensor)
    found = inertia(f'axes = "head"\ntensor = [{rows}]', 45.0)
    r = np.sqrt(0.5)
    # Columns: forward, toe, up in the grip frame at a lie of 45 degrees.
    turn = np.array([[0.0, r, -r], [1.0, 0.0, 0.0], [0.0, r, r]])
    np.testing.assert_allclose(found, turn @ tensor @ turn.T, rtol=0.0, atol=1e-9)


@pytest.mark.parametrize(
    ("about", "offset"),
    [
        ('about = "hosel mouth"', (0.05, -0.018, 0.034)),
        ('point = { along = "0 mm", rearward = "0 mm", toe = "0 mm" }', (0.05, -0.018, 0.034)),
        ('point = { along = "50 mm", rearward = "18 mm", toe = "0 mm" }', (0.0, 0.0, 0.034)),
    ],
)
def test_another_point_moves_back_to_the_cg(about: str, offset: tuple[float, float, float]) -> None:
    at_cg = np.diag([4000.0, 3000.0, 3500.0])
    stated = move_inertia(at_cg * 1e-7, 0.2, offset) * 1e7
    rows = ", ".join("[" + ", ".join(f'"{v!r} g*cm^2"' for v in row) + "]" for row in stated.tolist())
    # atol 1e-8 g·cm²: round-off of 1e4.
    np.testing.assert_allclose(inertia(f'axes = "shaft"\n{about}\ntensor = [{rows}]'), at_cg, rtol=0.0, atol=1e-8)


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        ('axes = "shaft"\nmoments = ["1000 g*cm^2", "1000 g*cm^2", "2100 g*cm^2"]', "larger than the sum"),
        ('axes = "shaft"\nmoments = ["-1000 g*cm^2", "1000 g*cm^2", "1000 g*cm^2"]', "allowed: positive"),
        ('axes = "shaft"\nmoments = ["0 g*cm^2", "1000 g*cm^2", "1000 g*cm^2"]', "allowed: positive"),
        (
            'axes = "shaft"\nabout = "hosel mouth"\nmoments = ["4000 g*cm^2", "4000 g*cm^2", "4000 g*cm^2"]',
            "found principal moments",
        ),
        ('axes = "shaft"\nmoments = ["1000 g*cm^2", "1000 g*cm^2"]', "inertia.moments"),
        ('axes = "shaft"', "found neither of moments and tensor"),
        (
            'axes = "shaft"\n'
            'tensor = [["4000 g*cm^2", "9 g*cm^2", "0 g*cm^2"], ["0 g*cm^2", "3000 g*cm^2", '
            '"0 g*cm^2"], ["0 g*cm^2", "0 g*cm^2", "3500 g*cm^2"]]',
            "unequal entries across the diagonal",
        ),
        (
            'axes = "shaft"\n'
            'tensor = [["4000 g*cm^2", "3900 g*cm^2", "0 g*cm^2"], ["3900 g*cm^2", "3000 g*cm^2", '
            '"0 g*cm^2"], ["0 g*cm^2", "0 g*cm^2", "3500 g*cm^2"]]',
            "allowed: positive",
        ),
        ('moments = ["1000 g*cm^2", "1000 g*cm^2", "1000 g*cm^2"]', "inertia.axes: missing key"),
        ('axes = "shaft"\nmoments = ["1000 kg", "1000 g*cm^2", "1000 g*cm^2"]', "inertia.moments #1"),
    ],
)  # fmt: skip
def test_unphysical_or_unclear_inertia_is_refused(lines: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        inertia(lines)
    assert says in str(caught.value)


def test_a_made_up_head_is_checked_as_well() -> None:
    with pytest.raises(InputError, match="larger than the sum"):
        head(inertia=np.diag([1e-4, 1e-4, 3e-4]))
    with pytest.raises(InputError, match="not a finite"):
        head(inertia=np.full((3, 3), np.nan))


def test_soled_axes_are_a_rotation() -> None:
    for lie in (0.6, 1.0, 1.5):
        axes = soled_axes(lie)
        np.testing.assert_allclose(axes.T @ axes, np.eye(3), rtol=0.0, atol=1e-15)
        assert np.linalg.det(axes) == pytest.approx(1.0, rel=1e-14)
        # The shaft axis x, seen in the world, runs down and away from the golfer at the lie angle.
        np.testing.assert_allclose(axes.T @ [1.0, 0.0, 0.0], [0.0, -np.cos(lie), -np.sin(lie)], rtol=1e-15)
