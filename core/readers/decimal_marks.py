"""What is asked and said about decimal marks: nobody has said, or a column has both styles."""

from __future__ import annotations

import numpy as np

from core.readers import cell_forms
from core.readers.distinct import by_distinct
from core.readers.numbers import numbers, style
from core.readers.table import Table

_OTHER = {"point": "comma", "comma": "point"}


def say_styles(table: Table, name: str, wrong: np.ndarray, decimal: str) -> np.ndarray:
    """Where unread texts are numbers in a style that is not the column's, or not yet stated."""
    styles = np.full(len(wrong), "", dtype=object)
    styles[wrong] = by_distinct(table.texts[name][wrong], style, "", object)
    numbered: np.ndarray = styles == _OTHER[decimal] if decimal else styles != ""
    if numbered.any() and decimal:
        _say_odd(table, name, numbered, decimal)
    elif numbered.any():
        _say_unstated(table, name, styles)
    return numbered


def _say_unstated(table: Table, name: str, styles: np.ndarray) -> None:
    """Two styles: the rarer one is odd. What is left is asked about once."""
    asked = styles != ""
    commas = styles == "comma"
    points = (styles == "point") | _sure(table, name, ~asked, "point")
    if commas.any() and points.any():
        odd, others = (commas, points) if commas.sum() <= points.sum() else (points, commas)
        _say_two_styles(table, name, odd, others)
        asked &= ~odd
    if asked.any():
        _ask(table, name, asked, styles)


def _sure(table: Table, name: str, where: np.ndarray, wanted: str) -> np.ndarray:
    """Where a text reads in the ``wanted`` style alone; a spreadsheet's numbers have no style."""
    where = where & table.given(name)
    if name in table.forms:
        where &= table.forms[name] != cell_forms.NUMBER
    sure = np.zeros(len(where), dtype="bool")
    sure[where] = by_distinct(table.texts[name][where], lambda t: style(t) == wanted, False, "bool")
    return sure


def _say_odd(table: Table, name: str, odd: np.ndarray, decimal: str) -> None:
    own = _sure(table, name, ~odd, decimal)
    if own.any():
        _say_two_styles(table, name, odd, own)
        return
    _once(
        table,
        name,
        odd,
        int(np.flatnonzero(odd)[0]),
        (f"has a decimal {_OTHER[decimal]}; the file is said to write a {decimal}.",
         f"Say {_OTHER[decimal]} on Intake or with --decimal, or correct the numbers."),
    )  # fmt: skip


def _say_two_styles(table: Table, name: str, odd: np.ndarray, others: np.ndarray) -> None:
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
            "Say the decimal mark on Intake, or import with --decimal.",
        )
    elif styles[at] == "comma":
        said = "has a decimal comma.", "Say so on Intake, or import with --decimal comma."
    else:
        said = "has a mark of thousands.", "Say point on Intake, or import with --decimal point."
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
