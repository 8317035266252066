"""Outstanding items: what somebody must still do, found by rule and gone with its cause."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd
from pandas.api.types import is_numeric_dtype

from core import words
from core.criteria import BLOCKS, FINDING, OWNERS

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
    "item",
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
    "piles",
)
SHARED = "case"  # subject_kind of an item that several piles share
COMMON = ("measured", "limit_value", "sense", "unit_column", "clause")
MOST_NAMED = 12  # piles that the note of a shared item names

Days = npt.NDArray[np.datetime64]
LATE_RESULTS = ("no evidence", "waiting")  # a record or a result is still to come


def outstanding_items(
    findings: pd.DataFrame, subjects: pd.DataFrame, entered: Days, on: pd.Timestamp
) -> pd.DataFrame:
    """One row per open finding or shared item, worst result first and the oldest of each first.

    Findings of the same kind, result and ``item`` are one row of which ``item`` is the subject;
    ``piles`` lists the piles that an item concerns.

    ``subjects``: subject_kind, subject, area and worked_on, the last day of work; ``entered``: per
    finding the day on which the newest row of its evidence was entered, up to ``on``.
    """
    is_open = findings["result"].isin(words.OPEN_RESULTS).to_numpy()
    open_, entered = findings[is_open], entered[is_open]
    kind = open_["finding"].map(FINDING)
    keys = ["subject_kind", "subject"]
    place = open_[keys].merge(subjects, on=keys, how="left").set_axis(open_.index)
    items = open_[list(OF_FINDING)].assign(
        area=place["area"],
        blocks=[item.blocks for item in kind],
        owner=[item.owner for item in kind],
        clears=[item.clears for item in kind],
        due=open_["due_on"],
        age_days=_age(open_["due_on"], place["worked_on"], entered, on),
        piles=_own_pile(open_),
    )
    return _worst_first(_with_shared(items))[list(ITEM_COLUMNS)].reset_index(drop=True)


def _own_pile(findings: pd.DataFrame) -> pd.Series:
    """The pile that each finding is about, as a tuple of one; empty where it is about none."""
    pairs = zip(findings["subject"], findings["subject_kind"], strict=True)
    own = [(subject,) if kind == "pile" else () for subject, kind in pairs]
    return pd.Series(own, index=findings.index, dtype=object)


def _with_shared(items: pd.DataFrame) -> pd.DataFrame:
    """``items`` with one row in place of those that share an item, where the first of them was."""
    shared = items["item"].notna() & items["item"].ne("")
    if not shared.any():
        return items
    groups = items[shared].groupby(["kind", "result", "item"], sort=False)
    rows = pd.concat([_one(group) for _, group in groups])
    return pd.concat([items[~shared], rows.astype(items.dtypes)]).sort_index()


def _one(group: pd.DataFrame) -> pd.DataFrame:
    """One row for findings that share an item; what they do not have in common is left out."""
    row = group.head(1).copy()
    shared_by = row["item"].item()
    piles = tuple(dict.fromkeys(pile for named in group["piles"] for pile in named))
    areas = sorted(set(group["area"].dropna()))
    for name in COMMON:
        if group[name].nunique(dropna=False) > 1:
            row[name] = np.nan if is_numeric_dtype(row[name]) else ""
    notes = [note for note in group["note"].drop_duplicates() if note not in ("", shared_by)]
    row["subject"], row["subject_kind"] = row["item"], SHARED
    row["area"] = ", ".join(areas) if areas else None
    row["note"] = "; ".join([*notes[:1], _concerned(piles)])
    row["due"], row["age_days"] = group["due"].min(), group["age_days"].max()
    row["piles"] = [piles]
    return row


def _concerned(piles: tuple[str, ...]) -> str:
    number = "1 pile" if len(piles) == 1 else f"{len(piles)} piles"
    named = ", ".join(piles[:MOST_NAMED])
    return f"{number}: {named}" + (", …" if len(piles) > MOST_NAMED else "")


def _age(due_on: pd.Series, worked_on: pd.Series, entered: Days, on: pd.Timestamp) -> pd.Series:
    """Days since the later of the due day and the newest entry among the evidence.

    With neither, days since the last day of work.
    """
    due = due_on.to_numpy(dtype="datetime64[us]")
    since = pd.Series(np.fmax(due, entered), due_on.index)
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
    for column in ("owner", "kind"):
        if asked := getattr(wanted, column):
            kept &= items[column].isin(asked)
    if wanted.area:
        kept &= in_areas(items, wanted.area)
    if wanted.blocks:
        kept &= pd.Series([bool(set(wanted.blocks) & set(b)) for b in items["blocks"]], items.index)
    if wanted.overdue:
        kept &= overdue(items, on)
    return items[kept.astype(bool)].reset_index(drop=True)


def in_areas(items: pd.DataFrame, areas: tuple[str, ...]) -> pd.Series:
    """Whether each item is of one of ``areas``; a shared one may be of several."""
    each = _each_area(items)
    return each.isin(areas).groupby(level=0).any().reindex(items.index, fill_value=False)


def areas_of(items: pd.DataFrame) -> list[str]:
    """The areas that have an item."""
    return sorted(set(_each_area(items).dropna()))


def _each_area(items: pd.DataFrame) -> pd.Series:
    """Areas of the items under their index, one row per area of a shared item."""
    several = items["subject_kind"].eq(SHARED)
    parts = items.loc[several, "area"].str.split(", ").explode()
    each: pd.Series = pd.concat([items.loc[~several, "area"], parts])
    return each


def owners_and_blocks(items: pd.DataFrame) -> pd.DataFrame:
    """Number of items by owner and by letter of what they block, with ``all`` and ``oldest_days``.

    An item that blocks two things is counted under both, and once in ``all``.
    """
    owners = [owner for owner in OWNERS if owner in set(items["owner"])]
    table = pd.DataFrame(
        {
            letter: items["owner"][items["blocks"].str.contains(letter)].value_counts()
            for letter in BLOCKS
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
    each = items.loc[asks, ["piles", "age_days"]].explode("piles")
    oldest = each.groupby("piles")["age_days"].max()
    waiting = piles[piles["counted"] & piles["state"].eq("engineer review")]
    frame = waiting[["pile_id"]].reset_index(drop=True)
    days = oldest.reindex(frame["pile_id"]).astype("Int64").array
    return frame.assign(age_days=days)
