"""Cells of a table to values in store units; each text that cannot be read becomes a problem."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.readers import spreadsheets, values
from core.readers.conventions import Conventions
from core.readers.date_cells import date_order, date_values, moment_values
from core.readers.number_cells import number_values
from core.readers.problems import listed
from core.readers.table import Table, Values
from core.records import Column
from core.settings import Project

_NOT_SAID = Conventions()


def read_values(
    table: Table,
    expressions: dict[str, str | None],
    project: Project,
    days: np.ndarray,
    conventions: Conventions = _NOT_SAID,
) -> None:
    """Fill ``table.values`` in the dtype of each column.

    ``days``, row by row beside the table, complete times without date where the kind has no day.
    """
    spreadsheets.say_faults(table)
    order = date_order(table, conventions)
    for column in table.kind.columns:
        name = column.name
        if column.form in ("number", "whole"):
            table.values[name] = number_values(
                table, column, expressions.get(name), conventions.decimal
            )
        elif column.form == "date":
            table.values[name] = date_values(table, name, order)
        elif column.form == "text":
            if column.is_number:
                spreadsheets.say_eaten(table, column)
            table.values[name] = _texts(table, column, project)
    own = table.values.get(table.kind.day, days)
    own_days = np.where(np.isnat(own), days, own)
    for column in table.kind.columns:
        if column.form == "moment":
            table.values[column.name] = moment_values(table, column.name, project, own_days, order)


def _texts(table: Table, column: Column, project: Project) -> Values:
    name = column.name
    written = table.texts[name]
    if column.absent is not None:
        written = written.fillna(column.absent)
    if column.settings_table:
        return _project_words(table, column, project)
    if not column.one_of:
        return written.array
    allowed = {values.plain(text): text for text in column.one_of}
    allowed |= {values.plain(text): meant for text, meant in column.words.items()}
    found = values.words(table.texts[name], allowed)
    _unknown_words(table, name, found, f"Write one of: {listed(list(column.one_of))}.")
    return found


def _project_words(table: Table, column: Column, project: Project) -> np.ndarray:
    """Keys as project.toml writes them; letter case and blanks do not matter."""
    name, section = column.name, column.settings_table
    keys = list(getattr(project.tables, section))
    allowed = {values.plain(key): key for key in keys}
    remedy = f"Add it under {section} in project.toml"
    remedy += f", or write one of: {listed(keys)}." if keys else "; none is defined."
    found = values.words(table.texts[name], allowed)
    _unknown_words(table, name, found, remedy)
    return found


def _unknown_words(table: Table, name: str, found: np.ndarray, remedy: str) -> None:
    without = pd.isna(found)
    table.fault(
        spreadsheets.unread(table, name, without),
        name,
        "unknown word",
        lambda at: (
            f"{table.name(name)} is {_first_words(table.text(name, at))}, an unknown word.",
            remedy,
        ),
    )


def _first_words(text: str, most: int = 6) -> str:
    """The start of a sentence that stands where a word is expected."""
    written = text.split()
    return text if len(written) <= most else f"{' '.join(written[:most])} …"
