"""The invented grout crew: batches, lifts as the toe goes down, and the cubes of every day."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import pi

import numpy as np
from crew import Rig, Run, dice
from diary import disc_inches
from strings import Days
from works_faults import GROUT, NO_RESULT_FROM, NOT_TRACED, WEAK_DAY, WEAK_MPA, GroutFault

DISC_MM, SIDE_MM = 150.0, 44.5  # as project.toml states them
PIECE_FT = 7
BATCH_L = 125.0
MM_PER_FT = 304.8
LABORATORY = "Invented grout laboratory"


@dataclass
class Batch:
    """One batch as the mixer's sheet has it."""

    number: str
    day: date
    mixed_min: int
    density_kg_m3: int
    flow_s: float


@dataclass(frozen=True)
class Placement:
    """What one batch gave to one lift; depths in inches, volumes in litres, times in minutes."""

    pile: str
    lift: int
    batch: Batch
    from_in: int
    to_in: int
    batched_l: float
    waste_l: tuple[float, float, float] | None
    start_min: int
    end_min: int
    drop_mm: int | None
    topped_up_l: int | None


def void_l(length_mm: float) -> float:
    """Room between the disc's hole and the square shaft."""
    return (pi / 4 * DISC_MM**2 - SIDE_MM**2) * length_mm / 1e6


@dataclass
class GroutDay:
    """The sheet of one day."""

    day: date
    batches: list[Batch] = field(default_factory=list)
    placements: list[Placement] = field(default_factory=list)


def grout_days(days: Days) -> list[GroutDay]:
    """Every day on which pump house piles are grouted while they go down."""
    found = []
    for rig, day, done in days:
        sheet = GroutDay(day)
        for pile, run in done:
            if pile.startswith("P-") and GROUT.get(pile, GroutFault()).recorded:
                _grout(sheet, pile, run, rig)
        if sheet.placements:
            found.append(sheet)
    return found


def _grout(sheet: GroutDay, pile: str, run: Run, rig: Rig) -> None:
    """One pile: a lift from the first disc to the first coupling, then one to each coupling."""
    fault, rng = GROUT.get(pile, GroutFault()), dice(pile + " grout")
    toe_in = round((run.toe_mm or 0) / 25.4)
    ends = [*range(12 * PIECE_FT, toe_in, 12 * PIECE_FT), toe_in]
    starts = [disc_inches(pile), *ends[:-1]]
    count = len(ends) - (not fault.last_lift_recorded)
    start_min, end_min = run.start_min + 6, run.end_min or run.start_min
    batch = _batch(sheet, start_min - fault.mixed_min_before, fault, rng)
    left_l = BATCH_L
    for lift, (above, below) in enumerate(zip(starts[:count], ends[:count], strict=True), start=1):
        take = fault.takes[lift - 1] if fault.takes else rng.uniform(1.20, 1.45)
        net_l = take * void_l((below - above) * 25.4)
        last = lift == count
        spilled = float(rng.integers(0, 3)) / 2
        returned = float(rng.integers(0, 4)) / 2 if last else 0.0
        left = float(rng.integers(2, 7)) if last else 0.0
        batched = round(2 * (net_l + spilled + returned + left) + 0.5) / 2
        span = (end_min - start_min) / toe_in
        clock = (
            round(start_min + span * above),
            round(start_min + span * below) + (3 if last else 0),
        )
        waste: tuple[float, float, float] | None = (left, spilled, returned)
        if not fault.waste_recorded and lift == 2:
            waste = None
        parts = [(batch, batched, waste)]
        if batched > left_l:  # the batch runs out within the lift
            rest = _batch(sheet, clock[0] - 4, GroutFault(), rng)
            first = float(np.floor(left_l)) if batched - left_l > 15 else 0.0
            parts = [(batch, first, (0.0, 0.0, 0.0))] if first else []
            parts.append((rest, batched - first, waste))
            batch, left_l = rest, BATCH_L + first
        left_l -= batched
        for used, litres, gone in parts:
            drop = (fault.level_drop_mm or 10 * int(rng.integers(1, 7))) if last else None
            topped = fault.topped_up_l if last else None
            sheet.placements.append(Placement(
                pile, lift, used, above, below, litres, gone, *clock, drop, topped
            ))  # fmt: skip


def _batch(sheet: GroutDay, mixed_min: int, fault: GroutFault, rng: np.random.Generator) -> Batch:
    number = f"GB-{sheet.day:%m%d}-{len(sheet.batches) + 1}"
    density = 5 * round(float(np.clip(rng.normal(1888, 9), 1865, 1912)) / 5)
    flow = round(float(np.clip(rng.normal(15, 1.2), 12, 18)), 1)
    batch = Batch(number, sheet.day, mixed_min, fault.density_kg_m3 or density, flow)
    sheet.batches.append(batch)
    return batch


def last_end_min(sheet: GroutDay, pile: str) -> int:
    """When the pile's last placement of the day ended."""
    return max(one.end_min for one in sheet.placements if one.pile == pile)


def group_rows(days: list[GroutDay], silent: dict[str, date]) -> list[dict[str, object]]:
    """Piles of each day's sample group; ``silent`` are grouted piles that no sheet names."""
    rows = []
    for sheet in days:
        piles = dict.fromkeys(one.pile for one in sheet.placements)
        piles |= {pile: None for pile, day in silent.items() if day == sheet.day}
        rows += [
            {"Sample group": f"CG-{sheet.day:%m%d}", "Pile": pile}
            for pile in sorted(piles)
            if pile != NOT_TRACED and GROUT.get(pile, GroutFault()).sampled
        ]
    return rows


def cube_rows(days: list[GroutDay]) -> list[dict[str, object]]:
    """Three cubes of each day for seven days, and in the first week two more for 28."""
    return [row for sheet in days for row in _cubes(sheet)]


def _cubes(sheet: GroutDay) -> Iterator[dict[str, object]]:
    group, rng = f"CG-{sheet.day:%m%d}", dice(f"cubes {sheet.day}")
    batch = sheet.batches[min(1, len(sheet.batches) - 1)].number
    known = sheet.day.isoformat() < NO_RESULT_FROM
    first_week = sheet.day <= date(2026, 9, 18)
    for number, age in enumerate((7, 7, 7, *((28, 28) if first_week else ())), start=1):
        strength = round(float(np.clip(rng.normal(31, 1.6), 27, 36)), 1)
        if number == 2 and sheet.day.isoformat() == WEAK_DAY:
            strength = WEAK_MPA
        tested = known and age == 7
        on = sheet.day + timedelta(days=age)
        yield {
            "Cube": f"{group}-{number}",
            "Sample group": group,
            "Batch": batch,
            "Date cast": sheet.day.isoformat(),
            "Age (d)": str(age),
            "Date tested": on.isoformat() if tested else "",
            "Strength (MPa)": f"{strength:.1f}" if tested else "",
            "Laboratory": LABORATORY,
            "Report no": f"FG-{on:%m%d}" if tested else "",
        }
