"""Which as-built surveys count and which one judges a pile, now and on the day of covering.

Plain functions on columns and codes; they choose rows and measure nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import numpy as np

from core import records
from core.records.current_rows import Array, CurrentRows
from core.records.matching import last_of_each

Stages = Mapping[str, tuple[str, ...]]


def until(rows: CurrentRows, day: str, on: date) -> CurrentRows:
    """Rows whose ``day`` is ``on`` or before."""
    return rows.where(rows.values(day) <= np.datetime64(on, "us"))


def covered_heads(stage_record: CurrentRows, on: date) -> CurrentRows:
    """Stage records of heads that concrete covers, up to ``on``."""
    return until(
        stage_record.where(stage_record.is_text("stage", "concreted over")), "stage_on", on
    )


def stage_order(surveys: CurrentRows) -> Array:
    """Per survey the place of its stage in the life of a pile."""
    order = {word: place for place, word in enumerate(records.SURVEY_STAGES)}
    places = [order.get(text, -1) for text in surveys.texts("survey_stage")]
    found: Array = np.array([*places, -1])[surveys.codes("survey_stage")]
    return found


def counting(surveys: CurrentRows, piles: CurrentRows, home: Array, stages: Stages) -> Array:
    """Whether the type of the pile names the stage of each survey.

    ``home``: the row of each survey's pile, -1 for none; ``stages``: by pile type. Every stage
    counts where a type names none, and where the type is not known.
    """
    types, words = piles.texts("pile_type"), surveys.texts("survey_stage")
    allowed = np.ones((len(types) + 1, len(words) + 1), dtype=bool)
    for place, name in enumerate(types):
        if name in stages:
            allowed[place, :-1] = [word in stages[name] for word in words]
    of_pile = np.append(piles.codes("pile_type"), -1)
    found: Array = allowed[of_pile[home], surveys.codes("survey_stage")]
    return found


def last_of_piles(surveys: CurrentRows, counts: Array, home: Array, piles: int) -> Array:
    """Row of the last survey in ``counts`` of each pile, by day and then by stage; -1 for none."""
    last = last_of_each(
        np.where(counts, home, -1), surveys.values("surveyed_on"), stage_order(surveys)
    )
    found = np.full(piles, -1)
    found[home[last]] = last
    return found
