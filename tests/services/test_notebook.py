"""README's lines for a notebook run as they stand there and print what stands there."""

from __future__ import annotations

import re
import subprocess
import sys

from tests.house.tree import ROOT

EXAMPLE = re.compile(r"## In a notebook\n\n```python\n(.*?)```\n\n```text\n(.*?)```", re.DOTALL)


def test_the_lines_of_the_readme_print_what_it_shows(built_sample):
    found = EXAMPLE.search((ROOT / "README.md").read_text(encoding="utf-8"))
    assert found
    code, printed = found.groups()
    assert '".demo"' in code
    code = code.replace('".demo"', repr(str(built_sample[0])))
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr
    assert run.stdout == printed
