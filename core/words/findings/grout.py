"""Finding kinds of grout and its specimens."""

from __future__ import annotations

from core.words.findings.kind import FindingKind

KINDS: tuple[FindingKind, ...] = (
    FindingKind(
        "grout recorded",
        "Placements of a grouted type with all their volumes.",
        "AH",
        "FM",
        "the placement record, with what was left, spilled and returned",
    ),
    FindingKind(
        "grout take",
        "Cumulative net grout over the cumulative void at the end of each lift, the least of them.",
        "AC",
        "DES",
        "a top-up, re-grouting or a concession",
    ),
    FindingKind(
        "grout take in a lift",
        "Net grout of one lift over the void that opened during it, the least of the lifts.",
        "AC",
        "DES",
        "a top-up, re-grouting or a concession",
    ),
    FindingKind(
        "grout take above the alarm",
        "Net grout over the void of the whole pile: grout lost into a void, or a miscount.",
        "P",
        "DES",
        "the engineer's note",
    ),
    FindingKind(
        "grout lifts to the toe",
        "Widest gap between the lifts, from where the grout column begins to the toe.",
        "AH",
        "FM",
        "the missing lift from the crew's sheet, or its depths corrected",
        since=2,
    ),
    FindingKind(
        "grout density",
        "Density of every batch placed in the pile.",
        "A",
        "QC",
        "a note on the batch, or a concession",
    ),
    FindingKind(
        "grout flow",
        "Time of efflux of every batch placed in the pile.",
        "A",
        "QC",
        "a note on the batch, or a concession",
    ),
    FindingKind(
        "batch age at placement",
        "Age of a batch when its placement ended.",
        "A",
        "DES",
        "the times corrected from the batch sheet, or the engineer's decision",
    ),
    FindingKind(
        "grout sampling",
        "A sample group stands for the grout of the pile, as often as the project asks.",
        "AH",
        "DES",
        "the group's list of piles completed, or a concession",
    ),
    FindingKind(
        "grout strength",
        "Strength of the pile's sample groups at the age that the project names.",
        "AC",
        "DES",
        "a test at a later age, a core or a concession; it touches every pile of the group",
    ),
    FindingKind(
        "grout level after placing",
        "How far the grout fell in the head and was not topped up.",
        "A",
        "FM",
        "the top-up recorded, or the engineer's decision",
    ),
    FindingKind(
        "turned after initial set",
        "A grouted pile turned after the initial set of its last placement.",
        "AC",
        "DES",
        "the engineer's decision",
    ),
    FindingKind(
        "fresh neighbour",
        "A pile installed close to another whose grout was still fresh.",
        "A",
        "DES",
        "the engineer's decision on both piles",
    ),
    FindingKind(
        "sample group without specimens",
        "A sample group lists piles, and no specimen of that group is recorded.",
        "H",
        "QC",
        "the specimens of the group, or its number corrected",
        since=2,
    ),
    FindingKind(
        "placement without a run",
        "Grout placements whose run was withdrawn or removed; they count for nothing.",
        "AH",
        "FM",
        "the run taken in again, or the placements withdrawn too",
    ),
)
