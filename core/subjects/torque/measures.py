"""What the readings of a pile give: its final window, gaps, events; each number declared once."""

from __future__ import annotations

from functools import cached_property, partial

import numpy as np

from core.formulas import torque as formulas
from core.records import JUDGED_EVENTS
from core.records.current_rows import Array
from core.records.matching import last_of_each
from core.subjects.columns import Book, Column, assume, calculate, choose, first_known, take
from core.subjects.steps import Formula, Step
from core.subjects.tables import Links, Members, Table, Texts, column, measure, recorded, setting
from core.subjects.torque import events
from core.subjects.torque.curves import ABOVE, BELOW
from core.subjects.torque.readings import Reading, Run
from core.subjects.torque.selection import NOT_COUNTED, Stops, ToePairs

NEXT = "from one depth that was read to the next, the ground and the toe included"


class Stretch(Table):
    """A length of a pile between two depths that were read; the ground and the toe are two, too.

    ``begins`` and ``ends``: the readings at its ends, -1 for ground and toe; ``inside``: whether it
    reaches into the final window.
    """

    subject = "torque"
    log: Reading
    piles: Pile
    pile: Array
    begins: Array
    ends: Array
    inside: Array

    @cached_property
    def gap_mm(self) -> Column:
        """From a reading, the pre-drilled length or the ground down to the next, or to the toe."""
        depth, piles = self.log.depth_mm, self.piles
        top = first_known(
            take(self, piles.predrilled_length_mm, self.pile),
            assume(self, 0.0, "the ground", "mm"),
        )
        above = choose(self, (self.begins >= 0, take(self, depth, self.begins)), otherwise=top)
        toe = take(self, piles.toe_mm, self.pile)
        below = choose(self, (self.ends >= 0, take(self, depth, self.ends)), otherwise=toe)
        return calculate(formulas.gap_between, self, above_mm=above, below_mm=below)


def _event_columns() -> dict[str, column]:
    """Depth of a pile's deepest event of each judged kind, and what was written of them."""
    found = {}
    for event in JUDGED_EVENTS:
        word, meaning = event.word, f"depth of the deepest {event.word}"
        depth = column("number", meaning, evidence=partial(_naming, word))
        found[event.column] = depth(partial(_deepest, word))
        text = column("text", f"what was written of {word}")
        found[event.text_column] = text(partial(_written, word))
    return found


def _naming(word: str, pile: Pile) -> list[Links]:
    """Readings beside which an event of the kind ``word`` is written."""
    return pile.naming(word).links()


def _deepest(word: str, pile: Pile) -> Array:
    """Depth of each pile's deepest event of the kind ``word``."""
    return pile.naming(word).reduce(np.fmax, pile.log.depth_mm.values, np.nan)


def _written(word: str, pile: Pile) -> Texts:
    """What was written of each pile's events of the kind ``word``, in the order of the work."""
    named, rows = pile.naming(word), pile.log.rows
    order = np.argsort(rows.values("run_order")[named.rows], kind="stable")
    return events.quoted(rows.take(named.rows[order]), named.owner[order], len(pile))


def _read_links(pile: Pile) -> list[Links]:
    """Readings that show how far apart depths were read."""
    return pile.every.where(pile.log.status.read).links()


def _window_links(pile: Pile) -> list[Links]:
    """Readings at the depths of the final window."""
    return pile.window_read.links()


def _max_links(pile: Pile) -> list[Links]:
    """The reading with the maximum torque, and those above their curve."""
    top = pile.every.at(pile.log.torque_nm.values, "maximum")
    known = np.flatnonzero(top >= 0)
    above = pile.every.where(pile.log.placed.place == ABOVE)
    return [*pile.log.links(known, top[known]), *above.links()]


def _run_links(pile: Pile) -> list[Links]:
    return pile.runs.links()


class Pile(Table):
    """One pile or position: what its readings give."""

    subject = "torque"
    window_mm, interval_tolerance_mm, toe_reading_mm = recorded(), recorded(), recorded()
    interval_mm, gap_tolerance_mm = recorded(), recorded()
    pitch_mm = setting("helix_sets.{helix_set}.pitch_mm")
    log: Reading
    runs: Members[Run]
    every: Members[Reading]  # all readings of the pile
    noted: Members[Reading]  # those beside which an event is written
    window: Members[Reading]  # those that stand in its final window
    stretches: Members[Stretch]
    stops: Stops
    toes: ToePairs
    disturbed: Array

    def steps(self, book: Book, row: int = 0) -> list[Step]:
        """The readings of the final window, also where they give no mean, then the measures."""
        for reading in self.window.of(row):
            book.value(self.log.torque_nm, int(reading))
        return super().steps(book, row)

    @cached_property
    def toe_mm(self) -> Column:
        """Toe of the last run that records one."""
        return self.runs.pick(self.runs.below.toe_mm, "last")

    @cached_property
    def predrilled_length_mm(self) -> Column:
        """The maximum pre-drilled length of the runs."""
        return self.runs.pick(self.runs.below.predrilled_length_mm, "maximum")

    @measure("top of the final window", evidence=_run_links)
    def window_top_mm(self) -> Column:
        """Depth at which the final window begins."""
        return calculate(formulas.gap_between, self, above_mm=self.window_mm, below_mm=self.toe_mm)

    @cached_property
    def window_read(self) -> Members[Reading]:
        """Readings at the depths of the final window that stand or gave way at the toe."""
        status = self.log.status
        return self.every.where(status.inside & status.read)

    def _last(self, members: Members[Reading]) -> Array:
        """The deepest member of each pile, -1 without one."""
        return members.at(self.log.depth_mm.values, "last")

    @measure(evidence=_read_links)
    def toe_distance_mm(self) -> Column:
        """How far above the recorded toe the last reading that counts lies."""
        counting = self.window.where(self.log.status.counts)
        last = take(self, self.log.depth_mm, self._last(counting))
        found = calculate(formulas.distance_above_toe, self, toe_mm=self.toe_mm, depth_mm=last)
        return found.where(found.known)

    @measure(evidence=_read_links, source=NEXT)
    def window_gap_mm(self) -> Column:
        """The maximum distance between readings that reaches into the final window."""
        inside = self.stretches.where(self.stretches.below.inside)
        return inside.pick(self.stretches.below.gap_mm, "maximum")

    @measure(evidence=_read_links, source=NEXT)
    def upper_gap_mm(self) -> Column:
        """The maximum distance between readings above the final window."""
        above = self.stretches.where(~self.stretches.below.inside)
        return above.pick(self.stretches.below.gap_mm, "maximum")

    @cached_property
    def _broken(self) -> Array:
        """Windows that are not whole, whose numbers are withheld.

        A gap is wider than the interval allows, no reading that counts lies at the toe, or one
        lies deeper than the recorded toe at which the window ends.
        """
        widest = self.interval_mm.values + self.gap_tolerance_mm.values
        below = self.deepest_reading_mm - self.toe_mm.values
        beyond = below > np.nan_to_num(self.interval_tolerance_mm.values)
        short = self.toe_distance_mm.values > self.toe_reading_mm.values
        found: Array = (self.window_gap_mm.values > widest) | beyond | short
        return found

    def _whole(self, found: Column) -> Column:
        return found.where(found.known & ~self._broken)

    def mean_of(
        self,
        found: Column,
        plain: Formula = formulas.final_torque,
        weighted: Formula = formulas.final_torques_by_length,
    ) -> Column:
        """Mean over the final window by the pile's window rule, unknown while a member is."""
        mean = self.window.mean(found, plain)
        by_length = self.is_text("window_rule", "length-weighted mean")
        if not by_length.any():
            return mean
        by_weight = self.window.mean(found, weighted, self.log.stretch_mm)
        return choose(self, (by_length, by_weight), otherwise=mean)

    def without_peak(self, found: Column) -> Members[Reading]:
        """The readings of the window but the one with the maximum number."""
        peak = self.window.at(found.values, "maximum")
        others = np.ones(len(self.log), dtype=bool)
        others[peak[peak >= 0]] = False
        return self.window.where(others)

    def _rest(self, found: Column) -> Column:
        """Mean of the window without its maximum reading, unknown while a member is."""
        rest = self.without_peak(found).mean(found, formulas.final_torque)
        return self._whole(rest.where(~self.window.any(~found.known)))

    @measure(evidence=_window_links, source="the deepest reading of the window")
    def last_torque_nm(self) -> Column:
        """The deepest reading of the window."""
        return self._whole(take(self, self.log.counted_nm, self._last(self.window)))

    @measure(evidence=_window_links)
    def final_torque_nm(self) -> Column:
        """Mean torque of the final window."""
        return self._whole(self.mean_of(self.log.counted_nm))

    @measure(evidence=_window_links)
    def torque_without_peak_nm(self) -> Column:
        """Mean torque of the final window without its maximum reading."""
        return self._rest(self.log.counted_nm)

    @measure(evidence=_window_links)
    def drop_share(self) -> Column:
        """Fall from the maximum to the last reading of the window."""
        torque = self.log.counted_nm
        found = calculate(
            formulas.drop_from_peak,
            self,
            max_nm=self.window.pick(torque, "maximum"),
            last_nm=take(self, torque, self._last(self.window)),
        )
        return self._whole(found.where(~self.window.any(~torque.known)))

    @measure("lower bound of the final torque", evidence=_window_links)
    def final_torque_lower_bound_nm(self) -> Column:
        """Mean of the final window with readings above their curve as its last point."""
        return self._whole(self.mean_of(self.log.counted_floor_nm))

    @measure("lower bound of the last reading", evidence=_window_links)
    def last_torque_lower_bound_nm(self) -> Column:
        """The deepest reading of the window, above its curve as the last point."""
        return self._whole(take(self, self.log.counted_floor_nm, self._last(self.window)))

    @measure("lower bound of the mean without the peak reading", evidence=_window_links)
    def torque_without_peak_lower_bound_nm(self) -> Column:
        """Mean without the maximum, readings above their curve as its last point."""
        return self._rest(self.log.counted_floor_nm)

    @measure(evidence=_max_links, source="the maximum of all readings")
    def max_torque_nm(self) -> Column:
        """The maximum torque of all readings."""
        return self.every.pick(self.log.torque_nm, "maximum")

    @measure(evidence=_window_links)
    def advance_share(self) -> Column:
        """Minimum advance per revolution of the window over the pitch, else of the last run."""
        log, last = self.log, np.full(len(self), -1)
        last[self.runs.owner] = self.runs.rows  # of equal owners the last stays
        logged = self.window_read.where(~log.of_header)
        known = logged.every(log.advance_mm_per_turn.known)
        minimum = first_known(
            logged.pick(log.advance_mm_per_turn, "minimum").where(known),
            take(self, self.runs.below.advance_mm_per_turn, last),
        )
        turns = assume(self, 1.0, "the advance is of one turn")
        found = calculate(formulas.advance_ratio, self, advance_mm=minimum, turns=turns)
        return found.where(found.known)

    # How many readings there are of a kind, and why there is no number

    @column("number", "readings of the pile", evidence=lambda pile: pile.every.links())
    def readings(self) -> Array:
        """How many there are."""
        return self.every.number

    @column("number", "readings above the points of their curve", evidence=_max_links)
    def readings_above_range(self) -> Array:
        """How many there are."""
        return self.every.count(self.log.placed.place == ABOVE)

    @column(
        "number",
        "readings taken while no certificate was in force",
        evidence=lambda pile: pile.every.where(~pile.log.in_force).links(),
    )
    def readings_out_of_force(self) -> Array:
        """How many there are."""
        return self.every.count(~self.log.in_force)

    @column("number", "readings without a place on a curve")
    def readings_without_curve(self) -> Array:
        """How many there are."""
        return self.every.count(self.log.bare)

    @column("number", "current readings of the final window", evidence=_window_links)
    def readings_in_window(self) -> Array:
        """How many there are."""
        return self.window.number

    @column("number", "readings of the final window that do not count", evidence=_window_links)
    def readings_not_counted(self) -> Array:
        """How many there are."""
        return self.window.count(~self.log.status.counts)

    @column("number", "readings of the final window below their curve", evidence=_window_links)
    def readings_below_range(self) -> Array:
        """How many there are."""
        return self.window.count(self.log.placed.place == BELOW)

    @column("number", "readings of the final window above their curve", evidence=_window_links)
    def window_above_range(self) -> Array:
        """How many there are."""
        return self.window.count(self.log.placed.place == ABOVE)

    @column("number", "readings of the final window without a place on a curve")
    def window_without_curve(self) -> Array:
        """How many there are."""
        return self.window.count(self.log.bare)

    @column("number", "depth of the deepest current reading", evidence=_read_links)
    def deepest_reading_mm(self) -> Array:
        """The last of them."""
        current = self.every.where(self.log.status.current)
        return take(self, self.log.depth_mm, self._last(current)).values

    @column("text", "why a reading of the final window does not count")
    def not_counted_because(self) -> Texts:
        """The first reason from the top."""
        return _first(self.window, Texts(self.log.status.why_not, NOT_COUNTED))

    @column("text", "why a reading of the final window has no torque")
    def no_torque_because(self) -> Texts:
        """The first reason from the top."""
        return _first(self.window, self.log.no_torque_because)

    @column("text", "why a reading has no torque")
    def any_no_torque_because(self) -> Texts:
        """The first reason from the top, missed readings left out."""
        return _first(self.every.where(self.log.bare), self.log.no_torque_because)

    # Header against log at one toe

    @cached_property
    def _pair(self) -> Array:
        """Per pile its last pair of header and log that disagree, else its last pair; -1: none."""
        toes, found = self.toes, np.full(len(self), -1)
        owner, order = self.log.pile[toes.header], self.log.rows.values("run_order")[toes.header]
        best = last_of_each(owner, toes.apart, order)
        found[owner[best]] = best
        return found

    def _of_pair(self, values: Array) -> Array:
        found: Array = np.append(values, np.nan)[self._pair]
        return found

    @column("number", "torque at the toe that the header of a run gives")
    def header_torque_nm(self) -> Array:
        """Of the pair that is compared."""
        return self._of_pair(self.log.torque_nm.values[self.toes.header])

    @column("number", "torque at the toe that the log gives")
    def log_torque_nm(self) -> Array:
        """Of the pair that is compared."""
        return self._of_pair(self.log.torque_nm.values[self.toes.log])

    @column("flag", "whether header and log disagree at the toe")
    def header_apart(self) -> Array:
        """None where not both read a toe."""
        found: Array = np.append(self.toes.apart, False)[self._pair].astype(object)
        found[self._pair < 0] = None
        return found

    @column("text", "run whose header and log are compared")
    def header_run_no(self) -> Texts:
        """Of the pair that is compared."""
        rows = self.log.rows
        codes = np.append(rows.codes("run_no")[self.toes.header], -1)
        return Texts(codes[self._pair], rows.texts("run_no"))

    # Disturbed ground, stops and events

    @column("number", "toe down to which the ground was disturbed", evidence=_run_links)
    def disturbed_toe_mm(self) -> Array:
        """By a run over it again, or by turning in reverse."""
        return self.disturbed

    @column("number", "depth down to which disturbed ground voids torque")
    def void_to_mm(self) -> Array:
        """The criterion's multiple of the largest helix below the disturbed toe."""
        return self.disturbed + self.helices("disturbed_multiple")

    @column("number", "depth at which the deepest long stop was made", evidence=_run_links)
    def stop_from_mm(self) -> Array:
        """The deepest of the pile's long stops."""
        return self._of_stop(self.stops.from_mm)

    @column("number", "depth from which torque counts after the deepest long stop")
    def stop_to_mm(self) -> Array:
        """The criterion's multiple of the largest helix below it."""
        return self._of_stop(self.stops.to_mm)

    vars().update(_event_columns())  # one pair of columns per event that is judged

    @column("number", "depth below an event within which it matters")
    def event_distance_mm(self) -> Array:
        """The criterion's multiple of the largest helix; unknown for a position without a pile."""
        return np.where(self.has("pile_id"), self.helices("event_multiple"), np.nan)

    @column("number", "depth down to which spin-out and reverse rotation void torque")
    def event_void_to_mm(self) -> Array:
        """Below the deepest event that does."""
        deepest = [getattr(self, name) for name in events.VOIDING]
        found: Array = np.fmax(*deepest) + self.event_distance_mm
        return found

    def helices(self, multiple: str) -> Array:
        """A criterion's multiple of the largest helix [mm]."""
        found: Array = self.numbers(multiple) * self.numbers("largest_helix_mm")
        return found

    def _of_stop(self, values: Array) -> Array:
        found, stops = np.full(len(self), np.nan), self.stops
        best = last_of_each(stops.pile, stops.from_mm)
        found[stops.pile[best]] = values[best]
        return found

    def naming(self, word: str) -> Members[Reading]:
        """Readings beside which an event of the kind ``word`` is written."""
        return self.noted.where(events.naming(self.log.events, word))


def _first(members: Members[Reading], texts: Texts) -> Texts:
    """Per pile the text of its first member that has one."""
    known = np.where(texts.codes >= 0, 0.0, np.nan)
    return Texts(np.append(texts.codes, -1)[members.at(known, "first")], texts.words)
