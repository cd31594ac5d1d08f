"""Numbers side by side: what is fused, what is chosen, and the series of the exponential."""

from __future__ import annotations

import math
import sys
from fractions import Fraction

import numba
import numpy as np
import pytest

from swingbeam.beam import compiled, lanes
from swingbeam.beam.lanes import support, vectors
from swingbeam.beam.lanes.lane_numbers import choose, larger
from swingbeam.beam.lanes.pieces import lane_piece, memory

needs_lanes = pytest.mark.skipif(lanes.unavailable() is not None, reason=str(lanes.unavailable()))


def computed(piece, width, *columns, shared=()):
    """Slots after a piece was run on slots that hold the columns (one number a lane each)."""

    @numba.njit
    def run(slots, shared):
        return piece(slots, shared, 0, 0)

    slots, plain = memory(16, width)
    for k, column in enumerate(columns):
        plain[k * width : (k + 1) * width] = column
    answer = run(slots, np.array([*shared, 0.0]))
    return answer, plain.reshape(16, width)


@lane_piece
def _sums(a):
    x, y, z = a[0], a[1], a[2]
    a[3] = x * y - z
    whole = x * y
    partial = x + y
    a[4] = z - whole
    a[5] = partial - z
    a[6] = partial * z
    a[7] = -(x * y) - z * z
    a[8] = 0.0 * x + 1.0 * y


@needs_lanes
@pytest.mark.parametrize("width", [1, 4, 8])
def test_products_are_fused_into_sums_and_nothing_else(width):
    """Against rational arithmetic, rounded where the text says that it is."""
    r = np.random.default_rng(3)
    x, y, z = r.uniform(-2.0, 2.0, (3, width))
    z = x * y * (1.0 + 2.0**-40)  # most digits cancel: what was rounded before shows
    _, out = computed(_sums, width, x, y, z)
    for k in range(width):
        a, b, c = (Fraction(float(v[k])) for v in (x, y, z))
        rounded = Fraction(float(x[k] + y[k]))
        square = Fraction(float(z[k] * z[k]))
        assert out[3, k] == float(a * b - c)
        assert out[4, k] == float(c - a * b)
        assert out[5, k] == float(rounded - c)
        assert out[6, k] == float(rounded * c)
        assert out[7, k] in (float(-a * b - square), float(-Fraction(float(x[k] * y[k])) - c * c))
        assert out[8, k] == y[k]


@lane_piece
def _choices(shared, a) -> bool:
    x, y = a[0], a[1]
    a[2] = choose(x < y, 1.0, 2.0)
    a[3] = choose(x <= y, 1.0, 2.0)
    a[4] = choose(x > shared[0], x, y)
    a[5] = larger(x, y)
    a[6] = choose((x < y) & ~(y > 2.0), 1.0, 0.0)
    a[7] = abs(x)
    a[0] = y
    a[8] = a[0] + x
    return x > 4.0


@needs_lanes
def test_choices_are_made_lane_by_lane_and_nan_compares_false():
    nan = math.nan
    x = np.array([1.0, 2.0, nan, -3.0])
    y = np.array([2.0, 2.0, 1.0, nan])
    answer, out = computed(_choices, 4, x, y, shared=(1.5,))
    assert not answer
    np.testing.assert_array_equal(out[2], [1.0, 2.0, 2.0, 2.0])
    np.testing.assert_array_equal(out[3], [1.0, 1.0, 2.0, 2.0])
    np.testing.assert_array_equal(out[4], [2.0, 2.0, 1.0, nan])
    np.testing.assert_array_equal(out[5], [2.0, 2.0, 1.0, nan])
    np.testing.assert_array_equal(out[6], [1.0, 0.0, 0.0, 0.0])
    np.testing.assert_array_equal(out[7], [1.0, 2.0, nan, 3.0])
    # What was in a slot before the piece wrote there is not lost, and what it wrote is read back.
    np.testing.assert_array_equal(out[0], y)
    np.testing.assert_array_equal(out[8], x + y)
    for lane in range(4):
        one = x.copy()
        one[lane] = 5.0
        assert computed(_choices, 4, one, y, shared=(1.5,))[0]


@pytest.mark.parametrize(("terms", "limit"), [(6, vectors.LARGEST), (8, vectors.LARGEST_YIELD)])
def test_the_series_reach_rounding_over_their_range(terms, limit):
    """Against the power series in rational arithmetic: b = Σ (−t)^j/(2j+2)!, c = Σ (−t)^j/(2j+3)!, and slopes."""
    for t in (0.0, 1e-9, 0.01, 0.5 * limit, limit):
        exact = []
        for first in (2, 3):
            powers = [Fraction((-1) ** j, math.factorial(2 * j + first)) for j in range(24)]
            for slope in range(3):
                terms_of = [
                    c * math.perm(j, slope) * Fraction(t) ** (j - slope) for j, c in enumerate(powers) if j >= slope
                ]
                exact.append(float(sum(terms_of)))
        b, db, ddb, c, dc, ddc = exact
        found = vectors.exponential_series(t, terms)
        # A handful of roundings each; differences of like terms in the slopes cost a digit.
        np.testing.assert_allclose(found, [b, c, db, dc, ddb, ddc], rtol=4e-15, atol=0)


@needs_lanes
def test_memory_begins_where_a_cache_line_does():
    for width in (1, 4, 8):
        slots, plain = memory(5, width)
        assert plain.ctypes.data % 64 == 0
        assert slots.ctypes.data == plain.ctypes.data
        assert plain.size == 5 * width


@pytest.fixture
def fresh():
    """What is known of the machine is asked anew, before and after."""
    cached = (support.unavailable, support.lane_width)
    for function in cached:
        function.cache_clear()
    yield
    for function in cached:
        function.cache_clear()


def test_a_machine_without_fused_multiply_add_is_told_so(monkeypatch, fresh):
    monkeypatch.setattr(support, "_features", lambda: {"sse2": True})
    assert support.unavailable() == "this processor has no fused multiply-add"
    assert support.lane_width() == 1


def test_no_compilation_no_lanes(monkeypatch, fresh):
    monkeypatch.setattr(numba.config, "DISABLE_JIT", True)
    assert "NUMBA_DISABLE_JIT" in support.unavailable()


def test_a_numba_that_does_not_build_them_is_told_so(monkeypatch, fresh):
    class Broken:
        def __getattr__(self, name):
            raise TypeError("vectors are not known")

    monkeypatch.setitem(sys.modules, "swingbeam.beam.lanes.probe", Broken())
    monkeypatch.setattr(support, "_features", lambda: {"fma": True, "avx2": True})
    assert "does not build them" in support.unavailable()
    assert support.lane_width() == 4


def test_the_kernels_cache_depends_on_the_lanes_sources():
    names = {f.name for f in compiled.kernel_sources() if f.parent.name == "lanes"}
    assert {"kernel.py", "chain.py", "lane_numbers.py", "layout.py", "pieces.py", "vectors.py"} <= names
