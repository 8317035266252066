"""Which readings stand and count, and where the ground is disturbed or work stopped for long.

Plain selection: rows and flags. What a criterion requires arrives as numbers of the piles.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from core.compute import torque as formulas
from core.compute.selection.matching import last_of_each
from core.records import CONVERSION_NOISE
from core.records.current_rows import Array, CurrentRows
from core.subjects.torque.curves import ABOVE, BELOW, IN, pairs
from core.subjects.torque.rows import groups_of, hours

UNKNOWN, UNDER = -2.0, -1.0  # in the order of what counts: nothing known, under the curve, torque
NOT_COUNTED = (
    "it is estimated",
    "it lies in the pre-drilled length",
    "it lies in disturbed ground",
    "it follows a long stop too closely",
)


@dataclass(frozen=True, eq=False)
class Reach:
    """The depths over which each run advanced, with the greatest depth of its pile before it.

    ``again``: whether the run goes over ground again that its pile has turned through.
    """

    least: Array
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


@dataclass(frozen=True, eq=False)
class Logged:
    """Readings by pile, depth and run, and runs in the order of the work, as plain columns.

    ``run``: place of each reading's run; ``run_pile`` and ``pile``: place of the pile, -1 for none;
    ``group``: number of the reading's pile among those with readings, growing with the rows.
    """

    rows: CurrentRows
    runs: CurrentRows
    run: Array
    run_pile: Array
    pile: Array
    group: Array
    depth: Array
    reversed: Array
    missed: Array
    of_header: Array

    @classmethod
    def of(cls, rows: CurrentRows, runs: CurrentRows, run_pile: Array, pile: Array) -> Logged:
        """The columns of ``rows`` and ``runs``."""
        order = runs.values("run_order")
        by_order = np.argsort(order, kind="stable")
        run = by_order[np.searchsorted(order[by_order], rows.values("run_order"))]
        own = groups_of(rows, "pile_id")
        return cls(
            rows,
            runs,
            run,
            run_pile,
            pile,
            np.cumsum(np.diff(own, prepend=own[:1]) != 0),
            rows.values("depth_mm").astype(float),
            rows.is_text("direction", "reversed"),
            rows.is_text("flag", "missed"),
            rows.is_true("of_header"),
        )


def reach(logged: Logged) -> Reach:
    """How deep each run advanced, from its log and its toe."""
    runs = logged.runs
    advancing = np.flatnonzero(~logged.reversed & ~logged.of_header)
    least, most = np.full(len(runs), np.nan), np.full(len(runs), np.nan)
    np.fmin.at(least, logged.run[advancing], logged.depth[advancing])
    np.fmax.at(most, logged.run[advancing], logged.depth[advancing])
    toe = runs.values("toe_mm").astype(float)
    deepest = np.fmax(toe, most)
    before = np.full(len(runs), np.nan)
    group = groups_of(runs, "pile_id")
    order = np.argsort(group, kind="stable")
    first = np.diff(group[order], prepend=-1) != 0
    rank = np.arange(len(order)) - np.maximum.accumulate(np.where(first, np.arange(len(order)), 0))
    for place in range(1, int(rank.max(initial=0)) + 1):  # the second runs of all piles, the third
        at = np.flatnonzero(rank == place)
        earlier = order[at - 1]
        before[order[at]] = np.fmax(before[earlier], deepest[earlier])
    again = runs.is_text("why", "re-advanced") | (least < before) | (toe < before)
    return Reach(least, deepest, before, again)


def disturbed_toes(logged: Logged, reach: Reach, piles: int) -> Array:
    """Per pile the depth down to which its ground is disturbed, NaN for none.

    Down to the earlier toe by a run that goes over it again or ends above it, and to the greatest
    depth reached when the pile last turned in reverse.
    """
    found = np.full(piles + 1, np.nan)
    np.fmax.at(found, logged.run_pile[reach.again], reach.before[reach.again])
    turned = np.flatnonzero(logged.reversed & ~logged.of_header)
    if len(turned):
        row_no = logged.rows.values("row_no")  # the order in which a run's rows were read
        last = np.full(len(logged.runs), -1)
        np.maximum.at(last, logged.run[turned], row_no[turned])
        until = np.flatnonzero((row_no <= last[logged.run]) & ~logged.of_header)
        reached = np.where(last >= 0, reach.before, np.nan)
        np.fmax.at(reached, logged.run[until], logged.depth[until])
        np.fmax.at(found, logged.run_pile, reached)
    return found[:-1]


def long_stops(logged: Logged, reach: Reach, piles: Mapping[str, Array]) -> Stops:
    """Stops longer than ``stop_h`` of the pile, between runs or within one.

    Those within a run are known where the times of its readings show them.
    """
    limit = np.append(piles["stop_h"], np.nan)
    stop = logged.runs.values("hours_since_last_run")
    between = (stop > limit[logged.run_pile]) & ~reach.again
    pile, toe = [logged.run_pile[between]], [reach.before[between]]
    read_at = logged.rows.values("read_at")
    timed = np.flatnonzero(~np.isnat(read_at) & ~logged.reversed & ~logged.of_header)
    if len(timed):
        run = logged.run[timed]
        order = np.lexsort((logged.depth[timed], run))
        timed, run = timed[order], run[order]
        same = run[1:] == run[:-1]
        since = hours(read_at[timed[1:]] - read_at[timed[:-1]])
        within = same & (since > limit[logged.pile[timed[1:]]])
        pile.append(logged.pile[timed[1:]][within])
        toe.append(logged.depth[timed[:-1]][within])
    pile_of, from_mm = np.concatenate(pile), np.concatenate(toe)
    known = ~np.isnan(from_mm) & (pile_of >= 0)
    pile_of, from_mm = pile_of[known], from_mm[known]
    below = piles["stop_multiple"] * piles["largest_helix_mm"]
    return Stops(pile_of, from_mm, from_mm + below[pile_of])


def _after_a_stop(logged: Logged, stops: Stops) -> Array:
    """Whether each reading lies in the new penetration that a long stop requires."""
    found = np.zeros(len(logged.depth), dtype=bool)
    if len(stops.pile):
        near = np.flatnonzero(np.isin(logged.pile, stops.pile))
        at, stop = pairs(logged.pile[near], stops.pile)
        depth = logged.depth[near[at]]
        inside = (depth > stops.from_mm[stop]) & (depth <= stops.to_mm[stop])
        found[near[at[inside]]] = True
    return found


def _gone_over_again(logged: Logged, reach: Reach) -> Array:
    """Whether a later run advanced over the depth of each reading, down to that run's toe."""
    found = np.zeros(len(logged.depth), dtype=bool)
    group = groups_of(logged.runs, "pile_id")
    several = np.flatnonzero(np.bincount(group, minlength=1)[group] > 1)
    if len(several):
        of_reading = group[logged.run]
        some = np.flatnonzero(np.isin(of_reading, group[several]))
        at, run = pairs(of_reading[some], group[several])
        at, run = some[at], several[run]
        order = logged.runs.values("run_order")
        depth = logged.depth[at]
        covered = (reach.least[run] <= depth) & (depth <= reach.deepest[run])
        found[at[covered & (order[run] > order[logged.run[at]])]] = True
    return found


def toe_pairs(logged: Logged, torque: Array, place: Array, near_mm: Array) -> ToePairs:
    """Readings of header and log at one toe.

    ``near_mm``: by pile, how far above the toe the log's last reading is one at the toe.
    """
    header = np.flatnonzero(logged.of_header)
    of_run = np.full(len(logged.runs), -1)
    of_run[logged.run[header]] = header
    log = (
        np.flatnonzero(~logged.of_header & ~logged.reversed & ~logged.missed)
        if len(header)
        else header
    )
    log = log[of_run[logged.run[log]] >= 0]
    above = logged.depth[of_run[logged.run[log]]] - logged.depth[log]
    near = np.nan_to_num(np.append(near_mm, np.nan))[logged.pile[log]]
    log = log[(above >= 0) & (above <= near)]
    log = log[last_of_each(logged.run[log], logged.depth[log])]
    header = of_run[logged.run[log]]
    estimated = logged.rows.is_text("flag", "estimated")

    def order(rows: Array) -> Array:
        known, where = ~estimated[rows], place[rows]
        cases = [known & (where == BELOW), known & (where == IN), known & (where == ABOVE)]
        return np.select(cases, [np.full(len(rows), UNDER), torque[rows], np.inf], UNKNOWN)

    return ToePairs(header, log, order(header), order(log))


@dataclass(frozen=True, eq=False)
class Standing:
    """Which readings stand, count and lie in the final window.

    ``standing``: of the latest advancing run over that depth of that pile, not missed, and of
    header and log at one toe the lower; ``superseded``: the other of these two. ``counts``:
    standing, measured, below the pre-drilled length, and clear of ground that a stop or reverse
    turning has disturbed; ``why_not``: place in NOT_COUNTED of what a standing reading is not,
    -1 for nothing. ``inside``: at the depths of the final window.
    """

    standing: Array
    superseded: Array
    counts: Array
    why_not: Array
    inside: Array

    @property
    def in_window(self) -> Array:
        """Standing readings of the final window."""
        found: Array = self.standing & self.inside
        return found

    @property
    def read(self) -> Array:
        """Readings that show that a depth was read: standing, or given way at the toe."""
        found: Array = self.standing | self.superseded
        return found


def standing(
    logged: Logged,
    reach: Reach,
    stops: Stops,
    toes: ToePairs,
    piles: Mapping[str, Array],
) -> Standing:
    """``piles``: toe_mm, window_mm, interval_tolerance_mm, predrilled_length_mm and void_to_mm."""
    length = len(logged.depth)
    of_pile = {name: np.append(values, np.nan)[logged.pile] for name, values in piles.items()}
    superseded = np.zeros(length, dtype=bool)
    superseded[toes.superseded] = True
    usable = ~logged.reversed & ~logged.missed & ~superseded & ~_gone_over_again(logged, reach)
    rows = np.flatnonzero(usable)
    last = np.ones(len(rows), dtype=bool)
    group, depth = logged.group[rows], logged.depth[rows]
    last[:-1] = (group[1:] != group[:-1]) | (depth[1:] != depth[:-1])
    stands = np.zeros(length, dtype=bool)
    stands[rows[last]] = True
    idle = (
        logged.rows.is_text("flag", "estimated"),
        logged.depth <= np.nan_to_num(of_pile["predrilled_length_mm"]),
        logged.depth < of_pile["void_to_mm"],
        _after_a_stop(logged, stops),
    )
    why_not = np.full(length, -1, dtype=np.int8)
    for place in reversed(range(len(idle))):
        why_not[idle[place] & stands] = place
    window = (of_pile[name] for name in ("toe_mm", "window_mm", "interval_tolerance_mm"))
    inside = formulas.in_final_window(logged.depth, *window)
    return Standing(stands, superseded, stands & (why_not < 0), why_not, inside)
