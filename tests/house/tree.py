"""The project's own files, as the house tests read them."""

from __future__ import annotations

import ast
import tomllib
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PYPROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
PACKAGES = ("core", "dashboard")


def files(*endings: str, under: tuple[str, ...] = PACKAGES) -> list[Path]:
    """Files of the packages whose name ends so, in order; caches left out."""
    found = [path for package in under for path in sorted((ROOT / package).rglob("*"))]
    return [
        path
        for path in found
        if path.is_file() and path.name.endswith(endings) and "__pycache__" not in path.parts
    ]


def name(path: Path) -> str:
    """Path inside the project, with forward slashes."""
    return path.relative_to(ROOT).as_posix()


def parsed(path: Path) -> ast.Module:
    """Syntax tree of a Python file."""
    return ast.parse(path.read_text(encoding="utf-8"), str(path))


def functions(tree: ast.Module) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    """Every function of a module, nested ones too."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node


def docstrings(tree: ast.Module) -> set[int]:
    """Identities of the constants that are docstrings."""
    holders = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, holders) and node.body and isinstance(node.body[0], ast.Expr):
            found.add(id(node.body[0].value))
    return found
