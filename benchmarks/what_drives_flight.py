"""Run the study `what_drives_flight`, and write what came out to docs/what_drives_flight.md, whatever it is.

    .venv/bin/python benchmarks/what_drives_flight.py [--results FILE] [--output FILE]

Some minutes on two cores; stopped, it goes on where it was. A file of results that is there already is used. Page and
picture are generated; every word about an outcome follows from the numbers by the rules of `claims/drives.py`.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path

from claims.drives import HALF, OUTPUTS, SHAFTS_FACE, find, write_page

from swingbeam.files.lookup import find as find_file
from swingbeam.report.study_figure import write_explained
from swingbeam.shaft.load import load_shaft
from swingbeam.study.sweep.explain import explain_study
from swingbeam.study.sweep.load import load_study
from swingbeam.study.sweep.progress import Lines
from swingbeam.study.sweep.results import open_results
from swingbeam.study.sweep.run import run_study

ROOT = Path(__file__).resolve().parents[1]
SCENARIO = "what_drives_flight"
RESULTS, PAGE = ROOT / "outputs" / f"{SCENARIO}.h5", ROOT / "docs" / f"{SCENARIO}.md"


def main(arguments: list[str]) -> int:
    """Run, explain, draw and write."""
    parser = argparse.ArgumentParser(description="What drives dynamic loft and face angle.")
    parser.add_argument("--results", type=Path, default=RESULTS, help="the file of results, made where it is not there")
    parser.add_argument("--output", type=Path, default=PAGE, help="the page to write; its picture goes beside it")
    parser.add_argument("--workers", type=int, default=None)
    options = parser.parse_args(arguments)
    study = load_study(SCENARIO)
    watch = Lines(lambda text: print(text, file=sys.stderr))
    run_study(study, options.results, workers=options.workers, resume=True, watch=watch)
    explained = explain_study(options.results, outputs=OUTPUTS, against=[HALF])
    shown = replace(explained, outputs=tuple(o for o in explained.outputs if o.output.name != SHAFTS_FACE))
    picture = options.output.with_suffix(".png")
    picture.unlink(missing_ok=True)
    write_explained(shown, picture)
    with open_results(options.results) as results:
        findings = find(results, explained, load_shaft(find_file("shaft", study.recipe.club.shaft)))
    options.output.write_text(write_page(findings, picture.name, study.digest, SCENARIO))
    print(f"{options.output} and {picture.name} written", file=sys.stderr)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
