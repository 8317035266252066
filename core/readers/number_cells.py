"""Cells of a number column to values in the store unit; what cannot be read becomes a problem."""

from __future__ import annotations

import re
from collections.abc import Callable

import numpy as np
import pandas as pd

from core import units
from core.readers import cell_forms, decimal_marks, slopes, values
from core.readers.distinct import by_distinct
from core.readers.numbers import numbers
from core.readers.spreadsheets import unread
from core.readers.table import Table
from core.records import Column
from core.units import feet_inches

_NOT_RECORDED = frozenset(("n/a", "na", "-", "--", "tbc", "tba", "nil", "none", "?", "n.a.", "x"))
_FROM_VERTICAL = ("batter_deg",)  # what may be a slope; a direction may not
_LENGTHS = ("length", "coordinate")
_DATE_LIKE = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}( [0-9:.]+)?|[0-9]{1,2}-[A-Za-z]{3}|[0-9]{2}:[0-9]{2}:[0-9]{2}"
)


def number_values(
    table: Table, column: Column, expression: str | None, decimal: str = ""
) -> np.ndarray:
    """Values of ``column`` in its store unit, NaN where missing or a problem."""
    name = column.name
    if expression == units.FEET_AND_INCHES:
        found = _stated_feet_and_inches(table, name)
    else:
        found = _by_style(table.texts[name], table.forms.get(name), decimal)
        wrong = unread(table, name, np.isnan(found))
        if wrong.any():
            if column.role == "angle":
                wrong &= ~_marked_slopes(table, name, expression, found, wrong)
            if column.role in _LENGTHS:
                wrong &= ~_marked_lengths(table, name, expression, found, wrong)
            wrong &= ~decimal_marks.say_styles(table, name, wrong, decimal)
            if column.role in _LENGTHS and expression == "ft":
                wrong &= ~_bare_pairs(table, name, wrong)
            table.fault(wrong, name, "not a number", lambda at: _no_number(table, name, at))
    if expression in units.SLOPES and name not in _FROM_VERTICAL:
        _say_no_slope(table, name)
    if expression is not None:
        found = units.to_store(found, expression, name)
    return values.whole(found) if column.form == "whole" else found


def _by_style(texts: pd.Series, forms: np.ndarray | None, decimal: str) -> np.ndarray:
    """Numbers of a column; what a spreadsheet holds as a number has a point whatever was said."""
    found = numbers(texts, decimal)
    if forms is not None and decimal:
        held = forms == cell_forms.NUMBER
        found[held] = numbers(texts[held])
    return found


def _stated_feet_and_inches(table: Table, name: str) -> np.ndarray:
    """Inches of a column whose header states feet and inches."""
    texts = table.texts[name]
    found: np.ndarray = by_distinct(texts, feet_inches.stated, np.nan, "float64")
    wrong = unread(table, name, np.isnan(found))
    if not wrong.any():
        return found
    decimals = wrong & ~np.isnan(numbers(texts))

    def say(at: int) -> tuple[str, str]:
        text = table.text(name, at)
        feet, _, rest = text.partition(".")
        return (
            f"{table.name(name)} is {text}, which may be {feet} ft {rest or 0} in or {text} ft.",
            "Write it as in 24'-6\".",
        )

    table.fault(decimals, name, "unclear length", say)
    table.fault(
        wrong & ~decimals,
        name,
        "not a length",
        lambda at: (
            f"{table.name(name)} is {table.text(name, at)}, which is not read as feet and inches.",
            "Write it as in 24'-6\", with inches under 12.",
        ),
    )
    return found


def _read_where(
    where: np.ndarray, texts: pd.Series, read: Callable[[str], float | None]
) -> np.ndarray:
    """What ``read`` makes of the texts of ``where``, NaN elsewhere and of what it cannot read."""
    found = np.full(len(where), np.nan)
    found[where] = by_distinct(texts[where], read, np.nan, "float64")
    return found


def _marked_lengths(
    table: Table, name: str, expression: str | None, found: np.ndarray, wrong: np.ndarray
) -> np.ndarray:
    """Where cells carry marks of feet and inches: read in a column of feet, else a problem."""
    inches = _read_where(wrong, table.texts[name], feet_inches.inches)
    marked: np.ndarray = ~np.isnan(inches)
    if expression == "ft":
        found[marked] = inches[marked] * units.factor("inch", "ft")
        return marked
    heading = table.headings.get(name)
    unit = (heading.unit if heading else None) or units.unit_word(name)
    table.fault(
        marked,
        name,
        "another unit",
        lambda at: (
            f"{table.name(name)} is {table.text(name, at)}, feet and inches in a column of {unit}.",
            f"Write it in {unit}, or let the header state ft-in.",
        ),
    )
    return marked


def _marked_slopes(
    table: Table, name: str, expression: str | None, found: np.ndarray, wrong: np.ndarray
) -> np.ndarray:
    """Where cells are slopes: read under a slope or no stated unit, a problem under degrees."""
    ratios = _read_where(wrong, table.texts[name], slopes.ratio)
    marked: np.ndarray = ~np.isnan(ratios)
    if name in _FROM_VERTICAL and expression in units.SLOPES:
        found[marked] = ratios[marked] / units.factor(str(expression), units.SLOPE)
        return marked
    heading = table.headings.get(name)
    if name in _FROM_VERTICAL and heading is not None and heading.unit is None:
        found[marked] = units.slope_deg(ratios[marked])
        return marked
    table.fault(
        marked,
        name,
        "another unit",
        lambda at: (
            f"{table.name(name)} is {table.text(name, at)}, a slope in a column of degrees.",
            "Write the angle in degrees.",
        ),
    )
    return marked


def _say_no_slope(table: Table, name: str) -> None:
    table.fault(
        table.given(name),
        name,
        "another unit",
        lambda at: (
            f"{table.name(name)} is {table.text(name, at)}, as a slope.",
            "Write it in degrees, with deg in the header.",
        ),
    )


def _bare_pairs(table: Table, name: str, wrong: np.ndarray) -> np.ndarray:
    """Where cells in a column of feet look like feet and inches without their marks."""
    pairs = np.zeros(len(wrong), dtype="bool")
    inches = by_distinct(table.texts[name][wrong], feet_inches.bare_pair, np.nan, "float64")
    pairs[wrong] = ~np.isnan(inches)
    table.fault(
        pairs,
        name,
        "unclear length",
        lambda at: (
            f"{table.name(name)} is {table.text(name, at)}: feet and inches without their marks?",
            "Write it as in 24'-6\", or let the header state ft-in.",
        ),
    )
    return pairs


def _no_number(table: Table, name: str, at: int) -> tuple[str, str]:
    text = table.text(name, at)
    problem = f"{table.name(name)} is {text}, which is not a number."
    if text.casefold() in _NOT_RECORDED:
        return problem, "Leave the cell empty when it was not recorded."
    if _DATE_LIKE.fullmatch(text):
        made = "time" if ":" in text[:5] else "date"
        return problem, f"If a spreadsheet made a {made} of it: format the column as text first."
    tail = re.sub(r"^[+-]?[0-9.,]+", "", text)
    if tail != text and units.accepted(tail, units.role_of(name) or ""):
        return problem, "Write the number alone; its unit belongs in the header."
    return problem, "Write the number as it was read, such as 12.5."
