"""Outstanding items: what somebody must still do, found by rule and gone with its cause."""

from __future__ import annotations

import pandas as pd

from core import words

ITEM_COLUMNS = (
    "kind",
    "subject",
    "area",
    "blocks",
    "owner",
    "clears",
    "result",
    "due",
    "age_days",
    "note",
)


def outstanding_items(
    findings: pd.DataFrame, areas: pd.Series, newest: pd.Series, on: pd.Timestamp
) -> pd.DataFrame:
    """One row per open finding, worst first.

    ``areas``: area by subject; ``newest``: by finding index, the day of the newest entry among
    the finding's evidence. Age = ``on`` minus the later of that day and the due day.
    """
    open_ = findings[findings["result"].isin(words.OPEN_RESULTS)]
    kind = open_["kind"].map(words.FINDING_KIND)
    days = [pd.to_datetime(part) for part in (open_["due_on"], newest.reindex(open_.index))]
    since = pd.to_datetime(pd.concat(days, axis=1).max(axis=1))
    items = pd.DataFrame(
        {
            "kind": open_["kind"],
            "subject": open_["subject"],
            "area": open_["subject"].map(areas),
            "blocks": [item.blocks for item in kind],
            "owner": [item.owner for item in kind],
            "clears": [item.clears for item in kind],
            "result": open_["result"],
            "due": open_["due_on"],
            "age_days": (on - since).dt.days.clip(lower=0).astype("Int64"),
            "note": open_["note"],
        }
    )
    return items[list(ITEM_COLUMNS)].reset_index(drop=True)
