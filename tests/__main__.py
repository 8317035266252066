"""``python3 tests``: prepares ``.venv`` once, then runs pytest; arguments are passed on.

Without arguments all tests run, a file at a time in each process, in the order of
``tests/conftest.py``: one process more than there are processors, as a browser's tests wait a lot.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from dashboard.__main__ import prepare, run_program, tool  # noqa: E402  needs the folder on the path

PROCESSES = min((os.cpu_count() or 1) + 1, 4)
ALL = ["-n", str(PROCESSES), "--dist", "loadfile", "--no-loadscope-reorder"]

if __name__ == "__main__":
    prepare()
    os.chdir(ROOT)
    run_program([tool("python"), "-m", "pytest", *(sys.argv[1:] or ALL)])
