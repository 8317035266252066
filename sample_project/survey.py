"""The invented surveyor: where the heads stand, how the axes lean, at which level he measured."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from math import cos, radians, sin, tan

import numpy as np
from crew import dice
from ground import Ground
from layout import Position, revision_b
from strings import HEAD_MM, head_error_mm
from works_faults import NOT_TRACED, SURVEY, SurveyFault

# What each visit covers: piles finished by the second day that no earlier visit covers. The list is
# sent after the engineer's review on the third.
VISITS = (
    (date(2026, 9, 18), date(2026, 9, 17), date(2026, 9, 21)),
    (date(2026, 9, 25), date(2026, 9, 24), date(2026, 9, 28)),
    (date(2026, 10, 1), date(2026, 9, 30), date(2026, 10, 2)),
)
REVIEWER = "Erin Sample"
Rows = list[dict[str, object]]


@dataclass(frozen=True)
class Visit:
    """Lists of one visit: upright piles by their tilts, anchors by batter and azimuth."""

    day: date
    piles: Rows
    anchors: Rows


def visits(
    finished: dict[str, date], positions: dict[str, Position], ground: Ground
) -> list[Visit]:
    """Every visit with its lists; ``finished``: piles with the day of their last run."""
    found, after = [], date.min
    design = {position.name: position for position in revision_b()}
    for day, until, reviewed in VISITS:
        visit = Visit(day, [], [])
        for pile in sorted(finished):
            wanted = SURVEY.get(pile, SurveyFault()).surveyed and pile != NOT_TRACED
            if wanted and after < finished[pile] <= until:
                position = positions[pile]
                rows = visit.anchors if position.batter_deg else visit.piles
                cutoff = cutoff_m(design[position.name], ground)
                row = _row(pile, position, day, cutoff)
                rows.append(row | _review(pile, reviewed))
        found.append(visit)
        after = until
    return found


def cutoff_m(position: Position, ground: Ground) -> float:
    """Cut-off level as the schedule prints it."""
    surface = ground.surface_m(position.east_m, position.north_m)
    return round(surface + HEAD_MM[position.pile_type] / 1000, 2)


def _row(pile: str, position: Position, day: date, cutoff: float) -> dict[str, object]:
    fault, rng = SURVEY.get(pile, SurveyFault()), dice(pile + " survey")
    offset = np.clip(rng.normal(0, 13, 2), -28, 28)
    if fault.east_mm or fault.north_mm:
        offset = np.array([fault.east_mm, fault.north_mm])
    east, north = position.east_m + offset[0] / 1000, position.north_m + offset[1] / 1000
    start: dict[str, object] = {"Mark": pile, "Stage": "after cut-off", "Date": day.isoformat()}
    if not position.batter_deg:
        tilts = np.round(np.clip(rng.normal(0, 0.35, 2), -0.8, 0.8), 2) + 0.0
        if fault.tilt_deg:
            tilts = np.array([fault.tilt_deg * 0.8, fault.tilt_deg * 0.6])
        level = cutoff + head_error_mm(pile) / 1000
        # The head leans away from its place at cut-off level by what it stands above it.
        shift = [head_error_mm(pile) / 1000 * tan(radians(tilt)) for tilt in tilts]
        return (
            start
            | _place(east - shift[0], north - shift[1], level)
            | {
                "Tilt east (deg)": f"{tilts[0]:.2f}",
                "Tilt north (deg)": f"{tilts[1]:.2f}",
            }
        )
    batter = position.batter_deg + float(np.clip(rng.normal(0, 0.5), -1.2, 1.2))
    azimuth = position.azimuth_deg + float(np.clip(rng.normal(0, 0.6), -1.4, 1.4))
    up = (fault.up_mm or float(rng.integers(4, 30) * 10)) / 1000
    plan = up * sin(radians(batter))
    east -= plan * sin(radians(azimuth))
    north -= plan * cos(radians(azimuth))
    start["Stage"] = "after installation"
    return (
        start
        | _place(east, north, cutoff + up * cos(radians(batter)))
        | {
            "Batter from vertical (deg)": f"{batter:.2f}",
            "Azimuth (deg)": f"{azimuth:.2f}",
        }
    )


def _review(pile: str, day: date) -> dict[str, object]:
    reviewed = SURVEY.get(pile, SurveyFault()).reviewed
    return {
        "Reviewed by": REVIEWER if reviewed else "",
        "Reviewed on": day.isoformat() if reviewed else "",
    }


def _place(east: float, north: float, level: float) -> dict[str, object]:
    return {"E (m)": f"{east:.3f}", "N (m)": f"{north:.3f}", "Z (m)": f"{level:.3f}"}
