"""Checks of every kind of record: nothing needed missing, nothing impossible, no key twice.

What headings must state of their values beside a unit, such as the kind of a pressure, is stated by
a heading, by a column of its own or by a person; it is never guessed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from core import units
from core.readers.headers import Heading, folded, names_of
from core.readers.options import NOT_RECORDED, Answers
from core.readers.problems import Problems, shortened
from core.readers.recognise import Found, word
from core.readers.sheet import Sheet
from core.readers.table import Table, plain
from core.records import Column, Stated


def option(asked: Stated, what: str) -> str:
    """The option of the command line that answers: of the ``kind`` or of the ``return``."""
    return f"--{asked.answer.replace(' ', '-')}-{what}"


def stated_by(text: str, asked: Stated) -> str:
    """What a heading states; empty when it does not."""
    known = {folded(alias): value for alias, value in asked.by_alias.items()}
    return next((known[name] for name in map(folded, names_of(text)) if name in known), "")


def with_stated(
    sheet: Sheet, found: Sequence[Found], answers: Answers, problems: Problems
) -> tuple[Sheet, list[Found], bool]:
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
            f"{option(asked, 'kind')} differential (or line), or write it in the header.",
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
                f"Answer on the Import screen or with {option(asked, 'return')} "
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
            _check(table, column.name, column.stated)


def _check(table: Table, name: str, asked: Stated) -> None:
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


def check(table: Table) -> None:
    """Hold every row of ``table`` against the description of its kind."""
    missing_values(table)
    impossible_values(table)
    check_stated(table)
    repeated_keys(table)


def missing_values(table: Table) -> None:
    """A required cell is empty."""
    for column in table.kind.columns:
        if column.required and column.absent is None:
            _missing(table, column.name)


def missing_key(table: Table) -> None:
    """A cell of the key is empty: rows of which no record can be made."""
    for name in table.kind.key:
        if table.kind.column(name).absent is None:
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
        if column.form not in ("number", "whole"):
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
        if column.empty_for_none:
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
