"""Cells of number columns to values in the store unit, by the decimal mark that the file uses.

What cannot be read becomes a problem.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import numpy as np
import pandas as pd

from core import units
from core.readers.cell_texts import NUMBER
from core.readers.table import Table, as_integers, map_unique, unread
from core.records import Column
from core.units import feet_inches

_NUMBER = r"([0-9]+(?:\.[0-9]+)?)"
_PAIR = re.compile(rf"{_NUMBER}\s*(?::|in|/)\s*{_NUMBER}", re.IGNORECASE)
_ACROSS_FIRST = re.compile(rf"{_NUMBER}\s*H\s*[:/]\s*{_NUMBER}\s*V", re.IGNORECASE)
_UP_FIRST = re.compile(rf"{_NUMBER}\s*V\s*[:/]\s*{_NUMBER}\s*H", re.IGNORECASE)
_PERCENT = re.compile(rf"{_NUMBER}\s*%")


def ratio(text: str) -> float | None:
    """Horizontal over vertical of a marked slope; None when it is none.

    Without letters a pair leans less than 45°: nobody can tell which way round 5:1 is meant.
    """
    percent = _PERCENT.fullmatch(text)
    if percent:
        return float(percent[1]) / 100
    for pattern in (_PAIR, _ACROSS_FIRST):
        pair = pattern.fullmatch(text)
        if pair:
            found = _quotient(pair[1], pair[2])
            return None if pattern is _PAIR and found is not None and found > 1 else found
    pair = _UP_FIRST.fullmatch(text)
    return _quotient(pair[2], pair[1]) if pair else None


def _quotient(above: str, below: str) -> float | None:
    return float(above) / float(below) if float(below) else None


_LARGEST = 1e15  # beyond it doubles no longer hold every whole number
_NOTHING = float("nan")
_SPACES = dict.fromkeys("\u00a0\u2007\u2009\u202f", " ")
_SIGNS = str.maketrans({**_SPACES, "\u2212": "-", "\u2019": "'"})
_POWER = r"([eE][+-]?[0-9]{1,3})?"
_PLAIN = re.compile(rf"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+){_POWER}")
_COMMA = re.compile(rf"[+-]?([0-9]+,?[0-9]*|,[0-9]+){_POWER}")
# Thousands stand in groups of exactly three behind one and the same mark.
_GROUPS = r"[+-]?[1-9][0-9]{{0,2}}(?P<mark>[{marks}])[0-9]{{3}}((?P=mark)[0-9]{{3}})*"
_POINT_GROUPED = re.compile(_GROUPS.format(marks=" ',") + r"(\.[0-9]*)?")
_COMMA_GROUPED = re.compile(_GROUPS.format(marks=" '.") + r"(,[0-9]*)?")


def numbers(texts: pd.Series, decimal: str = "") -> np.ndarray:
    """Numbers in the style of ``decimal``, NaN where a text is none.

    ``point`` takes 1234.5, 1,234.5 and 1 234.5; ``comma`` takes 0,6, 1.234,5 and 1 234,5; when
    nobody has said, only a plain number with a point, or with no mark at all, is sure.
    """
    read = {"": _plain, "point": _with_point, "comma": _with_comma}[decimal]
    found: np.ndarray = map_unique(texts, read, _NOTHING, "float64")
    return found


def style(text: str) -> str:
    """``point`` or ``comma`` when the number reads in that style alone, ``either``, or empty."""
    point, comma = _is_number(_with_point(text)), _is_number(_with_comma(text))
    if point and comma:
        return "either"
    return "point" if point else "comma" if comma else ""


def _is_number(value: float) -> bool:
    return value == value  # only what is no number differs from itself


def _plain(text: str) -> float:
    if not _PLAIN.fullmatch(text):
        text = text.translate(_SIGNS).strip()
        if not _PLAIN.fullmatch(text):
            return _NOTHING
    value = float(text)
    return value if abs(value) <= _LARGEST else _NOTHING


def _with_point(text: str) -> float:
    value = _plain(text)
    if _is_number(value):
        return value
    text = text.translate(_SIGNS).strip()
    grouped = _POINT_GROUPED.fullmatch(text)
    return _plain(text.replace(grouped["mark"], "")) if grouped else _NOTHING


def _with_comma(text: str) -> float:
    text = text.translate(_SIGNS).strip()
    if _COMMA.fullmatch(text):
        return _plain(text.replace(",", "."))
    grouped = _COMMA_GROUPED.fullmatch(text)
    if not grouped:
        return _NOTHING
    return _plain(text.replace(grouped["mark"], "").replace(",", "."))


_OTHER = {"point": "comma", "comma": "point"}


def report_styles(table: Table, name: str, wrong: np.ndarray, decimal: str) -> np.ndarray:
    """Where unread texts are numbers in a style that is not the column's, or not yet stated."""
    styles = np.full(len(wrong), "", dtype=object)
    styles[wrong] = map_unique(table.texts[name][wrong], style, "", object)
    numbered: np.ndarray = styles == _OTHER[decimal] if decimal else styles != ""
    if numbered.any() and decimal:
        _report_odd(table, name, numbered, decimal)
    elif numbered.any():
        _report_unstated(table, name, styles)
    return numbered


def _report_unstated(table: Table, name: str, styles: np.ndarray) -> None:
    """Two styles: the rarer one is odd. What is left is asked about once."""
    asked = styles != ""
    commas = styles == "comma"
    points = (styles == "point") | _sure(table, name, ~asked, "point")
    if commas.any() and points.any():
        odd, others = (commas, points) if commas.sum() <= points.sum() else (points, commas)
        _report_two_styles(table, name, odd, others)
        asked &= ~odd
    if asked.any():
        _ask(table, name, asked, styles)


def _sure(table: Table, name: str, where: np.ndarray, wanted: str) -> np.ndarray:
    """Where a text reads in the ``wanted`` style alone; a spreadsheet's numbers have no style."""
    where = where & table.given(name)
    if name in table.forms:
        where &= table.forms[name] != NUMBER
    sure = np.zeros(len(where), dtype="bool")
    sure[where] = map_unique(table.texts[name][where], lambda t: style(t) == wanted, False, "bool")
    return sure


def _report_odd(table: Table, name: str, odd: np.ndarray, decimal: str) -> None:
    own = _sure(table, name, ~odd, decimal)
    if own.any():
        _report_two_styles(table, name, odd, own)
        return
    _once(
        table,
        name,
        odd,
        int(np.flatnonzero(odd)[0]),
        (f"has a decimal {_OTHER[decimal]}; the file is said to write a {decimal}.",
         f"Say {_OTHER[decimal]} on Import or with --decimal, or correct the numbers."),
    )  # fmt: skip


def _report_two_styles(table: Table, name: str, odd: np.ndarray, others: np.ndarray) -> None:
    other = int(np.flatnonzero(others)[0])
    table.fault(
        odd,
        name,
        "two number styles",
        lambda at: (
            f"{table.name(name)} is {table.text(name, at)} here "
            f"and {table.text(name, other)} in row {table.row(name, other)}: two decimal marks.",
            "Write the whole column with one decimal mark.",
        ),
    )


def _ask(table: Table, name: str, asked: np.ndarray, styles: np.ndarray) -> None:
    sure = asked & (styles != "either")
    at = int(np.flatnonzero(sure if sure.any() else asked)[0])
    if styles[at] == "either":
        cell = table.texts[name].iloc[[at]]
        point, comma = (float(numbers(cell, mark)[0]) for mark in ("point", "comma"))
        said = (
            f"may be {point:.15g} or {comma:.15g}.",
            "Say the decimal mark on Import, or import with --decimal.",
        )
    elif styles[at] == "comma":
        said = "has a decimal comma.", "Say so on Import, or import with --decimal comma."
    else:
        said = "has a mark of thousands.", "Say point on Import, or import with --decimal point."
    _once(table, name, asked, at, said)


def _once(table: Table, name: str, where: np.ndarray, at: int, said: tuple[str, str]) -> None:
    """One problem for all of ``where``: there is one thing to do about them."""
    first = np.zeros(len(where), dtype="bool")
    first[at] = True
    rows = int(where.sum())
    more = f" Rows so written: {rows}." if rows > 1 else ""
    problem, remedy = said
    table.fault(
        first,
        name,
        "decimal mark",
        lambda at: (f"{table.name(name)} is {table.text(name, at)}, which {problem}{more}", remedy),
    )
    table.bad |= where


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
            wrong &= ~report_styles(table, name, wrong, decimal)
            if column.role in _LENGTHS and expression == "ft":
                wrong &= ~_bare_pairs(table, name, wrong)
            table.fault(wrong, name, "not a number", lambda at: _no_number(table, name, at))
    if expression in units.SLOPES and name not in _FROM_VERTICAL:
        _report_no_slope(table, name)
    if expression is not None:
        found = units.to_store(found, expression, name)
    return as_integers(found) if column.form == "integer" else found


def _by_style(texts: pd.Series, forms: np.ndarray | None, decimal: str) -> np.ndarray:
    """Numbers of a column; what a spreadsheet holds as a number has a point whatever was said."""
    found = numbers(texts, decimal)
    if forms is not None and decimal:
        held = forms == NUMBER
        found[held] = numbers(texts[held])
    return found


def _stated_feet_and_inches(table: Table, name: str) -> np.ndarray:
    """Inches of a column whose header states feet and inches."""
    texts = table.texts[name]
    found: np.ndarray = map_unique(texts, feet_inches.stated, np.nan, "float64")
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
    found[where] = map_unique(texts[where], read, np.nan, "float64")
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
            f"Write it in {unit}, or state ft-in in the header.",
        ),
    )
    return marked


def _marked_slopes(
    table: Table, name: str, expression: str | None, found: np.ndarray, wrong: np.ndarray
) -> np.ndarray:
    """Where cells are slopes: read under a slope or no stated unit, a problem under degrees."""
    ratios = _read_where(wrong, table.texts[name], ratio)
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


def _report_no_slope(table: Table, name: str) -> None:
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
    inches = map_unique(table.texts[name][wrong], feet_inches.unmarked_pair, np.nan, "float64")
    pairs[wrong] = ~np.isnan(inches)
    table.fault(
        pairs,
        name,
        "unclear length",
        lambda at: (
            f"{table.name(name)} is {table.text(name, at)}: feet and inches without their marks?",
            "Write it as in 24'-6\", or state ft-in in the header.",
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
