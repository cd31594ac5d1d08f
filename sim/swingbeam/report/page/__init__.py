"""One self-contained HTML page of a ranking, for the screen and for two sheets of paper.

Everything is in the one file: styles, charts as SVG, a short script for the replay and the switch of units. It is made
from a ranking's HDF5 file alone, and the same file gives the same bytes.
"""

from .page import PAPERS, page_html, write_page

__all__ = ["PAPERS", "page_html", "write_page"]
