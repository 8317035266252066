# mypy: disable-error-code="no-any-return,arg-type,unused-ignore"
"""Criterion of installation events: what is recorded beside readings, and how far the toe is."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Literal

import numpy as np
import pandas as pd
from pydantic import Field

from core.criteria.as_frames import Cases, Outcome, at_least, no_findings, other_findings, outcome
from core.criteria.base import Criterion, Feeds
from core.criteria.cases import PileCriterion
from core.criteria.columns import Columns
from core.criteria.kinds import FindingKind, finding, makes
from core.records import EVENT, JUDGED_EVENTS, Event

DEEPER = "a deeper run, a replacement or the engineer's decision"
INSPECTED = "an inspection of the string, a replacement or the engineer's decision"


def event_rule(event: Event) -> Callable[[Cases], Outcome]:
    """How ``event`` is judged, where it is on record; nothing is said of the other piles."""
    decide = _always if event.judged == "always" else _distance

    def judged(cases: Cases) -> Outcome:
        result = decide(cases, event)
        result["note"] = cases[event.text_column]
        result["part"] = cases[event.column].map("{:.0f} mm".format, na_action="ignore")
        missing = cases["toe_mm"].isna() & result["limit_value"].notna()
        result.loc[missing, "note"] += "; the toe depth is not recorded"
        result.loc[cases[event.column].isna(), "result"] = None
        return result

    return judged


def _always(cases: Cases, event: Event) -> Outcome:
    result = pd.DataFrame({"measured": np.nan, "limit_value": np.nan}, index=cases.index)
    result["result"] = "not met"
    if event.word == "refusal":
        result["result"] = cases["refusal"]
    return result


def _distance(cases: Cases, event: Event) -> Outcome:
    """Distance from the event down to the toe: *noted* from the limit on, else *not met*.

    Without a toe nothing shows the distance, so the event is *not met*; while the pile is being
    driven it is not yet due.
    """
    measured, limit = cases["toe_mm"] - cases[event.column], cases["event_distance_mm"]
    far = at_least(measured, limit)
    result = outcome(cases, far, measured, limit)
    result["result"] = far.map({True: "noted", False: "not met"})
    result.loc[cases["being_driven"].astype(bool), "result"] = "not yet due"
    return result


def _event(id: str, word: str, meaning: str, clears: str) -> FindingKind:
    """The kind of finding of the event called ``word``."""
    event = EVENT[word]
    always = event.judged == "always"
    return finding(
        id, word, meaning, blocks="AC", owner="DES", clears=clears, measure=event.column,
        sense="" if always else "at least", unit_column="" if always else "toe_mm", since=2,
    )(event_rule(event))  # fmt: skip


class Events(Criterion):
    """What is recorded beside readings: spin-out, refusal, coupling failure, obstruction and so on.

    One multiple serves all: how far below spin-out torque counts again, and how near the toe an
    obstruction, reversed turning or loss of crowd needs a decision. Coupling failure and shaft
    damage are never met. ``refusal`` is *noted* where the clause names it as a way to stop.
    An empty cell beside a reading means that nothing happened there.
    """

    usual_due = "installing"

    largest_helix_multiple: Annotated[float, Field(gt=0), Feeds("event_multiple")] = Field(
        description="of the toe below an event, in largest helix diameters", examples=[3]
    )
    refusal: Literal["not met", "noted"] = Field(
        description="noted where the clause names refusal as a way to stop"
    )

    @finding(
        "installation_events",
        "installation events",
        "No event that asks for a decision is on record beside the readings.",
        blocks="AH",
        owner="FM",
        clears="the readings of the pile with what happened at each depth",
        measure="events",
        since=2,
    )
    @staticmethod
    def no_event(cases: Cases) -> Outcome:
        """Nothing asks for a decision; where something does, its own rule reports it."""
        readings = cases["readings"].fillna(0).gt(0)
        result = pd.DataFrame({"measured": np.nan, "limit_value": np.nan}, index=cases.index)
        result["result"] = readings.map({True: "met", False: "no evidence"})
        result["note"] = readings.map({True: "no such event on record", False: "no readings"})
        for event in JUDGED_EVENTS:
            result.loc[cases[event.column].notna(), "result"] = None
        return result

    coupling_failure = _event(
        "coupling_failure",
        "coupling failure",
        "A coupling, bolt or weld is recorded as failed during installation.",
        INSPECTED,
    )
    shaft_damage = _event(
        "shaft_damage",
        "shaft damage",
        "Shaft or helix is recorded as twisted, bent, cracked or broken during installation.",
        INSPECTED,
    )
    refusal_recorded = _event(
        "refusal",
        "refusal",
        "Refusal is recorded and the clause of the criterion does not allow it.",
        DEEPER,
    )
    spin_out = _event(
        "spin_out",
        "spin-out",
        "Penetration after spin-out, which voids torque until it is reached.",
        DEEPER,
    )
    obstruction = _event(
        "obstruction",
        "obstruction",
        "Distance from the toe up to an obstruction.",
        DEEPER,
    )
    reverse_rotation = _event(
        "reverse_rotation",
        "reversed turning",
        "Distance from the toe up to reversed turning that is recorded as an event.",
        DEEPER,
    )
    loss_of_crowd = _event(
        "loss_of_crowd",
        "loss of crowd",
        "Distance from the toe up to a loss of crowd.",
        DEEPER,
    )


REMARK_TO_REVIEW = FindingKind(
    "remark_to_review",
    "remark to read",
    "Text beside readings that names no known event, or remarks of a run that name one.",
    "H",
    "ENG",
    "the text read by the engineer",
    since=2,
)


@makes(REMARK_TO_REVIEW, of=("texts_to_read", "piles", "criteria.events"))
def texts_to_read_findings(
    texts: pd.DataFrame, piles: Columns, criterion: PileCriterion
) -> pd.DataFrame:
    """One *noted* finding per run with text that only a person can judge.

    ``texts``: pile_id, run_no and text, in the order of the work; ``criterion``: *events*,
    pile by pile beside ``piles``. Where a type does not set the criterion nobody has to read them.
    """
    asked = piles.text("pile_id")[criterion.is_set]
    own = texts[texts["pile_id"].isin(asked)]
    if own.empty:
        return no_findings()
    by_run = own.groupby(["pile_id", "run_no"], sort=False)["text"].agg(_quoted).reset_index()
    note = "run " + by_run["run_no"] + ": " + by_run["text"]
    return other_findings(
        by_run["pile_id"],
        REMARK_TO_REVIEW,
        "noted",
        note,
        "event_text",
        run=by_run["run_no"],
    )


def _quoted(texts: pd.Series) -> str:
    return "; ".join(f'"{text}"' for text in texts.drop_duplicates())
