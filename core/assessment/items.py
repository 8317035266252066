"""Outstanding items: findings that somebody must act on, with the age of their rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from core import words
from core.assessment.evidence import NEVER, CitedRows, by_measure, entry_rank
from core.assessment.snapshot import Snapshot
from core.criteria.columns import Array, Columns, Days
from core.criteria.findings import Findings
from core.criteria.kinds import BLOCKS, RESPONSIBLE
from core.records.current_rows import joined_codes
from core.subjects.registry import FINDING

ITEM_COLUMNS = (
    "kind",
    "subject",
    "subject_kind",
    "area",
    "blocks",
    "responsible",
    "closed_by",
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
COMMON_NUMBERS = ("measured", "limit_value")
TEXTS = ("kind", "subject", "subject_kind", "result", "sense", "unit_column", "clause", "note")
COMMON_TEXTS = ("sense", "unit_column", "clause")
MOST_NAMED = 12  # piles that the note of a shared item names

LATE_RESULTS = ("no evidence", "waiting")  # a record or a result is still to come


def outstanding_items(
    found: Findings, area: Array, worked_on: Days, entered: Days, on: np.datetime64
) -> pd.DataFrame:
    """One row per open finding or shared item, worst result first and the oldest of each first.

    Findings of the same kind, result and ``item`` are one row of which ``item`` is the subject;
    ``piles`` lists the piles that an item concerns.

    Per finding: ``area`` of its subject, None for none; ``worked_on``, the last day of work with
    it; ``entered``, the day on which the newest row of its evidence was entered, up to ``on``.
    """
    at = np.flatnonzero(found.is_text("result", *words.OPEN_RESULTS))
    found = found.take(at)
    subjects, of_pile = found.text("subject"), found.is_text("subject_kind", "pile").tolist()
    piles = np.empty(len(at), dtype=object)
    piles[:] = [(one,) if is_pile else () for one, is_pile in zip(subjects, of_pile, strict=True)]
    columns = {
        **{name: found.text(name) for name in TEXTS},
        **{name: found.values(name).copy() for name in COMMON_NUMBERS},
        "area": area[at],
        "due": found.values("due_on").copy(),
        "age_days": _age(found.values("due_on"), worked_on[at], entered[at], on),
        "piles": piles,
    }
    groups = _sharing(found)
    for group in groups:
        _share(columns, group, found.text("item")[group[0]])
    alone = np.flatnonzero(found.is_text("item", ""))
    kept = np.sort(np.concatenate([alone, [group[0] for group in groups]]).astype(np.int64))
    kept = kept[_worst_first(found.codes("result"), columns, kept)]
    return _frame({name: values[kept] for name, values in columns.items()}, found.take(kept))


def _sharing(found: Findings) -> list[Array]:
    """Places of the findings that share an item, one array for each item."""
    at = np.flatnonzero(~found.is_text("item", ""))
    key = joined_codes([found.codes(name)[at] for name in ("finding", "result", "item")])
    order = np.argsort(key, kind="stable")
    ends = np.flatnonzero(np.diff(key[order])) + 1
    return np.split(at[order], ends) if len(at) else []


def _share(columns: dict[str, Array], group: Array, item: str) -> None:
    """Make the first of the findings that share an item the row for all of them.

    What they do not have in common is left out.
    """
    first = group[0]
    piles = tuple(dict.fromkeys(pile for named in columns["piles"][group] for pile in named))
    areas = sorted({area for area in columns["area"][group] if area is not None})
    for name in COMMON_NUMBERS:
        values = columns[name][group]
        if np.any((values != values[0]) & ~(np.isnan(values) & np.isnan(values[0]))):
            columns[name][first] = np.nan
    for name in COMMON_TEXTS:
        if len(set(columns[name][group])) > 1:
            columns[name][first] = ""
    notes = [note for note in columns["note"][group] if note not in ("", item)]
    columns["subject"][first], columns["subject_kind"][first] = item, SHARED
    columns["area"][first] = ", ".join(areas) if areas else None
    columns["note"][first] = "; ".join([*notes[:1], _concerned(piles)])
    columns["due"][first] = np.fmin.reduce(columns["due"][group])
    columns["age_days"][first] = np.fmax.reduce(columns["age_days"][group])
    columns["piles"][first] = piles


def _concerned(piles: tuple[str, ...]) -> str:
    number = "1 pile" if len(piles) == 1 else f"{len(piles)} piles"
    named = ", ".join(piles[:MOST_NAMED])
    return f"{number}: {named}" + (", …" if len(piles) > MOST_NAMED else "")


def _age(due_on: Days, worked_on: Days, entered: Days, on: np.datetime64) -> Array:
    """Days since the later of the due day and the newest entry among the evidence, NaN unknown.

    With neither, days since the last day of work.
    """
    since = np.fmax(due_on, entered)
    since = np.where(np.isnat(since), worked_on, since)
    age, known = np.full(len(since), np.nan), ~np.isnat(since)
    late: Array = on - since[known]
    age[known] = np.maximum(late // np.timedelta64(1, "D"), 0)
    return age


def _worst_first(result: Array, columns: dict[str, Array], kept: Array) -> Array:
    """The order of the rows ``kept``; the items of one pile stand together."""
    subject = pd.factorize(columns["subject"][kept])[0]
    found: Array = np.lexsort((subject, -columns["age_days"][kept], result[kept]))
    return found


def _frame(columns: dict[str, Array], found: Findings) -> pd.DataFrame:
    """The items as a frame; ``found``: row by row the finding that each is made of."""
    kinds = [FINDING[one] for one in found.text("finding")]
    age = columns["age_days"]
    frame = {name: pd.Series(columns[name], dtype=object) for name in (*TEXTS, "piles")}
    frame |= {name: pd.Series(columns[name]) for name in (*COMMON_NUMBERS, "due")}
    frame |= {
        "area": pd.Series(columns["area"], dtype="str"),
        "blocks": pd.Series([kind.blocks for kind in kinds], dtype="str"),
        "responsible": pd.Series([kind.responsible for kind in kinds], dtype="str"),
        "closed_by": pd.Series([kind.closed_by for kind in kinds], dtype="str"),
        "age_days": pd.Series(
            pd.arrays.IntegerArray(np.nan_to_num(age).astype(np.int64), np.isnan(age))
        ),
    }
    return pd.DataFrame({name: frame[name] for name in ITEM_COLUMNS})


@dataclass(frozen=True)
class ItemFilter:
    """Which items somebody asks for. Empty means all; ``blocks`` are letters, any of them."""

    area: tuple[str, ...] = ()
    responsible: tuple[str, ...] = ()
    blocks: tuple[str, ...] = ()
    kind: tuple[str, ...] = ()
    overdue: bool = False


def overdue(items: pd.DataFrame, on: pd.Timestamp) -> pd.Series:
    """Whether each item's record or result was due before the day that judges.

    A measured value that waits for a decision is not late: it is there.
    """
    late: pd.Series = items["result"].isin(LATE_RESULTS) & (pd.to_datetime(items["due"]) < on)
    return late


def filtered_items(items: pd.DataFrame, wanted: ItemFilter, on: pd.Timestamp) -> pd.DataFrame:
    """The items asked for, in the order of the list."""
    kept = pd.Series(True, index=items.index)
    for column in ("responsible", "kind"):
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


def items_by_responsible(items: pd.DataFrame) -> pd.DataFrame:
    """Number of items by owner and by letter of what they block, with ``all`` and ``oldest_days``.

    An item that blocks two things is counted under both, and once in ``all``.
    """
    owners = [
        responsible for responsible in RESPONSIBLE if responsible in set(items["responsible"])
    ]
    table = pd.DataFrame(
        {
            letter: items["responsible"][items["blocks"].str.contains(letter)].value_counts()
            for letter in BLOCKS
        },
        index=pd.Index(owners, name="responsible"),
    )
    by_owner = items.groupby("responsible")
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
        owners=("responsible", lambda owners: ", ".join(owners.unique())),
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


_NAT = np.datetime64("NaT", "us")


def items_of(
    found: Findings,
    piles: Columns,
    state: Array,
    cited_rows: CitedRows,
    runs: Columns,
    known: Snapshot,
) -> pd.DataFrame:
    """Outstanding items of the findings ``found``; ``cited_rows``: what their measures rest on.

    ``state``: of each of ``piles``, as a place in ``words.STATES``.

    Replaced piles are left out: about them nobody has to do anything. So are findings that wait
    for a parameter of project.toml: its criteria set has one item for them all.
    """
    is_open = found.is_text("result", *words.OPEN_RESULTS) & found.is_text("parameter", "")
    needed = found.where(is_open & ~_of_replaced(found, piles, state))
    on = np.datetime64(known.on, "us")
    entered = newest_entries(needed, cited_rows, entry_rank(known.entered_on, pd.Timestamp(on)))
    area, worked_on = _about(needed, piles, runs)
    return outstanding_items(needed, area, worked_on, entered, on)


def newest_entries(found: Findings, cited_rows: CitedRows, worth: Array) -> Days:
    """Per finding the day on which the newest row of its evidence was entered; NaT for none.

    ``worth``: the day of each entry that counts, as of ``entry_rank``.
    """
    newest = np.full(len(found), NEVER)
    for measure, at, subjects, own in by_measure(found, np.arange(len(found))):
        newest[at] = cited_rows.newest(measure, subjects, worth)[own]
    return newest.view("datetime64[us]")


def _of_replaced(found: Findings, piles: Columns, state: Array) -> Array:
    gone = set(piles.text("pile_id")[state == words.STATE_ORDER["replaced"]])
    of_pile = np.array([*(pile in gone for pile in found.texts("pile_id")), False])
    mask: Array = of_pile[found.codes("pile_id")]
    return mask


def _about(found: Findings, piles: Columns, runs: Columns) -> tuple[Array, Days]:
    """Per finding the area of its subject and the last day of work with it; None and NaT for
    none. Piles, positions and instruments have them.
    """
    area = np.full(len(found), None, dtype=object)
    worked_on = np.full(len(found), _NAT)
    areas = [area or None for area in piles.text("area").tolist()]
    subject, texts = found.codes("subject"), found.texts("subject")
    for kind, keys in (("pile", "pile_id"), ("position", "position_id")):
        at = np.flatnonzero(found.is_text("subject_kind", kind))
        if len(at):
            pairs = zip(reversed(piles.text(keys).tolist()), reversed(areas), strict=True)
            area_of = dict(pairs)  # of several rows the first
            area[at] = [area_of.get(texts[code]) for code in subject[at].tolist()]
    for kind, keys in (("pile", "pile_id"), ("instrument", "instrument_id")):
        at = np.flatnonzero(found.is_text("subject_kind", kind))
        if len(at):
            worked_on[at] = _last_day(texts, runs, keys)[subject[at]]
    return area, worked_on


def _last_day(texts: Sequence[str], runs: Columns, name: str) -> Days:
    """Last day of the runs of each of ``texts``, numbers as the column ``name`` has them."""
    ended, begun = runs.day("ended_on"), runs.day("run_on")
    worked = np.where(np.isnat(ended), begun, ended)
    place = {text: at for at, text in enumerate(texts)}
    codes, numbers = runs.coded(name)
    own = np.array([*(place.get(text, -1) for text in numbers), -1], dtype=np.int64)[codes]
    kept = (own >= 0) & ~np.isnat(worked)
    last = np.full(len(texts), NEVER)
    np.maximum.at(last, own[kept], worked[kept].astype(np.int64))
    return last.view("datetime64[us]")
