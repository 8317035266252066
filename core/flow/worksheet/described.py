"""What a formula says of itself: equation, symbol and unit of each parameter, and source."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

Formula = Callable[..., Any]
_EQUATION = re.compile(r"^Equation: (.+?), with (.+?)\.\n(?=Source: |$)", re.M | re.S)
_SOURCE = re.compile(r"^Source: (.+?)(?:\n\n|\Z)", re.M | re.S)
_UNIT = re.compile(r"\[([^\]]+)\]$")
_SIGNS = {"**2": "²", "**3": "³", "**4": "⁴", "*": "·", "litre": "L", "deg": "°"}


@dataclass(frozen=True)
class Described:
    """An equation with the symbol, unit and word of each parameter, and where it comes from."""

    equation: str
    symbols: dict[str, str]
    units: dict[str, str]
    says: dict[str, str]
    unit: str
    source: str


@cache
def described(formula: Formula) -> Described:
    """The description of ``formula`` from its docstring. Raises ValueError without an equation."""
    told = inspect.getdoc(formula) or ""
    equation, source = _EQUATION.search(told), _SOURCE.search(told)
    if equation is None or source is None:
        raise ValueError(f"{formula.__name__} states no equation with its symbols and source")
    lines = told.splitlines()
    names = list(inspect.signature(formula).parameters)
    told_of = {name: next(ln for ln in lines if ln.startswith(f"{name}: ")) for name in names}
    return Described(
        equation=" ".join(equation[1].split()),
        symbols=_symbols(equation[2]),
        units={name: _unit(line) for name, line in told_of.items()},
        says={name: _says(name, line) for name, line in told_of.items()},
        unit=_unit(lines[0].rstrip(".")),
        source=" ".join(source[1].split()),
    )


def _symbols(text: str) -> dict[str, str]:
    """Symbol of each parameter from ``d = disc_mm, A = shaft_area_mm2``."""
    pairs = [pair.split(" = ") for pair in " ".join(text.split()).split(", ")]
    return {name.strip(): symbol.strip() for symbol, name in pairs}


def _unit(line: str) -> str:
    found = _UNIT.search(line)
    unit = "" if found is None or found[1] == "-" else found[1]
    for written, sign in _SIGNS.items():
        unit = unit.replace(written, sign)
    return unit


def _says(name: str, line: str) -> str:
    text: str = line.removeprefix(f"{name}: ")
    return _UNIT.sub("", text).split(", ")[0].strip()
