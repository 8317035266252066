"""The import contracts hold, and each of them catches a breach planted in a copy of the tree."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.tree import PYPROJECT, ROOT

CONTRACTS = [contract["name"] for contract in PYPROJECT["tool"]["importlinter"]["contracts"]]
LAYERS = "Core is built in layers; rooms do not know each other"
DASHBOARD = "Dashboard layers"
PLANTS = {  # contract: the module that errs, and the line that breaks it
    LAYERS: ("core/formulas", "import core.assessment"),
    "Core never imports the dashboard": ("core/assessment", "import streamlit"),
    "Formulas import nothing of ours": ("core/formulas/steel", "import core.units"),
    "Readers, ledger and reports never look at subjects": (
        "core/reports/steel",
        "import core.subjects.steel.measures",
    ),
    "A subject never looks at another": (
        "core/subjects/grout/frames",
        "import core.subjects.steel.register",
    ),
    "Measures know no rules": (
        "core/subjects/torque/measures",
        "import core.subjects.torque.rules",
    ),
    "Settings know the rules of a subject alone": (
        "core/settings/checks",
        "import core.subjects.torque.measures",
    ),
    "Assessment never reads files nor writes the ledger": (
        "core/assessment/snapshot",
        "import core.ledger.writer",
    ),
    "SQL stays in the ledger": ("core/services", "import duckdb"),
    "Rules convert nothing": ("core/assessment", "import core.units"),
    DASHBOARD: ("dashboard/theme", "import dashboard.screens"),
    "Charts are plain functions of words and units": ("dashboard/charts", "import core.records"),
    "Only data and commands call the services": ("dashboard/screens", "import core.services"),
}


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    """The contracts' verdict on the tree in ``folder``."""
    run = "import sys; from importlinter.cli import lint_imports"
    run += "; sys.exit(lint_imports(no_cache=True))"
    alone = {**os.environ, "PYTHONPATH": str(folder), "COLUMNS": "200"}
    command = [sys.executable, "-c", run]
    return subprocess.run(
        command, cwd=folder, env=alone, capture_output=True, text=True, check=False, timeout=120
    )


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A copy of the packages and the contracts, free to break."""
    for package in ("core", "dashboard"):
        ignored = shutil.ignore_patterns("__pycache__")
        shutil.copytree(ROOT / package, tmp_path / package, ignore=ignored)
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


def plant(folder: Path, module: str, line: str) -> None:
    """Adds ``line`` to a module, be it a file or a package."""
    package = folder / module / "__init__.py"
    path = package if package.exists() else folder / f"{module}.py"
    path.write_text(f"{path.read_text(encoding='utf-8')}\n{line}\n", encoding="utf-8")


def test_every_import_contract_is_kept():
    verdict = lint(ROOT)
    assert verdict.returncode == 0, verdict.stdout + verdict.stderr
    assert all(f"{name} KEPT" in verdict.stdout for name in CONTRACTS)


def test_there_is_a_planted_breach_for_every_contract():
    assert sorted(PLANTS) == sorted(CONTRACTS)


@pytest.mark.parametrize(
    ("name", "module", "line"),
    [
        *((name, *planted) for name, planted in PLANTS.items()),
        ("Rules convert nothing", "core/subjects/torque/rules", "import core.units"),
        ("Charts are plain functions of words and units", "dashboard/charts", "import streamlit"),
        (
            "Only data and commands call the services",
            "dashboard/page",
            "import core.criteria.kinds",
        ),
    ],
)
def test_a_planted_breach_is_caught(copy: Path, name: str, module: str, line: str):
    plant(copy, module, line)
    verdict = lint(copy)
    assert verdict.returncode == 1, verdict.stdout + verdict.stderr
    assert f"{name} BROKEN" in verdict.stdout


@pytest.mark.parametrize(
    ("name", "module"), [(LAYERS, "core/attic.py"), (DASHBOARD, "dashboard/attic.py")]
)
def test_a_module_outside_the_layers_is_caught(copy: Path, name: str, module: str):
    (copy / module).write_text('"""A room nobody asked for."""\n', encoding="utf-8")
    verdict = lint(copy)
    assert verdict.returncode == 1, verdict.stdout + verdict.stderr
    assert "attic" in verdict.stdout
