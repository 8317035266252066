"""Finding kinds of installation events and of the text beside readings and runs."""

from __future__ import annotations

from core.words.findings.kind import FindingKind

_DEEPER = "a deeper run, a replacement or the engineer's decision"
_INSPECTED = "an inspection of the string, a replacement or the engineer's decision"

KINDS: tuple[FindingKind, ...] = (
    FindingKind(
        "installation events",
        "No event that asks for a decision is on record beside the readings.",
        "AH",
        "FM",
        "the readings of the pile with what happened at each depth",
        since=2,
    ),
    FindingKind(
        "coupling failure",
        "A coupling, bolt or weld is recorded as failed during installation.",
        "AC",
        "DES",
        _INSPECTED,
        since=2,
    ),
    FindingKind(
        "shaft damage",
        "Shaft or helix is recorded as twisted, bent, cracked or broken during installation.",
        "AC",
        "DES",
        _INSPECTED,
        since=2,
    ),
    FindingKind(
        "refusal",
        "Refusal is recorded and the clause of the criterion does not allow it.",
        "AC",
        "DES",
        _DEEPER,
        since=2,
    ),
    FindingKind(
        "spin-out",
        "Penetration after spin-out, which voids torque until it is reached.",
        "AC",
        "DES",
        _DEEPER,
        since=2,
    ),
    FindingKind(
        "obstruction",
        "Distance from the toe up to an obstruction.",
        "AC",
        "DES",
        _DEEPER,
        since=2,
    ),
    FindingKind(
        "reversed turning",
        "Distance from the toe up to reversed turning that is recorded as an event.",
        "AC",
        "DES",
        _DEEPER,
        since=2,
    ),
    FindingKind(
        "loss of crowd",
        "Distance from the toe up to a loss of crowd.",
        "AC",
        "DES",
        _DEEPER,
        since=2,
    ),
    FindingKind(
        "remark to read",
        "Text beside readings that names no known event, or remarks of a run that name one.",
        "H",
        "ENG",
        "the text read by the engineer",
        since=2,
    ),
)
