"""The string of every pile: how long it is, what is cut off, which components stand in it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from math import ceil, cos, radians

import numpy as np
from crew import Rig, Run, dice
from faults import FAULTS, Fault
from layout import Position
from works_faults import (
    BRITTLE,
    CALLED_BACK,
    FORGOTTEN_PIECE,
    GROUT,
    LOOSE_BOLTS,
    LOW_GRADE,
    LOW_TYPE,
    NO_ORIGIN,
    NO_RATING,
    NO_ZINC,
    NOT_ON_REGISTER,
    OLD_BOLTS,
    REMNANT,
    SAME_STAMP_AS,
    SAME_STAMP_WITHIN,
    SURVEY,
    THIN_ZINC,
    TOO_EARLY,
    WRONG_LEAD,
    GroutFault,
    SurveyFault,
)

HEAD_MM = {"B1": 1200, "P1": 300, "W1": 300, "F1": 300}  # cut-off level above the ground
REMNANT_MM = 1100
NO_STAMP = "XB-Q"
Days = list[tuple[Rig, date, list[tuple[str, Run]]]]


def piece_mm(rig: Rig) -> int:
    """Working length of leads and extensions: 2.1 m, or 7 ft."""
    return 2134 if rig.feet else 2100


def head_error_mm(pile: str) -> int:
    """How far the head stands above cut-off level."""
    planted = SURVEY.get(pile, SurveyFault()).head_mm
    found = dice(pile + " head").normal(0, 7)
    return planted or round(float(np.clip(found, -18, 18)))


def finishes(pile: str, run: Run) -> bool:
    """Whether the pile is finished with this run, so that its string is cut and measured."""
    turned_back = FAULTS.get(pile, Fault()).backed_off_stations and run.number == 1
    return run.stop_reason not in ("", "end of shift") and not turned_back


@dataclass(frozen=True)
class Lengths:
    """Lengths along the axis at the end of the last run."""

    stick_up_mm: int
    cut_off_mm: int
    pieces: tuple[int, ...]


def lengths(pile: str, position: Position, rig: Rig, toe_mm: int) -> Lengths:
    """What stands above the ground, what is cut off, and the pieces from the toe up."""
    upright = HEAD_MM[position.pile_type] + head_error_mm(pile)
    stick_up = round(upright / cos(radians(position.batter_deg)))
    length = piece_mm(rig)
    pieces = [length] * ceil((toe_mm + stick_up) / length)
    if pile == REMNANT:
        pieces[-1] = REMNANT_MM
    return Lengths(stick_up, sum(pieces) - toe_mm - stick_up, tuple(pieces))


@dataclass(frozen=True)
class Placed:
    """One place in a string."""

    pile: str
    run: int
    place: int
    stamp: str
    delivery: str
    used_mm: int
    bolts: str


@dataclass(frozen=True)
class Stock:
    """What one gang draws from: leads by number, extensions and couplings lot by lot."""

    leads: str
    extensions: tuple[tuple[str, str, int], ...]  # lot, delivery where it needs one, count
    couplings: tuple[tuple[str, str, int], ...] = ()


STOCKS = {
    ("B1", False): Stock("LB-{:03d}", (("XB-A", "", 60), ("XB-B", "", 60), ("XB-C", "", 60)),
                         (("CB-A", "", 140), ("CB-B", "", 60))),
    ("B1", True): Stock("LB-2{:02d}", (("XB-7A", "", 30), ("XB-7B", "", 40)),
                        (("CB-C", "", 90),)),
    ("P1", True): Stock("LP-{:02d}", (("XP-A", "", 50), ("XP-B", "DN-2292", 20),
                                      ("XP-B", "DN-2311", 40))),
    ("W1", False): Stock("LW-{:02d}", (("XW-A", "", 40), ("XW-B", "", 60))),
    ("F1", True): Stock("LF-{}", (("XF-A", "", 99),), (("CF-A", "", 8),)),
}  # fmt: skip
SPECIAL_LEAD = {WRONG_LEAD: "LW-31"}
SPECIAL_LOT = {
    LOW_TYPE: "XW-C", LOW_GRADE: "XB-7D", BRITTLE: "XB-7E", TOO_EARLY: "XB-7F", NO_ZINC: "XB-7G",
    THIN_ZINC: "XB-7H", NO_ORIGIN: "XB-7J", CALLED_BACK: "XB-7K", NO_RATING: "XB-7L",
}  # fmt: skip
BOLT_LOTS = (("BT-A", "2026-09-28", "2026-09-30"), ("BT-B", "2026-10-01", ""))  # days of use
CAP = "PC-A"


class Store:
    """The yard: what has been drawn so far, in the order of the work."""

    def __init__(self) -> None:
        self.drawn: Counter[tuple[str, bool, str]] = Counter()
        self.leads: dict[str, str] = {}

    def lead(self, pile: str, key: tuple[str, bool]) -> str:
        """Stamp of the next lead, as the foreman writes it down."""
        self.drawn[(*key, "lead")] += 1
        own = STOCKS[key].leads.format(self.drawn[(*key, "lead")])
        own = SPECIAL_LEAD.get(pile, own)
        self.leads[pile] = self.leads.get(SAME_STAMP_AS.get(pile, ""), own)
        return self.leads[pile]

    def lot(self, key: tuple[str, bool], what: str) -> tuple[str, str]:
        """Lot and delivery of the next extension or coupling."""
        place = self.drawn[(*key, what)]
        self.drawn[(*key, what)] += 1
        for stamp, delivery, count in getattr(STOCKS[key], what):
            if place < count:
                return stamp, delivery
            place -= count
        raise ValueError(f"no {what} left for {key}")


def strings(days: Days, positions: dict[str, Position]) -> Iterator[Placed]:
    """Every place of every finished string, in the order of the work."""
    store = Store()
    for rig, _, done in days:
        for pile, run in done:
            if finishes(pile, run) and run.toe_mm is not None:
                yield from _string(pile, run, rig, positions[pile], store)


def _string(pile: str, run: Run, rig: Rig, position: Position, store: Store) -> Iterator[Placed]:
    toe = run.toe_mm or 0
    key = (position.pile_type, rig.feet)
    pieces = lengths(pile, position, rig, toe).pieces
    parts = [(store.lead(pile, key), "", pieces[0], "none needed")]
    for number, length in enumerate(pieces[1:], start=2):
        if STOCKS[key].couplings:
            parts.append((*store.lot(key, "couplings"), 0, "fitted and tight"))
        stamp, delivery = _extension(pile, key, number == len(pieces), store)
        loose = pile == LOOSE_BOLTS and number == 3
        parts.append((stamp, delivery, length, "not fitted" if loose else "fitted and tight"))
        if position.pile_type == "W1":
            parts.append((_bolts(pile, run.day), "", 0, "none needed"))
    if position.pile_type == "B1":
        parts.append((CAP, "", 0, "none needed"))
    if pile == SAME_STAMP_WITHIN:
        parts[1] = (parts[0][0], "", 0, "fitted and tight")
    last = run.number + (GROUT.get(pile, GroutFault()).turned_h_later > 0)
    if pile == FORGOTTEN_PIECE:
        parts = [*parts[:-3], parts[-1]]
    for place, (stamp, delivery, length, bolts) in enumerate(parts, start=1):
        yield Placed(pile, last, place, stamp, delivery, length, bolts)


def _bolts(pile: str, day: date) -> str:
    """Lot of the bolts of a joint: the one in use on the day."""
    first, (second, since, _) = BOLT_LOTS[0][0], BOLT_LOTS[1]
    return first if pile == OLD_BOLTS or day.isoformat() < since else second


def _extension(pile: str, key: tuple[str, bool], last: bool, store: Store) -> tuple[str, str]:
    if pile == REMNANT and last:
        return "R-01", ""
    if pile == NOT_ON_REGISTER and last:
        return NO_STAMP, ""
    if pile in SPECIAL_LOT:
        return SPECIAL_LOT[pile], ""
    return store.lot(key, "extensions")
