"""``python3 tests/benchmarks``: prepares ``.venv`` once, then times the main job.

``--piles 5000`` (each with ``--readings 60``), ``--json`` for numbers alone, ``--no-browser``.
"""

from __future__ import annotations

import os
import sys
from contextlib import redirect_stdout
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from dashboard.__main__ import prepare, run_program, tool  # noqa: E402  needs the folder on the path

if __name__ == "__main__":
    with redirect_stdout(sys.stderr):  # numbers alone go out
        prepare()
    os.chdir(ROOT)
    run_program([tool("python"), "-m", "tests.benchmarks.main_job", *sys.argv[1:]])
