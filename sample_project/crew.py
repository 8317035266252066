"""The invented crews: they drive each pile into the ground and stop when the torque is held."""

from __future__ import annotations

import zlib
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np
from certificates import certificate_for
from faults import FAULTS, Fault
from ground import Ground, along_axis
from layout import Position

SEED = 20260914
LEAD = {"B1": 1.25, "P1": 1.12, "W1": 1.15, "F1": 0.80}  # torque of the lead over the reference's
PITCH_MM = 75
WINDOW = {"B1": 3, "P1": 3, "W1": 4, "F1": 3}  # readings in the final window
DEEPEST = 44


@dataclass(frozen=True)
class Rig:
    """One rig: its interval, units of depth, and the instruments it carries."""

    name: str
    interval_mm: float
    feet: bool

    def depth_mm(self, station: int) -> int:
        """Depth of a station in whole millimetres."""
        return round(station * self.interval_mm)


RIGS = (Rig("Rig 1", 300.0, False), Rig("Rig 2", 304.8, True))


@dataclass(frozen=True)
class Reading:
    """One line of the log."""

    station: int
    instrument: str
    gear: str
    shown: float
    torque_nm: float
    advance_share: float
    direction: str = "advancing"
    event: str = ""


@dataclass
class Run:
    """One spell of work."""

    number: int
    why: str
    day: date
    readings: list[Reading] = field(default_factory=list)
    toe_mm: int | None = None
    stop_reason: str = ""
    start_min: int = 0
    end_min: int | None = None


def dice(pile: str) -> np.random.Generator:
    """The pile's own generator: no pile depends on the order of the work."""
    return np.random.default_rng([SEED, zlib.crc32(pile.encode())])


def found_torque(position: Position, ground: Ground, rig: Rig, pile: str) -> np.ndarray:
    """Torque [kN·m] at every station down to the deepest, before any instrument shows it."""
    depth_m = np.arange(1, DEEPEST + 1) * rig.interval_mm / 1000
    surface = ground.surface_m(position.east_m, position.north_m)
    head = (position.east_m, position.north_m, surface)
    points = along_axis(head, position.batter_deg, position.azimuth_deg, depth_m)
    noise = 1 + 0.035 * dice(pile).standard_normal(DEEPEST)
    torque = LEAD[position.pile_type] * ground.strength(points, surface) * noise
    # The relief valve opens softly well under the rating.
    soft, room = 0.70 * position.rated_knm, 0.22 * position.rated_knm
    return np.where(torque < soft, torque, soft + room * np.tanh((torque - soft) / room))


class Driving:
    """One pile on its way down with one rig on one day."""

    def __init__(self, position: Position, pile: str, rig: Rig, day: date, ground: Ground) -> None:
        self.position, self.pile, self.rig, self.day = position, pile, rig, day
        self.fault = FAULTS.get(pile, Fault())
        self.window = WINDOW[position.pile_type]
        self.torque_knm = found_torque(position, ground, rig, pile)

    def instrument(self, station: int) -> str:
        """Instrument that reads at ``station``."""
        if self.fault.swap_to and station >= self.fault.swap_at:
            return self.fault.swap_to
        usual = "GS-11"
        if self.rig.feet:
            usual = "TI-31" if date(2026, 9, 18) <= self.day <= date(2026, 9, 24) else "GS-21"
        return self.fault.instrument or usual

    def reading(self, station: int, share: float, direction: str = "advancing") -> Reading:
        """What the crew writes down at ``station``."""
        name, true_nm = self.instrument(station), 1000 * self.torque_knm[station - 1]
        gear = "" if name != "GS-21" else "low" if true_nm > 4000 else "high"
        certificate = certificate_for(name, self.day)
        shown = certificate.shown(true_nm, gear)
        torque_nm = certificate.torque_nm(shown, gear)
        return Reading(station, name, gear, shown, torque_nm, share, direction)

    def shape_end(self, last: int) -> None:
        """Puts the planted readings at the end, with a run-up so that it stays ground."""
        ends = np.array(self.fault.ends) * self.position.required_knm
        first = last - len(ends)
        self.torque_knm[first:last] = ends
        run_up = min(4, first)
        weight = np.arange(1, run_up + 1) / (run_up + 1)
        above = self.torque_knm[first - run_up : first]
        self.torque_knm[first - run_up : first] = (1 - weight) * above + weight * ends[0]

    def readings(self, last: int) -> list[Reading]:
        """The log from the top to station ``last``."""
        rng = dice(self.pile + " advance")
        events = {last - above: text for above, text in self.fault.events}
        shares = np.clip(rng.normal(0.965, 0.018, DEEPEST), 0.90, 1.02)
        if self.fault.advance_shares:
            shares[last - len(self.fault.advance_shares) : last] = self.fault.advance_shares
        return [
            replace(self.reading(station, shares[station - 1]), event=events.get(station, ""))
            for station in range(1, last + 1)
        ]

    def held(self, last: int) -> bool:
        """Whether a clean pile may stop at ``last``: torque held, deep enough, not falling."""
        window = [self.reading(s, 1.0).torque_nm for s in range(last - self.window + 1, last + 1)]
        deep = self.position.embedment_mm(self.rig.depth_mm(last)) >= self.position.min_embedment_mm
        required_nm = 1000 * self.position.required_knm
        steady = window[-1] >= 0.88 * max(window)
        return deep and steady and min(window) >= 1.005 * required_nm

    def stop_station(self) -> int:
        """Station at which the crew stops; one pile in eight goes a little deeper."""
        if self.fault.last_station:
            return self.fault.last_station
        good = [s for s in range(self.window, DEEPEST + 1) if self.held(s)]
        if not good:
            raise ValueError(f"{self.pile}: the ground never holds the required torque")
        rng = dice(self.pile + " depth")
        deeper = int(rng.integers(1, 5)) if rng.random() < 0.125 and not self.fault.rows else 0
        return next((s for s in good if s >= good[0] + deeper), good[0])

    def runs(self) -> list[Run]:
        """All spells of work on the pile, without their times."""
        last = self.stop_station()
        if self.fault.ends:
            self.shape_end(last)
        if self.fault.resumed_stations:
            return self._resumed(last)
        if self.fault.backed_off_stations:
            return self._backed_off(last)
        readings = self.readings(last)
        kept = [r for i, r in enumerate(reversed(readings)) if i not in self.fault.left_out]
        toe = self.rig.depth_mm(last) + self.fault.toe_below_last_mm
        return [Run(1, "first", self.day, kept[::-1], toe, self.fault.stop_reason)]

    def _resumed(self, last: int) -> list[Run]:
        """The new stations come on the next working day; their day is set by the diary."""
        first = last - self.fault.resumed_stations
        readings = self.readings(last)
        return [
            Run(1, "first", self.day, readings[:first], self.rig.depth_mm(first), "end of shift"),
            Run(2, "resumed", self.day, readings[first:], self.rig.depth_mm(last),
                self.fault.stop_reason),
        ]  # fmt: skip

    def _backed_off(self, earlier: int) -> list[Run]:
        """Turned back by some stations, then two stations deeper than the earlier toe."""
        top, last = earlier - self.fault.backed_off_stations, earlier + 2
        readings = self.readings(last)
        turned = self.reading(top, 1.0, "reversed")
        return [
            Run(1, "first", self.day, readings[:earlier], self.rig.depth_mm(earlier), "instructed"),
            Run(2, "re-advanced", self.day, [turned, *readings[top:]], self.rig.depth_mm(last),
                self.fault.stop_reason),
        ]  # fmt: skip
