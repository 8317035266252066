"""The invented yard: what was delivered, of which heats, and the mill certificates to it."""

from __future__ import annotations

from dataclasses import dataclass

from strings import REMNANT_MM
from works_faults import OVER_USED_LOT

Rows = list[dict[str, object]]
MILL_A, MILL_B, MILL_C, MILL_D = (f"Invented mill {letter}" for letter in "ABCD")
SUPPLIER = "Invented supplier Stonebeck"
SET_ON_STAMP, SET_ON_PAPER = "B4O172", "B40172"  # one heat, read off a worn stamp and off paper


@dataclass(frozen=True)
class Delivery:
    """One delivery note."""

    number: str
    day: str
    leads: tuple[LeadSet, ...]
    lots: tuple[Lot, ...]


@dataclass(frozen=True)
class LeadSet:
    """Leads of one kind, numbered on; heats of the shaft change after ``first`` of them."""

    stamp: str
    first: int
    last: int
    length_mm: int
    section: str
    helix_set: str
    rated_knm: str
    shafts: tuple[tuple[str, str, str], ...]  # mill, heat, certificate; in equal shares
    plates: tuple[str, str, str]


@dataclass(frozen=True)
class Lot:
    """A number of equal components under one stamp."""

    stamp: str
    kind: str
    count: int
    length_mm: int
    section: str
    rated_knm: str
    steel: tuple[str, str, str]


TUBE_1, TUBE_2, TUBE_3 = (
    (MILL_A, heat, "MC-1041") for heat in ("A51307", "A51308", "A51312")
)  # one certificate for three heats
TUBE_7, PLATE_7 = (
    (MILL_A, "61844", "MC-1058"),
    (MILL_C, "61844", "MC-3309"),
)  # one number, two mills
BAR_1, BAR_2 = (MILL_B, SET_ON_PAPER, "MC-2210"), (MILL_B, "B40175", "MC-2214")
BAR_LOW = (MILL_B, "B40191", "MC-2231")
PLATE_1, PLATE_2 = (MILL_C, "7Q1803", "MC-3305"), (MILL_C, "7Q1811", "MC-3305")
SMALL = (MILL_A, "E20931", "MC-1066")
SLEEVE = (MILL_D, "D7719", "MC-4402")
UNLISTED = (MILL_A, "A51999", "")

DS_89, DS_45, DS_73 = "15", "14", "9.5"
DATA_SHEET = {
    "round 89": "Invented data sheet DS-89, revision 2",
    "square 45": "Invented data sheet DS-45, revision 4",
    "round 73": "Invented data sheet DS-73, revision 1",
}
DELIVERIES = (
    Delivery(
        "DN-2291", "2026-09-02",
        (LeadSet("LB-{:03d}", 1, 60, 2100, "round 89", "300-350", DS_89, (TUBE_1, TUBE_2), PLATE_1),
         LeadSet("LW-{:02d}", 1, 32, 2100, "square 45", "300-350", DS_45, (BAR_1, BAR_2), PLATE_2)),
        (Lot("XB-A", "extension", 60, 2100, "round 89", DS_89, TUBE_1),
         Lot("XB-B", "extension", 60, 2100, "round 89", DS_89, TUBE_2),
         Lot("XB-C", "extension", 60, 2100, "round 89", DS_89, TUBE_3),
         Lot("XW-A", "extension", 40, 2100, "square 45", DS_45, BAR_1),
         Lot("CB-A", "coupling", 140, 0, "", "", SLEEVE)),
    ),
    Delivery(
        "DN-2292", "2026-09-03",
        (LeadSet("LP-{:02d}", 1, 48, 2134, "square 45", "250-300", DS_45, (BAR_1, BAR_2), PLATE_2),
         LeadSet("LB-2{:02d}", 1, 24, 2134, "round 89", "300-350", DS_89, (TUBE_7,), PLATE_7),
         LeadSet("LF-{}", 1, 4, 2134, "round 73", "250-300", DS_73, (SMALL,), PLATE_1)),
        (Lot("XP-A", "extension", 50, 2134, "square 45", DS_45, BAR_1),
         Lot("XP-B", "extension", 20, 2134, "square 45", DS_45, BAR_2),
         Lot("XB-7A", "extension", 30, 2134, "round 89", DS_89, TUBE_7),
         Lot("XF-A", "extension", 5, 2134, "round 73", DS_73, SMALL),
         Lot("CB-C", "coupling", 90, 0, "", "", SLEEVE),
         Lot("CF-A", "coupling", 8, 0, "", "", SLEEVE)),
    ),
    Delivery(
        "DN-2311", "2026-09-17",
        (),
        (Lot("XP-B", "extension", 40, 2134, "square 45", DS_45, BAR_2),
         Lot("XB-7B", "extension", 40, 2134, "round 89", DS_89, TUBE_7),
         Lot("XW-B", "extension", 60, 2100, "square 45", DS_45, BAR_2),
         Lot("XW-C", "extension", 6, 2100, "square 45", DS_45, BAR_LOW),
         Lot("CB-B", "coupling", 60, 0, "", "", SLEEVE)),
    ),
)  # fmt: skip
assert any(lot.stamp == OVER_USED_LOT for delivery in DELIVERIES for lot in delivery.lots)


def delivery_rows(delivery: Delivery, odd_leads: dict[str, tuple[str, str, str]]) -> Rows:
    """One row per piece of steel; what belongs to the component stands on its first row.

    ``odd_leads``: stamps of leads whose shaft is of another heat than their neighbours'.
    """
    rows: Rows = []
    for leads in delivery.leads:
        numbers = range(leads.first, leads.last + 1)
        share = -(-len(numbers) // len(leads.shafts))
        for at, number in enumerate(numbers):
            stamp = leads.stamp.format(number)
            shaft = odd_leads.get(stamp, leads.shafts[at // share])
            rows += _pieces(
                _component(stamp, "lead", "1", leads) | {"Helices": leads.helix_set},
                {"shaft": shaft, "helix plates": leads.plates},
            )
    for lot in delivery.lots:
        component = _component(lot.stamp, lot.kind, str(lot.count), lot)
        rows += _pieces(component, {"whole": lot.steel})
    return rows


def _component(stamp: str, kind: str, count: str, of: LeadSet | Lot) -> dict[str, object]:
    return {
        "Stamp": stamp,
        "Kind": kind,
        "Count": count,
        "Length (mm)": str(of.length_mm),
        "Shaft": of.section,
        "Helices": "",
        "Rated torque (kN·m)": of.rated_knm,
        "Rating document": DATA_SHEET.get(of.section, ""),
    }


def _pieces(component: dict[str, object], steel: dict[str, tuple[str, str, str]]) -> Rows:
    rows: Rows = []
    for piece, (mill, heat, certificate) in steel.items():
        first = component if not rows else dict.fromkeys(component, "")
        rows.append({**first, "Piece": piece, "Mill": mill, "Heat": heat,
                     "Certificate": certificate})  # fmt: skip
    return rows


def remnant_rows() -> Rows:
    """What the yard keeps of lengths that were cut off, under a stamp of its own."""
    mill, heat, certificate = TUBE_1
    return [
        {"Stamp": "R-01", "Kind": "extension", "Count": "1", "Length (mm)": str(REMNANT_MM),
         "Shaft": "round 89", "Rated torque (kN·m)": DS_89,
         "Rating document": DATA_SHEET["round 89"], "Cut from": "XB-A", "Piece": "whole",
         "Mill": mill, "Heat": heat, "Mill certificate": certificate}
    ]  # fmt: skip


_PAPERS = (  # certificate, type, mill, day, standard, grade, heats with yield and tensile strength
    ("MC-1041", "3.1", MILL_A, "2026-06-11", "Invented tube standard, 2024", "T-450",
     (("A51307", 478, 566), ("A51308", 471, 559), ("A51312", 483, 571))),
    ("MC-1058", "3.1", MILL_A, "2026-07-02", "Invented tube standard, 2024", "T-450",
     (("61844", 469, 561),)),
    ("MC-1066", "3.1", MILL_A, "2026-05-19", "Invented tube standard, 2024", "T-380",
     (("E20931", 402, 497),)),
    ("MC-2210", "3.1", MILL_B, "2026-06-23", "Invented bar standard, 2023", "Q-620",
     (("B40172", 655, 838),)),
    ("MC-2214", "3.1", MILL_B, "2026-06-30", "Invented bar standard, 2023", "Q-620",
     (("B40175", 648, 829),)),
    ("MC-2231", "2.2", MILL_B, "2026-08-04", "Invented bar standard, 2023", "Q-620",
     (("B40191", 652, 833),)),
    ("MC-3305", "3.1", MILL_C, "2026-05-27", "Invented plate standard, 2025", "P-355",
     (("7Q1803", 389, 512), ("7Q1811", 394, 518))),
    ("MC-3309", "3.1", MILL_C, "2026-06-15", "Invented plate standard, 2025", "P-355",
     (("61844", 386, 509),)),
    ("MC-4402", "2.2", MILL_D, "2026-04-30", "Invented sleeve standard, 2022", "S-300",
     (("D7719", 334, 470),)),
)  # fmt: skip


def certificate_list() -> Rows:
    """The mill certificates on file, one row per heat."""
    return [
        {"Certificate no": number, "EN 10204": kind, "Issued by": mill, "Issue date": day,
         "Standard": standard, "Grade": grade, "Mill": mill, "Heat no": heat, "Page": str(page),
         "Yield (MPa)": str(yield_mpa), "Tensile (MPa)": str(tensile_mpa)}
        for number, kind, mill, day, standard, grade, heats in _PAPERS
        for page, (heat, yield_mpa, tensile_mpa) in enumerate(heats, start=2)
    ]  # fmt: skip
