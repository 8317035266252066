"""``python3 tests``: prepares ``.venv`` once, then runs pytest; arguments are passed on."""

from __future__ import annotations

import os
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from dashboard.__main__ import go_on, prepare, tool  # noqa: E402  needs the folder on the path

if __name__ == "__main__":
    prepare()
    os.chdir(ROOT)
    go_on([tool("python"), "-m", "pytest", *sys.argv[1:]])
