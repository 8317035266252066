"""The invented yard: what was delivered, and of which heats."""

from __future__ import annotations

from dataclasses import dataclass

from strings import BOLT_LOTS
from works_faults import OVER_USED_LOT

Rows = list[dict[str, object]]
MILL_A, MILL_B, MILL_C, MILL_D = (f"Invented mill {letter}" for letter in "ABCD")
SUPPLIER = "Invented supplier S"
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
    others: tuple[tuple[tuple[str, str, str], int], ...] = ()  # further heats, and of how many
    zinc_um: str = "92"
    zinc_lot: bool = True
    documented: bool = True


TUBE_1, TUBE_2, TUBE_3 = (
    (MILL_A, heat, "MC-1041") for heat in ("A51307", "A51308", "A51312")
)  # one certificate for six heats
TUBE_4, TUBE_UNSHOWN, TUBE_BACK = (
    (MILL_A, heat, "MC-1041") for heat in ("A51315", "A51332", "A51333")
)
TUBE_SOFT, TUBE_BRITTLE = ((MILL_A, heat, "MC-1072") for heat in ("A51330", "A51331"))
TUBE_7, PLATE_7 = (
    (MILL_A, "61844", "MC-1058"),
    (MILL_C, "61844", "MC-3309"),
)  # one number, two mills
BAR_1, BAR_2 = (MILL_B, SET_ON_PAPER, "MC-2210"), (MILL_B, "B40175", "MC-2214")
BAR_3 = (MILL_B, "B40178", "MC-2214")
BAR_LOW = (MILL_B, "B40191", "MC-2231")
PLATE_1, PLATE_2 = (MILL_C, "7Q1803", "MC-3305"), (MILL_C, "7Q1811", "MC-3305")
SMALL = (MILL_A, "E20931", "MC-1066")
SLEEVE = (MILL_D, "D7719", "MC-4402")
UNLISTED = (MILL_A, "A51999", "")
UNREAD = (MILL_A, "", "")
CAP_STEEL, BOLT_STEEL = ("", "", "DC-0771"), ("", "", "")

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
         Lot("XB-C", "extension", 60, 2100, "round 89", DS_89, TUBE_3, ((TUBE_4, 25),)),
         Lot("XW-A", "extension", 40, 2100, "square 45", DS_45, BAR_1),
         Lot("CB-A", "coupling", 140, 0, "", "", SLEEVE),
         Lot("PC-A", "cap", 120, 0, "", "", CAP_STEEL)),
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
         Lot("XW-B", "extension", 60, 2100, "square 45", DS_45, BAR_2, ((BAR_3, 20),)),
         Lot("XW-C", "extension", 6, 2100, "square 45", DS_45, BAR_LOW),
         Lot("CB-B", "coupling", 60, 0, "", "", SLEEVE),
         *(Lot(stamp, "bolt", 90, 0, "", "", BOLT_STEEL) for stamp, _, _ in BOLT_LOTS)),
    ),
    Delivery(
        "DN-2325", "2026-09-24",
        (),
        (Lot("XB-7D", "extension", 4, 2134, "round 89", DS_89, TUBE_SOFT),
         Lot("XB-7E", "extension", 4, 2134, "round 89", DS_89, TUBE_BRITTLE),
         Lot("XB-7G", "extension", 4, 2134, "round 89", DS_89, TUBE_7, zinc_lot=False),
         Lot("XB-7H", "extension", 4, 2134, "round 89", DS_89, TUBE_7, zinc_um="66"),
         Lot("XB-7J", "extension", 4, 2134, "round 89", DS_89, TUBE_UNSHOWN),
         Lot("XB-7K", "extension", 4, 2134, "round 89", DS_89, TUBE_BACK),
         Lot("XB-7L", "extension", 4, 2134, "round 89", DS_89, TUBE_7, documented=False)),
    ),
    Delivery(
        "DN-2330", "2026-10-02",
        (),
        (Lot("XB-7F", "extension", 4, 2134, "round 89", DS_89, TUBE_7),),
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
        if not lot.documented:
            component["Rating document"] = ""
        if lot.kind == "extension":
            zinc = f"Z-{delivery.number[3:]}" if lot.zinc_lot else ""
            component |= {"Zinc lot": zinc, "Zinc (µm)": lot.zinc_um}
        rows += _mixed(component, lot) if lot.others else _pieces(component, {"whole": lot.steel})
    return rows


def _mixed(component: dict[str, object], lot: Lot) -> Rows:
    """A lot of several heats: a row for each, with how many of the lot are of it."""
    first = lot.count - sum(count for _, count in lot.others)
    heats = ((lot.steel, first), *lot.others)
    rows = _pieces(component, {f"whole {at}": steel for at, (steel, _) in enumerate(heats, 1)})
    counts = (str(count) for _, count in heats)
    return [row | {"Of this heat": count} for row, count in zip(rows, counts, strict=True)]


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
        "Zinc lot": "",
        "Zinc (µm)": "",
    }


def _pieces(component: dict[str, object], steel: dict[str, tuple[str, str, str]]) -> Rows:
    rows: Rows = []
    for piece, (mill, heat, certificate) in steel.items():
        first = component if not rows else dict.fromkeys(component, "")
        rows.append({**first, "Piece": piece, "Mill": mill, "Heat": heat,
                     "Certificate": certificate, "Of this heat": ""})  # fmt: skip
    return rows
