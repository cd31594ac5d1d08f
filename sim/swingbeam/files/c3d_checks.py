"""Whether a C3D file is whole: its header and its chain of parameters, before a library is trusted with it.

A damaged length or offset would send a reader far outside the file, for minutes or into all of the memory. Layout:
the C3D file format (https://www.c3d.org): blocks of 512 bytes; a header, a section of parameters that each say where
the next one is, then the frames.
"""

from __future__ import annotations

import struct

BLOCK = 512
KEY = 0x50
INTEL, DEC, MIPS = 84, 85, 86
"""Processor types: the first two write the low byte first."""
TYPE_SIZE = {-1: 1, 1: 1, 2: 2, 4: 4}
"""Bytes of a parameter's element: text, byte, integer, real."""
MOST_DIMENSIONS = 7


def fault_of_c3d(data: bytes) -> str | None:
    """What is wrong with a file's frame of lengths and offsets, in words; None: nothing.

    Parameters
    ----------
    data : the whole file
    """
    if len(data) < 2 * BLOCK or data[1] != KEY:
        return "it does not begin as one"
    start = (data[0] - 1) * BLOCK
    if start < BLOCK or start + 4 > len(data):
        return "it is cut short before its parameters"
    blocks, processor = data[start + 2], data[start + 3]
    if processor not in (INTEL, DEC, MIPS):
        return "it names no known processor type"
    end = start + blocks * BLOCK
    if blocks == 0 or end > len(data):
        return "it is cut short within its parameters"
    order = ">" if processor == MIPS else "<"
    return _fault_of_parameters(data, start + 4, end, order) or _fault_of_frames(data, end, order)


def _fault_of_parameters(data: bytes, at: int, end: int, order: str) -> str | None:
    """Walk from one parameter to the next."""
    broken = "its parameters are damaged"
    while at < end:
        length = abs(struct.unpack_from("b", data, at)[0])
        if length == 0:
            return None
        link = at + 2 + length
        if link + 2 > end:
            return broken
        step = struct.unpack_from(f"{order}h", data, link)[0]
        if step == 0:
            return None
        following = link + step
        if step < 2 or following > end:
            return broken
        is_parameter = struct.unpack_from("b", data, at + 1)[0] > 0
        end_of_values = _end_of_values(data, link + 2, following) if is_parameter else link + 2
        # Last comes a description, its length in the first byte.
        if end_of_values is None or end_of_values >= following or end_of_values + 1 + data[end_of_values] > following:
            return broken
        at = following
    return None


def _end_of_values(data: bytes, at: int, following: int) -> int | None:
    """Where a parameter's values end; None: beyond where the next parameter begins."""
    if at + 2 > following:
        return None
    kind, dimensions = struct.unpack_from("b", data, at)[0], data[at + 1]
    if kind not in TYPE_SIZE or dimensions > MOST_DIMENSIONS or at + 2 + dimensions > following:
        return None
    count = 1
    for size in data[at + 2 : at + 2 + dimensions]:
        count *= size
    return at + 2 + dimensions + count * TYPE_SIZE[kind]


def _fault_of_frames(data: bytes, end_of_parameters: int, order: str) -> str | None:
    """Whether the frames that the header announces are there."""
    points, analog, first, last = struct.unpack_from(f"{order}4H", data, 2)
    scale = struct.unpack_from(f"{order}f", data, 12)[0]
    block = struct.unpack_from(f"{order}H", data, 16)[0]
    start = (block - 1) * BLOCK
    if start < end_of_parameters or start > len(data):
        return "its header says that the frames begin where they do not"
    if last < first:
        return "its header counts frames backwards"
    if last == 0xFFFF:  # more than the header can count: the parameters say how many
        return None
    width = 4 if scale < 0.0 else 2
    if start + (last - first + 1) * width * (4 * points + analog) > len(data):
        return "it is cut short: frames are missing"
    return None
