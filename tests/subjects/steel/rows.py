"""Rows of steel for tests: a lead of two pieces and an extension of a lot, with changes."""

from __future__ import annotations

import pandas as pd

from core import records
from core.assessment.measuring import QUALITIES
from core.records.current_rows import CurrentRows
from core.settings.frames import COMPONENT, GRADE
from core.settings.frames import rows_of as rows_of_settings
from core.subjects.steel.measures import Steel
from core.subjects.steel.selection import Records

DAY = pd.Timestamp("2026-03-02")
KINDS = (
    {"component_kind": "lead", "name": "lead section", "stamp_is": "piece",
     "traceability": "piece", "certificate_type": "3.1"},
    {"component_kind": "extension", "name": "extension", "stamp_is": "lot",
     "traceability": "heat or lot per pile", "certificate_type": "3.1"},
)  # fmt: skip
COMPONENTS = (
    {"stamp": "L-1", "delivery_id": "DN-1", "component_kind": "lead", "length_mm": 2100,
     "rated_torque_nm": 11000.0, "rated_torque_document": "data sheet 3"},
    {"stamp": "E-7", "delivery_id": "DN-1", "component_kind": "extension", "quantity": 4,
     "length_mm": 1500},
)  # fmt: skip
PLACED = ({"place": 1, "stamp": "L-1"}, {"place": 2, "stamp": "E-7"})
PIECES = (
    {"stamp": "L-1", "delivery_id": "DN-1", "piece": "helix", "mill": "Mill Y", "heat": "H2",
     "certificate": "MC-6"},
    {"stamp": "L-1", "delivery_id": "DN-1", "piece": "shaft", "mill": "Mill X", "heat": "H1"},
    {"stamp": "E-7", "delivery_id": "DN-1", "piece": "whole", "heat": "H3"},
)  # fmt: skip
CERTIFICATES = ({"certificate": "MC-5", "certificate_type": "3.1"},
                {"certificate": "MC-6", "certificate_type": "3.1"})  # fmt: skip
HEATS = (
    {"certificate": "MC-5", "mill": "Mill X", "heat": "H1"},
    {"certificate": "MC-5", "mill": "Mill X", "heat": "H3"},
    {"certificate": "MC-6", "mill": "Mill Y", "heat": "H2"},
)
RUNS = ({"toe_mm": 3000, "cut_off_mm": 200, "stick_up_mm": 400},)


def rows_of(kind: str, *rows: dict[str, object], **same: object) -> CurrentRows:
    """Current rows of a record kind, each with its place in the ledger."""
    frame = pd.DataFrame([{**same, **row} for row in rows])
    typed = records.typed(frame, records.KIND[kind].columns)
    number = range(1, len(rows) + 1)
    place = typed.assign(entry_no=1, row_no=number, sheet="").astype({"sheet": "str"})
    return CurrentRows.of_frame(place)


def placed(*rows: dict[str, object]) -> CurrentRows:
    """Components placed in run 1 of pile P1 on 2 March unless said otherwise, run after run."""
    given = [{"pile_id": "P1", "run_no": "1", **row} for row in rows]
    days = pd.Series([one.pop("run_on", DAY) for one in given], dtype="datetime64[us]")
    order = pd.array([one.pop("run_order", int(str(one["run_no"]))) for one in given], "Int64")
    frame = rows_of("component_placed", *given).frame()
    return CurrentRows.of_frame(frame.assign(run_on=days, run_order=order))


def recorded(**changed: object) -> Records:
    """The rows of a small job; a keyword gives the rows of a kind as dicts."""
    given = {
        "component": COMPONENTS, "piece": PIECES, "certificate": CERTIFICATES, "delivery": (),
        "heat_on_certificate": HEATS, "lot": (), "quarantine": (),
    } | changed  # fmt: skip
    strings = given.pop("placed", PLACED)
    kinds, grades = given.pop("component_kinds", KINDS), given.pop("steel_grades", ())
    return Records(
        component_placed=placed(*strings),
        component_kinds=rows_of_settings([*kinds], COMPONENT),
        steel_grades=rows_of_settings([*grades], GRADE),
        **{kind: rows_of(kind, *rows) for kind, rows in given.items()},
    )


def steel(traced: bool = False, **changed: object) -> Steel:
    """The tables of ``recorded``."""
    return Steel(recorded(**changed), QUALITIES, traced)


def piles(tables: Steel, *runs: dict[str, object], names: tuple[str, ...] = ("P1",)):
    """The pile table of ``names`` with runs of P1 unless said otherwise."""
    frame = pd.DataFrame({"pile_id": pd.Series(names, dtype="str")})
    given = [{"pile_id": "P1", "run_no": str(n), "run_on": DAY, **one}
             for n, one in enumerate(runs or RUNS, start=1)]  # fmt: skip
    return tables.piles(CurrentRows.of_frame(frame), rows_of("run", *given))
