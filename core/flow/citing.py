"""Rows of the ledger as evidence: which record, entry, sheet and row say something of a subject."""

from __future__ import annotations

import numpy as np
import pandas as pd

PLACE = ["entry_no", "sheet", "row_no"]


def cited(
    rows: pd.DataFrame, record: str, measures: list[str], subject_kind: str = "pile"
) -> pd.DataFrame:
    """``rows`` (pile_id or another subject under that name, and place) for each of ``measures``."""
    each = np.repeat(np.arange(len(rows)), len(measures))
    frame = rows[["pile_id", *PLACE]].take(each).reset_index(drop=True)
    frame.columns = pd.Index(["subject", *PLACE])
    return frame.assign(
        record=record,
        subject_kind=subject_kind,
        measure=pd.array(measures * len(rows), dtype="str"),
    )
