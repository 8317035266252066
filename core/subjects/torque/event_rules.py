"""Criterion of installation events: what is recorded beside readings, and how far the toe is."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from core.criteria.base import Criterion, Feeds
from core.criteria.cases import Cases, PileCriterion
from core.criteria.columns import Columns
from core.criteria.findings import Findings, no_findings, other_findings
from core.criteria.kinds import FindingKind, finding, makes
from core.criteria.outcomes import Outcome, at_least, outcome, without_numbers
from core.records import EVENT, JUDGED_EVENTS, Event

DEEPER = "a deeper run, a replacement or the engineer's decision"
INSPECTED = "an inspection of the string, a replacement or the engineer's decision"


def event_rule(event: Event) -> Callable[[Cases], Outcome]:
    """How ``event`` is judged, where it is on record; nothing is said of the other piles."""
    decide = _always if event.judged == "always" else _distance

    def judged(cases: Cases) -> Outcome:
        depth = cases[event.column]
        happened = ~np.isnan(depth)
        found = decide(cases, event)
        found.put(happened, note=cases.text(event.text_column),
                  part=lambda at: [f"{one:.0f} mm" for one in depth[at].tolist()])  # fmt: skip
        unknown = happened & np.isnan(cases["toe_mm"]) & ~np.isnan(found.limit_value)
        found.put(
            unknown,
            note=lambda at: cases.text(event.text_column)[at] + "; the toe depth is not recorded",
        )
        found.drop(~happened)
        return found

    return judged


def _always(cases: Cases, event: Event) -> Outcome:
    found = without_numbers(cases, "not met")
    if event.word == "refusal":
        found.put(cases.is_text("refusal", "noted"), "noted")
    return found


def _distance(cases: Cases, event: Event) -> Outcome:
    """Distance from the event down to the toe: *noted* from the limit on, else *not met*.

    Without a toe nothing shows the distance, so the event is *not met*; while the pile is being
    driven it is not yet due.
    """
    measured, limit = cases["toe_mm"] - cases[event.column], cases["event_distance_mm"]
    found = outcome(cases, at_least(measured, limit), measured, limit)
    found.put(found.has("no evidence"), "not met")
    found.put(found.has("met"), "noted")
    found.put(cases.is_true("being_driven"), "not yet due")
    return found


def _event(id: str, word: str, meaning: str, closed_by: str) -> FindingKind:
    """The kind of finding of the event called ``word``."""
    event = EVENT[word]
    always = event.judged == "always"
    return finding(
        id, word, meaning, blocks="AC", responsible="DES", closed_by=closed_by,
        measure=event.column, sense="" if always else "at least",
        unit_column="" if always else "toe_mm", since=2,
    )(event_rule(event))  # fmt: skip


class Events(Criterion):
    """What is recorded beside readings: spin-out, refusal, coupling failure, obstruction and so on.

    One multiple serves all: how far below spin-out torque counts again, and how near the toe an
    obstruction, reverse rotation or loss of crowd needs a decision. Coupling failure and shaft
    damage are never met. ``refusal`` is *noted* where the clause names it as a way to stop.
    An empty cell beside a reading means that nothing happened there.
    """

    usual_due = "installing"

    largest_helix_multiple: Annotated[float, Field(gt=0), Feeds("event_multiple")] = Field(
        description="depth of the toe below an event, in largest helix diameters", examples=[3]
    )
    refusal: Literal["not met", "noted"] = Field(
        description="noted where the clause names refusal as a way to stop"
    )

    @finding(
        "installation_events",
        "installation events",
        "No event that needs a decision is on record beside the readings.",
        blocks="AH",
        responsible="FM",
        closed_by="the readings of the pile with what happened at each depth",
        measure="events",
        since=2,
    )
    @staticmethod
    def no_event(cases: Cases) -> Outcome:
        """Nothing asks for a decision; where something does, its own rule reports it."""
        found = without_numbers(cases, "met", "no such event on record")
        found.put(~(cases["readings"] > 0), "no evidence", note="no readings")
        for event in JUDGED_EVENTS:
            found.drop(~np.isnan(cases[event.column]))
        return found

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
        "reverse rotation",
        "Distance from the toe up to reverse rotation that is recorded as an event.",
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
    "remark to review",
    "Text beside readings that names no known event, or remarks of a run that name one.",
    "H",
    "ENG",
    "the text read by the engineer",
    since=2,
)


@makes(REMARK_TO_REVIEW, of=("texts_to_read", "piles", "criteria.events"))
def texts_to_read_findings(texts: Columns, piles: Columns, criterion: PileCriterion) -> Findings:
    """One *noted* finding per run with text that only a person can judge.

    ``texts``: pile_id, run_no and text, in the order of the work; ``criterion``: *events*,
    pile by pile beside ``piles``. Where a type does not set the criterion nobody has to read them.
    """
    if not len(texts) or not criterion.is_set.any():
        return no_findings()
    asked = set(piles.text("pile_id")[criterion.is_set].tolist())
    by_run: dict[tuple[str, str], dict[str, None]] = {}
    for pile, run_no, text in zip(
        *(texts.text(name).tolist() for name in ("pile_id", "run_no", "text")), strict=True
    ):
        if pile in asked:
            by_run.setdefault((pile, run_no), {})[f'"{text}"'] = None
    return other_findings(
        [pile for pile, _ in by_run],
        REMARK_TO_REVIEW,
        "noted",
        [f"run {run_no}: {'; '.join(quoted)}" for (_, run_no), quoted in by_run.items()],
        "event_text",
        run=[run_no for _, run_no in by_run],
    )
