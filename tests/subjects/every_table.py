"""The tables of every subject: of one small job, and of the same job without some of its rows."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cached_property
from importlib import import_module
from pkgutil import walk_packages
from typing import Any

import numpy as np
import pandas as pd

import core.subjects
from core.records.current_rows import CurrentRows
from core.subjects import torque
from core.subjects.bearing.measures import tables as bearing_tables
from core.subjects.grout.measures import tables as grout_tables
from core.subjects.piles.measures import Loads, Resistances, lengths_of
from core.subjects.piles.selection import PileRecords, pile_rows
from core.subjects.steel.measures import Steel
from core.subjects.steel.selection import Records
from core.subjects.survey.measures import tables as survey_tables
from core.subjects.tables import Members, Table
from tests.compute import frames
from tests.subjects.bearing import test_bearing_tables as bearing
from tests.subjects.grout import grout_rows as grout
from tests.subjects.piles import cases as piles
from tests.subjects.steel import rows as steel
from tests.subjects.survey import test_survey_tables as survey
from tests.subjects.torque.test_uncertainty import DIAL

OF_ROWS = {"run_days": "runs", "placement_days": "placements"}  # bounds go with their rows
NEEDED_BY = {("torque", "runs"): ("readings",)}  # readings are those of a run


@dataclass(frozen=True)
class OfSteel:
    """What the steel of piles works from."""

    records: Records
    piles: CurrentRows
    runs: CurrentRows


def torque_inputs() -> torque.Inputs:
    """A log with an event and a reading while no certificate was in force."""
    log = frames.reading_frame(frames.GRID)
    log.loc[1, "event"] = "spin-out"
    runs = frames.run_frame({"advance_mm_per_turn": 60.0, "note": "stopped for rain"})
    late = frames.certificate_frame({"valid_to_on": "2026-03-01"})
    points = frames.WIDE.assign(entry_no=7, row_no=[1, 2], sheet="points")
    uncertain = ({**DIAL, "instrument_id": "I1"},)
    return frames.torque_inputs(log, runs, None, late, points, uncertain)


def grout_inputs() -> Any:
    """Two lifts with a gap between them, their batch, and a sample."""
    placed = grout.placement_frame(
        {"from_mm": 500, "to_mm": 1500, "level_drop_mm": 20, "ended_at": "2026-03-02 08:00"},
        {"from_mm": 2000, "to_mm": 3000},
    )
    batch = {"batch_id": "B1", "mixed_on": "2026-03-02", "mixed_at": "2026-03-02 07:00",
             "mix": "M1", "density_kg_m3": 1900.0, "flow_s": 12.0}  # fmt: skip
    specimen = {"specimen_id": "S1", "sample_group_id": "G1", "taken_on": "2026-03-02",
                "age_days": 28, "tested_on": "2026-03-30", "strength_mpa": 30.0}  # fmt: skip
    reading = grout.kind_frame("torque_reading", {"pile_id": "P1", "run_no": "1", "depth_mm": 300})
    return grout.inputs(
        placed,
        grout.grouted_piles({"toe_mm": 3000.0}, {"easting_m": 101.0, "toe_mm": 2500.0}),
        batches=grout.kind_frame("grout_batch", batch),
        specimens=grout.kind_frame("grout_specimen", specimen),
        members=grout.kind_frame("sample_group_member", {"sample_group_id": "G1", "pile_id": "P1"}),
        readings=reading.assign(run_on=grout.DAY).astype({"run_on": "datetime64[us]"}),
    )


def survey_inputs() -> Any:
    """A survey of a battered pile, its run and the day on which its head was covered."""
    stage = {"pile_id": "P1", "stage": "covered", "reached_on": "2026-03-20"}
    covered = survey.of_kind("stage_record", stage).frame().assign(covered_on=grout.DAY)
    return survey.inputs_of(
        survey.surveys({"head_level_m": 5.1, "tilt_east_deg": 1.0, "tilt_north_deg": 1.0}),
        survey.piles({"batter_deg": 10.0, "azimuth_deg": 45.0}),
        pile_records=survey.of_kind("pile", {"pile_id": "P1"}),
        runs=survey.of_kind("run", {"pile_id": "P1", "run_no": "1", "run_on": "2026-03-01"}),
        covered=CurrentRows.of_frame(covered.astype({"covered_on": "datetime64[us]"})),
    )


def steel_inputs() -> OfSteel:
    """A string with a remnant, and a heat in quarantine."""
    remnant = {"stamp": "E-8", "delivery_id": "DN-1", "component_kind": "extension",
               "length_mm": 700, "cut_from": "E-7"}  # fmt: skip
    records = steel.recorded(
        component=(*steel.COMPONENTS, remnant),
        placed=(*steel.PLACED, {"place": 3, "stamp": "L-1"}),
        delivery=({"delivery_id": "DN-1", "delivered_on": "2026-02-20"},),
        quarantine=({"heat": "H2", "quarantine_state": "held"},),
    )
    names = pd.DataFrame({"pile_id": pd.Series(["P1"], dtype="str")})
    run = {"pile_id": "P1", "run_no": "1", "run_on": steel.DAY, **steel.RUNS[0]}
    return OfSteel(records, CurrentRows.of_frame(names), steel.rows_of("run", run))


def pile_inputs() -> PileRecords:
    """A position with its pile, a run and loads."""
    return piles.pile_records(
        schedule=[{"design_tension_kn": 50.0, "required_torque_nm": 9000.0, "scour_level_m": 9.0}],
        piles=[{"pile_id": "P1", "position_id": "P1"}],
        stages=[{"pile_id": "P1", "stage": "cut off", "reached_on": "2026-03-10"}],
    )


def _tables_of_piles(given: PileRecords, traced: bool) -> list[Table]:
    rows = pile_rows(given)
    loads = Loads(rows, traced=traced)
    rows = rows.with_number("final_torque_nm", np.full(len(rows), 8000.0))
    rows = rows.with_number("component_rated_torque_nm", np.full(len(rows), 9000.0))
    read = np.ones(len(given.runs), dtype=bool)
    return [
        loads,
        lengths_of(rows, given.runs, read, traced=traced),
        Resistances(rows, traced=traced, loads=loads),
    ]


def _tables_of_steel(given: OfSteel, traced: bool) -> list[Any]:
    every = Steel(given.records, steel.QUALITIES, traced)
    return [every, every.piles(given.piles, given.runs), every.parents(given.runs)]


# By subject: the inputs of a small job, and what they give.
SUBJECTS: dict[str, tuple[Callable[[], Any], Callable[[Any, bool], Any]]] = {
    "torque": (torque_inputs, torque.tables),
    "piles": (pile_inputs, _tables_of_piles),
    "grout": (grout_inputs, grout_tables),
    "survey": (survey_inputs, survey_tables),
    "steel": (steel_inputs, _tables_of_steel),
    "bearing": (bearing.inputs_of, bearing_tables),
}


def kinds(inputs: Any, before: str = "") -> list[str]:
    """The rows that ``inputs`` have, by the name of their field."""
    found = []
    for field in fields(inputs):
        value = getattr(inputs, field.name)
        if isinstance(value, CurrentRows):
            found.append(before + field.name)
        elif is_dataclass(value):
            found += kinds(value, f"{before}{field.name}.")
    return found


def without(inputs: Any, *names: str) -> Any:
    """``inputs`` without the rows of some kinds (names of ``kinds``)."""
    changed: dict[str, Any] = {}
    for field in fields(inputs):
        name, value = field.name, getattr(inputs, field.name)
        below = [one.removeprefix(f"{name}.") for one in names if one.startswith(f"{name}.")]
        if name in names:
            changed[name] = value.where(np.zeros(len(value), dtype=bool))
        elif OF_ROWS.get(name) in names:
            changed[name] = tuple(bounds[:0] for bounds in value)
        elif below:
            changed[name] = without(value, *below)
    return replace(inputs, **changed)


def classes() -> set[type[Table]]:
    """Every class of table of the subjects that no other one extends or combines."""
    for module in walk_packages(core.subjects.__path__, f"{core.subjects.__name__}."):
        import_module(module.name)

    def extended(by: type[Table]) -> list[type[Table]]:
        return [one for one in by.__subclasses__() if one.__module__.startswith("core.")]

    found, open_ = set[type[Table]](), extended(Table)
    while open_:
        one = open_.pop()
        more = extended(one)
        open_ += more
        found |= set() if more else {one}
    return found


def tables_in(given: Any) -> Iterator[Table]:
    """Every table that ``given`` leads to, each once; what is made when needed is made now."""
    seen, open_ = set[int](), [given]
    while open_:
        one = open_.pop()
        if id(one) in seen:
            continue
        seen.add(id(one))
        if isinstance(one, Table):
            yield one
        if isinstance(one, list | tuple):
            open_ += one
        elif isinstance(one, Members):
            open_ += [one.below, one.above]
        elif isinstance(one, Table) or type(one).__module__.startswith("core."):
            for base in type(one).__mro__:
                made = [n for n, v in vars(base).items() if isinstance(v, cached_property)]
                open_ += [getattr(one, name) for name in made]
            open_ += getattr(one, "__dict__", {}).values()
