"""From a ranking to the page."""

from __future__ import annotations

import os
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from jinja2 import BaseLoader, Environment, StrictUndefined
from markupsafe import Markup

from swingbeam import __version__
from swingbeam.beam.errors import InputError
from swingbeam.files.safe_write import write_new
from swingbeam.study.outputs import page_path
from swingbeam.study.read_ranking import read_ranking
from swingbeam.study.result import RankResult

from ..caution import IDEALISED, WORKSHOP
from . import basis, figures, sentences, tables
from .choose import MOST_PRINTED, Chosen, choose, every_run, printed
from .motion_drawing import instants, motion_drawing
from .replay import replay_json, replay_object
from .units import UNITS

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Sheets the page prints on, mm (ISO 216; ANSI/ASME Y14.1 A)."""
MARGIN = 11.0
"""mm round what is printed."""
PRINTED_ROWS = 14
"""Shafts that fit a printed sheet at its usual size of text; more are printed smaller."""


def write_page(
    source: str | os.PathLike[str],
    path: str | os.PathLike[str],
    *,
    shafts: Sequence[str] | None = None,
    units: str = "metric",
    paper: str = "a4",
) -> Path:
    """Write the page of a ranking's HDF5 file to a new HTML file.

    Parameters
    ----------
    source : HDF5 file that `rank` wrote
    path : ends in .html or .htm
    shafts : names of the shafts that are drawn; None: the first and the last to unload. The reference club always is.
    units : one of `UNITS`, the first to be shown
    paper : one of `PAPERS`

    Raises
    ------
    InputError
        A file that cannot be read, a shaft that is not in it, another ending, a page that exists already; then nothing
        is written.
    """
    target = page_path(Path(path), Path(source))
    return write_new(target, page_html(read_ranking(source), shafts=shafts, units=units, paper=paper))


def page_html(
    result: RankResult, *, shafts: Sequence[str] | None = None, units: str = "metric", paper: str = "a4"
) -> str:
    """The page of a ranking as text; parameters and errors as of `write_page`."""
    if units not in UNITS:
        raise InputError(f'--units: found "{units}"; allowed: {" or ".join(UNITS)}')
    if paper not in PAPERS:
        raise InputError(f'--paper: found "{paper}"; allowed: {" or ".join(PAPERS)}')
    chosen = choose(result, shafts)
    return _template().render(
        **_frame(result, units, paper),
        **_charts(result, chosen),
        **_words(result, chosen),
        chosen=chosen,
        printed=printed(result, chosen),
        unprinted=len(every_run(result)) - len(printed(result, chosen)),
        ranking=tables.ranking_table(result, chosen),
        bench=tables.bench_table(result, chosen),
        flight=tables.flight_table(result, chosen),
        swatch=figures.swatch,
        replay=replay_json(replay_object(result, chosen)),
        has_replay=replay_object(result, chosen) is not None,
    )


def _frame(result: RankResult, units: str, paper: str) -> dict[str, Any]:
    width, height = PAPERS[paper]
    rows = max(min(len(result.runs), MOST_PRINTED), 1)
    return {
        "result": result,
        "units": units,
        "paper": paper,
        "sheet": (width, height),
        "margin": MARGIN,
        "shrink": round(min(1.0, PRINTED_ROWS / rows), 3),
        "css": Markup(_text("page.css")),
        "narrow_css": Markup(_text("narrow.css")),
        "print_css": Markup(_text("print.css")),
        "script": Markup(_text("page.js")),
        "version": __version__,
        "hand": "left" if result.left_handed else "right",
    }


def _charts(result: RankResult, chosen: Sequence[Chosen]) -> dict[str, Any]:
    downswing = figures.largest_time(result)
    reference = next((c.run for c in chosen if c.is_reference), result.reference_run)
    if reference.replay is None or result.reference_run.replay is not None:
        reference = result.reference_run
    return {
        "curves": [
            (key, title, sign, figures.curve_chart(key, title, chosen, downswing))
            for key, title, sign in figures.CURVE_CHARTS
        ],
        "face_chart": figures.delivery_chart("face_angle_deg", "Face angle", result, chosen),
        "loft_chart": figures.delivery_chart("dynamic_loft_deg", "Dynamic loft", result, chosen),
        "shaft_charts": [(kind, figures.shaft_chart(kind, chosen)) for kind in figures.SHAFT_CHARTS],
        "landing_chart": figures.landing_chart(result, chosen),
        "motions": [motion_drawing(reference, view, result.left_handed) for view in ("face-on", "down-the-line")],
        "motion_instants": [(name, round(1e3 * at)) for name, at in instants(reference)],
    }


def _words(result: RankResult, chosen: Sequence[Chosen]) -> dict[str, Any]:
    setups = sorted({run.static.setup for run in result.runs if run.static is not None})
    return {
        "answers": sentences.answers(result, chosen),
        "bench_sentence": sentences.bench_sentence(result),
        "agreements": [a for a in result.agreements if a.tau is not None],
        "setups": setups,
        "assumed": basis.assumed(result),
        "holds": basis.hands_words(result),
        "statement": result.statement,
        "check": basis.check_words(result),
        "idealised": IDEALISED,
        "workshop": WORKSHOP,
    }


def _text(name: str) -> str:
    return files(__package__ or "").joinpath(name).read_text(encoding="utf-8")


@cache
def _template() -> Any:
    environment = Environment(
        loader=BaseLoader(), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    return environment.from_string(_text("page.html.j2"))
