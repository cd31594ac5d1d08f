"""Every picture, one function each: a result goes in, a matplotlib figure comes out.

The figures are drawn with matplotlib's objects and its Agg canvas, never with pyplot, so a notebook or a server may
call them from any thread. `write_picture` writes one as PNG or SVG, by the ending of its name; the same figure gives
the same bytes.

>>> from swingbeam.report.figures import draw_ranking, write_picture  # doctest: +SKIP
>>> from swingbeam.study.read_ranking import read_ranking  # doctest: +SKIP
>>> write_picture(draw_ranking(read_ranking("outputs/first_fitting.h5")), "ranking.svg")  # doctest: +SKIP

| function | result | picture |
|---|---|---|
| `draw_ranking` | of `rank_scenario` or `read_ranking` | bend, droop, twist; face and loft against half-unload |
| `draw_landing` | the same | where the balls come down, with what is resolved |
| `draw_places` | the same, repeated | how often each shaft takes each place |
| `draw_swing` | the motion of `swing_club` | hub, hands and club, rates, couple, when the shaft unloads |
| `draw_bench` | of the bench | deflected shafts and their readings |
| `draw_profile` | of `profile_readings` | EI, GJ and mass with their bands, and where each reading looks |
| `draw_layups` | of the lay-ups | plies along the shaft, EI and GJ |
| `draw_trims` | of the trims | what a cut does on the bench and in the swing |
| `draw_explained` | of a study, explained | what drives each figure, and how surely |
| `draw_study` | of a study | figures over what was varied |
"""

from __future__ import annotations

from .bench_figure import draw_bench
from .figure import draw_ranking
from .landing import draw_landing
from .layup_figure import draw_layups
from .places import draw_places
from .profile_figure import draw_profile
from .study_figure import draw_explained
from .study_plot import draw_study
from .style import write_picture
from .swing_figure import draw_swing
from .trim_figure import draw_trims

__all__ = [
    "draw_bench",
    "draw_explained",
    "draw_landing",
    "draw_layups",
    "draw_places",
    "draw_profile",
    "draw_ranking",
    "draw_study",
    "draw_swing",
    "draw_trims",
    "write_picture",
]
