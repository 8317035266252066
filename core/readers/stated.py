"""What headings must state of their values beside a unit, such as the kind of a pressure.

A heading states it, a column of its own gives it by row, or a person answers; it is never guessed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from core.readers.answers import NOT_RECORDED, Answers
from core.readers.chains import Found
from core.readers.headers import Heading, folded, names_of
from core.readers.problems import Problems, shortened
from core.readers.sheet import Sheet
from core.readers.table import Table
from core.readers.values import plain
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
