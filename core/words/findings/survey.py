"""Finding kinds of the as-built survey."""

from __future__ import annotations

from core.words.findings.kind import FindingKind

KINDS: tuple[FindingKind, ...] = (
    FindingKind(
        "survey recorded",
        "An as-built survey of the pile at the stage that the project names.",
        "ACH",
        "SUR",
        "the survey of the pile",
    ),
    FindingKind(
        "survey reviewed",
        "The survey is reviewed, with name and day, before concrete covers the head.",
        "ACH",
        "DES",
        "the review recorded; over a covered head, the engineer's decision",
        since=2,
    ),
    FindingKind(
        "offset in plan",
        "As-built place at cut-off level against the design or instructed place.",
        "AC",
        "DES",
        "a check of the cap or a concession",
    ),
    FindingKind(
        "angle of the axis",
        "Angle between the as-built axis and the design axis.",
        "AC",
        "DES",
        "a check of the pile for the angle or a concession",
    ),
    FindingKind(
        "head level",
        "As-built level of the head against cut-off level.",
        "C",
        "FM",
        "the head cut or extended, and surveyed again",
    ),
    FindingKind(
        "covered without survey",
        "Concrete stands over a head that nobody surveyed before.",
        "AH",
        "DES",
        "other evidence of place and level, agreed by the engineer",
    ),
)
