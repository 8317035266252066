"""Finding kinds: what each means, what it blocks, who clears it and with what."""

from __future__ import annotations

from dataclasses import dataclass

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
        "readings without a run",
        "Torque readings whose run was withdrawn or removed; they count for nothing.",
        "AH",
        "FM",
        "the run taken in again, or the readings withdrawn too",
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
