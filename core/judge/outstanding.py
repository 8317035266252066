"""Outstanding items: what somebody must still do, found by rule and gone with its cause."""

from __future__ import annotations

from dataclasses import dataclass

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

LATE_RESULTS = ("no evidence", "waiting")  # a record or a result is still to come


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
    keys["subject"] = pd.factorize(items["subject"])[0]  # one pile's items stand together
    return items.loc[keys.sort_values(["rank", "age", "subject"], kind="stable").index]


@dataclass(frozen=True)
class Wanted:
    """Which items somebody asks for. Empty means all; ``blocks`` are letters, any of them."""

    area: tuple[str, ...] = ()
    owner: tuple[str, ...] = ()
    blocks: tuple[str, ...] = ()
    kind: tuple[str, ...] = ()
    overdue: bool = False


def overdue(items: pd.DataFrame, on: pd.Timestamp) -> pd.Series:
    """Whether each item's record or result was due before the day that judges.

    A measured value that waits for a decision is not late: it is there.
    """
    late: pd.Series = items["result"].isin(LATE_RESULTS) & (pd.to_datetime(items["due"]) < on)
    return late


def wanted_items(items: pd.DataFrame, wanted: Wanted, on: pd.Timestamp) -> pd.DataFrame:
    """The items asked for, in the order of the list."""
    kept = pd.Series(True, index=items.index)
    for column in ("area", "owner", "kind"):
        if asked := getattr(wanted, column):
            kept &= items[column].isin(asked)
    if wanted.blocks:
        kept &= pd.Series([bool(set(wanted.blocks) & set(b)) for b in items["blocks"]], items.index)
    if wanted.overdue:
        kept &= overdue(items, on)
    return items[kept.astype(bool)].reset_index(drop=True)


def owners_and_blocks(items: pd.DataFrame) -> pd.DataFrame:
    """Number of items by owner and by letter of what they block, with ``all`` and ``oldest_days``.

    An item that blocks two things is counted under both, and once in ``all``.
    """
    owners = [owner for owner in words.OWNERS if owner in set(items["owner"])]
    table = pd.DataFrame(
        {
            letter: items["owner"][items["blocks"].str.contains(letter)].value_counts()
            for letter in words.BLOCKS
        },
        index=pd.Index(owners, name="owner"),
    )
    by_owner = items.groupby("owner")
    table = table.fillna(0).astype(int)
    table["all"] = by_owner.size().reindex(owners).astype(int)
    table["oldest_days"] = by_owner["age_days"].max().reindex(owners).astype("Int64")
    return table.reset_index()


def items_by_subject(items: pd.DataFrame) -> pd.DataFrame:
    """One row per subject in the order of the list: its kinds and owners, and ``oldest_days``."""
    by_subject = items.groupby(["subject_kind", "subject"], sort=False)
    table = by_subject.agg(
        area=("area", "first"),
        kinds=("kind", lambda kinds: ", ".join(kinds.unique())),
        oldest_days=("age_days", "max"),
        owners=("owner", lambda owners: ", ".join(owners.unique())),
    )
    return table.reset_index()


def waits_for_engineer(piles: pd.DataFrame, items: pd.DataFrame) -> pd.DataFrame:
    """One row per production pile in *engineer review*: pile_id and since how many days.

    A pile waits as long as the oldest of its findings that ask for the review.
    """
    asks = items["result"].map(words.RESULT_STATE).eq("engineer review")
    oldest = items[asks & items["subject_kind"].eq("pile")].groupby("subject")["age_days"].max()
    waiting = piles[piles["counted"] & piles["state"].eq("engineer review")]
    frame = waiting[["pile_id"]].reset_index(drop=True)
    days = oldest.reindex(frame["pile_id"]).astype("Int64").array
    return frame.assign(age_days=days)
