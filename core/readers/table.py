"""The rows of one kind while they are checked: cells as written, values, and which rows are bad.

Checked are faults of formulas, numbers that a spreadsheet altered, missing and impossible values,
repeated keys, and what headings must state of their values beside a unit, such as the kind of a
pressure: that is stated by a heading, a column of its own or a person, and never guessed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import pandas as pd

from core import units
from core.readers.cell_texts import DAY, FAULT, FAULTS, NO_VALUE, NUMBER, TIME
from core.readers.headers import Heading, folded, names_of
from core.readers.options import NOT_RECORDED, Answers
from core.readers.problems import Problems, shortened
from core.readers.recognise import KindMatch, word
from core.readers.sheet import ARROW_TEXT, Sheet
from core.records import Column, Kind, Stated, typed


def map_unique(texts: pd.Series, value_of: Callable[[str], Any], empty: Any, dtype: Any) -> Any:
    """An array of ``value_of`` each text; ``empty`` where the text is missing."""
    codes, distinct = pd.factorize(texts)
    values = [value_of(str(text)) for text in distinct]
    return np.array([*values, empty], dtype=dtype)[codes]  # code -1, missing, is the last place


def as_integers(values: np.ndarray) -> np.ndarray:
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
        as_integers = map_unique(texts, lambda text: bool(_WHOLE.fullmatch(text)), False, "bool")
        days = days | (forms == DAY) | (forms == TIME)
        figures = figures | ((forms == NUMBER) & ~as_integers)
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


def stated_option(asked: Stated, what: str) -> str:
    """The option of the command line that answers: of the ``kind`` or of the ``return``."""
    return f"--{asked.answer.replace(' ', '-')}-{what}"


def stated_by(text: str, asked: Stated) -> str:
    """What a heading states; empty when it does not."""
    known = {folded(alias): value for alias, value in asked.by_alias.items()}
    return next((known[name] for name in map(folded, names_of(text)) if name in known), "")


def with_stated(
    sheet: Sheet, found: Sequence[KindMatch], answers: Answers, problems: Problems
) -> tuple[Sheet, list[KindMatch], bool]:
    """The sheet and its kinds with all that must be stated, and whether nothing is left to ask."""
    members, clear = [], True
    for member in found:
        headings = dict(member.headings)
        for column in member.kind.columns:
            if column.stated is None or column.name not in headings:
                continue
            sheet, known = _with_kind(sheet, headings, column, column.stated, answers, problems)
            clear = clear and known
            if known:
                sheet, known = _with_return(sheet, headings, column.stated, answers, problems)
                clear = clear and known
        members.append(replace(member, headings=headings))
    return sheet, members, clear


def _with_kind(
    sheet: Sheet,
    headings: dict[str, Heading],
    column: Column,
    asked: Stated,
    answers: Answers,
    problems: Problems,
) -> tuple[Sheet, bool]:
    heading, own = headings[column.name], headings.get(asked.column)
    value = stated_by(heading.text, asked) or answers.pressure(asked.answer).kind
    if own is None and not value:
        problems.add(
            f"{asked.answer} kind not stated",
            f"The header {shortened(heading.text)} does not state: {asked.question}?",
            "Answer on the Import screen or with "
            f"{stated_option(asked, 'kind')} differential (or line), or write it in the header.",
            sheet.header_row, heading.text,
        )  # fmt: skip
        return sheet, False
    given = sheet.cells[heading.at].notna()
    if own is None:
        kinds = pd.Series(value, index=given.index, dtype="str").where(given)
        text = f"{heading.text}: {value}"
        sheet = sheet.with_column(text, kinds)
    else:
        text = own.text
        kinds = sheet.cells[own.at].where(given)
        kinds = kinds.fillna(value).where(given) if value else kinds
        sheet = sheet.with_column(text, kinds, forms_of=own.at)
    headings[asked.column] = Heading(asked.column, len(sheet.headers) - 1, text, 1)
    return sheet, True


def _with_return(
    sheet: Sheet,
    headings: dict[str, Heading],
    asked: Stated,
    answers: Answers,
    problems: Problems,
) -> tuple[Sheet, bool]:
    """The sheet with the return pressure assumed beside line pressures, asked where none is."""
    kind = headings[asked.column]
    kinds = sheet.cells[kind.at].dropna()
    for value, name in asked.beside.items():
        if name in headings or not any(plain(text) == value for text in kinds.unique()):
            continue
        answer = answers.pressure(asked.answer)
        if folded(answer.return_pressure) == NOT_RECORDED:
            continue
        if answer.quantity is None:
            problems.add(
                f"{asked.answer} return not stated",
                "The return pressure beside a line pressure is not given.",
                f"Answer on the Import screen or with {stated_option(asked, 'return')} "
                f"'8 bar' (or '{NOT_RECORDED}'), or add a column of it.",
                sheet.header_row, kind.text,
            )  # fmt: skip
            return sheet, False
        number, unit = answer.quantity
        if sheet.conventions.decimal == "comma":
            number = number.replace(".", ",")
        lines = sheet.cells[kind.at].map(plain, na_action="ignore").eq(value)
        texts = pd.Series(number, index=lines.index, dtype="str").where(lines)
        text = f"return pressure assumed: {answer.return_pressure}"
        sheet = sheet.with_column(text, texts)
        headings[name] = Heading(name, len(sheet.headers) - 1, text, 1, unit)
    return sheet, True


def check_stated(table: Table) -> None:
    """Every value says of which kind it is, and never another than its heading."""
    for column in table.kind.columns:
        if column.stated is not None and column.name in table.headings:
            _check_stated(table, column.name, column.stated)


def _check_stated(table: Table, name: str, asked: Stated) -> None:
    def without(at: int) -> tuple[str, str]:
        return (
            f"{table.name(name)} is given and {table.name(asked.column)} is empty.",
            f"Write {' or '.join(dict.fromkeys(asked.by_alias.values()))}.",
        )

    def against(at: int) -> tuple[str, str]:
        return (
            f"{table.name(asked.column)} is {table.text(asked.column, at)} under "
            f"{table.name(name)}.",
            "Correct the cell or the header.",
        )

    given = table.given(name)
    table.fault(given & ~table.given(asked.column), asked.column, "missing value", without)
    value = stated_by(table.headings[name].text, asked)
    if value:
        kinds = table.values[asked.column]
        other = given & pd.notna(kinds) & np.asarray(kinds != value, dtype="bool")
        table.fault(other, asked.column, "two kinds", against)


_CORRECT = "Correct the number, or the unit in the header."
_POSITIVE_LOAD = "Write it without a sign: compression and tension have columns of their own."


def check_rows(table: Table) -> None:
    """Hold every row of ``table`` against the description of its kind."""
    missing_values(table)
    impossible_values(table)
    check_stated(table)
    repeated_keys(table)


def missing_values(table: Table) -> None:
    """A required cell is empty."""
    for column in table.kind.columns:
        if column.required and column.default is None:
            _missing(table, column.name)


def missing_key(table: Table) -> None:
    """A cell of the key is empty: rows of which no record can be made."""
    for name in table.kind.key:
        if table.kind.column(name).default is None:
            _missing(table, name)


def _missing(table: Table, name: str) -> None:
    table.fault(
        ~table.given(name),
        name,
        "missing value",
        lambda at: (
            f"{table.name(name)} is empty. Every {table.kind.word} needs it.",
            "Fill it in, or take the row out.",
        ),
    )


def impossible_values(table: Table) -> None:
    """A number lies outside what can be true at all."""
    for column in table.kind.columns:
        if column.form not in ("number", "integer"):
            continue
        found = table.values[column.name]
        if column.low is not None:
            _beyond(
                table,
                column.name,
                found < column.low,
                f"minimum possible value is {column.low:.0f}",
                _POSITIVE_LOAD if column.role == "force" else _CORRECT,
            )
        if column.zero_is_missing:
            _none_written(table, column.name, found == 0)
        if column.high is not None:
            _beyond(
                table,
                column.name,
                found > column.high,
                f"maximum possible value is {column.high:.0f}",
            )


def _beyond(table: Table, name: str, where: np.ndarray, limit: str, remedy: str = _CORRECT) -> None:
    unit = units.unit_word(name)
    table.fault(
        where,
        name,
        "impossible value",
        lambda at: (
            f"{table.name(name)} is {table.text(name, at)}. The {limit} {unit}.",
            remedy,
        ),
    )


def _none_written(table: Table, name: str, where: np.ndarray) -> None:
    table.fault(
        where,
        name,
        "impossible value",
        lambda at: (
            f"{table.name(name)} is {table.text(name, at)}, which is not a valid value.",
            "Leave the cell empty when there is none, or write the value.",
        ),
    )


def repeated_keys(table: Table) -> None:
    """The same key stands on two rows: both are named, and neither is taken."""
    key = table.kind.key
    places = table.group(key)
    again = pd.Series(places).duplicated().to_numpy() & (places >= 0)
    if not again.any():
        return
    order = np.flatnonzero(places >= 0)
    distinct, first = np.unique(places[order], return_index=True)
    first_of = np.full(int(places.max()) + 1, -1)
    first_of[distinct] = order[first]
    names = [word(table.kind.name, name) for name in key]

    def say(at: int) -> tuple[str, str]:
        written = ", ".join(
            f"{name} {table.text(column, at) or table.values[column][at]}".strip()
            for name, column in zip(names, key, strict=True)
        )
        return (
            f"Row {table.rows[first_of[places[at]]]} holds the same: {written}.",
            "Correct one of the two rows, or take one out.",
        )

    table.fault(again, key[-1], "repeated key", say)
    table.bad[first_of[places[again]]] = True
