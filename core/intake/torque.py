"""Rules of readings, certificates and their curves that one file can break by itself."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core import units
from core.intake.table import Table


def check_reading(table: Table) -> None:
    """Every reading has a number unless it was missed; depths and times go on down the pile."""
    missed = table.values["flag"] == "missed"
    table.fault(
        ~table.given("pressure_kpa") & ~table.given("torque_read_nm") & ~missed,
        "pressure_kpa" if "pressure_kpa" in table.headings else "torque_read_nm",
        "missing value",
        lambda at: (
            f"Pile {table.text('pile_id', at)} at {table.text('depth_mm', at)}: "
            "neither pressure nor torque is written.",
            "Write one of them, or flag the reading as missed.",
        ),
    )
    before = row_before(table.group(("pile_id", "run_no")), ~np.isnan(table.values["depth_mm"]))
    _depths_in_order(table, before)
    _times_in_order(table, before)


def check_toe(run: Table, readings: Table, places: np.ndarray) -> None:
    """No toe is above the deepest reading that its run took while advancing.

    ``places`` are the runs' places of the rows of ``readings``; a run at fault takes them along.
    """
    advancing = (readings.values["direction"] != "reversed") & (readings.values["flag"] != "missed")
    depth, toe = readings.values["depth_mm"], run.values["toe_mm"]
    usable = advancing & ~readings.bad & (places >= 0) & ~np.isnan(depth)
    at = np.flatnonzero(usable)
    at = at[np.argsort(depth[at], kind="stable")]
    deepest = np.full(len(toe), -1)
    deepest[places[at]] = at  # the last written is the deepest
    above = (deepest >= 0) & ~run.bad & (toe < depth[deepest])

    def say(place: int) -> tuple[str, str]:
        reading = int(deepest[place])
        return (
            f"Pile {run.text('pile_id', place)}: the toe {_written(run, 'toe_mm', place)} "
            f"(row {run.row('toe_mm', place)}) is above the reading at "
            f"{_written(readings, 'depth_mm', reading)} (row {readings.rows[reading]}).",
            "Correct the toe depth or the depth of the reading.",
        )

    run.fault(above, "toe_mm", "toe above reading", say)
    known = places >= 0
    readings.bad[known] |= above[places[known]]


def _written(table: Table, name: str, at: int) -> str:
    """A depth as written, with the unit of its header."""
    unit = table.headings[name].unit or units.unit_word(name)
    return f"{table.text(name, at)} {unit}"


def row_before(run: np.ndarray, usable: np.ndarray) -> np.ndarray:
    """Place of the row before in the same run, in the file's order; -1 for the first."""
    usable = usable & (run >= 0)
    at = pd.Series(np.arange(len(run)))[usable]
    before = at.groupby(run[usable]).shift(1, fill_value=-1)
    found = np.full(len(run), -1)
    found[usable] = before.to_numpy()
    return found


def _depths_in_order(table: Table, before: np.ndarray) -> None:
    depth = table.values["depth_mm"]
    wrong = (before >= 0) & (depth < depth[before]) & (table.values["direction"] != "reversed")

    def say(at: int) -> tuple[str, str]:
        earlier = int(before[at])
        return (
            f"Pile {table.text('pile_id', at)}: depth {depth[at]:.0f} mm follows "
            f"{depth[earlier]:.0f} mm (row {table.rows[earlier]}). "
            "Depths must increase down the pile.",
            "Put the rows in order or correct the depth.",
        )

    table.fault(wrong, "depth_mm", "depths out of order", say)
    table.bad[before[wrong]] = True


def _times_in_order(table: Table, before: np.ndarray) -> None:
    time = table.values["read_at"]
    wrong = (before >= 0) & (time < time[before])

    def say(at: int) -> tuple[str, str]:
        earlier = int(before[at])
        return (
            f"Pile {table.text('pile_id', at)}: {table.text('read_at', at)} follows "
            f"{table.text('read_at', earlier)} (row {table.rows[earlier]}).",
            "Correct the time; past midnight write the date with the time.",
        )

    table.fault(wrong, "read_at", "times out of order", say)
    table.bad[before[wrong]] = True


def check_calibration(table: Table) -> None:
    """A certificate's last day is not before its first."""
    first, last = table.values["valid_from_on"], table.values["valid_to_on"]
    table.fault(
        last < first,
        "valid_to_on",
        "dates out of order",
        lambda at: (
            f"Certificate {table.text('certificate', at)} ends on {table.text('valid_to_on', at)}, "
            f"before its first day {table.text('valid_from_on', at)}.",
            "Correct the dates from the certificate.",
        ),
    )


def check_curve(table: Table) -> None:
    """A curve has two points or more, all or none with pressure, and increases in both.

    A curve with a bad point is taken with none: a curve with a hole is another curve.
    """
    curve = table.group(("instrument_id", "certificate", "gear"))
    pressure, torque = table.values["point_pressure_kpa"], table.values["point_torque_nm"]
    before = row_before(curve, ~np.isnan(torque))
    _increasing(table, before, "point_pressure_kpa", pressure)
    _increasing(table, before, "point_torque_nm", torque)
    named = curve >= 0
    size = np.bincount(curve[named], minlength=1)
    with_pressure = np.bincount(curve[named], weights=table.given("point_pressure_kpa")[named])
    alone = np.zeros(len(curve), dtype="bool")
    alone[named] = size[curve[named]] == 1
    table.fault(alone, "point_no", "short curve", lambda at: _short(table, at))
    without = named & ~table.given("point_pressure_kpa")
    without[named] &= with_pressure[curve[named]] > 0
    table.fault(without, "point_pressure_kpa", "missing value", lambda at: _no_pressure(table, at))
    broken = np.unique(curve[table.bad & named])
    table.bad |= np.isin(curve, broken) & named


def _increasing(table: Table, before: np.ndarray, name: str, found: np.ndarray) -> None:
    table.fault(
        (before >= 0) & (found <= found[before]),
        name,
        "curve not increasing",
        lambda at: (
            f"Certificate {table.text('certificate', at)}: {table.name(name)} "
            f"{table.text(name, at)} follows {table.text(name, int(before[at]))} "
            f"(row {table.rows[before[at]]}).",
            "List the points from low to high, as the certificate has them.",
        ),
    )


def _short(table: Table, at: int) -> tuple[str, str]:
    return (
        f"Certificate {table.text('certificate', at)} has one point only. A curve needs two.",
        "Add the other points of the certificate.",
    )


def _no_pressure(table: Table, at: int) -> tuple[str, str]:
    return (
        f"Certificate {table.text('certificate', at)}: point {table.text('point_no', at)} has no "
        "pressure, others have.",
        "Write the pressure, or leave it empty at all points of an indicator.",
    )
