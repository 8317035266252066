"""The yard's lists: remnants, lots of bolts, delivery notes, and mill certificates with results."""

from __future__ import annotations

from steel import (
    DATA_SHEET,
    DELIVERIES,
    DS_89,
    MILL_A,
    MILL_B,
    MILL_C,
    MILL_D,
    SUPPLIER,
    TUBE_1,
    TUBE_BACK,
    Rows,
)
from strings import BOLT_LOTS, REMNANT_MM
from works_faults import LOST_PARENT


def remnant_rows() -> Rows:
    """What the yard keeps of lengths that were cut off, under a stamp of its own."""
    mill, heat, certificate = TUBE_1
    return [
        {"Stamp": stamp, "Kind": "extension", "Count": "1", "Length (mm)": str(REMNANT_MM),
         "Shaft": "round 89", "Rated torque (kN·m)": DS_89,
         "Rating document": DATA_SHEET["round 89"], "Cut from": parent, "Zinc lot": "Z-2291",
         "Zinc (µm)": "90", "Piece": "whole", "Mill": mill, "Heat": heat,
         "Mill certificate": certificate}
        for stamp, parent in (("R-01", "XB-A"), ("R-02", LOST_PARENT))
    ]  # fmt: skip


def lot_rows() -> Rows:
    """The days between which the yard hands out each lot of bolts."""
    return [
        {"Lot": stamp, "Used from": since, "Used to": until} for stamp, since, until in BOLT_LOTS
    ]


def note_rows() -> Rows:
    """The delivery notes as the yard took them over."""
    return [
        {"Delivery note": one.number, "Date delivered": one.day, "Supplier": SUPPLIER,
         "Order": f"LS-PO-{at:02d}", "Accepted by": "Fay Sample",
         "Condition": "complete, dry, no damage seen"}
        for at, one in enumerate(DELIVERIES, 1)
    ]  # fmt: skip


# Certificate, type, mill, day, standard, grade; of each heat yield and tensile strength,
# elongation, carbon, carbon equivalent and where it was melted (invented countries).
_RESULTS = ("Yield (MPa)", "Tensile (MPa)", "Elongation (%)", "C (%)", "CE (%)", "Melted in")
NORTH, WEST = "Invented North", "Invented West"
_PAPERS = (
    ("MC-1041", "3.1", MILL_A, "2026-06-11", "Invented tube standard, 2024", "INV-T2",
     (("A51307", 478, 566, 21, 0.17, 0.40, NORTH), ("A51308", 471, 559, 22, 0.16, 0.39, NORTH),
      ("A51312", 483, 571, 20, 0.18, 0.41, NORTH), ("A51315", 476, 563, 21, 0.17, 0.40, NORTH),
      ("A51332", 474, 562, 21, 0.17, 0.40, ""), ("A51333", 479, 568, 20, 0.17, 0.41, NORTH))),
    ("MC-1058", "3.1", MILL_A, "2026-07-02", "Invented tube standard, 2024", "INV-T2",
     (("61844", 469, 561, 22, 0.16, 0.39, NORTH),)),
    ("MC-1066", "3.1", MILL_A, "2026-05-19", "Invented tube standard, 2024", "INV-T1",
     (("E20931", 402, 497, 24, 0.15, 0.36, NORTH),)),
    ("MC-1072", "3.1", MILL_A, "2026-08-21", "Invented tube standard, 2024", "INV-T2",
     (("A51330", 441, 553, 22, 0.15, 0.38, NORTH), ("A51331", 492, 583, 18, 0.21, 0.48, NORTH))),
    ("MC-2210", "3.1", MILL_B, "2026-06-23", "Invented bar standard, 2023", "INV-B",
     (("B40172", 655, 838, 15, 0.36, "", WEST),)),
    ("MC-2214", "3.1", MILL_B, "2026-06-30", "Invented bar standard, 2023", "INV-B",
     (("B40175", 648, 829, 16, 0.35, "", WEST), ("B40178", 651, 834, 15, 0.36, "", WEST))),
    ("MC-2231", "2.2", MILL_B, "2026-08-04", "Invented bar standard, 2023", "INV-B",
     (("B40191", 652, 833, 15, 0.36, "", WEST),)),
    ("MC-3305", "3.1", MILL_C, "2026-05-27", "Invented plate standard, 2025", "INV-P",
     (("7Q1803", 389, 512, 26, 0.15, 0.38, WEST), ("7Q1811", 394, 518, 25, 0.16, 0.39, WEST))),
    ("MC-3309", "3.1", MILL_C, "2026-06-15", "Invented plate standard, 2025", "INV-P",
     (("61844", 386, 509, 26, 0.15, 0.38, WEST),)),
    ("MC-4402", "2.2", MILL_D, "2026-04-30", "Invented sleeve standard, 2022", "INV-S",
     (("D7719", 334, 470, "", "", "", ""),)),
    ("DC-0771", "2.1", SUPPLIER, "2026-09-02", "Invented cap drawing LS-CP-1", "", ()),
)  # fmt: skip


def certificate_list() -> Rows:
    """The mill certificates on file, one row per heat."""
    return [
        {"Certificate no": number, "EN 10204": kind, "Issued by": mill, "Issue date": day,
         "Standard": standard, "Grade": grade, "Mill": mill, "Heat no": heat,
         "Page": str(page), **dict(zip(_RESULTS, map(str, results), strict=True))}
        for number, kind, mill, day, standard, grade, heats in _PAPERS
        for page, (heat, *results) in enumerate(heats, start=2)
    ]  # fmt: skip


def quarantine_rows() -> Rows:
    """Heats that the quality person puts in quarantine."""
    mill, heat, _ = TUBE_BACK
    letter = "The mill calls the heat back: a bend test failed, letter MA-118 (invented)"
    return [{"heat": heat, "mill": mill, "by": "Quinn Sample", "reason": letter}]


def declaration_rows() -> Rows:
    """Declarations that list no heat."""
    return [
        {"Certificate no": number, "EN 10204": kind, "Issued by": issuer, "Issue date": day,
         "Standard": standard}
        for number, kind, issuer, day, standard, _, heats in _PAPERS
        if not heats
    ]  # fmt: skip
