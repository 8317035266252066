"""Outstanding items: what somebody must still do, found by rule and gone with its cause."""

from __future__ import annotations

import pandas as pd

from core import words

OF_FINDING = (
    "kind",
    "subject",
    "subject_kind",
    "result",
    "measured",
    "limit_value",
    "sense",
    "unit_column",
    "clause",
    "note",
)
ITEM_COLUMNS = (
    "kind",
    "subject",
    "subject_kind",
    "area",
    "blocks",
    "owner",
    "clears",
    "result",
    "measured",
    "limit_value",
    "sense",
    "unit_column",
    "clause",
    "due",
    "age_days",
    "note",
)


def outstanding_items(
    findings: pd.DataFrame, subjects: pd.DataFrame, entered: pd.Series, on: pd.Timestamp
) -> pd.DataFrame:
    """One row per open finding, worst result first and the oldest of each first.

    ``subjects``: subject_kind, subject, area and worked_on, the last day of work; ``entered``: by
    finding index, the day on which each row of the finding's evidence was entered.
    """
    open_ = findings[findings["result"].isin(words.OPEN_RESULTS)]
    kind = open_["kind"].map(words.FINDING_KIND)
    keys = ["subject_kind", "subject"]
    place = open_[keys].merge(subjects, on=keys, how="left").set_axis(open_.index)
    items = open_[list(OF_FINDING)].assign(
        area=place["area"],
        blocks=[item.blocks for item in kind],
        owner=[item.owner for item in kind],
        clears=[item.clears for item in kind],
        due=open_["due_on"],
        age_days=_age(open_["due_on"], place["worked_on"], entered, on),
    )
    return _worst_first(items)[list(ITEM_COLUMNS)].reset_index(drop=True)


def _age(
    due_on: pd.Series, worked_on: pd.Series, entered: pd.Series, on: pd.Timestamp
) -> pd.Series:
    """Days since the later of the due day and the newest entry among the evidence.

    What was entered after ``on`` does not count. With neither, days since the last day of work.
    """
    newest = entered[entered <= on].groupby(level=0).max().reindex(due_on.index)
    days = [pd.to_datetime(part) for part in (due_on, newest)]
    since = pd.to_datetime(pd.concat(days, axis=1).max(axis=1))
    age: pd.Series = (on - since.fillna(worked_on)).dt.days.clip(lower=0).astype("Int64")
    return age


def _worst_first(items: pd.DataFrame) -> pd.DataFrame:
    rank = {word: place for place, word in enumerate(words.RESULTS)}
    keys = pd.DataFrame({"rank": items["result"].map(rank), "age": -items["age_days"]})
    return items.loc[keys.sort_values(["rank", "age"], kind="stable").index]
