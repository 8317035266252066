"""Checks between the columns of a record kind: the usual ones ready made, and what others need.

A check is a function of a sheet's rows (`Rows`) that marks what is wrong; a kind lists its checks.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd

from core.records.kinds import Check, Rows

Wording = str | Callable[[Rows, int], str]
CORRECT_DATES = "Correct the dates."
CORRECT_TIMES = "Correct the times; past midnight write the date with the time."


def row_check(
    column: str,
    problem: str,
    fails: Callable[[Rows], Any],
    wording: Wording,
    remedy: str,
    otherwise: str = "",
) -> Check:
    """A check row by row: one problem in ``column`` of every row where ``fails`` is true.

    ``wording`` names columns in braces, which are filled with the cells as written. In a sheet
    without ``column`` the problem is in the column ``otherwise``.
    """

    def check(rows: Rows) -> None:
        at_fault = column if not otherwise or rows.has(column) else otherwise
        rows.fault(fails(rows), at_fault, problem, lambda at: (_filled(wording, rows, at), remedy))

    return check


def not_before(
    later: str,
    earlier: str,
    wording: Wording = "",
    remedy: str = CORRECT_DATES,
    problem: str = "dates out of order",
) -> Check:
    """What happens ``later``, a date or a time, is not before what happens ``earlier``."""

    def usual(rows: Rows, at: int) -> str:
        key = ", ".join(text for name in rows.kind.key if (text := rows.text(name, at)))
        return (
            f"{rows.kind.word.capitalize()} {key}: {rows.name(later)} {rows.text(later, at)} is "
            f"before {rows.name(earlier)} {rows.text(earlier, at)}."
        )

    def fails(rows: Rows) -> Any:
        return rows.values[later] < rows.values[earlier]

    return row_check(later, problem, fails, wording or usual, remedy)


def ends_after_start(what: str) -> Check:
    """What has a start and an end in ``started_at`` and ``ended_at`` does not end before it."""
    return not_before(
        "ended_at",
        "started_at",
        f"The {what} ends at {{ended_at}}, before its start at {{started_at}}.",
        CORRECT_TIMES,
        "times out of order",
    )


def row_before(group: np.ndarray, usable: np.ndarray) -> np.ndarray:
    """Place of the row before in the same group, in the file's order; -1 for the first."""
    usable = usable & (group >= 0)
    at = pd.Series(np.arange(len(group)))[usable]
    before = at.groupby(group[usable]).shift(1, fill_value=-1)
    found = np.full(len(group), -1)
    found[usable] = before.to_numpy()
    return found


def _filled(wording: Wording, rows: Rows, at: int) -> str:
    if not isinstance(wording, str):
        return wording(rows, at)
    return wording.format_map(_Cells(rows, at))


class _Cells(dict[str, str]):
    """The cells of one row as written, by column."""

    def __init__(self, rows: Rows, at: int) -> None:
        super().__init__()
        self._rows, self._at = rows, at

    def __missing__(self, column: str) -> str:
        return self._rows.text(column, self._at)
