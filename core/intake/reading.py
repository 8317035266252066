"""Cells of a table to values in store units; each text that cannot be read becomes a problem."""

from __future__ import annotations

import re

import numpy as np

from core import units
from core.intake import values
from core.intake.problems import listed
from core.intake.table import Table
from core.project import Project
from core.records import Column

_NOT_RECORDED = frozenset(("n/a", "na", "-", "--", "tbc", "tba", "nil", "none", "?", "n.a.", "x"))


def read_values(
    table: Table, expressions: dict[str, str | None], project: Project, days: np.ndarray
) -> None:
    """Fill ``table.values`` in the dtype of each column. ``days`` complete times without date."""
    for column in table.kind.columns:
        name = column.name
        if column.form in ("number", "whole"):
            table.values[name] = _numbers(table, column, expressions.get(name))
        elif column.form == "date":
            table.values[name] = _dates(table, name)
        elif column.form == "text":
            table.values[name] = _texts(table, column, project)
    own_days = table.values.get("run_on", days) if table.kind.name == "run" else days
    for column in table.kind.columns:
        if column.form == "moment":
            table.values[column.name] = _moments(table, column.name, project, own_days)


def _numbers(table: Table, column: Column, expression: str | None) -> np.ndarray:
    name = column.name
    found = values.numbers(table.texts[name])
    wrong = table.given(name) & np.isnan(found)
    table.fault(wrong, name, "not a number", lambda at: _no_number(table, name, at))
    if expression is not None:
        found = units.to_store(found, expression, name)
    return values.whole(found) if column.form == "whole" else found


def _no_number(table: Table, name: str, at: int) -> tuple[str, str]:
    text = table.text(name, at)
    problem = f"{table.name(name)} is {text}, which is not a number."
    if text.casefold() in _NOT_RECORDED:
        return problem, "Leave the cell empty when it was not recorded."
    if "," in text:
        return problem, "Write it with a decimal point and no thousands separator: 1234.5."
    tail = re.sub(r"^[+-]?[0-9.]+", "", text)
    if tail != text and units.accepted(tail, units.role_of(name) or ""):
        return problem, "Write the number alone; its unit belongs in the header."
    return problem, "Write the number as it was read, such as 12.5."


def _dates(table: Table, name: str) -> np.ndarray:
    found = values.dates(table.texts[name])
    table.fault(
        table.given(name) & np.isnat(found),
        name,
        "not a date",
        lambda at: (
            f"{table.name(name)} is {table.text(name, at)}, which is not read as a date.",
            "Write year, month and day as in 2026-03-04.",
        ),
    )
    return found


def _moments(table: Table, name: str, project: Project, days: np.ndarray) -> np.ndarray:
    zone = project.tables.project.timezone
    complete = values.with_date(table.texts[name], days)
    lone = values.only_time(complete)
    found, unclear = values.moments(complete, zone)
    no_day_known = lone & ~table.bad
    table.fault(
        no_day_known,
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
    table.fault(
        table.given(name) & np.isnat(found) & ~lone & ~unclear,
        name,
        "not a time",
        lambda at: (
            f"{table.name(name)} is {table.text(name, at)}, which is not read as a time.",
            "Write it as in 2026-03-04 07:30.",
        ),
    )
    return found


def _texts(table: Table, column: Column, project: Project) -> np.ndarray:
    name = column.name
    written = table.texts[name]
    if column.absent is not None:
        written = written.fillna(column.absent)
    known = {"pile_type": list(project.tables.types), "area": list(project.tables.areas)}
    if table.kind.name == "schedule" and name in known:
        return _project_words(table, name, known[name])
    if not column.one_of:
        return written.to_numpy(dtype=object)
    allowed = {values.plain(text): text for text in column.one_of}
    allowed |= {values.plain(text): meant for text, meant in column.words.items()}
    found = values.words(table.texts[name], allowed)
    _unknown_words(table, name, found, f"Write one of: {listed(list(column.one_of))}.")
    return found


def _project_words(table: Table, name: str, keys: list[str]) -> np.ndarray:
    """Type marks and areas: as project.toml writes them; letter case and blanks do not matter."""
    allowed = {values.plain(key): key for key in keys}
    section = {"pile_type": "types", "area": "areas"}[name]
    remedy = f"Add it under {section} in project.toml"
    remedy += f", or write one of: {listed(keys)}." if keys else "; none is defined."
    found = values.words(table.texts[name], allowed)
    _unknown_words(table, name, found, remedy)
    return found


def _unknown_words(table: Table, name: str, found: np.ndarray, remedy: str) -> None:
    unknown = table.given(name) & np.array([word is None for word in found], dtype="bool")
    table.fault(
        unknown,
        name,
        "unknown word",
        lambda at: (f"{table.name(name)} is {table.text(name, at)}, an unknown word.", remedy),
    )
