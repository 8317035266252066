"""Rules of installation events: what is recorded beside readings, and how far below the toe is."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd

from core.judge.findings import Cases, Outcome, Rule, at_least, no_findings, other_findings, outcome
from core.records import JUDGED_EVENTS, Event


def no_event(cases: Cases) -> Outcome:
    """Nothing that asks for a decision happened; where something did, its own rule reports it."""
    readings = cases["readings"].fillna(0).gt(0)
    result = pd.DataFrame({"measured": np.nan, "limit_value": np.nan}, index=cases.index)
    result["result"] = readings.map({True: "met", False: "no evidence"})
    result["note"] = readings.map({True: "no such event on record", False: "no readings"})
    for event in JUDGED_EVENTS:
        result.loc[cases[event.column].notna(), "result"] = None
    return result


def event_rule(event: Event) -> Callable[[Cases], Outcome]:
    """How ``event`` is judged, where it is on record; nothing is said of the other piles."""
    decide = _always if event.judged == "always" else _distance

    def judged(cases: Cases) -> Outcome:
        result = decide(cases, event)
        result["note"] = cases[event.text_column]
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


RULES: tuple[Rule, ...] = (
    Rule("installation events", "events", no_event, "events"),
    *(
        Rule(
            event.word,
            "events",
            event_rule(event),
            event.column,
            "" if event.judged == "always" else "at least",
            "" if event.judged == "always" else "toe_mm",
        )
        for event in JUDGED_EVENTS
    ),
)


def texts_to_read_findings(texts: pd.DataFrame, criteria: pd.DataFrame) -> pd.DataFrame:
    """One *noted* finding per run with text that only a person can judge.

    ``texts``: pile_id, run_no and text, in the order of the work; ``criteria``: of ``events``, one
    row per pile. Where the project does not set the criterion nobody has to read them.
    """
    asked = criteria.loc[criteria["criterion_status"].eq("set"), "pile_id"]
    own = texts[texts["pile_id"].isin(asked)]
    if own.empty:
        return no_findings()
    by_run = own.groupby(["pile_id", "run_no"], sort=False)["text"].agg(_quoted).reset_index()
    note = "run " + by_run["run_no"] + ": " + by_run["text"]
    return other_findings(by_run["pile_id"], "remark to read", "noted", note, "event_text")


def _quoted(texts: pd.Series) -> str:
    return "; ".join(f'"{text}"' for text in texts.drop_duplicates())
