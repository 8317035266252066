"""The parts of a worksheet: a step with its equation and inputs, and where each input comes from.

The result of a step follows from the numbers that it prints, so a reader can do it again by hand.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, isfinite, log10, nan

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
