"""Rules of every kind of record: nothing needed is missing, nothing impossible, no key twice."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core import units
from core.readers import stated
from core.readers.chains import word
from core.readers.table import Table

_CORRECT = "Correct the number, or the unit in the header."
_POSITIVE_LOAD = "Write it without a sign: compression and tension have columns of their own."


def check(table: Table) -> None:
    """Hold every row of ``table`` against the description of its kind."""
    missing_values(table)
    impossible_values(table)
    stated.check_stated(table)
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
                f"least that can be true is {column.low:.0f}",
                _POSITIVE_LOAD if column.role == "force" else _CORRECT,
            )
        if column.empty_for_none:
            _none_written(table, column.name, found == 0)
        if column.high is not None:
            _beyond(
                table,
                column.name,
                found > column.high,
                f"greatest that can be true is {column.high:.0f}",
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
            f"{table.name(name)} is {table.text(name, at)}, which is no value of it.",
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
