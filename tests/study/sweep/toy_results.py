"""Files of results made by hand, in the layout of a study's: closed forms in the place of swings."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import h5py
import numpy as np
from scipy.stats import qmc

TEXT = h5py.string_dtype("utf-8")


def write_results(
    path: Path,
    inputs: Mapping[str, np.ndarray],
    outputs: Mapping[str, np.ndarray],
    *,
    kind: str = "random",
    status: np.ndarray | None = None,
    sample: Mapping[str, np.ndarray] | None = None,
    choices: Mapping[str, Sequence[str]] | None = None,
    words: Mapping[str, tuple[str, str]] | None = None,
    keys: Sequence[str] = (),
    **attributes: object,
) -> Path:
    """A file of results.

    Parameters
    ----------
    inputs, outputs : name → (cases,)
    status : (cases,); ok where not given
    sample : "row", "matrix", "column" of a sensitivity plan
    choices : names of an input that is a choice
    words : name → unit, long name
    keys : of the inputs, in order; else their names with a dot for a double underscore
    attributes : of the root
    """
    count = next(iter(inputs.values())).size
    about = {"format": "swingbeam study", "schema_version": 1, "title": "toy", "question": "", "plan": kind, "held": ""}
    with h5py.File(path, "w", track_order=True) as file:
        for name, value in (about | {"seed": 7, "version": "0", "complete": 1} | attributes).items():
            file.attrs[name] = value
        case = file.create_dataset("case", data=np.arange(count))
        case.make_scale("case")

        def variable(name: str, values: np.ndarray, **about: object) -> None:
            item = file.create_dataset(name, data=values)
            item.dims[0].attach_scale(case)
            for key, value in about.items():
                item.attrs[key] = value

        for place, (name, values) in enumerate(inputs.items()):
            unit, long_name = (words or {}).get(name, ("1", name))
            about = {"units": unit, "long_name": long_name, "role": "input"}
            about["key"] = keys[place] if keys else name.replace("__", ".")
            if choices and name in choices:
                meanings = choices[name]
                about |= {"flag_values": np.arange(len(meanings)), "flag_meanings": " ".join(meanings)}
                values = values.astype(np.int16)
            variable(name, values, **about)
        for name, values in outputs.items():
            unit, long_name = (words or {}).get(name, ("1", name))
            variable(name, values, units=unit, long_name=long_name, frame="", role="output")
        states = np.zeros(count, np.int8) if status is None else status.astype(np.int8)
        variable("status", states, flag_values=np.arange(3, dtype=np.int8), flag_meanings="ok missed failed")
        for name, values in (sample or {}).items():
            variable(f"sample_{name}", values)
    return path


def saltelli(rows: int, inputs: int, seed: int) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """(cases, inputs) of the A/B/AB sample on the unit cube, and how the cases belong together."""
    points = qmc.Sobol(2 * inputs, rng=np.random.default_rng(seed)).random(rows)
    a, b = points[:, :inputs], points[:, inputs:]
    blocks, matrix, column = [a, b], [0, 1], [-1, -1]
    for i in range(inputs):
        ab = a.copy()
        ab[:, i] = b[:, i]
        blocks.append(ab)
        matrix.append(2)
        column.append(i)
    sample = {
        "row": np.tile(np.arange(rows), inputs + 2),
        "matrix": np.repeat(np.array(matrix, np.int8), rows),
        "column": np.repeat(np.array(column, np.int16), rows),
    }
    return np.concatenate(blocks), sample


def write_sensitivity(
    path: Path,
    outputs: Mapping[str, Callable[[np.ndarray], np.ndarray]],
    *,
    rows: int,
    low: float,
    high: float,
    inputs: int,
    seed: int = 11,
    failed: Sequence[int] = (),
    keys: Sequence[str] = (),
    **attributes: object,
) -> Path:
    """A sensitivity plan of functions of (cases, inputs) → (cases,), uniform on low … high; `failed` cases have NaN.

    `keys` of the inputs; x1, x2, … where none are given.
    """
    unit, sample = saltelli(rows, inputs, seed)
    x = low + (high - low) * unit
    status = np.zeros(len(x), np.int8)
    status[list(failed)] = 2
    values = {name: np.where(status == 0, f(x), np.nan) for name, f in outputs.items()}
    columns = {f"x{i + 1}": x[:, i] for i in range(inputs)}
    return write_results(
        path, columns, values, kind="sensitivity", status=status, sample=sample, keys=keys, **attributes
    )


def ishigami(x: np.ndarray) -> np.ndarray:
    """sin x₁ + a sin² x₂ + b x₃⁴ sin x₁ with a = 7, b = 0.1 (Ishigami & Homma 1990)."""
    return np.sin(x[:, 0]) + 7.0 * np.sin(x[:, 1]) ** 2 + 0.1 * x[:, 2] ** 4 * np.sin(x[:, 0])
