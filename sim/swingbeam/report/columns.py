"""Columns of text side by side, shared out over tables that fit the width."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.console import Console
from rich.text import Text

from .plain import in_ascii


@dataclass(frozen=True)
class Column:
    """One column: its head (lines split by newlines) and a text per club."""

    head: str
    cells: Sequence[str]
    left: bool = False

    @property
    def width(self) -> int:
        """Characters of the widest line."""
        return max(len(line) for text in (self.head, *self.cells) for line in text.split("\n"))


def section(console: Console, title: str, names: list[Column], columns: list[Column]) -> None:
    """Print columns under a title, in as many tables as the width asks for; nothing is cut off."""
    if not names[0].cells:
        return
    if getattr(console, "ascii", False):
        # Before the widths are taken: a sign may need more than one character.
        names, columns = [_in_ascii(c) for c in names], [_in_ascii(c) for c in columns]
    console.print()
    for i, part in enumerate(fit(names, columns, console.width)):
        console.print(title if i == 0 else f"{title} (continued)", style="bold")
        # Rich would squeeze or wrap a table wider than the terminal: a line that runs on loses no number.
        for line in _lines([*names, *part]):
            console.print(Text(line), soft_wrap=True)


def _in_ascii(column: Column) -> Column:
    return Column(in_ascii(column.head), [in_ascii(cell) for cell in column.cells], column.left)


def _lines(columns: list[Column]) -> list[str]:
    """Columns side by side, heads first, two spaces between them."""
    heads = max(column.head.count("\n") for column in columns) + 1
    rows = []
    for column in columns:
        lines = column.head.split("\n")
        cells = [*[""] * (heads - len(lines)), *lines, *column.cells]
        rows.append([cell.ljust(column.width) if column.left else cell.rjust(column.width) for cell in cells])
    return ["  ".join(cells).rstrip() for cells in zip(*rows, strict=True)]


def fit(names: list[Column], columns: list[Column], width: int) -> list[list[Column]]:
    """Share columns out over tables that each fit the width, names repeated; at least one column a table."""
    room = width - sum(c.width + 2 for c in names)
    parts: list[list[Column]] = [[]]
    used = 0
    for column in columns:
        need = column.width + 2
        if parts[-1] and used + need > room:
            parts.append([])
            used = 0
        parts[-1].append(column)
        used += need
    return parts
