"""Who drives what on which day: three weeks, two rigs, and the log sheets that come of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
from certificates import INSTRUMENTS
from crew import PITCH_MM, RIGS, Driving, Reading, Rig, Run, dice
from faults import FAULTS, INSTALLING, NOT_ON_SCHEDULE, STOPPED, Fault
from ground import Ground
from layout import INSTRUCTED, Position, instructed_place, revision_b
from strings import finishes, lengths

FIRST_DAY, ISSUED_C = date(2026, 9, 14), date(2026, 9, 29)
WORKDAYS = [FIRST_DAY + timedelta(days=7 * week + day) for week in range(3) for day in range(5)]
PEOPLE = {  # crew, operator, inspector: all invented
    "Rig 1": ("Crew 1", "Fay Sample", "Erin Sample"),
    "Rig 2": ("Crew 2", "Fred Sample", "Erin Sample"),
}
FIRST_MIN, BETWEEN_MIN = 7 * 60 + 20, 40
UNFINISHED_STATIONS = 9


def queue(rig: Rig) -> list[str]:
    """Piles in the order in which the rig drives them."""
    if rig.feet:
        east = [f"B{bent:02d}-{pile}" for bent in range(55, 46, -1) for pile in (1, 2)]
        pump_house = [f"P-{number}" for number in range(101, 141)]
        pump_house.insert(pump_house.index("P-112") + 1, "P-112A")
        return [*pump_house, NOT_ON_SCHEDULE, "F-1", "F-2", "F-3", *east, INSTALLING]
    west = [f"B{bent:02d}-{pile}" for bent in range(1, 27) for pile in (1, 2)]
    west.insert(west.index("B16-1"), "B15-1R")
    return [*west, *(f"W-{number:02d}" for number in range(1, 20)), STOPPED]


def position_of(pile: str) -> Position:
    """Design position that a pile serves, at the place where it is driven."""
    known = {position.name: position for position in revision_b()}
    if pile == NOT_ON_SCHEDULE:
        last = known["P-140"]
        return replace(last, name=pile, east_m=last.east_m + 2.4)
    served = INSTRUCTED[pile].position if pile in INSTRUCTED else pile
    return instructed_place(pile, known[served])


def diary(rig: Rig, ground: Ground) -> dict[date, list[tuple[str, Run]]]:
    """Runs of each day in order, with their times; a run resumed next morning comes first."""
    days: dict[date, list[tuple[str, Run]]] = {day: [] for day in WORKDAYS}
    shares = np.array_split(np.array(queue(rig)), len(WORKDAYS))
    for number, (day, share) in enumerate(zip(WORKDAYS, shares, strict=True)):
        resumed_last = sorted(share.tolist(), key=lambda p: _fault(p).resumed_stations > 0)
        for pile in resumed_last:
            runs = Driving(position_of(pile), pile, rig, day, ground).runs()
            for run in _unfinished(pile, runs, rig):
                on = WORKDAYS[number + 1] if run.why == "resumed" else day
                days[on].append((pile, replace(run, day=on)))
    for done in days.values():
        _set_times(done)
    return days


def _fault(pile: str) -> Fault:
    return FAULTS.get(pile, Fault())


def _unfinished(pile: str, runs: list[Run], rig: Rig) -> list[Run]:
    """The runs as they stand at the end of the last day."""
    if pile not in (STOPPED, INSTALLING):
        return runs
    readings = runs[0].readings[:UNFINISHED_STATIONS]
    if pile == INSTALLING:
        return [replace(runs[0], readings=readings, toe_mm=None, stop_reason="")]
    toe = rig.depth_mm(UNFINISHED_STATIONS)
    return [replace(runs[0], readings=readings, toe_mm=toe, stop_reason="end of shift")]


def _set_times(done: list[tuple[str, Run]]) -> None:
    clock = FIRST_MIN
    for pile, run in done:
        minutes = 9 + round(1.6 * len(run.readings)) + int(dice(pile + run.why).integers(0, 9))
        run.start_min, run.end_min = clock, clock + minutes
        clock += minutes + BETWEEN_MIN


def log_rows(rig: Rig, day: date, done: list[tuple[str, Run]]) -> list[dict[str, str]]:
    """The day's sheet as the rig hands it in: one row a reading, the run's data repeated."""
    return [
        _us_row(rig, pile, run, reading) if rig.feet else _si_row(rig, pile, run, reading)
        for pile, run in done
        for reading in run.readings
    ]


def worked_to(pile: str, day: date) -> str:
    """Revision written on the sheet."""
    return _fault(pile).worked_to or ("C" if day >= ISSUED_C else "B")


def moment(day: date, minutes: int) -> str:
    """Day and time as the crew writes them."""
    return f"{day.isoformat()} {minutes // 60:02d}:{minutes % 60:02d}"


def _event(pile: str, reading: Reading, per_piece: int) -> str:
    fault = _fault(pile)
    if fault.swap_to and reading.station == fault.swap_at:
        return "gauge change"
    if reading.direction == "reversed":
        return "reversed"
    if reading.event:
        return reading.event
    return "coupling" if reading.station % per_piece == 0 else ""


def disc_inches(pile: str) -> int:
    """Depth of the toe when the first disc enters, as the crew reads it off the lead."""
    return 48 + int(dice(pile + " disc").integers(-1, 3))


def _at_the_end(rig: Rig, pile: str, run: Run, unit: str) -> dict[str, str]:
    """Stick-up and cut-off of a finished pile."""
    names = (f"Stick-up ({unit})", f"Cut off ({unit})")
    if not finishes(pile, run) or run.toe_mm is None:
        return dict.fromkeys(names, "")
    found = lengths(pile, position_of(pile), rig, run.toe_mm)
    to_unit = 304.8 if rig.feet else 1000.0
    measured = (found.stick_up_mm, found.cut_off_mm)
    return {name: f"{mm / to_unit:.2f}" for name, mm in zip(names, measured, strict=True)}


def _remarks(pile: str, run: Run) -> str:
    """A pile that was backed off has its remarks on the run that went over it again."""
    fault = _fault(pile)
    return "" if fault.backed_off_stations and run.number == 1 else fault.remarks


def _speed(pile: str, reading: Reading) -> str:
    wobble = dice(f"{pile} {reading.station}").integers(-1, 2)
    return str(round(16 - reading.torque_nm / 2000) + int(wobble))


def _si_row(rig: Rig, pile: str, run: Run, reading: Reading) -> dict[str, str]:
    crew, operator, inspector = PEOPLE[rig.name]
    advance = f"{reading.advance_share * PITCH_MM:.0f}"
    ended = pile != INSTALLING and run.end_min is not None
    return {
        "Date": run.day.isoformat(),
        "Rig": rig.name,
        "Crew": crew,
        "Operator": operator,
        "Inspector": inspector,
        "Drawing revision": worked_to(pile, run.day),
        "Pile": pile,
        "Run": str(run.number),
        "Why this run": run.why,
        "Start": moment(run.day, run.start_min),
        "End": moment(run.day, run.end_min) if ended else "",
        "Depth (m)": f"{rig.depth_mm(reading.station) / 1000:.2f}",
        "Differential pressure (bar)": f"{reading.shown:.0f}",
        "Instrument": reading.instrument,
        "Turning": reading.direction,
        "Advance (mm/turn)": advance if _fault(pile).advance_recorded else "",
        "Speed (rpm)": _speed(pile, reading),
        "Event at depth": _event(pile, reading, 7),
        "Final depth (m)": "" if run.toe_mm is None else f"{run.toe_mm / 1000:.2f}",
        **_at_the_end(rig, pile, run, "m"),
        "Reason for stopping": run.stop_reason,
        "Remarks": _remarks(pile, run),
    }


def _us_row(rig: Rig, pile: str, run: Run, reading: Reading) -> dict[str, str]:
    crew, operator, inspector = PEOPLE[rig.name]
    pressure = INSTRUMENTS[reading.instrument].unit == "psi"
    ended = pile != INSTALLING and run.end_min is not None
    toe_ft = "" if run.toe_mm is None else f"{run.toe_mm / 304.8:.2f}"
    return {
        "Day": run.day.isoformat(),
        "Machine": rig.name,
        "Team": crew,
        "Driver": operator,
        "Inspected by": inspector,
        "Worked to revision": worked_to(pile, run.day),
        "Pile no": pile,
        "Run": str(run.number),
        "Time start": moment(run.day, run.start_min),
        "Time end": moment(run.day, run.end_min) if ended else "",
        "Depth (ft)": str(reading.station),
        "Differential pressure (psi)": f"{reading.shown:.0f}" if pressure else "",
        "Torque (ft-lb)": "" if pressure else f"{reading.shown:.0f}",
        "Gauge set": reading.instrument,
        "Gear": reading.gear,
        "Advance (in/rev)": f"{reading.advance_share * PITCH_MM / 25.4:.2f}",
        "Rpm (rpm)": _speed(pile, reading),
        "Event at depth": _event(pile, reading, 7),
        "Toe (ft)": toe_ft,
        "First disc (ft)": f"{disc_inches(pile) / 12:.2f}" if pile.startswith("P-") else "",
        **_at_the_end(rig, pile, run, "ft"),
        "Reason stopped": run.stop_reason,
        "Comments": _remarks(pile, run),
    }


def all_days(ground: Ground) -> list[tuple[Rig, date, list[tuple[str, Run]]]]:
    """Every sheet of both rigs."""
    return [(rig, day, done) for rig in RIGS for day, done in diary(rig, ground).items() if done]
