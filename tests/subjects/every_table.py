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
from core.subjects.bearing.measures import tables as bearing_tables
from core.subjects.grout.measures import tables as grout_tables
from core.subjects.piles.measures import Loads, Resistances, lengths_of
from core.subjects.piles.selection import PileRecords, pile_rows
from core.subjects.steel.measures import Steel
from core.subjects.steel.selection import Records
from core.subjects.survey.measures import tables as survey_tables
from core.subjects.tables import Members, Table
from core.subjects.torque.tables import Inputs as TorqueInputs
from core.subjects.torque.tables import tables as torque_tables
from tests.formulas import frames
from tests.subjects.bearing import test_bearing_tables as bearing
from tests.subjects.given import Given
from tests.subjects.grout import grout_rows as grout
from tests.subjects.piles import cases as piles
from tests.subjects.steel import rows as steel
from tests.subjects.survey import test_survey_tables as survey
from tests.subjects.torque.test_uncertainty import CURVE, DIAL, GAUGE

OF_ROWS = {"run_days": "runs", "placement_days": "placements"}  # bounds go with their rows
NEEDED_BY = {("torque", "runs"): ("readings",)}  # readings are those of a run


@dataclass(frozen=True)
class OfSteel:
    """What the steel of piles works from."""

    records: Records
    piles: CurrentRows
    runs: CurrentRows


def torque_inputs() -> TorqueInputs:
    """Two runs: by a gauge with an event, and by a dial without a certificate in force."""
    first = frames.reading_frame(
        frames.GRID, [np.nan] * 10, instrument_id="G1", pressure_kpa=np.linspace(2500, 7000, 10),
        pressure_kind="forward", return_pressure_kpa=100.0, advance_mm_per_turn=70.0,
    )  # fmt: skip
    first.loc[1, "event"] = "spin-out"
    again = frames.reading_frame(
        [3300, 3600, 3900], [6000.0, 6500.0, 7000.0], instrument_id="T1", run_no="2"
    )
    runs = frames.run_frame(
        {"note": "stopped for rain", "ended_at": "2026-03-02 11:00"},
        {"run_no": "2", "toe_mm": 3900, "final_torque_read_nm": 6800.0,
         "advance_mm_per_turn": 60.0, "started_at": "2026-03-02 12:00"},
    )  # fmt: skip
    certificates = frames.certificate_frame(
        {"instrument_id": "G1"}, {"instrument_id": "T1", "valid_to_on": "2026-03-01"}
    )
    points = pd.concat([frames.point_frame(CURVE, instrument_id="G1"),
                        frames.WIDE.assign(instrument_id="T1")])  # fmt: skip
    points = points.assign(entry_no=7, row_no=range(1, len(points) + 1), sheet="points")
    piles = frames.pile_frame(interval_mm=300.0, gap_tolerance_mm=10.0)
    log = pd.concat([first, again], ignore_index=True)
    return frames.torque_inputs(log, runs, piles, certificates, points, (GAUGE, DIAL))


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
        grout.grouted_piles(
            {"toe_mm": 3000.0, "schedule_grouted_length_mm": 2500.0},
            {"easting_m": 101.0, "toe_mm": 2500.0},
        ),
        batches=grout.kind_frame("grout_batch", batch),
        specimens=grout.kind_frame("grout_specimen", specimen),
        members=grout.kind_frame("sample_group_member", {"sample_group_id": "G1", "pile_id": "P1"}),
        readings=reading.assign(run_on=grout.DAY).astype({"run_on": "datetime64[us]"}),
    )


def survey_inputs() -> Any:
    """Two surveys of a battered pile that was moved, its run and the day of covering its head."""
    stage = {"pile_id": "P1", "stage": "covered", "reached_on": "2026-03-20"}
    covered = survey.of_kind("stage_record", stage).frame().assign(covered_on=grout.DAY)
    return survey.inputs_of(
        survey.surveys(
            {"survey_stage": "before concrete", "surveyed_on": "2026-03-04", "tilt_east_deg": 2.0},
            {
                "head_level_m": 5.1,
                "tilt_east_deg": 1.0,
                "tilt_north_deg": 1.0,
                "reviewed_by": "Ada Invented",
                "reviewed_on": "2026-03-06",
            },
        ),
        survey.piles({"batter_deg": 10.0, "azimuth_deg": 45.0}),
        pile_records=survey.of_kind(
            "pile",
            {
                "pile_id": "P1",
                "instruction": "I-1",
                "instructed_easting_m": 100.1,
                "instructed_northing_m": 200.1,
            },
        ),
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
    """Three positions of types that measure embedment in three ways, with loads and runs."""
    loads = {"design_tension_kn": 50.0, "required_torque_nm": 9000.0, "rated_torque_nm": 12_000.0}
    levels = {"scour_level_m": 9.0, "finished_grade_level_m": 9.5, "batter_deg": 5.0}
    measures = ("along the axis", "vertical cover over the top helix", "beyond a failure surface")
    return piles.pile_records(
        schedule=[
            {**loads, **levels},
            {**levels, "position_id": "P2", "pile_type": "T2"},
            {**loads, "position_id": "P3", "pile_type": "T3", "failure_surface_depth_mm": 1500},
        ],
        types=[
            {"pile_type": f"T{at}", "embedment_measure": by} for at, by in enumerate(measures, 1)
        ],
        piles=[{"pile_id": "P1", "position_id": "P1"}],
        runs=[
            {"predrilled_length_mm": 500, "ground_level_m": 10.2},
            {"run_no": "2", "toe_mm": 6300},
            {"pile_id": "P2"},
            {"pile_id": "P3"},
        ],
        stages=[{"pile_id": "P1", "stage": "cut off", "reached_on": "2026-03-10"}],
    )


def _tables_of_piles(given: PileRecords, traced: bool) -> list[Table]:
    rows = pile_rows(given)
    loads = Loads(rows, traced=traced)
    rows = rows.with_number("final_torque_nm", np.full(len(rows), 8000.0))
    rows = rows.with_number("component_rated_torque_nm", np.full(len(rows), 9000.0))
    rows = rows.with_text("component_rated_stamp", np.zeros(len(rows), dtype=np.int64), ["L-1"])
    read = np.ones(len(given.runs), dtype=bool)
    return [
        loads,
        lengths_of(rows, given.runs, read, traced=traced),
        Resistances(rows, traced=traced, loads=loads, torque=Given(rows), steel=Given(rows)),
    ]


def _tables_of_steel(given: OfSteel, traced: bool) -> list[Any]:
    every = Steel(given.records, steel.QUALITIES, traced)
    return [every, every.piles(given.piles, given.runs), every.parents(given.runs)]


def bearing_inputs() -> Any:
    """A pile of one helix and one of two in clay, and one of two in sand under water."""
    sand = {**bearing.SAND, "borehole_id": "B2", "to_mm": 2000}
    parts = {"shaft_kn": 900.0, "coupling_kn": 800.0, "helix_plates_kn": 700.0}
    return bearing.inputs_of(
        {"batter_deg": 10.0, "ground_level_m": 5.5, **parts},
        {"pile_id": "P2", "helix_set": "two", "top_helix_above_toe_mm": 900.0},
        {"pile_id": "P3", "helix_set": "two", "easting_m": 60.0, "resistance_kn": 150.0},
        holes=(bearing.HOLE,
               {"borehole_id": "B2", "easting_m": 60.0, "northing_m": 0.0, "ground_level_m": 4.0,
                "water_level_m": 3.0}),
        layers=(bearing.CLAY, sand, {**sand, "from_mm": 2000, "to_mm": 9000}),
    )  # fmt: skip


def _tables_of_bearing(given: Any, traced: bool) -> list[Table]:
    return [*bearing_tables(replace(given, resistances=Given(given.piles)), traced)]


# By subject: the inputs of a small job, and what they give.
SUBJECTS: dict[str, tuple[Callable[[], Any], Callable[[Any, bool], Any]]] = {
    "torque": (torque_inputs, torque_tables),
    "piles": (pile_inputs, _tables_of_piles),
    "grout": (grout_inputs, grout_tables),
    "survey": (survey_inputs, survey_tables),
    "steel": (steel_inputs, _tables_of_steel),
    "bearing": (bearing_inputs, _tables_of_bearing),
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


def of_kind(inputs: Any, name: str) -> CurrentRows:
    """The rows of one of ``kinds``."""
    rows: CurrentRows = inputs
    for part in name.split("."):
        rows = getattr(rows, part)
    return rows


def with_rows(inputs: Any, name: str, rows: CurrentRows) -> Any:
    """``inputs`` with other rows of one of ``kinds``."""
    own, _, below = name.partition(".")
    inner = with_rows(getattr(inputs, own), below, rows) if below else rows
    return replace(inputs, **{own: inner})


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
