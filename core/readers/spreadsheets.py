"""What a spreadsheet does to cells: faults of formulas, and numbers of piles made into values."""

from __future__ import annotations

import re
from collections.abc import Callable

import numpy as np

from core.readers import cell_forms
from core.readers.book_marks import FAULTS, NO_VALUE
from core.readers.distinct import by_distinct
from core.readers.table import Table
from core.records import Column

_MONTH = "(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)"
_POWER = re.compile(r"[0-9]e\+[0-9]+|[0-9]\.[0-9]+e[+-][0-9]+", re.IGNORECASE)
_DAY = re.compile(
    rf"[0-9]{{1,2}}-{_MONTH}(-[0-9]{{2,4}})?|{_MONTH}-[0-9]{{2}}"
    r"|[0-9]{4}-[0-9]{2}-[0-9]{2}([ T][0-9:.]+)?|[0-9]{1,2}/[0-9]{1,2}/[0-9]{4}",
    re.IGNORECASE,
)
_WHOLE = re.compile(r"[+-]?[0-9]{1,15}")


def faults(table: Table, name: str) -> np.ndarray:
    """Where a cell holds the fault of a formula in place of a value."""
    found: np.ndarray = table.texts[name].isin(FAULTS).to_numpy(dtype="bool")
    if name in table.forms:
        found = found | (table.forms[name] == cell_forms.FAULT)
    return found


def unread(table: Table, name: str, without_value: np.ndarray) -> np.ndarray:
    """Where something is written, it is no fault of a formula, and it has no value."""
    wrong: np.ndarray = table.given(name) & without_value
    return wrong & ~faults(table, name) if wrong.any() else wrong


def say_faults(table: Table) -> None:
    """A formula's fault in a column that is read."""
    for name in table.headings:
        table.fault(faults(table, name), name, "spreadsheet fault", _fault_of(table, name))


def _fault_of(table: Table, name: str) -> Callable[[int], tuple[str, str]]:
    def say(at: int) -> tuple[str, str]:
        text = table.text(name, at)
        if text == NO_VALUE:
            return (
                f"{table.name(name)} holds a formula that nobody has worked out.",
                "Open the file in a spreadsheet program, save it and take that in.",
            )
        return (
            f"{table.name(name)} is {text}, the fault of a formula.",
            "Correct the formula and save the file again.",
        )

    return say


def _look(text: str) -> str:
    if _DAY.fullmatch(text):
        return "day"
    return "figure" if _POWER.fullmatch(text) else ""


def say_eaten(table: Table, column: Column) -> None:
    """The number of a pile or a part that a spreadsheet has turned into a date or another number.

    A text is safe unless it has the look that a spreadsheet gives to dates and to long numbers;
    a workbook's number is safe when it is whole.
    """
    name = column.name
    texts = table.texts[name]
    looks = by_distinct(texts, _look, "", "U6")
    days, figures = looks == "day", looks == "figure"
    forms = table.forms.get(name)
    if forms is not None:
        whole = by_distinct(texts, lambda text: bool(_WHOLE.fullmatch(text)), False, "bool")
        days = days | (forms == cell_forms.DAY) | (forms == cell_forms.TIME)
        figures = figures | ((forms == cell_forms.NUMBER) & ~whole)
    what = np.where(days, "a date", "a plain number")
    table.fault(
        days | figures,
        name,
        "number eaten by the spreadsheet",
        lambda at: (
            f"{table.name(name)} is {table.text(name, at)}: a spreadsheet made {what[at]} of it.",
            "Ask for the file again, with this column formatted as text.",
        ),
    )
