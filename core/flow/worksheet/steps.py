"""The parts of a worksheet: a step with its equation and numbers, and where each comes from.

A step's result is worked out from the numbers that it shows, so a reader can do it again by hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import isfinite, nan
from typing import Any

import pandas as pd

from core import records
from core.subjects.described import Described, Formula, described
from core.subjects.steps import Input as Input
from core.subjects.steps import InputValue as InputValue
from core.subjects.steps import Origin as Origin
from core.subjects.steps import Step as Step
from core.subjects.steps import lowered as lowered
from core.subjects.steps import number_text as number_text
from core.subjects.steps import result_of as result_of


def of_row(row: pd.Series, name: str, record: str) -> InputValue:
    """The number ``name`` of a row of the ledger that carries its place."""
    sheet = row["sheet"] if isinstance(row["sheet"], str) else None
    origin = Origin(record, int(row["entry_no"]), sheet, int(row["row_no"]))
    return InputValue(_number(row[name]), origin)


def of_reading(row: pd.Series, name: str) -> InputValue:
    """The number ``name`` of a reading: a row of a log, or of the run whose header gives it."""
    return of_row(row, name, "run" if row["of_header"] else "torque_reading")


def of_settings(value: Any, key: str) -> InputValue:
    """A number of project.toml."""
    return InputValue(_number(value), source=f"project.toml: {key}")


def assumed(value: float, why: str) -> InputValue:
    """A number that no record gives, with the reason for it."""
    return InputValue(value, source=why)


def worked(subject: str, title: str, formula: Formula, **given: InputValue) -> Step:
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


def recorded(subject: str, measure: str, given: InputValue, unit: str, source: str) -> Step:
    """The step of a measure that is a number as recorded, with its place."""
    word = records.MEASURE[measure].word
    put = Input(word[0], word, given.value, unit, given.origin, given.source)
    return Step(subject, word_of(measure), "", (put,), given.value, unit, source, measure)


def least_step(subject: str, measure: str, of: Sequence[Step], source: str) -> Step:
    """The step of a measure that is the least of what earlier steps give."""
    puts = tuple(
        Input(f"r{lowered(place)}", one.title[0].lower() + one.title[1:], one.value, one.unit,
            source="above")
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
    return all(isfinite(put.value) for put in step.inputs)


def averaged(
    subject: str, title: str, formula: Formula, parameter: str, given: Sequence[InputValue]
) -> Step:
    """The step of the plain mean of several numbers of one ``parameter`` of ``formula``."""
    about = described(formula)
    unit, says = about.units[parameter], about.descriptions[parameter]
    puts = tuple(
        Input(f"T{lowered(place)}", says, one.value, unit, one.origin, one.source)
        for place, one in enumerate(given, start=1)
    )
    value = sum(one.value for one in given) / len(given)
    return Step(subject, title, about.equation, puts, value, about.unit, about.source)


def word_of(measure: str) -> str:
    """What a measure is called on screens."""
    word = records.MEASURE[measure].word
    return word[0].upper() + word[1:]


def _put(about: Described, name: str, one: InputValue) -> Input:
    symbol, says, unit = about.symbols[name], about.descriptions[name], about.units[name]
    return Input(symbol, says, one.value, unit, one.origin, one.source)


def _number(value: Any) -> float:
    return float("nan") if pd.isna(value) else float(value)
