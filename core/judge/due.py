"""From which day a criterion asks something of a pile."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from core import words

Days = npt.NDArray[np.datetime64]
DAY_US = pd.Timedelta(days=1) // pd.Timedelta(microseconds=1)


def first_days(piles: pd.DataFrame, reached: pd.DataFrame) -> Days:
    """First day on which each pile stood at each stage or past it; piles × stages, NaT: never.

    ``reached`` has one row per pile and stage reached (pile_id, order, reached_on).
    """
    stages = range(len(words.STAGES))
    table = reached.pivot_table("reached_on", "pile_id", "order", aggfunc="min")
    table = table.reindex(index=piles["pile_id"], columns=stages).astype("datetime64[us]")
    days: Days = table.to_numpy()
    return np.fmin.accumulate(days[:, ::-1], axis=1)[:, ::-1]


def with_due(
    criteria: pd.DataFrame, piles: pd.DataFrame, days: Days, on: pd.Timestamp
) -> pd.DataFrame:
    """``criteria`` beside each row of ``piles`` instead of per type, with due_on, is_due, at_work.

    ``days`` comes of ``first_days``. A criterion is due from the first day on which the pile
    stood at its stage or past it, plus the delay.
    """
    rows = pd.Index(criteria["pile_type"]).get_indexer(piles["pile_type"])
    frame = criteria.drop(columns="pile_type").reindex(rows).set_axis(piles.index)
    frame["due_on"] = _due_on(criteria, rows, days)
    frame["is_due"] = frame["due_on"] <= on
    frame["at_work"] = ~np.isnat(days[:, words.STAGE_ORDER["installing"]])
    frame["pile_id"] = piles["pile_id"]
    return frame


def _due_on(criteria: pd.DataFrame, rows: npt.NDArray[np.intp], days: Days) -> Days:
    """First day on which each pile's stage was reached, plus its delay; NaT where none is set.

    ``rows``: the row of ``criteria`` of each pile, -1 where there is none.
    """
    orders = criteria["due"].map(words.STAGE_ORDER).fillna(-1).to_numpy(dtype=int)
    delays = criteria["due_after_days"].fillna(0.0).to_numpy(dtype=float) * DAY_US
    order, delay = np.append(orders, -1)[rows], np.append(delays, 0.0)[rows]
    first = np.where(order >= 0, days[np.arange(len(order)), order], np.datetime64("NaT", "us"))
    due: Days = first.astype("datetime64[us]") + delay.astype("timedelta64[us]")
    return due
