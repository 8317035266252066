"""Finding kinds of torque, its readings and their instruments."""

from __future__ import annotations

from core.words.findings.kind import FindingKind

KINDS: tuple[FindingKind, ...] = (
    FindingKind(
        "required torque",
        "Mean torque in the final window against the required torque.",
        "AC",
        "DES",
        "a deeper run, a load test or a concession",
        form=2,
    ),
    FindingKind(
        "torque at the last reading",
        "Last reading of the final window against the required torque.",
        "AC",
        "DES",
        "a deeper run, a load test or a concession",
        form=2,
    ),
    FindingKind(
        "torque without the greatest reading",
        "Mean of the final window without its greatest reading against the required torque.",
        "AC",
        "DES",
        "a deeper run, a load test or a concession",
        form=2,
    ),
    FindingKind(
        "required torque cross-check",
        "Required torque printed on the schedule against safety factor × load / torque factor.",
        "H",
        "DES",
        "the schedule or torque factor table corrected, or printed_governs with its clause",
    ),
    FindingKind(
        "final reading in header and log",
        "Final torque or pressure in the run's header against the log's reading at the toe.",
        "H",
        "QC",
        "the header or the log corrected, or the difference explained",
        since=2,
    ),
    FindingKind(
        "rated torque",
        "Greatest torque against the lowest torque rating of the string.",
        "AC",
        "DES",
        "an inspection of the string, a document for the rating, or a concession",
    ),
    FindingKind(
        "drop at the end",
        "Fall of torque from the greatest to the last reading of the final window.",
        "A",
        "DES",
        "the engineer's decision on the bearing stretch",
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
        "pressure kind not asked",
        "Pressures imported before their kind was asked; they count as differential.",
        "H",
        "QC",
        "the file imported again with the kind of its pressures, differential or line",
        since=2,
    ),
    FindingKind(
        "no torque factor for this case",
        "A load without a torque factor of its case, or without a safety factor.",
        "A",
        "DES",
        "a row in the torque factor table with its source, or the safety factor with its clause",
        form=2,
    ),
    FindingKind(
        "readings without a run",
        "Torque readings whose run was withdrawn or removed; they count for nothing.",
        "AH",
        "FM",
        "the run taken in again, or the readings withdrawn too",
    ),
)
