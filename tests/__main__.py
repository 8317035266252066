"""``python3 tests``: prepares ``.venv`` once, then runs pytest; arguments are passed on.

Without arguments all tests run, a file at a time on each processor.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from dashboard.__main__ import go_on, prepare, tool  # noqa: E402  needs the folder on the path

ALL = ["-n", "auto", "--maxprocesses", "4", "--dist", "loadfile"]

if __name__ == "__main__":
    prepare()
    os.chdir(ROOT)
    go_on([tool("python"), "-m", "pytest", *(sys.argv[1:] or ALL)])
