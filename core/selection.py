"""Which current rows of the ledger count, and in which order: plain code that gives row numbers.

A selection is a function whose parameters are called after the record kinds that it takes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from datetime import date
from functools import cache

import numpy as np
import pandas as pd

from core import records
from core.records.current_rows import PLACE, Array, CurrentRows, common_codes
from core.records.matching import (
    counting_order,
    in_order,
    last_of_each,
    places_of,
    plain_ranks,
    ranks,
    row_of,
    sorted_by,
)


def ordered_runs(run: CurrentRows) -> CurrentRows:
    """Runs in the order of the work, with ``run_order`` that grows with it.

    By day, then by start where every run of that pile and day has one, then by number as people
    count.
    """
    pile, day = ranks(run, "pile_id"), run.values("run_on")
    start, number = run.values("started_at"), ranks(run, "run_no")
    same_day = np.lexsort((day, pile))
    first = np.ones(len(run), dtype=bool)
    first[1:] = (pile[same_day][1:] != pile[same_day][:-1]) | (
        day[same_day][1:] != day[same_day][:-1]
    )
    group = np.empty(len(run), dtype=np.int64)
    group[same_day] = np.cumsum(first) - 1
    untimed = np.bincount(group, weights=np.isnat(start), minlength=len(run)) > 0
    start = np.where(untimed[group], np.datetime64("NaT"), start)
    order = np.lexsort((number, start, day, pile))
    return run.take(order).with_integer("run_order", np.arange(1, len(run) + 1))


FOUND = ("record", "refers_by", "number", "file", "entry_no", "sheet", "row_no")


def rows_without_parent(
    rows_of: Callable[[str], CurrentRows], entries: pd.DataFrame
) -> pd.DataFrame:
    """One row is one row whose parent is on no record, with the number that it names and its file.

    ``entries`` gives by entry_no the file that it read (source); a row of a form has the file
    'form'. Nobody writes to the frame.
    """
    used: dict[tuple[str, str], set[str]] = {}
    parts = [_without(rows_of, used, *one) for one in _referring().items()]
    filled = [part for part in parts if part is not None]
    if not filled:
        return _none()
    found = pd.concat(filled, ignore_index=True)
    files = entries.set_index("entry_no")["source"]
    found["file"] = found["entry_no"].map(files).fillna("form").astype("str")
    counting = found["number"].map(counting_order)
    by = ["record", "refers_by", "counting", "number", "entry_no", "sheet", "row_no"]
    return found.assign(counting=counting).sort_values(by, ignore_index=True)[list(FOUND)]


@cache
def _none() -> pd.DataFrame:
    dtypes = dict.fromkeys(FOUND, "str") | {"entry_no": "Int64", "row_no": "Int64"}
    return pd.DataFrame(columns=list(FOUND)).astype(dtypes)


def _referring() -> dict[tuple[str, str], list[tuple[str, str]]]:
    """Kinds and columns that are kept without a parent, each with the parents that will do."""
    found: dict[tuple[str, str], list[tuple[str, str]]] = defaultdict(list)
    for kind in records.KINDS:
        for reference in kind.refers_to:
            if reference.without == "outstanding":
                for own, column in reference.columns.items():
                    found[kind.name, own].append((reference.parent.name, column))
    return found


def _without(
    rows_of: Callable[[str], CurrentRows],
    used: dict[tuple[str, str], set[str]],
    referring: tuple[str, str],
    parents: list[tuple[str, str]],
) -> pd.DataFrame | None:
    """Rows of a kind whose parent is on no record; ``used`` keeps the numbers of parents."""
    kind, own = referring
    rows = rows_of(kind)
    if not len(rows):
        return None
    for parent, column in parents:
        if (parent, column) not in used:
            used[parent, column] = set(rows_of(parent).used(column))
    known = set().union(*(used[one] for one in parents))
    unknown = np.array([*(text not in known for text in rows.texts(own)), False])
    lost = unknown[rows.codes(own)]
    if not lost.any():
        return None
    frame = rows.where(lost).only([own, "entry_no", "sheet", "row_no"]).frame()
    return frame.rename(columns={own: "number"}).assign(
        record=pd.Series(kind, frame.index, dtype="str"),
        refers_by=pd.Series(own, frame.index, dtype="str"),
    )


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
    kept = kept.with_flag("in_latest", np.isin(kept.codes("position_id"), named))
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


RUN = ("pile_id", "run_no")
OF_READING = (
    "pile_id", "run_no", "depth_mm", "pressure_kpa", "pressure_kind", "return_pressure_kpa",
    "torque_read_nm", "instrument_id", "gear", "direction", "advance_mm_per_turn", "read_at",
    "event", "flag",
)  # fmt: skip
OF_RUN = (
    "run_order", "rig", "run_on", "started_at", "ended_at", "toe_mm", "predrilled_length_mm",
)  # fmt: skip
OF_CERTIFICATE = (
    "instrument_id", "certificate", "issued_on", "valid_from_on", "valid_to_on", "laboratory",
    "instrument_kind", "rig", "entry_no", "row_no",
)  # fmt: skip


def readings_of_runs(torque_reading: CurrentRows, run: CurrentRows) -> CurrentRows:
    """One row is one reading of a run, with the instrument and gear that hold for it.

    A pile's runs come in the order of the work, a run's readings by depth.
    """
    runs = ordered_runs(run)
    at = places_of(torque_reading, RUN, runs, RUN)
    depth = torque_reading.values("depth_mm").astype(np.int64)
    order = np.argsort(at * (1 << 32) + depth, kind="stable")
    order = order[at[order] >= 0]
    readings, of_run = torque_reading.take(order), runs.take(at[order])
    for name in ("instrument_id", "gear"):
        readings = readings.with_text(name, *_own_or(readings, of_run, name))
    return readings.only(OF_READING).beside(of_run, OF_RUN).beside(readings, PLACE)


def _own_or(readings: CurrentRows, of_run: CurrentRows, name: str) -> tuple[Array, list[str]]:
    """Codes and texts of a reading's own ``name``, else its run's, else empty text."""
    (own, runs), texts = common_codes((readings, name), (of_run, name))
    if "" not in texts:
        texts = [*texts, ""]
    return np.where(own >= 0, own, np.where(runs >= 0, runs, texts.index(""))), texts


def readings_without_run(torque_reading: CurrentRows, run: CurrentRows) -> CurrentRows:
    """One row is one run that is on no record although readings of it are.

    With how many they are, ``readings``, and the first of them.
    """
    lost = torque_reading.where(places_of(torque_reading, RUN, run, RUN) < 0)
    pile, number = plain_ranks(lost, "pile_id"), plain_ranks(lost, "run_no")
    group = pile * (int(number.max(initial=0)) + 1) + number
    place = (lost.values("entry_no"), plain_ranks(lost, "sheet"), lost.values("row_no"))
    first = last_of_each(group, *(-key for key in place))
    count = np.unique(group, return_counts=True)[1]
    found = lost.take(first).with_integer("readings", count)
    return found.only([*RUN, "readings", *PLACE])


def certificates(calibration: CurrentRows, instrument: CurrentRows) -> CurrentRows:
    """One row is one calibration certificate with what its instrument is."""
    rows = in_order("calibration", calibration)
    at = row_of(rows, instrument, "instrument_id")
    return rows.beside(instrument.take(at), ["instrument_kind", "rig"]).only(OF_CERTIFICATE)


def calibration_points(calibration_point: CurrentRows) -> CurrentRows:
    """One row is one point of one certificate's curve, along its pressure."""
    pressure = calibration_point.values("point_pressure_kpa")
    return sorted_by(
        calibration_point,
        *(
            plain_ranks(calibration_point, name)
            for name in ("instrument_id", "certificate", "gear")
        ),
        np.where(np.isnan(pressure), -np.inf, pressure),
        ranks(calibration_point, "point_no"),
    )


def grout_placements(grout_placement: CurrentRows, run: CurrentRows) -> CurrentRows:
    """One row is what one batch gave to one lift of one run, with the run's day and order.

    A pile's lifts come in the order of the work; ``run_order`` is empty without a run.
    """
    rows = _with_run(grout_placement, run)
    lift = (rows.values("from_mm"), ranks(rows, "lift_no"), plain_ranks(rows, "batch_id"))
    return sorted_by(rows, _run_order(rows), plain_ranks(rows, "pile_id"), *lift)


def components_placed(component_placed: CurrentRows, run: CurrentRows) -> CurrentRows:
    """One row is one place in the string of one run, from the toe up, with its day and order."""
    rows = _with_run(component_placed, run)
    of_run = (plain_ranks(rows, "pile_id"), plain_ranks(rows, "run_no"))
    return sorted_by(rows, _run_order(rows), *of_run, rows.values("place"))


def quarantines(quarantine: CurrentRows) -> CurrentRows:
    """One row is one heat that is in quarantine."""
    return quarantine.where(quarantine.is_text("quarantine_status", "in quarantine"))


def _with_run(rows: CurrentRows, run: CurrentRows) -> CurrentRows:
    runs = ordered_runs(run)
    of_run = runs.take(places_of(rows, RUN, runs, RUN))
    own = [name for name in rows.names if name not in PLACE]
    return rows.only(own).beside(of_run, ["run_on", "run_order"]).beside(rows, PLACE)


def _run_order(rows: CurrentRows) -> Array:
    order = rows.values("run_order").astype(float)
    return np.where(np.isnan(order), np.inf, order)
