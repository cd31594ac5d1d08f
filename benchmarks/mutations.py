"""Are the checks sharp? Each of these slips, put into a copy of the mechanics, must make some test fail.

    python benchmarks/mutations.py            all of them, with a table (some ten minutes: most compile anew)
    python benchmarks/mutations.py --only CG  those with CG in their name

The sources are copied to a temporary folder, one slip at a time is put in, and a fast subset of the tests runs on the
copy. Exit code 1: a slip that no test noticed, which is a missing test. Exit code 2: the subset does not pass without
any, or a slip no longer fits the sources.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import NamedTuple

REPO = Path(__file__).resolve().parents[1]
LONGEST = 600.0
"""s a run of the subset may take; a slip that makes it longer is noticed by that."""

SUBSET = (
    "tests/beam/test_steps.py",
    "tests/verification/test_statics.py::test_uniform_cantilever",
    "tests/verification/test_statics.py::test_uniform_torque",
    "tests/verification/test_statics.py::test_a_spine_turns_the_principal_planes",
    "tests/verification/test_statics.py::test_princeton_beam",
    "tests/verification/test_spinning.py::test_spin_up",
    "tests/verification/test_spinning.py::test_droop_in_steady_spin",
    "tests/verification/test_spinning.py::test_droop_of_a_run_that_starts_in_equilibrium",
    "tests/verification/test_spinning.py::test_gravity_on_a_horizontal_beam_with_an_offset_body",
    "tests/verification/test_spinning.py::test_a_resting_root_keeps_the_sag",
    "tests/verification/test_spinning.py::test_spun_up_about_its_own_axis",
    "tests/verification/test_motion.py::test_rigid_limit",
    "tests/verification/test_motion.py::test_mirrored",
    "tests/verification/test_motion.py::test_energy_balance",
    "tests/verification/test_motion.py::test_free_decay_of_a_damped_beam",
    "tests/verification/test_yielding_root.py",
    "tests/verification/test_root_law.py",
    "tests/verification/test_energy.py",
    "tests/verification/test_invariance.py",
)
"""Of these, the tests whose name or parameters name the solver a slip is in."""


class Slip(NamedTuple):
    """One thing done wrong: `before`, which stands once in `file` of the mechanics, becomes `after`."""

    name: str
    solver: str
    """whose tests must notice"""
    file: str
    before: str
    after: str


SLIPS = (
    Slip(
        "sign of the tip body's gyroscopic moment",
        "elements",
        "elements_forces.py",
        "j[2, 2] * d2 + w0 * l1 - w1 * l0",
        "j[2, 2] * d2 - w0 * l1 + w1 * l0",
    ),
    Slip(
        "sign of the tip body's gyroscopic moment",
        "curvature",
        "curvature_chain_kernels.py",
        "tip[12] * l2 + (w0 * h1 - w1 * h0)",
        "tip[12] * l2 - (w0 * h1 - w1 * h0)",
    ),
    Slip(
        "sign of the viscous moment",
        "elements",
        "elements_forces.py",
        "d1 += model.viscosity[0] * r1",
        "d1 -= model.viscosity[0] * r1",
    ),
    Slip(
        "CG offset dropped",
        "elements",
        "elements_model.py",
        "tip.mass * np.array(tip.offset),",
        "tip.mass * np.zeros(3),",
    ),
    Slip(
        "CG offset dropped", "curvature", "curvature.py", "[[tip.mass], tip.offset,", "[[tip.mass], 0.0 * tip.offset,"
    ),
    Slip(
        "stiffening dropped: pull along the beam left out of the transverse balance",
        "elements",
        "elements_forces.py",
        "        a1 = w2 * n0 - w0 * n2\n        a2 = w0 * n1 - w1 * n0\n        b0",
        "        a1 = -w0 * n2\n        a2 = w0 * n1\n        b0",
    ),
    Slip(
        "stiffening dropped: pull along the beam left out of the bending moments",
        "curvature",
        "curvature_chain_kernels.py",
        "(d1 * g2 - d2 * g1)\n        n1 = t10 * m0 + t11 * m1 + t12 * m2 + (d2 * g0 - d0 * g2)\n"
        "        n2 = t20 * m0 + t21 * m1 + t22 * m2 + (d0 * g1 - d1 * g0)",
        "(d1 * g2 - d2 * g1)\n        n1 = t10 * m0 + t11 * m1 + t12 * m2 - d0 * g2\n"
        "        n2 = t20 * m0 + t21 * m1 + t22 * m2 + d0 * g1",
    ),
    Slip(
        "GJ scaled by 1.05",
        "elements",
        "elements_model.py",
        "np.column_stack([1.0 / mean(1.0 / sample(profile.gj)),",
        "np.column_stack([1.05 / mean(1.0 / sample(profile.gj)),",
    ),
    Slip(
        "GJ scaled by 1.05",
        "curvature",
        "curvature_tables.py",
        "enumerate((profile.gj, profile.ei[:, 1], profile.ei[:, 0]))",
        "enumerate((1.05 * profile.gj, profile.ei[:, 1], profile.ei[:, 0]))",
    ),
    Slip(
        "two axes swapped: EI of the two planes",
        "elements",
        "elements_model.py",
        "mean(1.0 / ei[:, 1]), mean(1.0 / ei[:, 0])",
        "mean(1.0 / ei[:, 0]), mean(1.0 / ei[:, 1])",
    ),
    Slip(
        "two axes swapped: EI of the two planes",
        "curvature",
        "curvature_tables.py",
        "enumerate((profile.gj, profile.ei[:, 1], profile.ei[:, 0]))",
        "enumerate((profile.gj, profile.ei[:, 0], profile.ei[:, 1]))",
    ),
    Slip(
        "rotation transposed: the couple from outside into the yielded root",
        "elements",
        "elements_root_kernels.py",
        "hold[OUTSIDE, i] += hold[TURN + m, i] * given",
        "hold[OUTSIDE, i] += hold[TURN + i, m] * given",
    ),
    Slip(
        "rotation transposed: angular velocity into the next section",
        "curvature",
        "curvature_chain_kernels.py",
        "q2 = t02 * w0 + t12 * w1 + t22 * w2",
        "q2 = t20 * w0 + t21 * w1 + t22 * w2",
    ),
    Slip(
        "rotation transposed: the root's acceleration into its own axes",
        "curvature",
        "root.py",
        'np.einsum("nij,nj->ni", back, state.acceleration - self.gravity)',
        'np.einsum("nji,nj->ni", back, state.acceleration - self.gravity)',
    ),
    Slip(
        "step halved silently by the solver", "elements", "elements.py", "inputs, float(h),", "inputs, 0.5 * float(h),"
    ),
    Slip(
        "step halved silently by the solver",
        "curvature",
        "curvature.py",
        "inputs.free.shape[2], float(h), rows",
        "inputs.free.shape[2], 0.5 * float(h), rows",
    ),
    Slip(
        "step halved silently by the march: twice as many as asked for",
        "curvature",
        "march.py",
        "math.ceil(span / step * (1.0 - 1e-12))",
        "2 * math.ceil(span / step * (1.0 - 1e-12))",
    ),
    Slip(
        "gravity upside down",
        "curvature",
        "root.py",
        "state.acceleration - self.gravity",
        "state.acceleration + self.gravity",
    ),
    Slip(
        "root's own inertia left out of its couple",
        "elements",
        "elements_root_kernels.py",
        "            hold[COUPLE, i] += j[i, m] * hold[OMEGA_DOT, m]",
        "            hold[COUPLE, i] += 0.0 * j[i, m] * hold[OMEGA_DOT, m]",
    ),
)


class Finding(NamedTuple):
    """What the subset said of one copy of the sources."""

    failed: list[str]
    """Names of the tests that failed."""
    trouble: str
    """What kept the subset from running, if anything."""
    seconds: float


def copy_sources(folder: Path) -> Path:
    """The sources and the libraries they read, in a folder of their own; gives its path for Python."""
    skip = shutil.ignore_patterns("__pycache__", "*.pyc")
    for part in ("sim", "shafts", "swings", "scenarios"):
        shutil.copytree(REPO / part, folder / part, ignore=skip)
    return folder / "sim"


def put_in(slip: Slip, sources: Path) -> None:
    """Change the copy.

    Raises
    ------
    ValueError
        The place is not there, or not the only one of its kind.
    """
    file = sources / "swingbeam" / "beam" / slip.file
    text = file.read_text(encoding="utf-8")
    if (found := text.count(slip.before)) != 1:
        raise ValueError(f'"{slip.name}" ({slip.solver}): found {found} times in {slip.file}: {slip.before}')
    file.write_text(text.replace(slip.before, slip.after), encoding="utf-8")


def run_subset(sources: Path, solver: str, cache: Path | None) -> Finding:
    """The subset's tests of a solver on a copy of the sources."""
    environment = {**os.environ, "PYTHONPATH": str(sources), "PYTHONDONTWRITEBYTECODE": "1"}
    # Small dense matrices: several threads of linear algebra only wait for each other.
    environment |= {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    if cache is not None:
        environment["SWINGBEAM_CACHE_DIR"] = str(cache)
    seen = subprocess.run(
        [sys.executable, "-c", "import swingbeam; print(swingbeam.__file__)"],
        env=environment,
        cwd=sources,
        capture_output=True,
        text=True,
        check=False,
    )
    if not seen.stdout.startswith(str(sources)):
        return Finding([], f"the copy is not what is imported: {seen.stdout}{seen.stderr}", 0.0)
    command = [sys.executable, "-m", "pytest", *SUBSET, "-k", solver, "-q", "-rfE", "--tb=no", "-p", "no:cacheprovider"]
    begin = time.perf_counter()
    try:
        done = subprocess.run(
            command, env=environment, cwd=REPO, capture_output=True, text=True, timeout=LONGEST, check=False
        )
    except subprocess.TimeoutExpired:
        return Finding([f"(not done after {LONGEST:.0f} s)"], "", LONGEST)
    failed = re.findall(r"^(?:FAILED|ERROR) \S+::(\S+)", done.stdout, re.MULTILINE)
    trouble = "" if done.returncode in (0, 1) else done.stdout[-2000:] + done.stderr[-2000:]
    return Finding(failed, trouble, time.perf_counter() - begin)


def try_slip(slip: Slip) -> Finding:
    """Copy, change, test."""
    with tempfile.TemporaryDirectory(prefix="mutation-") as name:
        sources = copy_sources(Path(name))
        put_in(slip, sources)
        return run_subset(sources, slip.solver, Path(name) / "cache")


def unchanged(solver: str) -> Finding:
    """The subset on an unchanged copy, which must pass; compiled kernels are taken from the usual cache."""
    with tempfile.TemporaryDirectory(prefix="mutation-") as name:
        return run_subset(copy_sources(Path(name)), solver, None)


def brief(names: list[str], width: int = 4) -> str:
    """Names of tests without their parameters, the first few."""
    plain = list(dict.fromkeys(name.split("[")[0].removeprefix("test_") for name in names))
    more = f" and {len(plain) - width} more" if len(plain) > width else ""
    return ", ".join(plain[:width]) + more


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--only", default="", help="slips with this in their name or solver")
    parser.add_argument("--jobs", type=int, default=1, help="how many at once")
    arguments = parser.parse_args()
    slips = [slip for slip in SLIPS if arguments.only in f"{slip.name} {slip.solver}"]
    if not slips:
        print(f'no slip has "{arguments.only}" in its name', file=sys.stderr)
        return 2
    for solver in sorted({slip.solver for slip in slips}):
        plain = unchanged(solver)
        print(f"{'none':<12}{solver:<10}{plain.seconds:5.0f} s  {len(plain.failed)} failed", flush=True)
        if plain.failed or plain.trouble:
            print(f"the subset does not pass as it is: {brief(plain.failed)}{plain.trouble}", file=sys.stderr)
            return 2
    unnoticed = []
    with ThreadPoolExecutor(arguments.jobs) as pool:
        for slip, found in zip(slips, pool.map(try_slip, slips), strict=True):
            if found.trouble:
                print(f"{slip.name} ({slip.solver}): {found.trouble}", file=sys.stderr)
                return 2
            word = "noticed" if found.failed else "UNNOTICED"
            print(f"{word:<12}{slip.solver:<10}{found.seconds:5.0f} s  {slip.name}", flush=True)
            print(f"{'':<30}by {len(found.failed)}: {brief(found.failed)}" if found.failed else "", flush=True)
            if not found.failed:
                unnoticed.append(slip)
    print(f"{len(slips) - len(unnoticed)} of {len(slips)} noticed")
    return 1 if unnoticed else 0


if __name__ == "__main__":
    sys.exit(main())
