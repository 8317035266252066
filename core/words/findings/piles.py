"""Finding kinds of piles, the schedule, criteria and sign-offs."""

from __future__ import annotations

from core.words.findings.kind import FindingKind

KINDS: tuple[FindingKind, ...] = (
    FindingKind(
        "criterion not set",
        "The project neither sets this criterion for the pile's type nor declares it not required.",
        "A",
        "DES",
        "a limit with its clause, or a clause that makes it not required, in project.toml",
    ),
    FindingKind(
        "parameter not set",
        "A set criterion lacks a parameter that this version needs.",
        "A",
        "DES",
        "the parameter with its value in project.toml",
        since=2,
    ),
    FindingKind(
        "embedment",
        "Embedment by the project's measure against the least embedment.",
        "AC",
        "DES",
        "a deeper run, a replacement or a concession",
    ),
    FindingKind(
        "reason for stopping",
        "The recorded reason for stopping against the reasons that need no decision.",
        "AC",
        "DES",
        "an instruction, a further run or a replacement",
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
        "run not closed",
        "A run with readings that has no toe depth or no reason for stopping.",
        "AH",
        "FM",
        "the toe depth and the reason for stopping from the field sheet",
        since=2,
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
        "record of an unknown pile",
        "A survey, stage record or sample group names a pile that no schedule, pile or run has.",
        "H",
        "QC",
        "the number corrected in its file, or the schedule, pile or run that it belongs to",
        since=2,
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
        "A result, limit, load or measured value is worse than what the sign-off was given for.",
        "AH",
        "ENG",
        "a new sign-off",
    ),
    FindingKind(
        "criterion newer than sign-off",
        "A criterion or parameter that the settings did not have when piles were signed off.",
        "A",
        "DES",
        "the criterion set or declared not required in project.toml, and the settings recorded",
        since=2,
    ),
)
