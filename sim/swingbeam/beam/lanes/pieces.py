"""Pieces of the lanes' solver: Python functions of numbers side by side, compiled into the kernel that calls them."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import Any

import llvmlite.ir as ir  # type: ignore[import-untyped]
import numpy as np
from numba.core import types
from numba.extending import intrinsic

from .lane_numbers import Shared, Slots, Writer

_POINTER = ir.DoubleType().as_pointer()
_INDEX = ir.IntType(64)


def memory(slots: int, width: int) -> tuple[Any, Any]:
    """Room for so many numbers side by side: as the kernels' slots, and as plain numbers (slots · width,).

    The type of the first tells the compiler the width. Both are one piece of memory; it begins where a cache line
    does, so that no slot lies across two.
    """
    room = np.zeros(slots * width + 8)
    first = (-room.ctypes.data // 8) % 8
    plain = room[first : first + slots * width]
    return plain.view(np.dtype([("lane", np.float64, (width,))])), plain


def width_of(slots: Any) -> int:
    """Lanes of a numba array type made by `memory`."""
    return int(slots.dtype.fields["lane"].type.shape[0])


def lane_piece(function: Callable[..., Any]) -> Any:
    """Make a piece callable from kernels: `piece(slots, shared, row, first, second, ...)`.

    The function's first argument may be named `shared`: plain numbers from index `row` of the array `shared` on.
    Each further one stands for the slots from the index on that the call gives. What the function returns, if
    anything, is a condition; the call then says whether it holds in any lane.

    In the kernel it is a private function of its own, not merged into its callers: compiled once.
    """
    names = list(inspect.signature(function).parameters)
    takes_shared = names[0] == "shared"
    count = len(names) - takes_shared

    def code(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        kinds = signature.args
        slots = context.make_array(kinds[0])(context, builder, arguments[0]).data
        shared = context.make_array(kinds[1])(context, builder, arguments[1]).data
        width = width_of(kinds[0])
        slots = builder.bitcast(slots, _POINTER)
        given = [builder.gep(builder.bitcast(shared, _POINTER), [arguments[2]])] if takes_shared else []
        for first in arguments[3:]:
            given.append(builder.gep(slots, [builder.mul(first, ir.Constant(_INDEX, width))]))
        answer = builder.call(_written(builder.module, function, takes_shared, count, width), given)
        return answer if signature.return_type == types.boolean else context.get_dummy_value()

    answers = types.boolean if "bool" in str(function.__annotations__.get("return", "")) else types.void

    def typed(slots: Any, shared: Any, row: Any, *first: Any) -> Any:
        return answers(slots, shared, types.intp, *[types.intp] * len(first)), code

    made = {
        0: lambda typing, slots, shared, row: typed(slots, shared, row),
        1: lambda typing, slots, shared, row, a: typed(slots, shared, row, a),
        2: lambda typing, slots, shared, row, a, b: typed(slots, shared, row, a, b),
        3: lambda typing, slots, shared, row, a, b, c: typed(slots, shared, row, a, b, c),
    }[count]
    made.__name__ = function.__name__
    return intrinsic(made)


def _written(module: Any, function: Callable[..., Any], takes_shared: bool, count: int, width: int) -> Any:
    name = f"lanes.{function.__module__}.{function.__name__}.{width}"
    if name in module.globals:
        return module.globals[name]
    answers = "bool" in str(function.__annotations__.get("return", ""))
    result = ir.IntType(1) if answers else ir.VoidType()
    made = ir.Function(module, ir.FunctionType(result, [_POINTER] * (takes_shared + count)), name)
    made.linkage = "linkonce_odr"
    for attribute in ("noinline", "nounwind"):
        made.attributes.add(attribute)
    # Numbers that do not fit into the registers go to the stack: none shall lie across two cache lines.
    made.attributes.alignstack = 64
    builder = ir.IRBuilder(made.append_basic_block("entry"))
    writer = Writer(builder, width)
    given: list[Any] = [Shared(writer, made.args[0])] if takes_shared else []
    given += [Slots(writer, base) for base in made.args[takes_shared:]]
    condition = writer.finish(function(*given))
    if answers:
        builder.ret(condition)
    else:
        builder.ret_void()
    return made
