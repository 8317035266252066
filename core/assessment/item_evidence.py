"""The corridor of outstanding items: what each open finding is about, and known since when."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from core import words
from core.assessment.cited_rows import NEVER, CitedRows, by_measure, entry_worth
from core.assessment.items import outstanding_items
from core.assessment.snapshot import Snapshot
from core.criteria.columns import Array, Columns, Days
from core.criteria.findings import Findings

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
    entered = newest_entries(needed, cited_rows, entry_worth(known.entered_on, pd.Timestamp(on)))
    area, worked_on = _about(needed, piles, runs)
    return outstanding_items(needed, area, worked_on, entered, on)


def newest_entries(found: Findings, cited_rows: CitedRows, worth: Array) -> Days:
    """Per finding the day on which the newest row of its evidence was entered; NaT for none.

    ``worth``: the day of each entry that counts, as of ``entry_worth``.
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
