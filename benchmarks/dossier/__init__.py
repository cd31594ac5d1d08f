"""Rows of the validation dossier: problems with an answer from outside the project.

The beams, motions and the model in exudyn are those of the tests, so these have to be found here too.
"""

import os
import sys
from pathlib import Path

# Small dense matrices: several threads of linear algebra only wait for each other. To be set before numpy is imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "tests"))
