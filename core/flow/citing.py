"""Rows of the ledger as evidence: which record, entry, sheet and row say something of a subject."""

from __future__ import annotations

import pandas as pd

PLACE = ["entry_no", "sheet", "row_no"]


def cited(
    rows: pd.DataFrame, record: str, measures: list[str], subject_kind: str = "pile"
) -> pd.DataFrame:
    """``rows`` (pile_id or another subject under that name, and place) for each of ``measures``."""
    frame = rows[["pile_id", *PLACE]].rename(columns={"pile_id": "subject"})
    frame = frame.assign(record=record, subject_kind=subject_kind)
    return frame.merge(pd.DataFrame({"measure": measures}), how="cross")
