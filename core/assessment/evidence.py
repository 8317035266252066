"""Which rows of the ledger each measure rests on."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

import numpy as np

from core import records
from core.assessment.cited_rows import (
    Cited,
    CitedRows,
    SourceRows,
    Subjects,
    of_rows,
    of_sources,
    of_table,
)
from core.assessment.measuring import Measured
from core.assessment.measuring.steel import Steel
from core.assessment.snapshot import Snapshot
from core.criteria.findings import Findings
from core.records import JUDGED_EVENTS
from core.records.current_rows import CurrentRows
from core.selection import grout_placements, readings_without_run, schedule_in_force
from core.subjects.registry import FINDING_KINDS
from core.subjects.torque.events import texts_to_read
from core.subjects.torque.tables import Torque

# What findings of grout rest on, as the tables of the subject declare it.
OF_GROUT = (
    "net_grout_l", "min_lift_ratio", "lift_gap_mm", "level_drop_mm", "batches", "batch_age_h",
    "sample_groups", "grout_strength_mpa", "turned_h", "fresh_h",
)  # fmt: skip
# Record kinds of which a finding that names one cites the rows about its pile; of the others a
# function of this package says which rows.
_CITED_WHOLE = {kind.name for kind in records.KINDS if "pile_id" in kind.names} - {"survey"}
OF_SURVEY = ("survey", "survey_review", "covered", "plan_offset_mm", "axis_angle_deg",
             "head_level_difference_mm")  # fmt: skip


def rows_of_measures(numbers: Measured, known: Snapshot) -> CitedRows:
    """The rows behind every measure, each made when a finding rests on it."""
    whole = sorted({kind.measure for kind in FINDING_KINDS} & _CITED_WHOLE)
    parts = [
        *_rows_of_torque(numbers.tables.torque),
        *_rows_of_piles(numbers, known),
        *_rows_without_parent(known),
        *_rows_of_grout(numbers, known),
        *_rows_of_steel(numbers.steel),
        *of_table(numbers.tables.survey, OF_SURVEY),
        *(of_rows(kind, [kind], partial(known.rows_until, kind)) for kind in whole),
    ]
    return CitedRows(parts, {kind: entry for kind, (entry, _) in known.last_entries.items()})


def _rows_of_grout(numbers: Measured, known: Snapshot) -> list[Cited]:
    def without_run() -> CurrentRows:
        placements = known.chosen(grout_placements)
        return placements.where(~placements.has("run_order"))

    return [
        *of_table(numbers.tables.grout, OF_GROUT),
        of_rows("grout_placement", ["lost_grout"], without_run),
    ]


def rows_of_sign_offs(known: Snapshot) -> Cited:
    """Every sign-off, as of a measure of its pile."""
    return of_rows("sign_off", ["sign_off"], lambda: known.rows("sign_off"), subject="subject")


def added_since(found: Findings, cited_rows: CitedRows, signed: Mapping[str, int]) -> set[str]:
    """Piles of which a finding rests on a row newer than their entry in ``signed``, by pile."""
    if not signed:
        return set()
    entries = np.array(list(signed.values()), dtype=np.int64)
    subjects, first = Subjects("pile", list(signed)), int(entries.min())
    own = subjects.codes(found.texts("pile_id"))  # per code of a pile
    pile = np.append(own, -1)[found.codes("pile_id")]
    measure, measures = found.codes("measure"), found.texts("measure")
    newer = np.zeros(len(entries), dtype=bool)
    for one in np.unique(measure[pile >= 0]).tolist():
        at = pile[(pile >= 0) & (measure == one)]
        newest = cited_rows.newest(measures[one], subjects, since=first)
        newer[at] |= newest[at] > entries[at]
    return {subjects.texts[place] for place in np.flatnonzero(newer).tolist()}


def _rows_of_steel(steel: Steel) -> list[Cited]:
    """Of piles: strings, deliveries and certificates; of stamps: deliveries and places."""
    of_piles = ("string", "length_difference_mm", "steel", "quarantine")
    return [
        *of_table(steel.piles, of_piles),
        *of_table(steel.parents, ["remnant"], "lot", "stamp"),
        *of_table(steel.tables.lots, ["lot"], "lot", "stamp"),
    ]


def _rows_of_torque(torque: Torque) -> list[Cited]:
    """Logs and headers, certificates and what was written; also of instruments."""
    names = ["final_torque_nm", "max_torque_nm", "readings_out_of_force", "disturbed_toe_mm",
             "stop_from_mm"]  # fmt: skip
    names += [event.column for event in JUDGED_EVENTS]

    def to_read(beside: bool) -> CurrentRows:
        texts = texts_to_read(torque.recorded_texts)
        return texts.where(texts.has("depth_mm") == beside)

    return [
        *of_table(torque.pile, names),
        *of_table(torque.read_instruments, ["readings_out_of_force", "pressure_kind"],
                  "instrument", "instrument_id"),
        of_rows("torque_reading", ["event_text"], lambda: to_read(beside=True)),
        of_rows("run", ["event_text"], lambda: to_read(beside=False)),
    ]  # fmt: skip


def _rows_of_piles(numbers: Measured, known: Snapshot) -> list[Cited]:
    """Runs and the schedule; subjects of one number differ by their kind."""
    tables = numbers.tables
    of_lengths = ["toe_mm", "stop_reason", "embedment_mm", "open_run", "schedule"]
    return [
        *of_table(tables.lengths, of_lengths),
        *of_table(tables.loads, ["required_torque_nm", "torque_factor_per_m"]),
        of_rows("torque_reading", ["lost"], lambda: known.chosen(readings_without_run)),
        of_rows("schedule", ["schedule"], lambda: known.chosen(schedule_in_force), "position",
                "position_id"),
    ]  # fmt: skip


def _rows_without_parent(known: Snapshot) -> list[Cited]:
    """Rows about a pile or a sample group that is on no record."""

    def rows(record: str, of_pile: bool) -> list[SourceRows]:
        lost = known.rows_without_parent
        own = lost["record"].eq(record) & lost["refers_by"].eq("pile_id").eq(of_pile)
        return [SourceRows.of_frame(record, lost[own], "number")]

    kinds = sorted(kind.name for kind in records.KINDS if kind.refers_to)
    return [
        of_sources(["unknown"], partial(rows, kind, of_pile), subject_kind)
        for kind in kinds
        for of_pile, subject_kind in ((True, "pile"), (False, "sample group"))
    ]
