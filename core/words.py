"""Words of the trade that the program shows: states, stages, results and finding kinds, once."""

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
    State("rejected", "The engineer decided that it cannot serve.", "#000000", "R", "cross"),
    State(
        "engineer review",
        "A measured value is outside a limit and nobody has decided yet.",
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
        "Every criterion is met; nobody has signed yet.",
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
        "Another pile serves in its place, and that pile is accepted.",
        "#757575",
        "X",
        "thin cross",
    ),
)
STATE: dict[str, State] = {state.word: state for state in STATES}
STATE_ORDER: dict[str, int] = {state.word: rank for rank, state in enumerate(STATES)}
SATISFIED = ("accepted", "accepted with concession")


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

BLOCKS: dict[str, str] = {
    "A": "acceptance of the pile",
    "C": "concrete over the head",
    "P": "payment",
    "H": "hand-over",
    "W": "further work",
}
OWNERS: dict[str, str] = {
    "DES": "designer or engineer of record",
    "ENG": "engineer's representative on site",
    "PM": "contractor's project manager",
    "FM": "foreman or rig operator",
    "QC": "contractor's quality person",
}


@dataclass(frozen=True)
class FindingKind:
    """One kind of finding: what it means, what it blocks, who clears it and with what."""

    word: str
    meaning: str
    blocks: str
    owner: str
    clears: str


FINDING_KINDS: tuple[FindingKind, ...] = (
    FindingKind(
        "criterion not set",
        "The project neither sets this criterion for the pile's type nor declares it not required.",
        "A",
        "DES",
        "a limit with its clause, or a clause that makes it not required, in project.toml",
    ),
    FindingKind(
        "required torque",
        "Mean torque in the final window against the required torque.",
        "AC",
        "DES",
        "a deeper run, a load test or a concession",
    ),
    FindingKind(
        "torque at the last reading",
        "Last reading of the final window against the required torque.",
        "AC",
        "DES",
        "a deeper run, a load test or a concession",
    ),
    FindingKind(
        "torque without the greatest reading",
        "Mean of the final window without its greatest reading against the required torque.",
        "AC",
        "DES",
        "a deeper run, a load test or a concession",
    ),
    FindingKind(
        "required torque cross-check",
        "Required torque on the schedule against safety factor times load over torque factor.",
        "H",
        "DES",
        "the schedule or the torque factor table corrected, or the difference confirmed",
    ),
    FindingKind(
        "rated torque",
        "Greatest torque against the lowest torque rating of the string.",
        "AC",
        "DES",
        "an inspection of the string, a document for the rating, or a concession",
    ),
    FindingKind(
        "embedment",
        "Embedment by the project's measure against the least embedment.",
        "AC",
        "DES",
        "a deeper run, a replacement or a concession",
    ),
    FindingKind(
        "drop at the end",
        "Fall of torque from the greatest to the last reading of the final window.",
        "A",
        "DES",
        "the engineer's decision on the bearing stretch",
    ),
    FindingKind(
        "reason for stopping",
        "The recorded reason for stopping against the reasons that need no decision.",
        "AC",
        "DES",
        "an instruction, a further run or a replacement",
    ),
    FindingKind(
        "advance per turn",
        "Advance per turn in the final window as a share of the helix pitch.",
        "A",
        "DES",
        "the advance recorded, a re-advance, or the engineer's decision",
    ),
    FindingKind(
        "reading gap in the final window",
        "Greatest distance between readings in the final window, up to the recorded toe.",
        "AH",
        "FM",
        "the reading found in the paper sheet, or a concession",
    ),
    FindingKind(
        "reading gap above the final window",
        "Greatest distance between readings above the final window.",
        "H",
        "FM",
        "the reading found in the paper sheet, or a note of the engineer",
    ),
    FindingKind(
        "calibration in force",
        "Readings taken while no certificate of their instrument was in force.",
        "AH",
        "QC",
        "a certificate that covers the day, or a check before and after",
    ),
    FindingKind(
        "calibrated range",
        "Readings outside the calibrated points of their instrument.",
        "A",
        "QC",
        "a certificate with a wider range, or the engineer's decision",
    ),
    FindingKind(
        "no torque factor for this case",
        "No row of the torque factor table fits section, direction, grout, helix set and ground.",
        "A",
        "DES",
        "a row in the torque factor table with its source",
    ),
    FindingKind(
        "disturbed ground",
        "Penetration after reverse turning or re-advance, which voids torque until it is reached.",
        "AC",
        "DES",
        "a deeper run or the engineer's decision",
    ),
    FindingKind(
        "penetration after a stop",
        "New penetration after a long stop, before which readings do not count.",
        "A",
        "FM",
        "a deeper run or the engineer's decision",
    ),
    FindingKind(
        "schedule revision at the run",
        "What the schedule asked on the day of the run against what it asks now.",
        "H",
        "DES",
        "the engineer's confirmation that the later revision stands",
    ),
    FindingKind(
        "revision worked to",
        "The revision the crew worked to against the one in force on the day of the run.",
        "A",
        "DES",
        "the engineer's confirmation",
    ),
    FindingKind(
        "pile not on any schedule",
        "A run for a pile whose position is on no issued schedule.",
        "AP",
        "PM",
        "a revised schedule that names the position",
    ),
    FindingKind(
        "position missing from the latest revision",
        "The latest revision is silent about a position of an earlier one.",
        "W",
        "DES",
        "a revision that keeps or deletes the position",
    ),
    FindingKind(
        "sign-off changed since",
        "Measured values, limits or results differ from those the sign-off was given for.",
        "AH",
        "ENG",
        "a new sign-off",
    ),
)
FINDING_KIND: dict[str, FindingKind] = {kind.word: kind for kind in FINDING_KINDS}

CAUTIONS: tuple[str, ...] = (  # Basis of each: DEVELOPERS.md, "Cautions".
    "The state shown is a screening result. The engineer of record, the specification and the "
    "local code govern; nothing here is an approval.",
    "Torque correlation is empirical: an index of resistance, not a measurement of it. Its "
    "scatter is large, and load tests outrank it.",
    "Do not rely on it in a thin hard layer over soft ground, cobbles, weathered rock or refusal, "
    "sensitive or very soft clay, peat, loose or collapsible soil, frozen ground or "
    "uncontrolled fill.",
    "It is invalid after spin-out, pre-drilling, over-crowding or reverse turning, and with a "
    "calibration that is out of force or out of range.",
    "Discs and a grout column add torque: a factor from bare shafts does not transfer to "
    "grouted ones.",
    "A factor for tension does not serve compression, or the reverse, without the engineer.",
    "Group action, settlement, lateral load, buckling, downdrag and corrosion are not covered "
    "by torque.",
)
