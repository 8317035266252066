"""Rows that name a parent which is on no record, found by what the record kinds declare."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from functools import cache

import numpy as np
import pandas as pd

from core import records
from core.records.current_rows import CurrentRows
from core.selection.order import counting_order

FOUND = ("record", "refers_by", "number", "file", "entry_no", "sheet", "row_no")


def rows_without_parent(
    rows_of: Callable[[str], CurrentRows], entries: pd.DataFrame
) -> pd.DataFrame:
    """One row is one row whose parent is on no record, with the number that it names and its file.

    ``entries`` gives by entry_no the file that it read (source); a row of a form has the file
    'form'. Nobody writes to the frame.
    """
    used: dict[tuple[str, str], set[str]] = {}
    parts = [_without(rows_of, used, *one) for one in _referring().items()]
    filled = [part for part in parts if part is not None]
    if not filled:
        return _none()
    found = pd.concat(filled, ignore_index=True)
    files = entries.set_index("entry_no")["source"]
    found["file"] = found["entry_no"].map(files).fillna("form").astype("str")
    counting = found["number"].map(counting_order)
    by = ["record", "refers_by", "counting", "number", "entry_no", "sheet", "row_no"]
    return found.assign(counting=counting).sort_values(by, ignore_index=True)[list(FOUND)]


@cache
def _none() -> pd.DataFrame:
    dtypes = dict.fromkeys(FOUND, "str") | {"entry_no": "Int64", "row_no": "Int64"}
    return pd.DataFrame(columns=list(FOUND)).astype(dtypes)


def _referring() -> dict[tuple[str, str], list[tuple[str, str]]]:
    """Kinds and columns that are kept without a parent, each with the parents that will do."""
    found: dict[tuple[str, str], list[tuple[str, str]]] = defaultdict(list)
    for kind in records.KINDS:
        for reference in kind.refers_to:
            if reference.without == "outstanding":
                for own, column in reference.columns.items():
                    found[kind.name, own].append((reference.parent.name, column))
    return found


def _without(
    rows_of: Callable[[str], CurrentRows],
    used: dict[tuple[str, str], set[str]],
    referring: tuple[str, str],
    parents: list[tuple[str, str]],
) -> pd.DataFrame | None:
    """Rows of a kind whose parent is on no record; ``used`` keeps the numbers of parents."""
    kind, own = referring
    rows = rows_of(kind)
    if not len(rows):
        return None
    for parent, column in parents:
        if (parent, column) not in used:
            used[parent, column] = set(rows_of(parent).used(column))
    known = set().union(*(used[one] for one in parents))
    unknown = np.array([*(text not in known for text in rows.texts(own)), False])
    lost = unknown[rows.codes(own)]
    if not lost.any():
        return None
    frame = rows.where(lost).only([own, "entry_no", "sheet", "row_no"]).frame()
    return frame.rename(columns={own: "number"}).assign(
        record=pd.Series(kind, frame.index, dtype="str"),
        refers_by=pd.Series(own, frame.index, dtype="str"),
    )
