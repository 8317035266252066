"""The stage of every pile from the facts, and the one state that its findings and stage give."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from core import words
from core.criteria.columns import Columns, FrameColumns

Array = npt.NDArray[Any]
Days = npt.NDArray[np.datetime64]
Mask = npt.NDArray[np.bool_]
WHILE_DRIVEN = ("grout placed", "cut off")  # works that a pile may see before it goes deeper
STAGE_WORDS = tuple(stage.word for stage in words.STAGES)
NO_STATE = len(words.STATES)  # rank of a pile of which nothing asks for a state
# By the code of a result the state that it asks for.
ASKED = np.array(
    [NO_STATE if one is None else words.STATE_ORDER[one] for one in words.RESULT_STATE.values()]
)
_STOPPED = words.STAGE_ORDER["stopped"]
_WORKS = sorted({*WHILE_DRIVEN, "surveyed", *STAGE_WORDS[_STOPPED + 1 :]})
_DAY = np.timedelta64(1, "D")
_NAT = np.datetime64("NaT", "us")
_LAST = np.iinfo(np.int64).max


@dataclass(frozen=True, eq=False)
class Dated:
    """Works or stages of piles with the day of each, as codes.

    ``pile`` and ``word`` are places in ``piles`` and ``words``.
    """

    piles: Sequence[str]
    pile: Array
    words: Sequence[str]
    word: Array
    day: Days

    def until(self, on: np.datetime64) -> Dated:
        """Those up to a day."""
        kept = self.day <= on
        return Dated(self.piles, self.pile[kept], self.words, self.word[kept], self.day[kept])

    def among(self, place: dict[str, int]) -> Array:
        """Per row the place of its pile, -1 where it is none of them."""
        return np.array([*(place.get(pile, -1) for pile in self.piles), -1])[self.pile]

    def frame(self, word: str, day: str) -> pd.DataFrame:
        """The rows with pile_id, and the word and the day under these names."""
        return pd.DataFrame(
            {
                "pile_id": pd.array([*self.piles, None], dtype="str").take(self.pile),
                word: pd.array([*self.words, None], dtype="str").take(self.word),
                day: self.day,
            }
        )


def work_days(placements: Columns, surveys: Columns, piles: Columns) -> Dated:
    """The stages that grout or survey of a pile shows, with their days.

    A pile is *grouted* on the day of its last placement (the run's day when it names none) and
    *surveyed* on that of its first survey that counts; one of ``piles`` of a grouted type never
    before its placements.
    """
    parts = ((placements, "pile_id"), (surveys, "pile_id"), (piles, "pile_id"))
    (of_placement, of_survey, of_pile), numbers = _coded(*parts)
    number = len(numbers)
    last = _last(number, of_placement, _placed_on(placements))
    of_survey = np.where(surveys.is_true("counts"), of_survey, -1)
    first = _first(number, of_survey, surveys.day("surveyed_on"))
    waits = _any(number, np.where(piles.is_true("grouted"), of_pile, -1))
    first = np.where(waits & ~np.isnat(last) & ~(first >= last), last, first)
    placed, surveyed = (_any(number, codes) for codes in (of_placement, of_survey))
    surveyed &= ~(waits & np.isnat(last))
    pile = np.concatenate([np.flatnonzero(placed), np.flatnonzero(surveyed)])
    word = np.repeat([0, 1], [placed.sum(), surveyed.sum()])
    day = np.concatenate([last[placed], first[surveyed]])
    return Dated(numbers, pile, ("grouted", "surveyed"), word, day)


def work_after_runs(
    runs: Columns, placements: Columns, surveys: Columns, stage_records: Columns
) -> Dated:
    """Works that show that a pile's last run ended, each once with its first day, in their order.

    Grout placed, a length cut off, a survey, and a record of a stage past *stopped*, on the day
    of the last run or later. A lift is drawn down while the toe advances, so it shows the end of
    the run from the next day on.
    """
    every = (runs, placements, surveys, stage_records)
    codes, piles = _coded(*((part, "pile_id") for part in every))
    run_on = runs.day("run_on")
    place = {word: at for at, word in enumerate(_WORKS)}
    stages, texts = stage_records.coded("stage")
    shows = [place[one] if _order(one) > _STOPPED else -1 for one in texts]
    works = [
        np.where(np.isnan(runs.numbers("cut_off_mm")), -1, place["cut off"]),
        np.full(len(placements), place["grout placed"]),
        np.full(len(surveys), place["surveyed"]),
        np.array([*shows, -1])[stages],
    ]
    advancing = placements.numbers("from_mm") < placements.numbers("to_mm")
    placed_on = _placed_on(placements) + advancing * _DAY
    days = [run_on, placed_on, surveys.day("surveyed_on"), stage_records.day("stage_on")]
    pile, word, day = (np.concatenate(part) for part in (codes, works, days))
    begun = _last(len(piles), codes[0], run_on)
    kept = np.flatnonzero((word >= 0) & (pile >= 0) & (day >= np.append(begun, _NAT)[pile]))
    kept = kept[np.lexsort((word[kept], day[kept]))]
    _, first = np.unique(pile[kept] * len(_WORKS) + word[kept], return_index=True)
    kept = kept[np.sort(first)]
    return Dated(piles, pile[kept], _WORKS, word[kept], day[kept])


def stages_reached(runs: Columns, stage_records: Columns, later: Dated, after: Dated) -> Dated:
    """The stages that each pile reached, words in the order of the work.

    A run is *installing* until it is ``closed``, *stopped* when it ended with the shift, else
    *installed*; only a pile's last run says the latter two. One that is not closed is
    *installed*, too, from the day of the first work ``after`` it (of ``work_after_runs``), so that
    a missing toe defers no criterion. So is one that ended with the shift and was not resumed,
    once work follows that no crew does on a pile still to go deeper. ``later`` comes of
    ``work_days`` and counts once the pile is installed.
    """
    (of_run, of_record), piles = _coded((runs, "pile_id"), (stage_records, "pile_id"))
    number, place = len(piles), {pile: at for at, pile in enumerate(piles)}
    run_on = runs.day("run_on")
    last = np.full(number, -1)
    last[of_run] = np.arange(len(runs))  # the last one is kept
    has_run = np.flatnonzero(last >= 0)
    last = last[has_run]
    closed, open_run = runs.is_true("closed")[last], runs.is_true("open_run")[last]
    end = _or(runs.day("ended_on"), run_on)[last]
    shift = closed & (runs.text("stop_reason") == "end of shift")[last]
    installed = np.full(number, _NAT)
    installed[has_run] = np.where(closed & ~shift, end, _NAT)
    is_installed, may_pass = np.zeros(number, dtype=bool), np.zeros((2, number), dtype=bool)
    is_installed[has_run] = closed & ~shift
    may_pass[:, has_run] = open_run, shift
    passed = _passed(after, place, *may_pass)
    is_installed |= ~np.isnat(passed)
    installed = np.fmax(installed, passed)  # a pile has one of the two
    own = later.among(place)
    counts = (own >= 0) & np.append(is_installed, False)[own]
    parts = [
        ("installing", has_run, _first(number, of_run, run_on)[has_run]),
        ("stopped", has_run[closed], end[closed]),
        ("installed", np.flatnonzero(is_installed), installed[is_installed]),
    ]
    stage = [np.full(len(pile), words.STAGE_ORDER[word]) for word, pile, _ in parts]
    stages, texts = stage_records.coded("stage")
    stage.append(np.array([*(_order(one) for one in texts), -1])[stages])
    stage.append(np.array([_order(one) for one in later.words])[later.word[counts]])
    pile = [*(pile for _, pile, _ in parts), of_record, own[counts]]
    days = [*(day for _, _, day in parts), stage_records.day("stage_on")]
    days.append(np.fmax(installed[own[counts]], later.day[counts]))
    columns = [np.concatenate(part) for part in (pile, stage, days)]
    return Dated(piles, columns[0], STAGE_WORDS, columns[1], columns[2])


def _passed(after: Dated, place: dict[str, int], open_run: Mask, shift: Mask) -> Days:
    """First day of work after a pile's last run, where it shows that the run was the last."""
    pile = after.among(place)
    while_driven = np.array([work in WHILE_DRIVEN for work in after.words], dtype=bool)
    known = pile >= 0
    open_run, shift = np.append(open_run, False)[pile], np.append(shift, False)[pile]
    shows = known & (open_run | (shift & ~while_driven[after.word]))
    return _first(len(place), pile[shows], after.day[shows])


def present_stage(reached: Dated, on: np.datetime64) -> tuple[Array, Days]:
    """Per pile of ``reached`` the furthest stage reached by ``on``, -1 for none, and since when."""
    known = reached.until(on)
    stage = np.full(len(reached.piles), -1)
    np.maximum.at(stage, known.pile, known.word)
    now = known.word == stage[known.pile]
    return stage, _last(len(stage), known.pile[now], known.day[now])


def _order(stage: str) -> int:
    return words.STAGE_ORDER[stage]


def _coded(*columns: tuple[Columns, str]) -> tuple[list[Array], list[str]]:
    """Codes of several columns of pile numbers in common, and the numbers."""
    place: dict[str, int] = {}
    found = []
    for rows, name in columns:
        codes, texts = rows.coded(name)
        used = np.unique(codes[codes >= 0]).tolist()
        own = np.full(len(texts) + 1, -1, dtype=np.int64)
        own[used] = [place.setdefault(texts[code], len(place)) for code in used]
        found.append(own[codes])
    return found, list(place)


def _or(days: Days, others: Days) -> Days:
    return np.where(np.isnat(days), others, days)


def _placed_on(placements: Columns) -> Days:
    """Day of each placement; the run's where it names none."""
    return _or(placements.day("placed_on"), placements.day("run_on"))


def _any(number: int, codes: Array) -> Mask:
    found = np.zeros(number, dtype=bool)
    found[codes[codes >= 0]] = True
    return found


def _last(number: int, codes: Array, days: Days) -> Days:
    """Per code the last of its days; NaT for none."""
    known = (codes >= 0) & ~np.isnat(days)
    found = np.full(number, _NAT.astype(np.int64))
    np.maximum.at(found, codes[known], days[known].astype(np.int64))
    return found.astype("datetime64[us]")


def _first(number: int, codes: Array, days: Days) -> Days:
    """Per code the first of its days; NaT for none."""
    known = (codes >= 0) & ~np.isnat(days)
    found = np.full(number, _LAST)
    np.minimum.at(found, codes[known], days[known].astype(np.int64))
    return np.where(found == _LAST, _NAT, found.astype("datetime64[us]"))


@dataclass(frozen=True, eq=False)
class Served:
    """Rows of piles as codes: number, position and the number of the pile that each replaces.

    -1 is none; ``pile`` and ``replaces`` have their codes in common.
    """

    pile: Array
    position: Array
    replaces: Array

    @classmethod
    def of(cls, piles: Columns) -> Served:
        """Of rows with pile_id, position_id and replaces."""
        (pile, replaces), _ = _coded((piles, "pile_id"), (piles, "replaces"))
        (position,), _ = _coded((piles, "position_id"))
        return cls(pile, position, replaces)

    @cached_property
    def _named(self) -> Mask:
        """By code of a pile whether another one names it as replaced."""
        number = 1 + max(self.pile.max(initial=-1), self.replaces.max(initial=-1))
        return _any(int(number) + 1, self.replaces)  # the last is that of code -1

    @property
    def is_named(self) -> Mask:
        """Whether each pile is named as replaced."""
        found: Mask = self._named[self.pile]
        return found

    def replaced(self, state: Array) -> Mask:
        """Whether every pile named to replace each pile is accepted, or replaced in its turn.

        ``state``: places in ``words.STATES``.
        """
        good = np.isin(state, _ACCEPTED)
        named = self.replaces >= 0
        done = np.zeros(len(state), dtype=bool)
        for _ in range(int(named.sum())):  # a chain is at most as long as the names in it
            every = self._named.copy()
            every[self.replaces[named & ~(good | done)]] = False
            found: Mask = every[self.pile]
            if np.array_equal(found, done):
                break
            done = found
        return done


_STATE_WORDS = pd.array([one.word for one in words.STATES], dtype="str")
_ACCEPTED = [words.STATE_ORDER[state] for state in words.ACCEPTED_STATES]


def pile_states(
    worst: Array, stage: Array, last_stage: Array, signed: Mask, served: Served
) -> Array:
    """The state of each pile, as a place in ``words.STATES``.

    It is the worst that its findings (``worst``, a place too, ``NO_STATE`` where none asks for a
    state) and its stage ask for. ``stage`` and ``last_stage`` are orders of stages, -1 where
    unknown; ``signed``: a sign-off stands. A pile whose every replacement is accepted is
    *replaced*.
    """
    order = words.STATE_ORDER
    begun = (stage >= words.STAGE_ORDER["installing"]) & (served.pile >= 0)
    finished = begun & (last_stage >= 0) & (stage >= last_stage)
    by_stage = np.select(
        [~begun, ~finished], [order["not started"], order["in progress"]], order["criteria met"]
    )
    state: Array = np.minimum(worst, by_stage)
    state[signed & (state == order["criteria met"])] = order["accepted"]
    state[served.replaced(state)] = order["replaced"]
    state.flags.writeable = False  # everybody reads the same array
    return state


def position_states(piles: pd.DataFrame) -> pd.DataFrame:
    """One row per position: area, current, accepted and the worst state of the piles it needs.

    A position needs every production pile that serves it, and in place of one that is replaced
    the pile that replaces it, wherever that stands. While a replacement is not yet accepted the
    position shows *rejected*, whatever its piles show.
    """
    served = Served.of(FrameColumns(piles))
    state = np.array([words.STATE_ORDER[word] for word in piles["state"]], dtype=np.int64)
    serves = piles["counted"].to_numpy(dtype=bool) & ~served.is_named
    home = np.full(len(served._named), -1)
    home[served.pile] = served.position
    home[-1] = -1
    number = int(served.position.max(initial=-1)) + 1
    worst = np.full(number + 1, words.STATE_ORDER["not started"])
    seen = np.full(number + 1, NO_STATE)
    for position in (served.position, home[served.replaces]):
        own = serves & (position >= 0)
        np.minimum.at(seen, position[own], state[own])
    worst = np.where(seen == NO_STATE, worst, seen)
    waits = np.zeros(number + 1, dtype=bool)
    waits[served.position[served.is_named & (state != words.STATE_ORDER["replaced"])]] = True
    at = np.flatnonzero(~piles["position_id"].duplicated().to_numpy())
    own = served.position[at]
    accepted = np.isin(worst[own], _ACCEPTED) & ~waits[own]
    shown = np.where(waits, words.STATE_ORDER["rejected"], worst)[own]
    frame = piles[["position_id", "area", "current"]].take(at)
    return frame.assign(state=state_words(shown), accepted=accepted)


def state_words(state: Array) -> pd.api.extensions.ExtensionArray:
    """The words of places in ``words.STATES``."""
    found: pd.api.extensions.ExtensionArray = _STATE_WORDS.take(state)
    return found
