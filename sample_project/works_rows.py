"""The tables of grout, survey and steel, before anybody dresses them."""

from __future__ import annotations

from datetime import date

from crew import RIGS, Rig, Run
from diary import PEOPLE, disc_inches, moment, position_of, worked_to
from ground import Ground
from grout import GroutDay, Placement, cube_rows, group_rows, grout_days, last_end_min
from slips import Row, Rows
from steel import (
    BAR_1,
    DELIVERIES,
    SET_ON_STAMP,
    UNLISTED,
    UNREAD,
    Delivery,
    delivery_rows,
)
from strings import Days, Placed, finishes, lengths, strings
from survey import Visit, visits
from works_books import feet_of
from works_faults import DOUBTFUL_HEAT, GROUT, NO_CERTIFICATE, NO_HEAT
from yard_papers import certificate_list, remnant_rows


class Works:
    """Everything that the crews, the surveyor and the supplier write down of one job."""

    def __init__(self, days: Days, ground: Ground) -> None:
        self.days = days
        done = [(rig, pile, run) for rig, _, runs in days for pile, run in runs]
        self.positions = {pile: position_of(pile) for _, pile, _ in done}
        self.finished = {pile: run.day for _, pile, run in done if finishes(pile, run)}
        self.ground = ground
        self.placed = list(strings(days, self.positions))
        self.grout = grout_days(days)

    def grout_sheets(self) -> dict[date, Rows]:
        """Lines of each day's grout sheet."""
        return {sheet.day: _lines(sheet) for sheet in self.grout}

    def cubes(self) -> Rows:
        """The laboratory's list of specimens."""
        return cube_rows(self.grout)

    def groups(self) -> Rows:
        """Which piles each sample group stands for."""
        silent = {pile: self.finished[pile] for pile, fault in GROUT.items() if not fault.recorded}
        return group_rows(self.grout, silent)

    def visits(self) -> list[Visit]:
        """The surveyor's visits."""
        return visits(self.finished, self.positions, self.ground)

    def deliveries(self) -> list[tuple[Delivery, Rows]]:
        """The supplier's lists."""
        mill, _, certificate = BAR_1
        odd = {
            self._lead(NO_CERTIFICATE): UNLISTED,
            self._lead(NO_HEAT): UNREAD,
            self._lead(DOUBTFUL_HEAT): (mill, SET_ON_STAMP, certificate),
        }
        return [(delivery, delivery_rows(delivery, odd)) for delivery in DELIVERIES]

    def _lead(self, pile: str) -> str:
        return next(one.stamp for one in self.placed if one.pile == pile)

    def remnants(self) -> Rows:
        """Components that the yard cut itself."""
        return remnant_rows()

    def certificates(self) -> Rows:
        """Mill certificates and their heats."""
        return certificate_list()

    def strings_of(self, rig: Rig) -> list[tuple[date, Row]]:
        """Day and line of every place of the rig's strings."""
        own = {pile for one, _, runs in self.days for pile, _ in runs if one == rig}
        line = _feet_line if rig.feet else _metre_line
        return [(self.finished[one.pile], line(one)) for one in self.placed if one.pile in own]

    def turned_again(self) -> Rows:
        """Runs in which a grouted pile was turned later the same day, without a reading."""
        rows = []
        for pile, fault in GROUT.items():
            if fault.turned_h_later:
                sheet = next(one for one in self.grout if one.day == self.finished[pile])
                start = last_end_min(sheet, pile) + round(60 * fault.turned_h_later)
                rows.append(self._turned(pile, sheet.day, start))
        return rows

    def _turned(self, pile: str, day: date, start_min: int) -> Row:
        rig = RIGS[1]
        crew, operator, inspector = PEOPLE[rig.name]
        run = self._run(pile)
        found = lengths(pile, self.positions[pile], rig, run.toe_mm or 0)
        return {
            "Pile no": pile,
            "Run": "2",
            "Why this run": "extended",
            "Day": day.isoformat(),
            "Time start": moment(day, start_min),
            "Time end": moment(day, start_min + 6),
            "Machine": rig.name,
            "Team": crew,
            "Driver": operator,
            "Inspected by": inspector,
            "Worked to revision": worked_to(pile, day),
            "Toe (ft)": f"{(run.toe_mm or 0) / 304.8:.2f}",
            "First disc (ft)": f"{disc_inches(pile) / 12:.2f}",
            "Stick-up (ft)": f"{found.stick_up_mm / 304.8:.2f}",
            "Cut off (ft)": f"{found.cut_off_mm / 304.8:.2f}",
            "Reason stopped": "instructed",
            "Comments": "Turned by a quarter to bring the bracket into line",
        }

    def _run(self, pile: str) -> Run:
        return next(run for _, _, done in self.days for name, run in done if name == pile)


def _lines(sheet: GroutDay) -> Rows:
    seen: set[str] = set()
    rows = []
    for one in sheet.placements:
        rows.append(_line(one, first=one.batch.number not in seen))
        seen.add(one.batch.number)
    return rows


def _line(one: Placement, first: bool) -> Row:
    batch, day = one.batch, one.batch.day
    waste = ["", "", ""] if one.waste_l is None else [f"{litres:.1f}" for litres in one.waste_l]
    return {
        "Batch No.": batch.number,
        "Batch Mixed": moment(day, batch.mixed_min) if first else "",
        "Batch kg/m³": str(batch.density_kg_m3) if first else "",
        "Batch Flow s": f"{batch.flow_s:.1f}" if first else "",
        "Batch W/C": "0.45" if first else "",
        "Lift Pile": one.pile,
        "Lift No.": str(one.lift),
        "Lift from": f"{one.from_in // 12}'-{one.from_in % 12}\"",
        "Lift to": f"{one.to_in // 12}'-{one.to_in % 12}\"",
        "Litres batched": f"{one.batched_l:.1f}",
        "Litres left": waste[0],
        "Litres spilled": waste[1],
        "Litres returned": waste[2],
        "Clock start": moment(day, one.start_min),
        "Clock end": moment(day, one.end_min),
        "Afterwards drop mm": "" if one.drop_mm is None else str(one.drop_mm),
        "Afterwards topped up": "" if one.topped_up_l is None else str(one.topped_up_l),
    }


def _metre_line(one: Placed) -> Row:
    return {
        "Pile": one.pile,
        "Run": str(one.run),
        "Place in string": str(one.place),
        "Stamp": one.stamp,
        "Used length (m)": f"{one.used_mm / 1000:.2f}",
        "Bolts": one.bolts,
    }


def _feet_line(one: Placed) -> Row:
    return {
        "Pile": one.pile,
        "Run": "" if one.run == 1 else str(one.run),
        "Place": str(one.place),
        "Stamp": one.stamp,
        "Delivery": one.delivery,
        "Length (ft-in)": feet_of(one.used_mm),
        "Bolts": one.bolts,
    }
