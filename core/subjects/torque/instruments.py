"""Instruments as their readings show them: certificates in force, and kinds of pressure."""

from __future__ import annotations

from typing import Any

import numpy as np
import pyarrow as pa

from core.records.current_rows import Array, CurrentRows, joined_codes
from core.selection.matching import last_of_each
from core.subjects.tables import Links, Members, Table, column, evidence
from core.subjects.torque.curves import without_kind
from core.subjects.torque.readings import Point, Reading


def named_by(readings: CurrentRows, points: CurrentRows) -> CurrentRows:
    """One row per instrument that readings or points of certificates name, by number."""
    names = sorted({*readings.used("instrument_id"), *points.used("instrument_id")})
    return CurrentRows.of_table(pa.table({"instrument_id": pa.array(names, pa.string())}))


class ReadInstrument(Table):
    """One instrument; a reading for which none is recorded has an instrument without a number."""

    subject = "torque"
    readings: Members[Reading]
    points: Members[Point]

    @column("number", "readings that it gave")
    def taken(self) -> Array:
        """How many there are."""
        return self.readings.number

    @column(
        "number",
        "readings that it gave while no certificate of it was in force",
        evidence=lambda table: table.readings.where(~table.readings.below.in_force).links(),
    )
    def readings_out_of_force(self) -> Array:
        """How many there are."""
        return self.readings.count(~self.readings.below.in_force)

    @column("number", "readings by pressure whose kind is not recorded")
    def readings_without_kind(self) -> Array:
        """How many there are."""
        return self.readings.count(self.readings.below.without_kind)

    @column("number", "calibration points by pressure whose kind is not recorded")
    def points_without_kind(self) -> Array:
        """How many there are."""
        return self.points.count(without_kind(self.points.below.rows, "point_"))

    @evidence("pressures whose kind is not recorded")
    def pressure_kind(self) -> list[Links]:
        """The first row of each sheet, of logs, headers and certificates."""
        log, points = self.readings.below, self.points.below
        place = np.argsort(log.by_number)
        readings = self.readings.where(log.without_kind)
        bare = self.points.where(without_kind(points.rows, "point_"))
        return [
            *_first_of_sheets(readings, place, log.of_header),
            *_first_of_sheets(bare, np.arange(len(points)), np.zeros(len(points), dtype=bool)),
        ]


def _first_of_sheets(members: Members[Any], place: Array, of_header: Array) -> list[Links]:
    """The first row by ``place`` of each owner, entry, sheet and kind of row."""
    at, rows = members.rows, members.below.rows
    parts = rows.values("entry_no")[at], rows.codes("sheet")[at] + 1, of_header[at]
    group = joined_codes([members.owner, *(part.astype(np.int64) for part in parts)])
    first = np.zeros(len(rows), dtype=bool)
    first[at[last_of_each(group, -place[at])]] = True
    return members.where(first).links()
