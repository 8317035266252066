"""Sample groups, their specimens, and the strength of the groups of each pile."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from core.subjects.columns import Column, Values, take
from core.subjects.grout import selection
from core.subjects.grout.lifts import Placement
from core.subjects.tables import Links, Members, Table, Texts, column, measure

DAY_US = 86_400_000_000
_OF_SPECIMEN = ("specimen_id", "sample_group_id")


class GroupMember(Table):
    """A pile for which a sample group is taken."""

    subject, record = "grout", "sample_group_member"
    title = "of group {sample_group_id}"
    group_piles: Values  # how many piles its group stands for
    group_specimens: Values  # how many specimens of its group are taken
    sampled: Members[Sampled]


class Specimen(Table):
    """One specimen taken up to the day of assessment; a result counts from the day of its test."""

    subject, record = "grout", "grout_specimen"
    title = "{specimen_id} of group {sample_group_id}"
    on: np.datetime64
    members: Members[GroupMember]

    @cached_property
    def tested(self) -> Values:
        """Whether a result is in."""
        return self.rows.values("tested_on") <= self.on

    @measure("strength")
    def strength_mpa(self) -> Column:
        return self.recorded("strength_mpa").where(self.tested)

    @column("day", "day of the test")
    def tested_on(self) -> Values:
        return np.where(self.tested, self.rows.values("tested_on"), np.datetime64("NaT", "us"))

    @column("day", "day on which it has its age")
    def due_on(self) -> Values:
        taken = selection.microseconds(self.rows.values("taken_on"))
        return selection.moments(taken + self.numbers("age_days") * DAY_US)

    @column("number", "age at which it was tested")
    def tested_age_days(self) -> Values:
        taken, tested = self.rows.values("taken_on"), self.tested_on
        return (selection.microseconds(tested) - selection.microseconds(taken)) // DAY_US

    @column("number", "how many piles its group is taken for")
    def piles(self) -> Values:
        return self.members.number

    @column("text", "piles for which its group is taken")
    def pile_ids(self) -> Texts:
        found = self.members.joined(self.members.below.text("pile_id"))
        return Texts(np.where(found.codes < 0, len(found.words), found.codes), [*found.words, ""])


class Sampled(Table):
    """One specimen of one sample group of one pile."""

    subject, record = "grout", "grout_specimen"
    title = "of specimen {specimen_id} of group {sample_group_id}"
    specimen: Specimen
    at: Values
    age_asked: Values  # of the criterion of its pile

    @measure("strength")
    def strength_mpa(self) -> Column:
        return take(self, self.specimen.strength_mpa, self.at)

    @cached_property
    def decides(self) -> Values:
        """Whether its strength decides: of the asked age, and not tested before it."""
        early = self.specimen.tested_age_days[self.at] < self.age_asked
        found: Values = (self.numbers("age_days") == self.age_asked) & ~early
        return found

    @cached_property
    def is_open(self) -> Values:
        """Whether a result that decides is not in yet."""
        return self.decides & ~self.strength_mpa.known


class SamplesOfPile(Table):
    """The samples that are taken for one pile."""

    subject = "grout"
    placed: Members[Placement]
    members: Members[GroupMember]
    sampled: Members[Sampled]
    on: np.datetime64

    def _samples(self) -> list[Links]:
        return [*self.members.links(), *self.sampled.links()]

    @column("number", "sample groups taken for the pile", evidence=_samples)
    def sample_groups(self) -> Values:
        return self.members.number

    @column("number", "most piles of one of its groups")
    def piles_per_group(self) -> Values:
        return self.members.reduce(np.maximum, self.members.below.group_piles, np.nan)

    @column("number", "fewest specimens of one of its groups")
    def specimens_per_group(self) -> Values:
        return self.members.reduce(np.minimum, self.members.below.group_specimens, np.nan)

    @cached_property
    def _days_bare(self) -> Members[Placement]:
        """One placement for each day of the pile on which no specimen was taken."""
        placed, taken = self.placed.below, self.sampled.below.specimen.rows.values("taken_on")
        bare = np.flatnonzero(~np.isin(placed.day, taken) & (placed.owner >= 0))
        keys = np.stack([placed.owner[bare], placed.day[bare].astype(np.int64)])
        once = np.zeros(len(placed), dtype=bool)
        once[bare[np.unique(keys, axis=1, return_index=True)[1]]] = True
        return self.placed.where(once)

    @column("number", "days of placing on which no specimen was taken")
    def days_without_group(self) -> Values:
        return self._days_bare.number

    @column("day", "first day of placing on which no specimen was taken")
    def day_without_group(self) -> Values:
        days = selection.microseconds(self.placed.below.day)
        return selection.moments(self._days_bare.reduce(np.minimum, days, np.nan))

    @column("number", "sample groups without a specimen that can decide")
    def groups_untested(self) -> Values:
        member = self.members.below
        return self.members.count(~member.sampled.any(self.sampled.below.decides))

    @measure(
        evidence=_samples,
        source="the weakest of the age of the criterion",
        note=lambda pile, row: pile.weakest_specimen.array()[row],
    )
    def grout_strength_mpa(self) -> Column:
        return self._deciding.pick(self._deciding.below.strength_mpa, "minimum")

    @cached_property
    def _deciding(self) -> Members[Sampled]:
        return self.sampled.where(self.sampled.below.decides)

    @column("text", "specimen with the minimum strength that decides")
    def weakest_specimen(self) -> Texts:
        at = self._deciding.at(self._deciding.below.strength_mpa.values, "minimum")
        specimen, group = (self.sampled.below.text(name) for name in _OF_SPECIMEN)
        named = np.flatnonzero(at >= 0)
        codes = np.full(len(at), -1)
        codes[named] = np.arange(len(named))
        pairs = zip(specimen.codes[at[named]], group.codes[at[named]], strict=True)
        words = [
            f"specimen {specimen.words[one]} of group {group.words[other]}" for one, other in pairs
        ]
        return Texts(codes, words)

    @column("number", "results that decide and are not in")
    def results_missing(self) -> Values:
        return self.sampled.count(self.sampled.below.is_open)

    @column("day", "day of the first result that is not in")
    def results_due_on(self) -> Values:
        rows = self.sampled.below
        due = selection.microseconds(rows.specimen.due_on)[rows.at]
        return selection.moments(self.sampled.where(rows.is_open).reduce(np.fmin, due, np.nan))

    @column("number", "days since the first result that is not in was due")
    def results_due_days(self) -> Values:
        on = selection.microseconds(np.array([self.on]))
        return (on - selection.microseconds(self.results_due_on)) // DAY_US
