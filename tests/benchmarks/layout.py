"""How a tree of this program is cut up: ``python -m tests.benchmarks.layout [FOLDER]``.

Prints, for this tree or the one in FOLDER: modules and lines of core, dashboard and tests; lines of
``__init__`` that only re-export; modules with a single importer; functions and their length; the
modules of core that a torque reading passes from its file to the commit; and what is loaded at
the start. The last two are measured in fresh processes of that tree; folders may have other names.
"""

from __future__ import annotations

import ast
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from types import FrameType, ModuleType
from typing import Any

import duckdb

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("core", "dashboard", "tests")
SERVICES = ("core.services", "core.flow")
SMALL_PROJECT = ("tests.services.small", "tests.flow.small")
STARTS = 3  # the shortest time counts


class Module:
    """One file of the tree."""

    def __init__(self, path: Path, root: Path) -> None:
        text = path.read_text(encoding="utf-8")
        self.is_package = path.stem == "__init__"
        self.name = module_name(path, root)
        self.top = self.name.split(".")[0]
        self.lines = len(text.splitlines())
        self.tree = ast.parse(text)

    @property
    def imports(self) -> Iterator[ast.Import | ast.ImportFrom]:
        """Statements that import, wherever they stand."""
        for node in ast.walk(self.tree):
            if isinstance(node, ast.Import | ast.ImportFrom):
                yield node

    def source(self, node: ast.ImportFrom) -> str:
        """Full name of the module that ``node`` imports from."""
        if not node.level:
            return node.module or ""
        package = self.name.split(".") if self.is_package else self.name.split(".")[:-1]
        package = package[: len(package) - node.level + 1]
        return ".".join([*package, *filter(None, [node.module])])

    @property
    def bound(self) -> set[str]:
        """Names that the module's own statements bind: imports, functions and classes."""
        names = set()
        for node in self.tree.body:
            if isinstance(node, ast.Import | ast.ImportFrom):
                names |= {one.asname or one.name for one in node.names}
            elif isinstance(node, ast.FunctionDef | ast.ClassDef):
                names.add(node.name)
        return names

    @property
    def statements(self) -> int:
        """Logical lines: statements without docstrings."""
        return sum(
            isinstance(node, ast.stmt)
            and not (isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant))
            for node in ast.walk(self.tree)
        )

    @property
    def function_lengths(self) -> list[int]:
        """Lines of each function and method, decorators left out."""
        return [
            _lines(node)
            for node in ast.walk(self.tree)
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        ]

    @property
    def re_exported_lines(self) -> int:
        """Lines of ``__all__`` and of imports from this program that the module does not use."""
        used = {node.id for node in ast.walk(self.tree) if isinstance(node, ast.Name)}
        lines = 0
        for node in self.tree.body:
            if isinstance(node, ast.ImportFrom) and node.module != "__future__":
                names = {one.asname or one.name for one in node.names}
                if self.source(node).split(".")[0] in PACKAGES and not used & names:
                    lines += _lines(node)
            elif isinstance(node, ast.Assign) and "__all__" in map(ast.unparse, node.targets):
                lines += _lines(node)
        return lines


def module_name(path: Path, root: Path) -> str:
    """Name by which the file at ``path`` is imported."""
    parts = path.relative_to(root).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _lines(node: ast.stmt) -> int:
    return (node.end_lineno or node.lineno) - node.lineno + 1


def modules_of(root: Path) -> list[Module]:
    """Every module of the three packages under ``root``."""
    return [
        Module(path, root)
        for package in PACKAGES
        for path in sorted((root / package).rglob("*.py"))
        if not any(part.startswith(".") for part in path.relative_to(root).parts)
    ]


def importers_of(modules: list[Module]) -> dict[str, set[str]]:
    """By module: those that import it; a package that re-exports from it is one of them."""
    known = {module.name: module for module in modules}
    found: dict[str, set[str]] = defaultdict(set)
    for module in modules:
        for node in module.imports:
            if isinstance(node, ast.Import):
                targets = {one.name for one in node.names}
            else:
                source = module.source(node)
                bound = known[source].bound if source in known else set()
                inside = {one.name: f"{source}.{one.name}" for one in node.names}
                targets = {
                    name if name in known and short not in bound else source
                    for short, name in inside.items()
                }
            for name in targets & known.keys():
                found[name].add(module.name)
    return found


def print_layout(root: Path) -> None:
    """What can be read in the files themselves."""
    modules = modules_of(root)
    program = [module for module in modules if module.top != "tests"]
    print(f"{'':12} {'modules':>8} {'lines':>8} {'statements':>11}")
    for package in PACKAGES:
        own = [module for module in modules if module.top == package]
        lines, statements = (sum(getattr(m, what) for m in own) for what in ("lines", "statements"))
        print(f"{package:12} {len(own):8,} {lines:8,} {statements:11,}")
    print("\nIn core and dashboard:")
    packages = [module for module in program if module.is_package]
    print(f"{sum(m.re_exported_lines for m in packages):6,} lines of __init__ that only re-export")
    lengths = [length for module in program for length in module.function_lengths]
    median = statistics.median(lengths)
    print(f"{len(lengths):6,} functions, median length {median:.0f} lines")
    importers = importers_of(program)
    single = {
        module.name: importers[module.name]
        for module in program
        if not module.is_package and len(importers[module.name]) == 1
    }
    print(f"{len(single):6,} modules with a single importer:")
    for name, (importer,) in sorted(single.items()):
        print(f"       {name} <- {importer}")


def print_run(root: Path) -> None:
    """What shows only when the program runs."""
    with tempfile.TemporaryDirectory() as place:
        child(root, "build", place)
        passed = child(root, "import", place)
    print(f"\n{len(passed):,} modules of core run between import_files of a log and its commit:")
    for name in passed:
        print(f"       {name}")
    print("\nLoaded at the start:")
    for start in ("services", "dashboard"):
        runs = [child(root, start) for _ in range(STARTS)]
        name, _, loaded, own = runs[0]
        seconds = min(run[1] for run in runs)
        print(f"{name:16} {seconds:5.2f} s {loaded:6,} modules, {own:,} of them of this program")


def child(root: Path, *what: str) -> Any:
    """What a fresh process of the tree in ``root`` answers to ``what``."""
    command = [sys.executable, "-P", __file__, "--child", *what]
    surroundings = {**os.environ, "PYTHONPATH": str(root)}
    done = subprocess.run(
        command, cwd=root, env=surroundings, capture_output=True, text=True, check=False
    )
    if done.returncode:
        sys.exit(done.stderr)
    return json.loads(done.stdout)


def first_of(names: tuple[str, ...]) -> str:
    """The first of these modules that the tree in the current folder has."""
    return next(name for name in names if list(Path().glob(f"{name.replace('.', '/')}*")))


def answer(what: str, *place: str) -> object:
    """What the process that ``child`` starts finds out."""
    if what == "services":
        return started(first_of(SERVICES))
    if what == "dashboard":
        return started("dashboard.app")
    small = import_module(first_of(SMALL_PROJECT))
    services = import_module(first_of(SERVICES))
    folder = Path(*place)
    if what == "build":
        small.small_project(folder)
        return []
    log = folder / "log.csv"
    log.write_text(small.log(), encoding="utf-8")
    return run_until_commit(services, folder / "project", log)


def started(name: str) -> tuple[str, float, int, int]:
    """The name, seconds to import it, modules loaded by that, and those of this program."""
    before = set(sys.modules)
    begun = time.perf_counter()
    import_module(name)
    seconds = time.perf_counter() - begun
    loaded = set(sys.modules) - before
    own = [one for one in loaded if one.split(".")[0] in PACKAGES]
    return name, seconds, len(loaded), len(own)


def run_until_commit(services: ModuleType, project: Path, log: Path) -> list[str]:
    """Modules of core with a function called while ``log`` is imported, up to the last commit."""
    passed: set[str] = set()
    at_commit: set[str] = set()
    commit = duckdb.DuckDBPyConnection.commit

    def note_call(frame: FrameType, event: str, _: object) -> None:
        name = frame.f_globals.get("__name__", "")
        if event == "call" and name.split(".")[0] == "core" and frame.f_code.co_name != "<module>":
            passed.add(name)

    def note_commit(connection: duckdb.DuckDBPyConnection) -> object:
        at_commit.update(passed)
        return commit(connection)

    duckdb.DuckDBPyConnection.commit = note_commit
    sys.setprofile(note_call)
    report = services.import_files(project, [log], by="Bo Invented")
    sys.setprofile(None)
    if report.refused or not at_commit:
        sys.exit(f"The log was not imported: {report}")
    return sorted(at_commit)


def main(arguments: list[str]) -> None:
    """Print the layout of the tree in the folder that is named, or of this one."""
    if arguments[:1] == ["--child"]:
        print(json.dumps(answer(*arguments[1:])))
        return
    root = Path(arguments[0]).resolve() if arguments else ROOT
    print_layout(root)
    print_run(root)


if __name__ == "__main__":
    main(sys.argv[1:])
