"""Steps of a worksheet: equation, inputs with their places and result, read off a formula."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from math import floor, isfinite, log10, nan
from typing import Any

Formula = Callable[..., Any]
_EQUATION = re.compile(r"^Equation: (.+?), with (.+?)\.\n(?=Source: |$)", re.M | re.S)
_SOURCE = re.compile(r"^Source: (.+?)(?:\n\n|\Z)", re.M | re.S)
_UNIT = re.compile(r"\[([^\]]+)\]$")
_SIGNS = {"**2": "²", "**3": "³", "**4": "⁴", "*": "·", "litre": "L", "deg": "°"}


@dataclass(frozen=True)
class Described:
    """An equation with the symbol, unit and meaning of each parameter, and where it comes from.

    ``units`` and ``unit`` are as printed (``mm³``), ``expressions`` and ``expression`` as the unit
    registry reads them (``mm**3``); empty for a plain number.
    """

    title: str
    equation: str
    symbols: dict[str, str]
    units: dict[str, str]
    expressions: dict[str, str]
    descriptions: dict[str, str]
    unit: str
    expression: str
    source: str


@cache
def described(formula: Formula) -> Described:
    """The description of ``formula`` from its docstring. Raises ValueError without an equation."""
    text = inspect.getdoc(formula) or ""
    equation, source = _EQUATION.search(text), _SOURCE.search(text)
    if equation is None or source is None:
        raise ValueError(f"{formula.__name__} states no equation with its symbols and source")
    lines = text.splitlines()
    names = list(inspect.signature(formula).parameters)
    line_of = {name: next(ln for ln in lines if ln.startswith(f"{name}: ")) for name in names}
    first = lines[0].rstrip(".")
    return Described(
        title=_UNIT.sub("", first).strip(),
        equation=" ".join(equation[1].split()),
        symbols=_symbols(equation[2]),
        units={name: _printed(_expression(line)) for name, line in line_of.items()},
        expressions={name: _expression(line) for name, line in line_of.items()},
        descriptions={name: _meaning(name, line) for name, line in line_of.items()},
        unit=_printed(_expression(first)),
        expression=_expression(first),
        source=" ".join(source[1].split()),
    )


def _symbols(text: str) -> dict[str, str]:
    """Symbol of each parameter from ``d = disc_mm, A = shaft_area_mm2``."""
    pairs = [pair.split(" = ") for pair in " ".join(text.split()).split(", ")]
    return {name.strip(): symbol.strip() for symbol, name in pairs}


def _expression(line: str) -> str:
    found = _UNIT.search(line)
    return "" if found is None or found[1] == "-" else found[1]


def _printed(expression: str) -> str:
    for written, sign in _SIGNS.items():
        expression = expression.replace(written, sign)
    return expression


def _meaning(name: str, line: str) -> str:
    text: str = line.removeprefix(f"{name}: ")
    return _UNIT.sub("", text).split(", ")[0].strip()


_LOWERED = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
DIGITS = 6  # of a number as printed; what is worked out keeps all


@dataclass(frozen=True)
class Origin:
    """The row of the ledger a number comes from: record kind, entry, sheet and row."""

    record: str
    entry_no: int
    sheet: str | None
    row_no: int


@dataclass(frozen=True)
class InputValue:
    """A number on its way into a step, with its row of the ledger.

    ``source`` says where it comes from when that is no row: a setting, an earlier step, or an
    assumption. ``description``: what it is, where a formula's own words are too general.
    """

    value: float = nan
    origin: Origin | None = None
    source: str = ""
    description: str = ""


@dataclass(frozen=True)
class Input:
    """One number of a step under its symbol; ``origin`` and ``source`` as of ``InputValue``."""

    symbol: str
    description: str
    value: float
    unit: str
    origin: Origin | None = None
    source: str = ""


@dataclass(frozen=True)
class Step:
    """One calculation: ``value`` in ``unit`` from ``inputs``.

    ``measure`` is its name where it is one; ``note`` says why there is no value, or more about it.
    """

    subject: str
    title: str
    equation: str
    inputs: tuple[Input, ...]
    value: float
    unit: str
    source: str
    measure: str = ""
    note: str = ""


def result_of(step: Step) -> InputValue:
    """The result of an earlier step."""
    return InputValue(step.value, source=f"above: {step.title[:1].lower()}{step.title[1:]}")


def lowered(number: int) -> str:
    """A number in signs below the line."""
    return str(number).translate(_LOWERED)


def number_text(value: float, unit: str = "") -> str:
    """A number as printed: to six digits, coordinates and levels to a tenth of a millimetre."""
    if not isfinite(value):
        return "no value"
    before = floor(log10(abs(value))) + 1 if value else 1
    decimals = max(DIGITS - before, 4 if unit == "m" else 0)
    text = f"{value:,.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
