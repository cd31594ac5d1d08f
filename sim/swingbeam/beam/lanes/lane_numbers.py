"""Numbers that stand side by side in the lanes of one SIMD register, written as ordinary arithmetic.

A `Number` is one real number a lane: in LLVM a value of type ``<W x double>``, W lanes wide. The pieces of the solver
are Python functions of such numbers. A piece is run once, when the kernel is compiled, and what it computes is kept
as a graph; the graph becomes straight-line LLVM code (`Writer`). Nothing of this runs while a kernel does.

Arithmetic is strict: no flag lets LLVM reorder, contract or assume anything. What is fused is decided here, from the
text alone, so that a lane's bits depend neither on W nor on its neighbours: a sum of products becomes a chain of fused
multiply-adds in the order in which its terms are written, brackets of plus and minus opened, and a partial sum that
is used elsewhere too is rounded once. Only plus, minus, times, divide, comparison and choice occur: every one of
them is exact to the last bit in any IEEE arithmetic, whatever the width (IEEE 754-2019, §5.4.1).
"""

from __future__ import annotations

from itertools import count
from typing import Any

import llvmlite.ir as ir  # type: ignore[import-untyped]

_DOUBLE = ir.DoubleType()
_BIT = ir.IntType(1)
_INDEX = ir.IntType(64)
_LANE = ir.IntType(32)
_LONGEST_CHAIN = 8
"""Terms of a sum that wait for each other; longer sums are added up in two halves."""


_TEXT = count()
"""Places in the text of the pieces, in the order in which they are run."""
_KEPT = ("sum", "quotient", "choice")


class Number:
    """One real number a lane; what it is made of, and its LLVM value once it is written."""

    __slots__ = ("kind", "parts", "place", "uses", "value")

    def __init__(self, kind: str, *parts: Any) -> None:
        self.kind, self.parts = kind, parts
        self.place = next(_TEXT)
        self.uses = 0
        self.value: Any = None

    def __add__(self, other: Any) -> Any:
        return self if _is_nought(other) else Number("sum", (1, self), (1, number(other)))

    __radd__ = __add__

    def __sub__(self, other: Any) -> Any:
        return self if _is_nought(other) else Number("sum", (1, self), (-1, number(other)))

    def __rsub__(self, other: Any) -> Any:
        return -self if _is_nought(other) else Number("sum", (1, number(other)), (-1, self))

    def __neg__(self) -> Any:
        return Number("sum", (-1, self))

    def __mul__(self, other: Any) -> Any:
        # A factor of nought or one that stands in the text is not computed with.
        if not isinstance(other, Number):
            if not isinstance(other, int | float):
                return NotImplemented
            if other == 0.0:
                return 0.0
            if other == 1.0:
                return self
        return Number("product", self, number(other))

    __rmul__ = __mul__

    def __truediv__(self, other: Any) -> Any:
        return Number("quotient", self, number(other))

    def __rtruediv__(self, other: Any) -> Any:
        return Number("quotient", number(other), self)

    def __lt__(self, other: Any) -> Any:
        return Number("less", self, number(other))

    def __gt__(self, other: Any) -> Any:
        return Number("less", number(other), self)

    def __le__(self, other: Any) -> Any:
        return Number("at most", self, number(other))

    def __and__(self, other: Any) -> Any:
        return Number("and", self, other)

    def __invert__(self) -> Any:
        return Number("not", self)

    def __abs__(self) -> Any:
        return Number("size", self)


def _is_nought(other: Any) -> bool:
    return not isinstance(other, Number) and other == 0.0


def number(value: Any) -> Number:
    """A Python number as the same number in every lane."""
    return value if isinstance(value, Number) else Number("constant", float(value))


def choose(condition: Number, yes: Any, no: Any) -> Number:
    """Lane by lane one of two numbers; comparisons with what is not a number are false."""
    return Number("choice", condition, number(yes), number(no))


def larger(a: Number, b: Any) -> Number:
    """Lane by lane the larger; b where a is not a number."""
    return choose(a > b, a, b)


class Slots:
    """Numbers in memory, W side by side in each slot, from some slot on; loaded and stored by their index."""

    def __init__(self, writer: Writer, base: Any, first: int = 0) -> None:
        self.writer, self.base, self.first = writer, base, first

    def __getitem__(self, index: int) -> Number:
        return self.writer.loaded(self.base, self.first + index)

    def __setitem__(self, index: int, value: Any) -> None:
        self.writer.stored(self.base, self.first + index, number(value))

    def at(self, first: int) -> Slots:
        """The slots from a further one on."""
        return Slots(self.writer, self.base, self.first + first)


class Shared:
    """Plain numbers in memory that all lanes share."""

    def __init__(self, writer: Writer, base: Any) -> None:
        self.writer, self.base = writer, base

    def __getitem__(self, index: int) -> Number:
        return self.writer.spread(self.base, index)


class Writer:
    """Turns the graph of a piece into LLVM code."""

    def __init__(self, builder: Any, width: int) -> None:
        self.builder, self.width = builder, width
        self.vector = ir.VectorType(_DOUBLE, width)
        self.latest: dict[tuple[int, int], Number] = {}
        self.spreads: dict[tuple[int, int], Number] = {}
        self.stores: dict[tuple[int, int], tuple[int, Any, int, Number]] = {}
        self.needed: list[Number] = []
        self.read: dict[tuple[int, int], Number] = {}
        self.fma = self._intrinsic("fma", 3)
        self.fabs = self._intrinsic("fabs", 1)

    def _intrinsic(self, name: str, operands: int) -> Any:
        module = self.builder.module
        full = f"llvm.{name}.v{self.width}f64"
        if full not in module.globals:
            ir.Function(module, ir.FunctionType(self.vector, [self.vector] * operands), full)
        return module.globals[full]

    # -- what a piece does ------------------------------------------------------------------------------------
    def loaded(self, base: Any, index: int) -> Number:
        """What a slot holds: what the piece put there last, else what it held when the piece began."""
        key = (id(base), index)
        if key not in self.latest:
            self.latest[key] = self.read[key] = Number("load", base, index)
        return self.latest[key]

    def spread(self, base: Any, index: int) -> Number:
        """A plain number in every lane."""
        key = (id(base), index)
        if key not in self.spreads:
            self.spreads[key] = Number("spread", base, index)
        return self.spreads[key]

    def stored(self, base: Any, index: int, value: Number) -> None:
        """Put a number into a slot; of several only the last is kept."""
        key = (id(base), index)
        self.stores[key] = (next(_TEXT), base, index, value)
        self.latest[key] = value

    # -- what becomes of it -----------------------------------------------------------------------------------
    def finish(self, answer: Number | None = None) -> Any:
        """Write everything that was stored; returns the LLVM bit of whether `answer` holds in any lane.

        In the order of the text, so that a piece can be written for short lives of what it computes; what is used
        once is computed where it is used.
        """
        for _, _, _, value in self.stores.values():
            self._count(value)
        if answer is not None:
            self._count(answer)
        steps: list[tuple[int, Any]] = [(value.place, value) for value in self.needed]
        steps += [(place, key) for key, (place, _, _, _) in self.stores.items()]
        for _, step in sorted(steps, key=lambda pair: pair[0]):
            if isinstance(step, Number):
                self.write(step)
                continue
            _, base, index, value = self.stores[step]
            written = self.write(value)
            held = self.read.get(step)
            if held is not None and held.uses:
                self.write(held)  # before it is written over
            self.builder.store(written, self._place(base, index), align=self._alignment())
        if answer is None:
            return None
        packed = self.builder.bitcast(self.write(answer), ir.IntType(self.width))
        return self.builder.icmp_unsigned("!=", packed, ir.Constant(packed.type, 0))

    def _count(self, value: Number) -> None:
        value.uses += 1
        if value.uses == 2 and value.kind in _KEPT:
            self.needed.append(value)
        if value.uses == 1:
            for part in value.parts:
                if isinstance(part, Number):
                    self._count(part)
                elif isinstance(part, tuple):
                    self._count(part[1])

    def _alignment(self) -> int:
        return 8 * self.width

    def _place(self, base: Any, index: int) -> Any:
        at = self.builder.gep(base, [ir.Constant(_INDEX, index * self.width)], inbounds=True)
        return self.builder.bitcast(at, self.vector.as_pointer())

    def write(self, value: Number) -> Any:
        """The LLVM value of a number, written when it is first needed."""
        if value.value is None:
            value.value = getattr(self, "_" + value.kind.replace(" ", "_"))(*value.parts)
        return value.value

    def _splat(self, scalar: Any) -> Any:
        one = self.builder.insert_element(ir.Constant(self.vector, ir.Undefined), scalar, ir.Constant(_LANE, 0))
        order = ir.Constant(ir.VectorType(_LANE, self.width), [0] * self.width)
        return self.builder.shuffle_vector(one, ir.Constant(self.vector, ir.Undefined), order)

    def _constant(self, value: float) -> Any:
        return ir.Constant(self.vector, [value] * self.width)

    def _load(self, base: Any, index: int) -> Any:
        return self.builder.load(self._place(base, index), align=self._alignment())

    def _spread(self, base: Any, index: int) -> Any:
        at = self.builder.gep(base, [ir.Constant(_INDEX, index)], inbounds=True)
        return self._splat(self.builder.load(at, align=8))

    def _terms(self, sign: int, value: Number) -> list[tuple[int, Number]]:
        """The terms of a sum, those of partial sums that nothing else uses among them."""
        if value.value is None and value.kind == "sum" and (len(value.parts) == 1 or value.uses <= 1):
            return [term for s, part in value.parts for term in self._terms(sign * s, part)]
        return [(sign, value)]

    def _sum(self, *parts: tuple[int, Number]) -> Any:
        return self._chain([term for sign, part in parts for term in self._terms(sign, part)])

    def _chain(self, terms: list[tuple[int, Number]]) -> Any:
        if len(terms) > _LONGEST_CHAIN:
            half = len(terms) // 2
            return self.builder.fadd(self._chain(terms[:half]), self._chain(terms[half:]))
        # A plain number first: every product after it is fused.
        first = next((i for i, (_, t) in enumerate(terms) if not self._fuses(t)), None)
        if first is None:
            first = next((i for i, (s, _) in enumerate(terms) if s > 0), 0)
        sign, value = terms[first]
        total = self.write(value) if sign > 0 else self.builder.fneg(self.write(value))
        for sign, value in terms[:first] + terms[first + 1 :]:
            if self._fuses(value):
                left, right = self.write(value.parts[0]), self.write(value.parts[1])
                total = self.builder.call(self.fma, [left if sign > 0 else self.builder.fneg(left), right, total])
            elif sign > 0:
                total = self.builder.fadd(total, self.write(value))
            else:
                total = self.builder.fsub(total, self.write(value))
        return total

    @staticmethod
    def _fuses(value: Number) -> bool:
        return value.kind == "product"

    def _product(self, a: Number, b: Number) -> Any:
        return self.builder.fmul(self.write(a), self.write(b))

    def _quotient(self, a: Number, b: Number) -> Any:
        return self.builder.fdiv(self.write(a), self.write(b))

    def _size(self, a: Number) -> Any:
        return self.builder.call(self.fabs, [self.write(a)])

    def _less(self, a: Number, b: Number) -> Any:
        return self.builder.fcmp_ordered("<", self.write(a), self.write(b))

    def _at_most(self, a: Number, b: Number) -> Any:
        return self.builder.fcmp_ordered("<=", self.write(a), self.write(b))

    def _and(self, a: Number, b: Number) -> Any:
        return self.builder.and_(self.write(a), self.write(b))

    def _not(self, a: Number) -> Any:
        return self.builder.not_(self.write(a))

    def _choice(self, condition: Number, yes: Number, no: Number) -> Any:
        return self.builder.select(self.write(condition), self.write(yes), self.write(no))
