"""Which piles there are, and what the schedule in force, their type and their runs have of each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from core.records import OUTSIDE_PRODUCTION
from core.records.current_rows import CurrentRows, common_codes
from core.records.matching import place_of_each
from core.subjects.piles.measures import DIRECTIONS, matched_torque_factors, safety_factor_of

OF_PILE = (
    "pile_id", "position_id", "replaces", "duty", "instruction", "instructed_easting_m",
    "instructed_northing_m",
)  # fmt: skip
OF_SCHEDULE = {
    "required_torque_nm": "printed_torque_nm",
    "rated_torque_nm": "schedule_rated_torque_nm",
    "duty": "scheduled_duty",
    "grouted_length_mm": "schedule_grouted_length_mm",
}
OF_LAST_RUN = {
    "stop_reason": "stop_reason",
    "run_on": "run_on",
    "run_no": "last_run_no",
    "rig": "rig",
    "advance_mm_per_turn": "run_advance_mm_per_turn",
}
OF_FACTOR = {
    "torque_factor_per_m": "torque_factor_per_m",
    "id": "torque_factor_id",
    "source": "torque_factor_source",
    "key": "torque_factor_key",
}


@dataclass(frozen=True)
class PileRecords:
    """What piles are made from, up to the day of the assessment.

    ``schedule``: in force; ``piles``: of the record kind; ``runs``: in the order of the work;
    ``stages``: stage records of work beyond installing; ``types``, ``safety_factors`` and
    ``torque_factors``: of project.toml, one row for each of theirs.
    """

    schedule: CurrentRows
    piles: CurrentRows
    runs: CurrentRows
    stages: CurrentRows
    types: CurrentRows
    safety_factors: CurrentRows
    torque_factors: CurrentRows


def pile_rows(given: PileRecords) -> CurrentRows:
    """One row per pile, and one per position in force that no pile serves (pile_id missing).

    Beside it the schedule in force, with its place in the ledger; settings of the type; what the
    runs say of toe and last run; and the factors that fit the load of each direction.
    """
    rows = _with_schedule(_pile_list(given), given.schedule)
    rows = _with_type(rows, given.types)
    return _with_factors(_with_runs(rows, given.runs), given)


def _pile_list(given: PileRecords) -> CurrentRows:
    """The piles on record, those on which work is recorded, and the positions without a pile.

    A pile that no pile record names serves the position of its own number.
    """
    piles, schedule = given.piles, given.schedule
    (named, served, ran, staged, positions), numbers = common_codes(
        (piles, "pile_id"),
        (piles, "position_id"),
        (given.runs, "pile_id"),
        (given.stages, "pile_id"),
        (schedule, "position_id"),
    )
    known = np.zeros(len(numbers) + 1, dtype=bool)
    known[named] = known[-1] = True
    worked = np.concatenate([ran, staged])
    own = worked[~known[worked]]
    own = own[np.sort(np.unique(own, return_index=True)[1])]
    has_pile = np.zeros(len(numbers) + 1, dtype=bool)
    has_pile[served] = has_pile[own] = True
    has_pile[-1] = False
    open_ = positions[~has_pile[positions]]
    none = np.full(len(open_), -1)
    at = np.append(np.arange(len(named)), np.full(len(own) + len(open_), -1))
    rows = piles.only(OF_PILE).take(at)
    rows = rows.with_text("pile_id", np.concatenate([named, own, none]), numbers)
    return rows.with_text("position_id", np.concatenate([served, own, open_]), numbers)


def _with_schedule(rows: CurrentRows, schedule: CurrentRows) -> CurrentRows:
    """``rows`` with the schedule in force; where each pile is, and for what it serves.

    A pile is at the instructed point where there is one, else at the design point.
    """
    (own, theirs), numbers = common_codes((rows, "position_id"), (schedule, "position_id"))
    scheduled = schedule.take(place_of_each(theirs, len(numbers))[own]).renamed(OF_SCHEDULE)
    rows = rows.beside(scheduled, (name for name in scheduled.names if name != "position_id"))
    for name in ("easting_m", "northing_m"):
        instructed, design = rows.values(f"instructed_{name}"), rows.values(name)
        rows = rows.with_number(name, np.where(np.isnan(instructed), design, instructed))
    outside = [rows.is_text("scheduled_duty", word) for word in OUTSIDE_PRODUCTION]
    rows = rows.with_flag("current", rows.has("revision") & ~np.logical_or.reduce(outside))
    (duty, scheduled_duty), texts = common_codes((rows, "duty"), (rows, "scheduled_duty"))
    duty = np.where(duty >= 0, duty, np.where(scheduled_duty >= 0, scheduled_duty, len(texts)))
    rows = rows.with_text("duty", duty, [*texts, "production"])
    outside = [rows.is_text("duty", word) for word in OUTSIDE_PRODUCTION]
    return rows.with_flag("counted", ~np.logical_or.reduce(outside))


def _with_type(rows: CurrentRows, types: CurrentRows) -> CurrentRows:
    """``rows`` with the settings of their type and the parameters of its criteria."""
    (own, theirs), marks = common_codes((rows, "pile_type"), (types, "pile_type"))
    of_type = types.take(place_of_each(theirs, len(marks))[own])
    rows = rows.beside(of_type, (name for name in types.names if name != "pile_type"))
    asked = rows.values("schedule_grouted_length_mm").astype(float)
    usual = rows.values("type_grouted_length_mm")
    return rows.with_number("grouted_length_mm", np.where(np.isnan(asked), usual, asked))


def _with_runs(rows: CurrentRows, runs: CurrentRows) -> CurrentRows:
    """``rows`` with the last run, the last recorded toe, and what the runs add up to."""
    (own, theirs), numbers = common_codes((rows, "pile_id"), (runs, "pile_id"))
    last = place_of_each(theirs, len(numbers))[own]
    with_toe = np.flatnonzero(runs.has("toe_mm"))
    toe = np.append(with_toe, -1)[place_of_each(theirs[with_toe], len(numbers))[own]]
    of_last = runs.take(last)
    rows = rows.with_number("toe_mm", runs.take(toe).values("toe_mm").astype(float))
    rows = rows.beside(of_last.only(OF_LAST_RUN).renamed(OF_LAST_RUN), OF_LAST_RUN.values())
    for name, ufunc in (("predrilled_length_mm", np.fmax), ("first_disc_depth_mm", np.fmin)):
        found = np.full(len(numbers) + 1, np.nan)
        ufunc.at(found, theirs, runs.values(name).astype(float))
        found[-1] = np.nan
        rows = rows.with_number(name, found[own])
    count = np.bincount(theirs[theirs >= 0], minlength=len(numbers) + 1)
    rows = rows.with_integer("runs", count[own])
    rows = rows.with_number("run_ground_level_m", of_last.values("ground_level_m").astype(float))
    return rows.with_flag("reason_required", ~rows.is_text("reason_status", "not required"))


def _with_factors(rows: CurrentRows, given: PileRecords) -> CurrentRows:
    """``rows`` with the safety factor and the torque factor that fit the load of each direction."""
    for direction in DIRECTIONS:
        safety = safety_factor_of(rows, direction, given.safety_factors)
        rows = rows.with_number(f"{direction}_safety_factor", safety)
        at = matched_torque_factors(rows, direction, given.torque_factors)
        names: Any = {name: f"{direction}_{ours}" for name, ours in OF_FACTOR.items()}
        factors = given.torque_factors.only(OF_FACTOR).take(at).renamed(names)
        rows = rows.beside(factors, names.values())
    return rows
