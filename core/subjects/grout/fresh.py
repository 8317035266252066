"""Work near grout that is fresh: the pile turned again, and piles close by.

Where a time is not recorded, a moment lies somewhere within its day: it has an earliest and a
latest value.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np

from core.records.current_rows import CurrentRows
from core.subjects.columns import Values
from core.subjects.grout import selection
from core.subjects.grout.lifts import Placement, Run
from core.subjects.tables import Links, Members, Table, Texts, column


class WorkOfPile(Table):
    """When one pile was worked, beside the grout in it and around it."""

    subject = "grout"
    runs: Members[Run]
    placed: Members[Placement]
    readings: CurrentRows

    def placements(self) -> list[Links]:
        """The placements of the pile."""
        return self.placed.links()

    def grouted_runs(self) -> list[Links]:
        """The runs of a pile with placements."""
        placed = self.placed.number > 0
        return [links.where(placed[links.owner]) for links in self.runs.links()]

    def work(self) -> list[Links]:
        """The placements of the pile and its runs."""
        return [*self.placements(), *self.grouted_runs()]

    @cached_property
    def _turned(self) -> tuple[Values, Values]:
        """Hours from an earlier run's grout until the pile turned: certain, and possible."""
        run, (low, high) = self.runs.below, self.runs.below.started
        found = []
        for begun, last in ((low, run.last_grout[1]), (high, run.last_grout[0])):
            before = np.append(last, np.nan)[self._run_before(last)]
            since = selection.hours(begun - before)
            found.append(self.runs.reduce(np.fmax, since, np.nan))
        return found[0], found[1]

    def _run_before(self, values: Values) -> Values:
        """Per run the earlier run of its pile with the maximum value; -1 for none."""
        maximum, before = self.runs.row_of_running_maximum(values), np.full(len(values), -1)
        rows = self.runs.rows
        before[rows[1:]] = maximum[rows[:-1]]
        before[rows[self.runs.starts]] = -1
        return before

    @cached_property
    def _read_after(self) -> Values:
        """Hours from a placement to a later reading, of piles whose placements all have an end."""
        placed = self.placed.below
        whole = self.placed.every(~np.isnan(placed.ended_us))
        own = np.flatnonzero(np.append(whole, False)[placed.owner])
        reader = selection.rows_by_text(self.readings, self.rows, "pile_id")
        read = np.flatnonzero(
            np.append(whole, False)[reader]
            & self.readings.has("read_at")
            & ~self.readings.is_text("flag", "missed")
        )
        moment = selection.microseconds(self.readings.values("read_at")[read])
        return selection.hours_until_read(
            (placed.owner[own], placed.ended_us[own]), (reader[read], moment), len(self)
        )

    def _turns(self, hours: Values) -> Values:
        return np.where(self.placed.number > 0, np.fmax(hours, self._read_after), np.nan)

    @column("number", "longest time from a placement until the pile turned again, that is certain",
            evidence=work)  # fmt: skip
    def turned_h(self) -> Values:
        """The pile turns when a later run begins, or a reading is taken."""
        return self._turns(self._turned[0])

    @column("number", "longest time from a placement until the pile turned, that is possible")
    def turned_possible_h(self) -> Values:
        return self._turns(self._turned[1])

    @column("number", "placements without an end")
    def untimed_placements(self) -> Values:
        return self.placed.count(np.isnan(self.placed.below.ended_us))

    @cached_property
    def _near(self) -> Fresh:
        return Fresh(self)

    def _fresh_work(self) -> list[Links]:
        """Runs of a pile that was worked beside grout, and placements of that neighbour."""
        near = self._near.neighbour
        runs = [links.where(near[links.owner] >= 0) for links in self.runs.links()]
        with_one = np.flatnonzero(near >= 0)
        row, at = selection.pairs(near[with_one], self.placed.below.owner)
        return [*runs, *self.placed.below.links(with_one[row], at)]

    @column("number", "age of the youngest grout close by while the pile was worked, as proven",
            evidence=_fresh_work)  # fmt: skip
    def fresh_h(self) -> Values:
        return self._near.proven_h

    @column("number", "minimum age of grout close by while the pile was worked, that is possible")
    def fresh_possible_h(self) -> Values:
        return self._near.possible_h

    @column("text", "pile close by with the youngest grout")
    def fresh_neighbour(self) -> Texts:
        return self.text("pile_id").take(self._near.neighbour)


class Fresh:
    """Grout within ``neighbour_mm`` of each pile while that was worked.

    ``proven_h``: age of the youngest that the record proves; ``possible_h``: the minimum that it
    allows; ``neighbour``: row of the pile that has it, -1 for none.
    """

    def __init__(self, pile: WorkOfPile) -> None:
        run, number = pile.runs.below, len(pile)
        self.proven_h, self.possible_h = np.full(number, np.nan), np.full(number, np.nan)
        self.neighbour = np.full(number, -1)
        one, other, worked, grouted = self._pairs(pile)
        low, high = run.first_grout
        may = run.ended[1][worked] > low[grouted]
        one, other, worked, grouted = (part[may] for part in (one, other, worked, grouted))
        sure = run.ended[0][worked] > high[grouted]
        proven = selection.hours(run.started[1][worked] - run.last_grout[0][grouted]).clip(min=0)
        possible = selection.hours(run.started[0][worked] - run.last_grout[1][grouted]).clip(min=0)
        self._put(self.possible_h, one, other, possible)
        self._put(self.proven_h, one[sure], other[sure], proven[sure])  # its neighbour goes first

    def _put(self, found: Values, one: Values, other: Values, hours: Values) -> None:
        at = selection.first_least(one, hours, len(found))
        has = np.flatnonzero(at >= 0)
        found[has], self.neighbour[has] = hours[at[has]], other[at[has]]

    @staticmethod
    def _pairs(pile: WorkOfPile) -> tuple[Values, Values, Values, Values]:
        """Pile, neighbour, run of the pile and run of the neighbour that placed grout."""
        place = (pile.numbers(name) for name in ("easting_m", "northing_m", "neighbour_mm"))
        one, other = selection.neighbours(*place)
        own = np.full(len(pile.runs.below), -1)
        own[pile.runs.rows] = pile.runs.owner
        row, worked = selection.pairs(one, own)
        with_grout = np.where(pile.runs.below.placed.number > 0, own, -1)
        at, grouted = selection.pairs(other[row], with_grout)
        return one[row][at], other[row][at], worked[at], grouted
