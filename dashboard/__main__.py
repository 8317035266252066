"""``python3 dashboard``: prepares ``.venv`` once, then builds the sample job and shows it.

Standard library only, since nothing else is installed when it runs. ``python3 tests`` prepares
the environment with the same functions.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
STAMP = VENV / "prepared"
NEEDED = (3, 11)
WINDOWS = os.name == "nt"


def tool(name: str) -> str:
    """Path of a program inside the environment."""
    return str(VENV / ("Scripts" if WINDOWS else "bin") / (f"{name}.exe" if WINDOWS else name))


def prepare() -> None:
    """Make the environment and install what pyproject.toml asks, unless that was done already.

    Exits with a sentence for the user when it cannot be done.
    """
    if sys.version_info < NEEDED:
        needed, found = "{}.{}".format(*NEEDED), sys.version.split()[0]
        sys.exit(
            f"Pilewright needs Python {needed} or newer; this is Python {found}. "
            f"Run the same command with a newer one, such as python{needed}."
        )
    asked = _asked()
    if STAMP.is_file() and STAMP.read_text(encoding="utf-8") == asked:
        return
    print(f"Preparing {VENV}: packages are downloaded once, which takes a minute.", flush=True)
    if not _usable():
        _make()
    pip = [tool("python"), "-m", "pip", "--disable-pip-version-check", "--quiet"]
    if subprocess.run([*pip, "install", "--editable", ".[test]"], cwd=ROOT, check=False).returncode:
        sys.exit(
            "The packages could not be installed; see the pip output above. "
            "When it is the network, connect and run the same command again."
        )
    STAMP.write_text(asked, encoding="utf-8")
    print("Ready.", flush=True)


def run_program(command: list[str]) -> None:
    """Hand over to ``command``; its exit code becomes ours."""
    if WINDOWS:  # there, exec returns to the shell at once
        try:
            sys.exit(subprocess.run(command, check=False).returncode)
        except KeyboardInterrupt:
            sys.exit(130)
    os.execv(command[0], command)


def _asked() -> str:
    """What the environment depends on: the project's text, the interpreter and the folder."""
    project = (ROOT / "pyproject.toml").read_bytes()
    python = "{}.{}".format(*sys.version_info).encode()
    return hashlib.sha256(project + python + os.fsencode(ROOT)).hexdigest()


def _usable() -> bool:
    """Whether an environment with a new enough Python and pip is there already."""
    if not Path(tool("python")).exists():
        return False
    question = f"import sys, pip; sys.exit(sys.version_info < {NEEDED})"
    answer = subprocess.run([tool("python"), "-c", question], capture_output=True, check=False)
    return answer.returncode == 0


def _make() -> None:
    make = [sys.executable, "-m", "venv", "--clear", str(VENV)]
    made = subprocess.run(make, capture_output=True, text=True, check=False)
    if made.returncode == 0:
        return
    said = (made.stdout + made.stderr).strip()
    if "ensurepip" in said or "No module named venv" in said:
        sys.exit(
            "This Python cannot make virtual environments: its venv module is not complete. "
            "On Debian and Ubuntu install it with: sudo apt-get install python3-venv"
        )
    sys.exit(f"The environment {VENV} could not be made:\n{said}")


if __name__ == "__main__":
    prepare()
    run_program([tool("pilewright"), "demo", *sys.argv[1:]])
