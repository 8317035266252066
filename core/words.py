"""Words of the trade that the program shows, once: states, stages, results and cautions."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class State:
    """One answer to "is this pile good?", with everything a screen or sheet needs to show it.

    ``shape`` is a plain word; ``dashboard.theme`` alone maps it to a drawing library's name.
    """

    word: str
    meaning: str
    colour: str
    letter: str
    shape: str


# Colours: Okabe & Ito palette and greys; Wong, Nature Methods 8:441 (2011).
STATES: tuple[State, ...] = (  # worst first: the order of ACCEPTANCE decides
    State("rejected", "Rejected by the engineer.", "#000000", "R", "cross"),
    State(
        "engineer review",
        "A measured value is outside a limit and a decision is outstanding.",
        "#D55E00",
        "E",
        "diamond",
    ),
    State(
        "record incomplete",
        "A record needed for acceptance is missing or cannot be used.",
        "#E69F00",
        "I",
        "triangle",
    ),
    State(
        "waiting for result",
        "The record is complete; a result is due later and not overdue.",
        "#F0E442",
        "W",
        "inverted triangle",
    ),
    State("in progress", "Work has started and is not finished.", "#56B4E9", "P", "square"),
    State("not started", "Nothing is in the ground yet.", "#BDBDBD", "N", "ring"),
    State(
        "criteria met",
        "Every criterion is met; it is not yet signed off.",
        "#0072B2",
        "M",
        "circle",
    ),
    State(
        "accepted with concession",
        "Outside a limit, accepted in writing with the limits of the concession.",
        "#CC79A7",
        "C",
        "star",
    ),
    State("accepted", "Every criterion is met and a person signed.", "#009E73", "A", "hexagon"),
    State(
        "replaced",
        "Replaced by another pile, which is accepted.",
        "#757575",
        "X",
        "thin cross",
    ),
)
STATE: dict[str, State] = {state.word: state for state in STATES}
STATE_ORDER: dict[str, int] = {state.word: rank for rank, state in enumerate(STATES)}
ACCEPTED_STATES = ("accepted", "accepted with concession")


@dataclass(frozen=True)
class Stage:
    """One step of the work, a fact from the field."""

    word: str
    meaning: str


STAGES: tuple[Stage, ...] = (  # in the usual order of the work
    Stage("on the schedule", "A row in an issued revision of the schedule."),
    Stage("released", "Hold points before the work are closed."),
    Stage("set out", "The stake is placed and checked."),
    Stage("installing", "A run has begun and has not ended."),
    Stage("stopped", "The last run ended and the work is to go on."),
    Stage("installed", "The last run ended; the steel work is finished."),
    Stage("grouted", "The placement is closed and the head topped up."),
    Stage("cut off", "Cut off and head fitted."),
    Stage("surveyed", "The as-built point is recorded."),
    Stage("tested", "The test record is complete."),
    Stage("concreted over", "Concrete is placed over the head."),
)
STAGE_ORDER: dict[str, int] = {stage.word: rank for rank, stage in enumerate(STAGES)}

# Results of a rule, and the state each one asks for (DEVELOPERS.md, "Judging").
RESULT_STATE: dict[str, str | None] = {
    "not met": "engineer review",
    "within measurement uncertainty": "engineer review",
    "no evidence": "record incomplete",
    "waiting": "waiting for result",
    "noted": None,
    "not yet due": None,
    "not required": None,
    "met": None,
}
RESULTS: tuple[str, ...] = tuple(RESULT_STATE)  # worst first
OPEN_RESULTS = ("not met", "within measurement uncertainty", "no evidence", "waiting", "noted")

# What the program cannot know, shown beside the numbers that it could be forgotten with.
CAUTIONS: tuple[str, ...] = (  # Basis of each: DEVELOPERS.md, "Cautions".
    "The state shown is a screening result. The engineer of record, the specification and the "
    "local code govern; nothing here is an approval.",
    "Torque correlation is empirical: an index of resistance, not a measurement of it. Its "
    "scatter is large, and load tests outrank it.",
    "Do not rely on it in a thin hard layer over soft ground, cobbles, weathered rock or refusal, "
    "sensitive or very soft clay, peat, loose or collapsible soil, frozen ground or "
    "uncontrolled fill.",
    "It is invalid after spin-out, pre-drilling, excessive crowd or reverse rotation, and with a "
    "calibration that is out of force or out of range.",
    "Discs and a grout column add torque: a factor from bare shafts does not transfer to "
    "grouted ones.",
    "A factor for tension does not serve compression, or the reverse, without the engineer.",
    "Group action, settlement, lateral load, buckling, downdrag and corrosion are not covered "
    "by torque.",
)

STEEL_CAUTIONS: tuple[str, ...] = (
    "Paper traceability does not prove the steel: stamps are misread, plates are exchanged, and a "
    "certificate speaks for its heat, not for the piece in the ground. The engineer of record and "
    "the contract decide.",
    CAUTIONS[0],
)
