"""What the contract asks of the steel beside each piece, and which pieces are in quarantine."""

from __future__ import annotations

import pandas as pd

from core.compute.measures.heats import may_be_one_mill


def with_grades(chain: pd.DataFrame, grades: pd.DataFrame) -> pd.DataFrame:
    """``chain`` with the least and the most that its standard and grade ask; missing: none set.

    Standard and grade are compared without regard to case and blanks. ``grade_set``: the grade
    has a row among ``grades``.
    """
    asked = grades.assign(fold=_fold(grades)).drop(columns=["standard", "grade"])
    frame = chain.assign(fold=_fold(chain)).merge(
        asked.assign(grade_set=True), on="fold", how="left"
    )
    return frame.drop(columns="fold").assign(grade_set=frame["grade_set"].eq(True))


def _fold(rows: pd.DataFrame) -> pd.Series:
    """Standard and grade as compared; a text that nothing equals where either is missing."""
    whole = rows["standard"] + "\n" + rows["grade"]
    return whole.str.casefold().str.replace(r"[^\S\n]+", "", regex=True).astype("str")


def with_quarantine(chain: pd.DataFrame, quarantines: pd.DataFrame) -> pd.DataFrame:
    """``chain`` with ``quarantined`` and ``quarantine_note``, who put the heat there and why.

    ``quarantines``: heats that are in quarantine now. Where either does not name the mill, a
    piece of the same heat number is in quarantine, too.
    """
    note = pd.Series(None, index=chain.index, dtype="str")
    for row in quarantines.to_dict("records"):
        hit = chain["heat"].eq(row["heat"]) & may_be_one_mill(chain["mill"], row["mill"])
        day = f"{row['decided_on']:%Y-%m-%d}"
        note = note.mask(hit, f"in quarantine since {day}, {row['person']}: {row['reason']}")
    return chain.assign(quarantined=note.notna(), quarantine_note=note)
