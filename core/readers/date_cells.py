"""Cells of date and moment columns to values; an order of dates that nobody has said is asked."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd

from core.readers import times
from core.readers.conventions import Conventions
from core.readers.dates import MONTHS, as_day, dates, is_count, proven_order, readings
from core.readers.distinct import by_distinct
from core.readers.spreadsheets import unread
from core.readers.table import Table
from core.settings import Project

_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_ORDER = "Say the order of dates on Intake, or import with --date-order."


def date_order(table: Table, conventions: Conventions) -> str:
    """The order that is said, else the one that the table's own dates prove, with a remark."""
    if conventions.date_order:
        return conventions.date_order
    written = [
        (column.name, _days_written(table.texts[column.name], column.form))
        for column in table.kind.columns
        if column.form in ("date", "moment") and table.given(column.name).any()
    ]
    distinct = [texts for _, texts in written]
    order = proven_order(pd.concat(distinct)) if distinct else ""
    if order:
        _say_proof(table, order, written)
    return order


def date_values(table: Table, name: str, order: str) -> np.ndarray:
    """Days of a column, NaT where missing or a problem."""
    found = dates(table.texts[name], order)
    wrong = unread(table, name, np.isnat(found))
    if wrong.any():
        wrong &= ~_ask_order(table, name, wrong, order, table.texts[name])
        table.fault(wrong, name, "not a date", lambda at: _no_date(table, name, at, order))
    return found


def moment_values(
    table: Table, name: str, project: Project, days: np.ndarray, order: str
) -> np.ndarray:
    """Moments of a column in UTC, NaT where missing or a problem."""
    zone = project.tables.project.timezone
    texts = table.texts[name]
    lone = times.only_time(texts) & np.isnat(days)
    found, unclear = times.moments(texts, zone, order, days)
    table.fault(
        lone & ~table.bad,
        name,
        "no date",
        lambda at: (
            f"{table.name(name)} is {table.text(name, at)}, a time without a day.",
            "Add a column date, or write 2026-03-04 07:30.",
        ),
    )
    table.fault(
        unclear,
        name,
        "clock change",
        lambda at: (
            f"{table.name(name)} {table.text(name, at)} happens twice or never in {zone.key}: "
            "the clock changes.",
            "Write it with its offset from UTC, as in 2026-10-25 02:30+01:00.",
        ),
    )
    wrong = unread(table, name, np.isnat(found)) & ~lone & ~unclear
    if wrong.any():
        parts = pd.Series(by_distinct(texts, times.day_part, None, object), dtype="str")
        wrong &= ~_ask_order(table, name, wrong, order, parts)
        _say_no_times(table, name, wrong)
    return found


def _say_no_times(table: Table, name: str, wrong: np.ndarray) -> None:
    parts = wrong & times.fraction_of_day(table.texts[name])

    def say(at: int) -> tuple[str, str]:
        text = f"{table.name(name)} is {table.text(name, at)}"
        if parts[at]:
            return (
                f"{text}, a time as a part of the day.",
                "Format the column as time, save it again and take that in.",
            )
        return f"{text}, which is not read as a time.", "Write it as in 2026-03-04 07:30."

    table.fault(wrong, name, "not a time", say)


def _days_written(texts: pd.Series, form: str) -> pd.Series:
    """The distinct days of a column as written, without those whose year stands in front."""
    distinct = pd.Series(texts.dropna().unique(), dtype="str")
    distinct = distinct[~distinct.str.match("[0-9]{4}-").to_numpy(dtype="bool")]
    return distinct if form == "date" else distinct.map(times.day_part).astype("str")


def _say_proof(table: Table, order: str, written: list[tuple[str, pd.Series]]) -> None:
    """One remark, with a date that can be nothing else when a single one proves the order."""
    start = f"Dates are read as {order}, because"
    for name, texts in written:
        proof = next((text for text in texts if list(readings(str(text))) == [order]), None)
        if proof is not None:
            holds = table.texts[name].str.startswith(proof, na=False).to_numpy(dtype="bool")
            row = table.row(name, int(np.flatnonzero(holds)[0]))
            table.problems.remark(f"{start} {proof} can be nothing else.", row)
            return
    table.problems.remark(f"{start} no other order fits all of them.")


def _ask_order(
    table: Table, name: str, wrong: np.ndarray, order: str, days: pd.Series
) -> np.ndarray:
    """Where a day can be two days and nobody has said which: one problem for the column."""
    if order:
        return np.zeros(len(wrong), dtype="bool")
    numbered: np.ndarray = wrong & by_distinct(days, lambda t: bool(readings(t)), False, "bool")
    if not numbered.any():
        return numbered
    two_ways = numbered & by_distinct(days, lambda t: len(readings(t)) > 1, False, "bool")
    first = np.zeros(len(wrong), dtype="bool")
    first[np.flatnonzero(two_ways if two_ways.any() else numbered)[0]] = True
    table.fault(
        first,
        name,
        "date order",
        lambda at: (
            f"{table.name(name)} is {table.text(name, at)}: {_either(str(days.iloc[at]))}?",
            _ORDER,
        ),
    )
    table.bad |= numbered
    return numbered


def _either(text: str) -> str:
    """The days that ``text`` may be, as a person tells them apart."""
    days = sorted(set(readings(text).values()), key=lambda day: (day.year, -day.month))
    years = len({day.year for day in days}) > 1
    told = [_told(day, years) for day in days]
    if len(told) == 1:
        return f"{told[0]}, while other rows are in another order"
    return f"{', '.join(told[:-1])} or {told[-1]}"


def _told(day: date, with_year: bool) -> str:
    year = f" {day.year}" if with_year else ""
    return f"{day.day} {MONTHS[day.month - 1]}{year} ({_WEEKDAYS[day.weekday()]})"


def _no_date(table: Table, name: str, at: int, order: str) -> tuple[str, str]:
    text = table.text(name, at)
    problem = f"{table.name(name)} is {text}, which is not read as a date"
    if is_count(text):
        return (
            f"{problem}: a spreadsheet's count of days?",
            "Format the column as a date, or say that dates are day numbers.",
        )
    if order and readings(text):
        return f"{problem} in the order {order}.", "Correct it, or the order that was said."
    if not np.isnat(as_day(text.split(" ")[0])):
        return f"{problem}: it has a time.", "Write the day alone, as in 2026-03-04."
    return f"{problem}.", "Write year, month and day as in 2026-03-04."
