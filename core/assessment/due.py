"""From which day a criterion asks something of a pile."""

from __future__ import annotations

import numpy as np

from core import words
from core.criteria.cases import PileCriterion
from core.criteria.columns import Array, Days, Mask, RowColumns

DAY_US = np.timedelta64(1, "D") // np.timedelta64(1, "us")
_NEVER = np.datetime64("NaT", "us")


def first_days(piles: int, pile: Array, stage: Array, reached_on: Days) -> Days:
    """First day on which each pile stood at each stage or past it; piles × stages, NaT: never.

    One row per pile and stage reached: the place of the pile (-1: none of these), the order of the
    stage and its day.
    """
    number = len(words.STAGES)
    last = np.iinfo(np.int64).max
    days = np.full(piles * number, last)
    known = (pile >= 0) & ~np.isnat(reached_on)
    at = pile[known] * number + stage[known].astype(np.int64)
    np.minimum.at(days, at, reached_on[known].astype("datetime64[us]").astype(np.int64))
    first = np.minimum.accumulate(days.reshape(piles, number)[:, ::-1], axis=1)[:, ::-1]
    found: Days = np.where(first == last, _NEVER, first.astype("datetime64[us]"))
    return found


def at_work(days: Days) -> Mask:
    """Whether each pile ever stood at *installing* or past it; ``days`` come of ``first_days``."""
    found: Mask = ~np.isnat(days[:, words.STAGE_ORDER["installing"]])
    return found


def with_due(settings: RowColumns, row: Array, days: Days, on: np.datetime64) -> PileCriterion:
    """A criterion beside each pile: due from the first day at its stage or past it, plus a delay.

    ``settings``: one row per pile type and a last one, empty; ``row``: that of each pile's type;
    ``days`` come of ``first_days``.
    """
    stages = settings.text("due").tolist()
    order = np.array([words.STAGE_ORDER.get(stage, -1) for stage in stages], dtype=np.int64)
    delay = np.nan_to_num(settings.numbers("due_after_days")) * DAY_US
    own = order[row]
    first = np.where(own >= 0, days[np.arange(len(row)), own], _NEVER)
    due_on = first + delay.astype("timedelta64[us]")[row]
    return PileCriterion(settings, row, due_on, due_on <= on)
