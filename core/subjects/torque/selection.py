"""Which readings of a pile count, and down to which depth torque proves nothing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from core import units
from core.formulas.torque import in_final_window
from core.records import CONVERSION_NOISE
from core.records.current_rows import Array, CurrentRows, common_codes
from core.records.matching import last_of_each, places_of, row_by_code, rows_by_code
from core.subjects.torque.curves import ABOVE, BELOW, IN

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
    return rows.with_timestamp("ended_on", local_day(end, time_zone))


def readings_until(readings: CurrentRows, runs: CurrentRows, on: date, zone: str) -> CurrentRows:
    """Readings up to ``on`` and the final readings of headers, by pile, depth and run.

    ``read_on``: the local day on which each was taken; ``of_header``: whether a header gives it.
    """
    kept = readings.values("run_on") <= np.datetime64(on, "us")
    log = readings if kept.all() else readings.where(kept)
    read_on = local_day(log.values("read_at"), zone)
    read_on = np.where(np.isnat(read_on), log.values("run_on"), read_on)
    log = log.with_timestamp("read_on", read_on)
    headers = _final_readings(log, runs)
    rows = log.with_flag("of_header", np.zeros(len(log), dtype=bool))
    if len(headers):
        rows = rows.above(headers.with_flag("of_header", np.ones(len(headers), dtype=bool)))
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
    rows = rows.with_timestamp(
        "read_on", np.where(np.isnat(ended), headers.values("run_on"), ended)
    )
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


if TYPE_CHECKING:
    from core.subjects.torque.readings import Reading

UNKNOWN, UNDER = -2.0, -1.0  # in the order of what counts: nothing known, under the curve, torque
NOT_COUNTED = (
    "it is estimated",
    "it lies in the pre-drilled length",
    "it lies in disturbed ground",
    "it follows a long stop too closely",
)


@dataclass(frozen=True, eq=False)
class Reach:
    """The depths over which each run advanced, with the maximum depth of its pile before it.

    ``again``: whether the run goes over ground again that its pile has turned through.
    """

    minimum: Array
    deepest: Array
    before: Array
    again: Array


@dataclass(frozen=True, eq=False)
class Stops:
    """Stops longer than the criterion allows: the pile of each, its toe, and to where it counts."""

    pile: Array
    from_mm: Array
    to_mm: Array


@dataclass(frozen=True, eq=False)
class ToePairs:
    """Runs whose header and log both read the toe: rows of either, and their order by torque.

    What is known to be lower comes first: a reading without torque or estimated, one below the
    curve, one on it by its torque, one above it.
    """

    header: Array
    log: Array
    header_order: Array
    log_order: Array

    @property
    def apart(self) -> Array:
        """Whether the two differ by more than a conversion of units does."""
        return ~np.isclose(self.header_order, self.log_order, rtol=CONVERSION_NOISE, atol=0.0)

    @property
    def superseded(self) -> Array:
        """Of each pair the reading that gives way: the lower counts."""
        return np.where(self.header_order < self.log_order, self.log, self.header)


def reach(log: Reading) -> Reach:
    """How deep each run advanced, from its log and its toe."""
    runs, depth = log.runs, log.depth_mm.values
    advancing = np.flatnonzero(~log.reversed & ~log.of_header)
    minimum, most = np.full(len(runs), np.nan), np.full(len(runs), np.nan)
    np.fmin.at(minimum, log.run[advancing], depth[advancing])
    np.fmax.at(most, log.run[advancing], depth[advancing])
    toe = runs.toe_mm.values
    deepest = np.fmax(toe, most)
    before = np.full(len(runs), np.nan)
    group = groups_of(runs.rows, "pile_id")
    order = np.argsort(group, kind="stable")
    first = np.diff(group[order], prepend=-1) != 0
    rank = np.arange(len(order)) - np.maximum.accumulate(np.where(first, np.arange(len(order)), 0))
    for place in range(1, int(rank.max(initial=0)) + 1):  # the second runs of all piles, the third
        at = np.flatnonzero(rank == place)
        earlier = order[at - 1]
        before[order[at]] = np.fmax(before[earlier], deepest[earlier])
    again = runs.is_text("why", "re-advanced") | (minimum < before) | (toe < before)
    return Reach(minimum, deepest, before, again)


def disturbed_toes(log: Reading, reach: Reach) -> Array:
    """Per pile the depth down to which its ground is disturbed, NaN for none.

    Down to the earlier toe by a run that goes over it again or ends above it, and to the maximum
    depth reached when the pile last turned in reverse.
    """
    found = np.full(len(log.piles) + 1, np.nan)
    np.fmax.at(found, log.runs.pile[reach.again], reach.before[reach.again])
    turned = np.flatnonzero(log.reversed & ~log.of_header)
    if len(turned):
        row_no = log.rows.values("row_no")  # the order in which a run's rows were read
        last = np.full(len(log.runs), -1)
        np.maximum.at(last, log.run[turned], row_no[turned])
        until = np.flatnonzero((row_no <= last[log.run]) & ~log.of_header)
        reached = np.where(last >= 0, reach.before, np.nan)
        np.fmax.at(reached, log.run[until], log.depth_mm.values[until])
        np.fmax.at(found, log.runs.pile, reached)
    return found[:-1]


def long_stops(log: Reading, reach: Reach) -> Stops:
    """Stops longer than ``stop_h`` of the pile, between runs or within one.

    Those within a run are known where the times of its readings show them.
    """
    runs, depth = log.runs, log.depth_mm.values
    limit = np.append(log.piles.numbers("stop_h"), np.nan)
    stop = runs.rows.values("hours_since_last_run")
    between = (stop > limit[runs.pile]) & ~reach.again
    pile, toe = [runs.pile[between]], [reach.before[between]]
    read_at = log.rows.values("read_at")
    timed = np.flatnonzero(~np.isnat(read_at) & ~log.reversed & ~log.of_header)
    if len(timed):
        run = log.run[timed]
        order = np.lexsort((depth[timed], run))
        timed, run = timed[order], run[order]
        same = run[1:] == run[:-1]
        since = hours(read_at[timed[1:]] - read_at[timed[:-1]])
        within = same & (since > limit[log.pile[timed[1:]]])
        pile.append(log.pile[timed[1:]][within])
        toe.append(depth[timed[:-1]][within])
    pile_of, from_mm = np.concatenate(pile), np.concatenate(toe)
    known = ~np.isnan(from_mm) & (pile_of >= 0)
    pile_of, from_mm = pile_of[known], from_mm[known]
    below = log.piles.helices("stop_multiple")
    return Stops(pile_of, from_mm, from_mm + below[pile_of])


def _after_a_stop(log: Reading, stops: Stops) -> Array:
    """Whether each reading lies in the new penetration that a long stop requires."""
    found = np.zeros(len(log), dtype=bool)
    near = np.flatnonzero(np.isin(log.pile, stops.pile))
    at, stop = rows_by_code(log.pile[near], stops.pile)
    depth = log.depth_mm.values[near[at]]
    inside = (depth > stops.from_mm[stop]) & (depth <= stops.to_mm[stop])
    found[near[at[inside]]] = True
    return found


def _re_advanced(log: Reading, reach: Reach) -> Array:
    """Whether a later run advanced over the depth of each reading, down to that run's toe."""
    found = np.zeros(len(log), dtype=bool)
    group = groups_of(log.runs.rows, "pile_id")
    several = np.flatnonzero(np.bincount(group, minlength=1)[group] > 1)
    of_reading = group[log.run]
    some = np.flatnonzero(np.isin(of_reading, group[several]))
    at, run = rows_by_code(of_reading[some], group[several])
    at, run = some[at], several[run]
    depth = log.depth_mm.values[at]
    covered = (reach.minimum[run] <= depth) & (depth <= reach.deepest[run])
    found[at[covered & (run > log.run[at])]] = True  # runs are in the order of the work
    return found


def toe_pairs(log: Reading) -> ToePairs:
    """Readings of header and log at one toe.

    The log's last reading is one at the toe where it lies no further above it than the pile's
    ``toe_reading_mm``.
    """
    depth, header = log.depth_mm.values, np.flatnonzero(log.of_header)
    of_run = np.full(len(log.runs), -1)
    of_run[log.run[header]] = header
    logged = np.flatnonzero(~log.of_header & ~log.reversed & ~log.missed) if len(header) else header
    logged = logged[of_run[log.run[logged]] >= 0]
    above = depth[of_run[log.run[logged]]] - depth[logged]
    near_mm = np.append(log.piles.toe_reading_mm.values, np.nan)
    logged = logged[(above >= 0) & (above <= np.nan_to_num(near_mm)[log.pile[logged]])]
    logged = logged[last_of_each(log.run[logged], depth[logged])]
    header = of_run[log.run[logged]]
    place, torque = log.placed.place, log.torque_nm.values
    estimated = log.is_text("flag", "estimated")

    def order(rows: Array) -> Array:
        known, where = ~estimated[rows], place[rows]
        cases = [known & (where == BELOW), known & (where == IN), known & (where == ABOVE)]
        return np.select(cases, [np.full(len(rows), UNDER), torque[rows], np.inf], UNKNOWN)

    return ToePairs(header, logged, order(header), order(logged))


@dataclass(frozen=True, eq=False)
class ReadingStatus:
    """Which readings stand, count and lie in the final window.

    ``current``: of the latest advancing run over that depth of that pile, not missed, and of
    header and log at one toe the lower; ``superseded``: the other of these two. ``counts``:
    current, measured, below the pre-drilled length, and clear of ground that a stop or reverse
    turning has disturbed; ``why_not``: place in NOT_COUNTED of what a current reading is not,
    -1 for nothing. ``inside``: at the depths of the final window.
    """

    current: Array
    superseded: Array
    counts: Array
    why_not: Array
    inside: Array

    @property
    def in_window(self) -> Array:
        """Standing readings of the final window."""
        found: Array = self.current & self.inside
        return found

    @property
    def read(self) -> Array:
        """Readings that show that a depth was read: current, or given way at the toe."""
        found: Array = self.current | self.superseded
        return found


def reading_status(log: Reading, reach: Reach, stops: Stops, toes: ToePairs) -> ReadingStatus:
    """Which readings of ``log`` stand, count and lie in the final window of their pile."""
    depth, piles = log.depth_mm.values, log.piles
    superseded = np.zeros(len(log), dtype=bool)
    superseded[toes.superseded] = True
    usable = ~log.reversed & ~log.missed & ~superseded & ~_re_advanced(log, reach)
    rows = np.flatnonzero(usable)
    last = np.ones(len(rows), dtype=bool)
    group = groups_of(log.rows, "pile_id")[rows]
    last[:-1] = (group[1:] != group[:-1]) | (depth[rows[1:]] != depth[rows[:-1]])
    stands = np.zeros(len(log), dtype=bool)
    stands[rows[last]] = True

    def of_pile(values: Array) -> Array:
        found: Array = np.append(values, np.nan)[log.pile]
        return found

    idle = (
        log.is_text("flag", "estimated"),
        depth <= np.nan_to_num(of_pile(piles.predrilled_length_mm.values)),
        depth < of_pile(np.fmax(piles.void_to_mm, piles.event_void_to_mm)),
        _after_a_stop(log, stops),
    )
    why_not = np.full(len(log), -1, dtype=np.int8)
    for place in reversed(range(len(idle))):
        why_not[idle[place] & stands] = place
    window = (piles.toe_mm, piles.window_mm, piles.interval_tolerance_mm)
    inside = in_final_window(depth, *(of_pile(one.values) for one in window))
    return ReadingStatus(stands, superseded, stands & (why_not < 0), why_not, inside)
