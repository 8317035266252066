"""Rows that name a parent which is on no record, found by what the record kinds declare."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable

import numpy as np
import pandas as pd

from core import records
from core.compute.selection.order import counting_order
from core.records.current_rows import CurrentRows

FOUND = ("record", "refers_by", "number", "file", "entry_no", "sheet", "row_no")


def rows_without_parent(rows_of: Callable[[str], CurrentRows], files: pd.Series) -> pd.DataFrame:
    """One row is one row whose parent is on no record, with the number that it names and its file.

    ``files`` gives by entry the file that it read; a row of a form has the file 'form'.
    """
    parts = [_without(rows_of, *one) for one in _referring().items()]
    found = pd.concat(parts, ignore_index=True)
    found["file"] = found["entry_no"].map(files).fillna("form").astype("str")
    counting = found["number"].map(counting_order)
    by = ["record", "refers_by", "counting", "number", "entry_no", "sheet", "row_no"]
    return found.assign(counting=counting).sort_values(by, ignore_index=True)[list(FOUND)]


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
    referring: tuple[str, str],
    parents: list[tuple[str, str]],
) -> pd.DataFrame:
    kind, own = referring
    rows = rows_of(kind)
    known = {text for parent, column in parents for text in rows_of(parent).used(column)}
    unknown = [text not in known for text in rows.texts(own)]
    lost = rows.where(np.array([*unknown, False])[rows.codes(own)])
    frame = lost.only([own, "entry_no", "sheet", "row_no"]).frame()
    return frame.rename(columns={own: "number"}).assign(
        record=pd.Series(kind, frame.index, dtype="str"),
        refers_by=pd.Series(own, frame.index, dtype="str"),
    )
