"""The parts of a worksheet: a step with its equation and numbers, and where each comes from.

A step's result is worked out from the numbers that it shows, so a reader can do it again by hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import floor, isfinite, log10, nan
from typing import Any

import pandas as pd

from core import records
from core.flow.worksheet.described import Described, Formula, described

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
class Put:
    """One number put into a step.

    ``comes`` says from where when that is no row: a setting, an earlier step, or an assumption.
    """

    symbol: str
    says: str
    value: float
    unit: str
    origin: Origin | None = None
    comes: str = ""


@dataclass(frozen=True)
class Step:
    """One calculation: ``value`` in ``unit`` from ``puts``; ``measure`` names it when it is one."""

    subject: str
    title: str
    equation: str
    puts: tuple[Put, ...]
    value: float
    unit: str
    source: str
    measure: str = ""
    note: str = ""


@dataclass(frozen=True)
class Given:
    """A number on its way into a step: its value and where it comes from."""

    value: float
    origin: Origin | None = None
    comes: str = ""


def of_row(row: pd.Series, name: str, record: str) -> Given:
    """The number ``name`` of a row of the ledger that carries its place."""
    sheet = row["sheet"] if isinstance(row["sheet"], str) else None
    origin = Origin(record, int(row["entry_no"]), sheet, int(row["row_no"]))
    return Given(_number(row[name]), origin)


def of_reading(row: pd.Series, name: str) -> Given:
    """The number ``name`` of a reading: a row of a log, or of the run whose header gives it."""
    return of_row(row, name, "run" if row["of_header"] else "torque_reading")


def of_step(step: Step) -> Given:
    """The result of an earlier step."""
    return Given(step.value, comes=f"above: {step.title[0].lower()}{step.title[1:]}")


def of_settings(value: Any, key: str) -> Given:
    """A number of project.toml."""
    return Given(_number(value), comes=f"project.toml: {key}")


def assumed(value: float, why: str) -> Given:
    """A number that no record gives, with the reason for it."""
    return Given(value, comes=why)


def worked(subject: str, title: str, formula: Formula, **given: Given) -> Step:
    """The step of ``formula`` with a number for each of its parameters."""
    about = described(formula)
    value = formula(**{name: one.value for name, one in given.items()})
    puts = tuple(_put(about, name, given[name]) for name in about.symbols)
    return Step(subject, title, about.equation, puts, float(value), about.unit, about.source)


def without_value(subject: str, measure: str, formula: Formula, why: str) -> Step:
    """The step of a measure that the records do not give, with the reason."""
    about = described(formula)
    return Step(subject, word_of(measure), about.equation, (), nan, about.unit, about.source,
                measure, why)  # fmt: skip


def recorded(subject: str, measure: str, given: Given, unit: str, source: str) -> Step:
    """The step of a measure that is a number as recorded, with its place."""
    word = records.MEASURE[measure].word
    put = Put(word[0], word, given.value, unit, given.origin, given.comes)
    return Step(subject, word_of(measure), "", (put,), given.value, unit, source, measure)


def least_step(subject: str, measure: str, of: Sequence[Step], source: str) -> Step:
    """The step of a measure that is the least of what earlier steps give."""
    puts = tuple(
        Put(f"r{lowered(place)}", one.title[0].lower() + one.title[1:], one.value, one.unit,
            comes="above")
        for place, one in enumerate(of, start=1)
    )  # fmt: skip
    value = min(put.value for put in puts)
    equation = "r = least of r₁ … rₙ"
    return Step(subject, word_of(measure), equation, puts, value, of[0].unit, source, measure)


def shown_as(step: Step, measure: str, factor: float = 1.0, unit: str = "") -> Step:
    """``step`` as the measure that it is, in the measure's unit."""
    return replace(step, measure=measure, value=step.value * factor, unit=unit or step.unit)


def known(step: Step) -> bool:
    """Whether every number put in is known."""
    return all(isfinite(put.value) for put in step.puts)


def averaged(
    subject: str, title: str, formula: Formula, parameter: str, given: Sequence[Given]
) -> Step:
    """The step of the plain mean of several numbers of one ``parameter`` of ``formula``."""
    about = described(formula)
    unit, says = about.units[parameter], about.says[parameter]
    puts = tuple(
        Put(f"T{lowered(place)}", says, one.value, unit, one.origin, one.comes)
        for place, one in enumerate(given, start=1)
    )
    value = sum(one.value for one in given) / len(given)
    return Step(subject, title, about.equation, puts, value, about.unit, about.source)


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


def word_of(measure: str) -> str:
    """What a measure is called on screens."""
    word = records.MEASURE[measure].word
    return word[0].upper() + word[1:]


def _put(about: Described, name: str, one: Given) -> Put:
    symbol, says, unit = about.symbols[name], about.says[name], about.units[name]
    return Put(symbol, says, one.value, unit, one.origin, one.comes)


def _number(value: Any) -> float:
    return float("nan") if pd.isna(value) else float(value)
