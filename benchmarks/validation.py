"""Solve the problems whose answers are known from outside, and write what came out to docs/validation.md.

    python benchmarks/validation.py [--output FILE] [--no-library]

Half a minute for the problems, and some minutes for the library against exudyn, which `--no-library` leaves out.
Exit code 1: a figure outside its tolerance.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

from dossier import library, motion, statics, vibration
from dossier.row import FUNCTIONS, MESHES, Row, rows_of

PAGE = Path(__file__).resolve().parents[1] / "docs" / "validation.md"
CHAPTERS = (("Statics", statics), ("Motion, spin and gravity", motion), ("Vibration", vibration))
SOLVERS = ("elements", "curvature")
DIFFERENCES = {"tip": "tip, mm", "face": "face, °", "loft": "loft, °"}


def figures(value: float | None) -> str:
    """Six digits, or a dash."""
    return "–" if value is None else f"{value:.6g}" if abs(value) >= 1e-9 else "0"


def table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """A table in Markdown; first column to the left, others to the right."""
    rule = [":--", *["--:"] * (len(heads) - 1)]
    return [f"| {' | '.join(line)} |" for line in (heads, rule, *rows)] + [""]


def problem_lines(row: Row) -> list[str]:
    """One row of a chapter's table."""
    order = "–" if row.order is None else f"{row.order:.2f}"
    got = [figures(row.got.get(solver)) for solver in SOLVERS]
    mark = "within" if row.within else "**outside**"
    return [row.title, row.source, row.figure, figures(row.expected), *got, row.tolerance, order, mark]


def head(rows: Sequence[Row]) -> list[str]:
    """What the page is and how to read it."""
    outside = sum(not row.within for row in rows)
    count = (
        f"all {len(rows)} figures are within" if not outside else f"**{outside} of {len(rows)} figures are outside**"
    )
    meshes = ", ".join(str(n) for n in MESHES)
    return [
        "# Validation",
        "",
        "Written by `benchmarks/validation.py` and not edited by hand. Problems with an answer from outside this"
        f" project, solved by both solvers: {count} their tolerance.",
        "",
        f"`elements` is extrapolated from its two finest of three meshes (statics {meshes} elements; vibration"
        f" {', '.join(str(n) for n in vibration.MESHES)}); *order* is what the three show in the element length, 2 by"
        f" theory, a dash where round-off hides it. `curvature` has {FUNCTIONS[0]} bending functions a plane and"
        f" {FUNCTIONS[1]} of twist here (4 and 1 in a swing), and neither stretch nor shear. The spin-up is one run of"
        " each on the mesh of its test. Full references stand beside the assertions in `tests/verification/`.",
        "",
    ]


def orders() -> list[str]:
    """Orders in the step."""
    lines = ["## Order in the step", "", "Largest error of the tip on a severe swing (37 m/s, bent by 15 cm and more)"]
    lines[-1] += " against a far finer step of the same solver on the same mesh; order by theory 2 and 4."
    rows = [
        [f"`{solver}`", steps, " / ".join(f"{error:.2g}" for error in errors), f"{order:.2f}"]
        for solver, steps, errors, order in motion.step_orders()
    ]
    return [*lines, "", *table(["solver", "steps", "errors, mm", "order of the finest two"], rows)]


def written(apart: library.Apart, what: str) -> str:
    """One difference, as many digits as tell something."""
    value = getattr(apart, what)
    return f"{value:.3f}" if what == "tip" else f"{value:+.4f}"


def library_lines() -> list[str]:
    """The library against exudyn, worst first said in a line of its own."""
    found = []
    for name, club, golfer in library.clubs():
        found.append(library.differences(name, club, golfer))
        print(f"{name}: {found[-1][0].tip:.3f} mm, {found[-1][1].tip:.3f} mm", flush=True)
    lines = [
        "## The starter library against exudyn",
        "",
        "exudyn is a general flexible-multibody library (Gerstmayr 2023, Multibody Syst. Dyn. 60:533) with a"
        " geometrically exact beam of its own. Every shaft of the library in the reference club of the golfer"
        f" {' or '.join(f'`{name}`' for name in library.GOLFERS)} (driver or iron), held fast on"
        f" his reference pose, no viscosity, stretch and shear stiffness 10⁷ N:"
        f" exudyn and `elements` with {library.ELEMENTS} elements in steps of {1e3 * library.STEP:g} ms,"
        " `curvature` as it is by default. Tip: largest distance from the top to the end. Face and loft: at the"
        " planned impact.",
        "",
    ]
    rows = []
    for k, solver in enumerate(SOLVERS):
        mine = [pair[k] for pair in found]
        worst = [max(mine, key=lambda apart, what=what: abs(getattr(apart, what))) for what in DIFFERENCES]
        cells = [f"{written(w, what)} ({w.shaft})" for w, what in zip(worst, DIFFERENCES, strict=True)]
        rows.append([f"**worst, `{solver}`**", *cells])
    lines += table(["", *DIFFERENCES.values()], rows)
    rows = [[pair[0].shaft, *(written(apart, what) for apart in pair for what in DIFFERENCES)] for pair in found]
    heads = ["shaft", *(f"`{solver}` {what}" for solver in SOLVERS for what in DIFFERENCES.values())]
    return [*lines, *table(heads, rows)]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--output", type=Path, default=PAGE)
    parser.add_argument("--no-library", action="store_true", help="leave out the comparison with exudyn")
    arguments = parser.parse_args()
    heads = ["problem", "source", "figure", "expected", "elements", "curvature", "tolerance", "order", ""]
    every: list[Row] = []
    body: list[str] = []
    for title, chapter in CHAPTERS:
        rows = [row for problem in chapter.PROBLEMS for row in rows_of(problem)]
        every += rows
        body += [f"## {title}", "", *table(heads, [problem_lines(row) for row in rows])]
    body += orders()
    if not arguments.no_library:
        body += library_lines()
    arguments.output.write_text("\n".join([*head(every), *body]).rstrip() + "\n", encoding="utf-8")
    outside = [row for row in every if not row.within]
    for row in outside:
        print(f"outside its tolerance: {row.title}, {row.figure}: {row.got}, expected {row.expected}")
    print(f"{len(every) - len(outside)} of {len(every)} figures within; written to {arguments.output}")
    return 1 if outside else 0


if __name__ == "__main__":
    sys.exit(main())
