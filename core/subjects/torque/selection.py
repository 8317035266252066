"""Which runs and readings there are until the day of assessment, final readings of headers too.

Plain selection on columns and codes; nothing is measured here.
"""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd

from core import units
from core.records.current_rows import Array, CurrentRows, common_codes
from core.selection.matching import last_of_each, places_of, row_by_code

KEY = ("pile_id", "run_no")
HOURS_OF_A_DAY = units.factor("day", "hour")
# Columns of a reading by the columns of the run that give the header's.
OF_HEADER = {
    "toe_mm": "depth_mm",
    "final_torque_read_nm": "torque_read_nm",
    "final_pressure_kpa": "pressure_kpa",
    "final_pressure_kind": "pressure_kind",
    "final_return_pressure_kpa": "return_pressure_kpa",
}


def hours(spans: Array) -> Array:
    """Spans of time in hours."""
    seconds = spans / np.timedelta64(1, "s")
    found: Array = seconds * units.factor("second", "hour")
    return found


def local_day(moments: Array, time_zone: str) -> Array:
    """Day of each moment (UTC, naive) in ``time_zone``; NaT where there is no moment."""
    days = moments.astype("datetime64[us]")
    at = np.flatnonzero(~np.isnat(days))
    if len(at):
        local = pd.DatetimeIndex(days[at]).tz_localize("UTC").tz_convert(time_zone)
        days = days.copy()
        days[at] = local.tz_localize(None).normalize().to_numpy()
    return days


def groups_of(rows: CurrentRows, name: str) -> Array:
    """Per row a code of its text; a row without one has a code of its own."""
    codes = rows.codes(name).astype(np.int64)
    bare = codes < 0
    if bare.any():
        codes[bare] = len(rows.texts(name)) + np.arange(np.count_nonzero(bare))
    return codes


def runs_until(runs: CurrentRows, on: date, time_zone: str) -> CurrentRows:
    """Runs up to ``on`` with hours_since_last_run, and ended_on, the day on which each ended.

    The hours run from the end of the pile's run before. Without times the stop is taken as long
    as the two days allow.
    """
    kept = runs.values("run_on") <= np.datetime64(on, "us")
    rows = runs if kept.all() else runs.where(kept)
    group = groups_of(rows, "pile_id")
    before = np.full(len(rows), -1)
    last: dict[int, int] = {}
    for at, pile in enumerate(group.tolist()):
        before[at] = last.get(pile, -1)
        last[pile] = at
    stop = np.full(len(rows), np.nan)
    day, start, end = (rows.values(name) for name in ("run_on", "started_at", "ended_at"))
    later = np.flatnonzero(before >= 0)
    timed = hours(start[later] - end[before[later]])
    longest = hours(day[later] - day[before[later]]) + HOURS_OF_A_DAY
    stop[later] = np.where(np.isnan(timed), longest, timed)
    rows = rows.with_number("hours_since_last_run", stop)
    return rows.with_moment("ended_on", local_day(end, time_zone))


def readings_until(readings: CurrentRows, runs: CurrentRows, on: date, zone: str) -> CurrentRows:
    """Readings up to ``on`` and the final readings of headers, by pile, depth and run.

    ``read_on``: the local day on which each was taken; ``of_header``: whether a header gives it.
    """
    kept = readings.values("run_on") <= np.datetime64(on, "us")
    log = readings if kept.all() else readings.where(kept)
    read_on = local_day(log.values("read_at"), zone)
    read_on = np.where(np.isnat(read_on), log.values("run_on"), read_on)
    log = log.with_moment("read_on", read_on)
    headers = _final_readings(log, runs)
    rows = log.with_truth("of_header", np.zeros(len(log), dtype=bool))
    if len(headers):
        rows = rows.above(headers.with_truth("of_header", np.ones(len(headers), dtype=bool)))
    group, depth = groups_of(rows, "pile_id"), rows.values("depth_mm")
    first = row_by_code(group, group)  # of its pile
    order = np.lexsort((rows.values("run_order"), depth, first))
    return rows if np.array_equal(order, np.arange(len(rows))) else rows.take(order)


def _final_readings(log: CurrentRows, runs: CurrentRows) -> CurrentRows:
    """A row per run whose header gives a final torque or pressure, at the toe of its run.

    Of the day on which the run ended; with the run's instrument and gear, else those of its
    deepest reading.
    """
    given = runs.has("final_torque_read_nm") | runs.has("final_pressure_kpa")
    headers = runs.where(given & runs.has("toe_mm"))
    if not len(headers):
        return headers
    final = headers.only(OF_HEADER).renamed(OF_HEADER)
    own = [name for name in log.names if name in headers.names and name not in final.names]
    rows = headers.only(own).beside(final, final.names)
    ended = headers.values("ended_on")
    rows = rows.with_moment("read_on", np.where(np.isnat(ended), headers.values("run_on"), ended))
    deepest = log.take(_deepest_of(log, headers))
    for name in ("instrument_id", "gear"):
        (mine, of_log), texts = common_codes((headers, name), (deepest, name))
        texts = texts if "" in texts else [*texts, ""]
        found = np.where(mine >= 0, mine, np.where(of_log >= 0, of_log, texts.index("")))
        rows = rows.with_text(name, found, texts)
    return rows


def _deepest_of(log: CurrentRows, headers: CurrentRows) -> Array:
    """Per header the deepest reading of the log of its run, -1 where there is none."""
    run = places_of(log, KEY, headers, KEY)
    found = np.full(len(headers), -1)
    last = last_of_each(run, log.values("depth_mm"))
    found[run[last]] = last
    return found
