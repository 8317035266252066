"""Rows of the ledger as evidence: which record, entry, sheet and row say something of a subject."""

from __future__ import annotations

import numpy as np
import pandas as pd

PLACE = ["entry_no", "sheet", "row_no"]
NOTHING = pd.DataFrame(
    {
        "subject": pd.Series(dtype="str"),
        "entry_no": pd.Series(dtype="Int64"),
        "sheet": pd.Series(dtype="str"),
        "row_no": pd.Series(dtype="Int64"),
        "record": pd.Series(dtype="str"),
        "subject_kind": pd.Series(dtype="str"),
        "measure": pd.Series(dtype="str"),
    }
)


def cited(
    rows: pd.DataFrame, record: str, measures: list[str], subject_kind: str = "pile"
) -> pd.DataFrame:
    """``rows`` (pile_id or another subject under that name, and place) for each of ``measures``.

    Nobody writes to the answer: of no rows it is the same frame each time.
    """
    if rows.empty:
        return NOTHING
    each = np.repeat(np.arange(len(rows)), len(measures))
    frame = rows[["pile_id", *PLACE]].take(each).reset_index(drop=True)
    frame.columns = pd.Index(["subject", *PLACE])
    return frame.assign(
        record=record,
        subject_kind=subject_kind,
        measure=pd.array(measures * len(rows), dtype="str"),
    )
