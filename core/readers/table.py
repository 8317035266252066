"""The rows of one kind while they are checked: cells as written, values, and which rows are bad.

Faults of formulas and numbers that a spreadsheet altered are found here, too.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from core import units
from core.readers.book_marks import FAULTS, NO_VALUE
from core.readers.cell_texts import DAY, FAULT, NUMBER, TIME
from core.readers.grid import ARROW_TEXT
from core.readers.headers import Heading
from core.readers.problems import Problems, shortened
from core.readers.recognise import word
from core.records import Column, Kind, typed


def map_unique(texts: pd.Series, value_of: Callable[[str], Any], empty: Any, dtype: Any) -> Any:
    """An array of ``value_of`` each text; ``empty`` where the text is missing."""
    codes, distinct = pd.factorize(texts)
    values = [value_of(str(text)) for text in distinct]
    return np.array([*values, empty], dtype=dtype)[codes]  # code -1, missing, is the last place


def whole(values: np.ndarray) -> np.ndarray:
    """Values rounded to whole ones, half to even; the sixth decimal is noise of conversion."""
    rounded: np.ndarray = np.rint(np.round(values, 6))
    return rounded


def words(texts: pd.Series, allowed: dict[str, str]) -> np.ndarray:
    """The allowed word that each text means, by its plain form; None where it means none."""
    found: np.ndarray = map_unique(texts, lambda text: allowed.get(plain(text)), None, object)
    return found


def plain(text: str) -> str:
    """A word ready for comparison: lower case, no blanks."""
    return "".join(text.casefold().split())


Values = Any  # an array of numpy, or of texts as pandas holds them


@dataclass
class Table:
    """One kind's rows. ``texts`` holds every column of the kind as written, missing where empty.

    ``rows`` are the physical lines of the records, ``cell_rows`` of the cells where they differ;
    ``forms`` say how a spreadsheet held the cells of each column (empty for a CSV); ``settings``
    are the tables of project.toml.
    """

    kind: Kind
    headings: dict[str, Heading]
    texts: pd.DataFrame
    rows: np.ndarray
    problems: Problems
    bad: np.ndarray
    cell_rows: dict[str, np.ndarray] = field(default_factory=dict)
    values: dict[str, Values] = field(default_factory=dict)
    forms: dict[str, np.ndarray] = field(default_factory=dict)
    settings: Any = None
    _written: dict[str, np.ndarray] = field(default_factory=dict)

    def given(self, column: str) -> np.ndarray:
        """Where ``column`` has something written."""
        present: np.ndarray = self.texts[column].notna().to_numpy()
        return present

    def has(self, column: str) -> bool:
        """Whether the sheet has ``column``."""
        return column in self.headings

    def unit(self, column: str) -> str:
        """The unit in which ``column`` is written."""
        return self.headings[column].unit or units.unit_word(column)

    def keys_where(self, table: str, setting: str, value: str) -> list[str]:
        """Keys of a table of project.toml of which ``setting`` is ``value``."""
        found = getattr(self.settings, table).items()
        return [key for key, one in found if getattr(one, setting) == value]

    def notice(self, text: str, at: int) -> None:
        """A remark about one row, which stops nothing."""
        self.problems.notice(text, int(self.rows[at]))

    def row(self, column: str, at: int) -> int:
        """Physical line of one cell."""
        return int(self.cell_rows.get(column, self.rows)[at])

    def text(self, column: str, at: int) -> str:
        """One cell as quoted in a problem."""
        if column not in self._written:
            self._written[column] = self.texts[column].to_numpy(dtype=object)
        value = self._written[column][at]
        return shortened(value) if isinstance(value, str) else ""

    def name(self, column: str) -> str:
        """What ``column`` is called in problems: its header, or its usual word."""
        heading = self.headings.get(column)
        return shortened(heading.text) if heading else word(self.kind.name, column)

    def fault(
        self, where: np.ndarray, column: str, kind: str, say: Callable[[int], tuple[str, str]]
    ) -> None:
        """One problem per row of ``where``; ``say`` gives problem and remedy of a row's place."""
        for at in np.flatnonzero(where):
            problem, remedy = say(int(at))
            row, text = self.row(column, int(at)), self.text(column, int(at))
            heading = self.headings.get(column)
            self.problems.add(kind, problem, remedy, row, heading.text if heading else column, text)
        self.bad |= where

    def group(self, columns: tuple[str, ...]) -> np.ndarray:
        """A number per distinct combination of ``columns``, -1 where one of them is missing."""
        keys = [pd.Series(self.values[name]) for name in columns]
        frame = pd.concat(keys, axis=1, keys=range(len(keys)))
        return numbered(frame)

    def frame(self) -> pd.DataFrame:
        """The good rows, typed, with ``sheet`` and ``row_no``."""
        good = ~self.bad
        frame = typed(
            pd.DataFrame({name: _held(values[good]) for name, values in self.values.items()}),
            self.kind.columns,
        )
        frame["sheet"] = pd.Series(self.problems.sheet, index=frame.index, dtype=ARROW_TEXT)
        frame["row_no"] = pd.Series(self.rows[good], index=frame.index, dtype="Int64")
        return frame


def _held(values: Values) -> Values:
    """Texts as Arrow has them, so that the ledger takes a long log over as it is."""
    return pd.array(values, dtype=ARROW_TEXT) if values.dtype == object else values


def numbered(frame: pd.DataFrame) -> np.ndarray:
    """A number per distinct row of ``frame``, -1 where a cell of the row is missing."""
    groups = frame.groupby(list(frame.columns), sort=False).ngroup()
    found: np.ndarray = groups.mask(frame.isna().any(axis=1), -1).to_numpy("int64")
    return found


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
        found = found | (table.forms[name] == FAULT)
    return found


def unread(table: Table, name: str, without_value: np.ndarray) -> np.ndarray:
    """Where something is written, it is no fault of a formula, and it has no value."""
    wrong: np.ndarray = table.given(name) & without_value
    return wrong & ~faults(table, name) if wrong.any() else wrong


def report_faults(table: Table) -> None:
    """A formula's fault in a column that is read."""
    for name in table.headings:
        table.fault(faults(table, name), name, "spreadsheet fault", _fault_of(table, name))


def _fault_of(table: Table, name: str) -> Callable[[int], tuple[str, str]]:
    def say(at: int) -> tuple[str, str]:
        text = table.text(name, at)
        if text == NO_VALUE:
            return (
                f"{table.name(name)} holds a formula without a calculated value.",
                "Open the file in a spreadsheet program, save it and import that.",
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


def report_eaten(table: Table, column: Column) -> None:
    """The number of a pile or a part that a spreadsheet has turned into a date or another number.

    A text is safe unless it has the look that a spreadsheet gives to dates and to long numbers;
    a workbook's number is safe when it is whole.
    """
    name = column.name
    texts = table.texts[name]
    looks = map_unique(texts, _look, "", "U6")
    days, figures = looks == "day", looks == "figure"
    forms = table.forms.get(name)
    if forms is not None:
        whole = map_unique(texts, lambda text: bool(_WHOLE.fullmatch(text)), False, "bool")
        days = days | (forms == DAY) | (forms == TIME)
        figures = figures | ((forms == NUMBER) & ~whole)
    what = np.where(days, "a date", "a plain number")
    table.fault(
        days | figures,
        name,
        "number altered by the spreadsheet",
        lambda at: (
            f"{table.name(name)} is {table.text(name, at)}: a spreadsheet made {what[at]} of it.",
            "Ask for the file again, with this column formatted as text.",
        ),
    )
