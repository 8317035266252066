"""The two set-up commands say what is wrong instead of failing with a traceback."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import typer

from dashboard import __main__ as setup
from tests.house.tree import PYPROJECT, ROOT

README = (ROOT / "README.md").read_text(encoding="utf-8")


def commands(text: str) -> list[list[str]]:
    """Lines of each fenced block of commands."""
    blocks = re.findall(r"^```sh\n(.*?)^```$", text, re.M | re.S)
    return [block.strip().splitlines() for block in blocks]


def failing(said: str):
    """A stand-in for subprocess.run that fails with ``said``."""

    def run(command, **_):
        return subprocess.CompletedProcess(command, 1, stdout=said, stderr="")

    return run


@pytest.fixture
def elsewhere(monkeypatch, tmp_path: Path) -> Path:
    """A folder with a pyproject and no environment, taken for the project's own."""
    (tmp_path / "pyproject.toml").write_text("[project]\n", encoding="utf-8")
    monkeypatch.setattr(setup, "ROOT", tmp_path)
    monkeypatch.setattr(setup, "VENV", tmp_path / ".venv")
    monkeypatch.setattr(setup, "STAMP", tmp_path / ".venv" / "prepared")
    return tmp_path


def test_the_readme_has_exactly_two_set_up_commands():
    assert commands(README) == [["python3 dashboard"], ["python3 tests"]]


def test_every_dependency_has_its_sentence_in_the_developers_guide():
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    project = PYPROJECT["project"]
    needed = project["dependencies"] + project["optional-dependencies"]["test"]
    names = [re.match(r"[\w.-]+", need).group() for need in needed]
    assert [dependency for dependency in names if f"**{dependency}**" not in guide] == []
    assert [need for need in needed if "<" not in need and "tzdata" not in need] == []


def test_every_command_stands_in_the_readme():
    from core.cli import app  # here: the other tests of this file need no program

    command = typer.main.get_command(app)
    assert [name for name in command.commands if f"| `pilewright {name}" not in README] == []


def test_an_older_python_is_told_which_one_is_needed(monkeypatch, elsewhere):
    monkeypatch.setattr(setup, "NEEDED", (99, 0))
    with pytest.raises(SystemExit, match=r"needs Python 99\.0 or newer; this is Python 3\."):
        setup.prepare()


def test_a_python_without_ensurepip_is_told_what_to_install(monkeypatch, elsewhere):
    monkeypatch.setattr(subprocess, "run", failing("ensurepip is not available"))
    with pytest.raises(SystemExit, match="apt-get install python3-venv"):
        setup.prepare()
    assert not setup.STAMP.exists()


def test_a_failed_installation_is_not_taken_for_done(monkeypatch, elsewhere):
    monkeypatch.setattr(setup, "_usable", lambda: True)
    monkeypatch.setattr(subprocess, "run", failing("no network"))
    with pytest.raises(SystemExit, match="could not be installed"):
        setup.prepare()
    assert not setup.STAMP.exists()


def test_packages_are_installed_once_and_again_when_the_project_changes(monkeypatch, elsewhere):
    installed = []
    monkeypatch.setattr(setup, "_usable", lambda: True)

    def run(command, **_):
        installed.append(command)
        return subprocess.CompletedProcess(command, 0)

    monkeypatch.setattr(subprocess, "run", run)
    setup.VENV.mkdir()
    setup.prepare()
    setup.prepare()
    assert len(installed) == 1
    (elsewhere / "pyproject.toml").write_text("[project]\nname = 'x'\n", encoding="utf-8")
    setup.prepare()
    assert len(installed) == 2


def test_the_oldest_python_is_the_one_the_project_names():
    oldest = ".".join(str(part) for part in setup.NEEDED)
    assert PYPROJECT["project"]["requires-python"] == f">={oldest}"


@pytest.mark.parametrize(("required", "code"), [("required", 1), ("", 0)])
def test_a_skipped_test_fails_where_browser_tests_are_required(
    tmp_path: Path, required: str, code: int
):
    shutil.copy(ROOT / "tests" / "conftest.py", tmp_path)
    (tmp_path / "pytest.ini").write_text("[pytest]\n", encoding="utf-8")
    text = "import pytest\n\ndef test_page():\n    pytest.skip('none found')\n"
    (tmp_path / "test_page.py").write_text(text, encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", str(tmp_path)]
    told = {**os.environ, "PILEWRIGHT_BROWSER_TESTS": required}
    run = subprocess.run(
        command, cwd=tmp_path, env=told, capture_output=True, text=True, check=False, timeout=60
    )
    assert run.returncode == code, run.stdout + run.stderr
