"""Which issue of a position is in force on a day, and which was when its pile was last worked."""

from __future__ import annotations

from datetime import date

import numpy as np

from core.records.current_rows import Array, CurrentRows, common_codes
from core.selection.matching import last_of_each, row_of
from core.selection.order import ordered_runs, ranks, sorted_by


def schedule_in_force(schedule: CurrentRows, on: date) -> CurrentRows:
    """One row is one live position as the schedule in force on ``on`` has it.

    That is the position's latest issue for construction, unless it deletes the position.
    ``in_latest`` says whether the newest revision of its structure still names it.
    """
    known = schedule.values("issued_on") <= np.datetime64(on, "us")
    issued = schedule.where(schedule.is_text("status", "for construction") & known)
    when = (issued.values("issued_on"), ranks(issued, "revision"))
    position, structure = issued.codes("position_id"), issued.codes("structure") + 1
    newest = np.full(structure.max(initial=0) + 1, -1)
    last = last_of_each(structure, *when)
    newest[structure[last]] = issued.codes("revision")[last]
    named = position[newest[structure] == issued.codes("revision")]
    kept = issued.take(last_of_each(position, *when))
    kept = kept.with_truth("in_latest", np.isin(kept.codes("position_id"), named))
    kept = kept.where(~kept.is_text("row_status", "deleted"))
    return sorted_by(kept, ranks(kept, "position_id"))


def schedule_for_construction(schedule: CurrentRows) -> CurrentRows:
    """One row is one schedule row issued for construction, whatever its day."""
    rows = schedule.where(schedule.is_text("status", "for construction"))
    revision = ranks(rows, "revision")
    return sorted_by(rows, ranks(rows, "position_id"), rows.values("issued_on"), revision)


def schedule_issues(schedule: CurrentRows) -> CurrentRows:
    """One row is one position in one revision, whatever its status, in the order of their issue."""
    revision, position = ranks(schedule, "revision"), ranks(schedule, "position_id")
    return sorted_by(schedule, schedule.values("issued_on"), revision, position)


def schedule_at_runs(schedule: CurrentRows, pile: CurrentRows, run: CurrentRows) -> CurrentRows:
    """One row is one pile's last run beside the issue in force for its position on that day.

    The schedule's columns are empty when none was, or when it deletes the position.
    """
    runs = ordered_runs(run)
    last = runs.take(last_of_each(runs.codes("pile_id"), runs.values("run_order")))
    last = last.only(["pile_id", "run_on", "schedule_revision"])
    found = _in_force_on(schedule, _served(last, pile), last.values("run_on"))
    deleted = np.append(schedule.is_text("row_status", "deleted"), False)
    found = np.where(deleted[found], -1, found)
    columns = [name for name in schedule.names if name != "sheet"]
    return sorted_by(last.beside(schedule.take(found), columns), ranks(last, "pile_id"))


def _served(runs: CurrentRows, pile: CurrentRows) -> CurrentRows:
    """The position of each run's pile: the one it serves, else the one of its own number."""
    own = pile.take(row_of(runs, pile, "pile_id"))
    (number, position), texts = common_codes((runs, "pile_id"), (own, "position_id"))
    return runs.with_text("position_id", np.where(position < 0, number, position), texts)


def _in_force_on(schedule: CurrentRows, served: CurrentRows, days: Array) -> Array:
    """Per position and day the place of the latest issue for construction up to then, else -1."""
    place = np.flatnonzero(
        schedule.is_text("status", "for construction") & ~np.isnat(schedule.values("issued_on"))
    )
    issued = schedule.take(place)
    (held, asked), _ = common_codes((issued, "position_id"), (served, "position_id"))
    order = np.lexsort((ranks(issued, "revision"), issued.values("issued_on"), held))
    key = _position_and_day(held, issued.values("issued_on"))[order]
    at = np.searchsorted(key, _position_and_day(asked, days), side="right") - 1
    found = np.append(order, -1)[at]
    same = (found >= 0) & ~np.isnat(days)
    same[same] = held[found[same]] == asked[same]
    return np.where(same, np.append(place, -1)[found], -1)


def _position_and_day(position: Array, days: Array) -> Array:
    whole = days.astype("datetime64[D]").astype(np.int64)  # days since 1970, some negative
    return position * (1 << 32) + np.clip(whole, -(1 << 31), (1 << 31) - 1)
