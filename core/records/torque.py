"""Record kinds of torque: readings, and the instruments and certificates behind them."""

from __future__ import annotations

import numpy as np

from core.records.checks import not_before, row_before, row_check
from core.records.kinds import Column, Kind, Reference, Rows, Stated
from core.records.piles import (
    BARE_PRESSURES,
    PILE_ID,
    PRESSURE_KINDS,
    PRESSURE_QUESTION,
    RUN,
    RUN_NO,
    STATED_PRESSURES,
)

_GEAR = Column(
    "gear",
    "text",
    "Gear or range; empty text when the drive head has only one.",
    aliases=("gear or range", "range"),
    default="",
    example="low",
)

_has_a_number = row_check(
    "pressure_kpa",
    "missing value",
    lambda rows: (
        ~rows.given("pressure_kpa")
        & ~rows.given("torque_read_nm")
        & (rows.values["flag"] != "missed")
    ),
    "Pile {pile_id} at {depth_mm}: neither pressure nor torque is written.",
    "Write one of them, or flag the reading as missed.",
    otherwise="torque_read_nm",
)


def _before_in_run(rows: Rows) -> np.ndarray:
    return row_before(rows.group(("pile_id", "run_no")), ~np.isnan(rows.values["depth_mm"]))


def _depths_in_order(rows: Rows) -> None:
    """Depths increase down the pile, unless it is turned back."""
    depth, before = rows.values["depth_mm"], _before_in_run(rows)
    wrong = (before >= 0) & (depth < depth[before]) & (rows.values["direction"] != "reversed")

    def say(at: int) -> tuple[str, str]:
        earlier = int(before[at])
        return (
            f"Pile {rows.text('pile_id', at)}: depth {depth[at]:.0f} mm follows "
            f"{depth[earlier]:.0f} mm (row {rows.rows[earlier]}). "
            "Depths must increase down the pile.",
            "Put the rows in order or correct the depth.",
        )

    rows.fault(wrong, "depth_mm", "depths out of order", say)
    rows.bad[before[wrong]] = True


def _times_in_order(rows: Rows) -> None:
    """Times go on down the pile."""
    time, before = rows.values["read_at"], _before_in_run(rows)
    wrong = (before >= 0) & (time < time[before])

    def say(at: int) -> tuple[str, str]:
        earlier = int(before[at])
        return (
            f"Pile {rows.text('pile_id', at)}: {rows.text('read_at', at)} follows "
            f"{rows.text('read_at', earlier)} (row {rows.rows[earlier]}).",
            "Correct the time; past midnight write the date with the time.",
        )

    rows.fault(wrong, "read_at", "times out of order", say)
    rows.bad[before[wrong]] = True


def _toe_not_above_readings(run: Rows, readings: Rows, places: np.ndarray) -> None:
    """No toe is above the deepest reading that its run took while advancing.

    A run at fault takes its readings along.
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
            f"Pile {run.text('pile_id', place)}: the toe {run.text('toe_mm', place)} "
            f"{run.unit('toe_mm')} (row {run.row('toe_mm', place)}) is above the reading at "
            f"{readings.text('depth_mm', reading)} {readings.unit('depth_mm')} "
            f"(row {readings.rows[reading]}).",
            "Correct the toe depth or the depth of the reading.",
        )

    run.fault(above, "toe_mm", "toe above reading", say)
    known = places >= 0
    readings.bad[known] |= above[places[known]]


TORQUE_READING = Kind(
    "torque_reading",
    "torque reading",
    "one reading at one depth of one run",
    ("pile_id", "run_no", "depth_mm"),
    (
        PILE_ID,
        RUN_NO,
        Column(
            "depth_mm",
            "integer",
            "Depth of the toe at the end of the interval, along the axis.",
            aliases=("depth", "toe depth", "depth of toe"),
            required=True,
            low=0,
            high=100_000,
            example="0.3",
        ),
        Column(
            "pressure_kpa",
            "number",
            "Pressure of the motor, of the kind recorded beside it.",
            aliases=(*BARE_PRESSURES, *STATED_PRESSURES),
            low=0,
            stated=Stated(
                "pressure_kind",
                PRESSURE_QUESTION,
                "pressure",
                STATED_PRESSURES,
                {"line": "return_pressure_kpa"},
            ),
            example="31.5",
        ),
        Column(
            "torque_read_nm",
            "number",
            "Torque as an indicator shows it.",
            aliases=("torque", "torque read", "installation torque", "indicated torque"),
            low=0,
            example="2.1",
        ),
        Column(
            "instrument_id",
            "text",
            "Instrument of this reading; the run's when empty.",
            aliases=("instrument", "indicator", "gauge set", "instrument no"),
            example="G1",
        ),
        Column(
            "gear",
            "text",
            "Gear of this reading; the run's when empty.",
            aliases=("gear or range",),
            example="low",
        ),
        Column(
            "direction",
            "text",
            "Direction of turning; advancing when empty.",
            aliases=("turning",),
            choices=("advancing", "reversed"),
            example="advancing",
        ),
        Column(
            "advance_mm_per_turn",
            "number",
            "Advance per turn over the interval.",
            aliases=("advance per turn", "advance", "advance per rev", "advance per revolution"),
            low=0,
            example="74",
        ),
        Column(
            "turning_speed_rpm",
            "number",
            "Turning speed.",
            aliases=("rpm", "speed", "turns per minute"),
            low=0,
            example="12",
        ),
        Column(
            "read_at",
            "timestamp",
            "When it was read.",
            aliases=("time", "time of reading"),
            example="2026-03-04 07:31",
        ),
        Column(
            "event",
            "text",
            "What happened at this depth.",
            aliases=("event at depth",),
            example="boulder",
        ),
        Column(
            "flag",
            "text",
            "How the number came about; measured when empty.",
            choices=("measured", "estimated", "missed"),
            example="measured",
        ),
        Column(
            "pressure_kind",
            "text",
            "What the pressure is: across the motor, or of one line; not recorded when empty.",
            choices=PRESSURE_KINDS,
            example="differential",
        ),
        Column(
            "return_pressure_kpa",
            "number",
            "Return pressure assumed beside a line pressure.",
            aliases=("return pressure", "outlet pressure", "back pressure"),
            low=0,
            example="0",
        ),
    ),
    refers_to=(
        Reference(
            RUN, without="refused", reason="A reading without its run has neither day nor gauge."
        ),
    ),
    order=70,
    checks=(_has_a_number, _depths_in_order, _times_in_order),
    sheet_parent=RUN,
    checks_with_parent=(_toe_not_above_readings,),
    at_least_one=("pressure_kpa", "torque_read_nm"),
)

INSTRUMENT = Kind(
    "instrument",
    "instrument",
    "what one certificate covers: drive head and gauges as a set",
    ("instrument_id",),
    (
        Column(
            "instrument_id",
            "text",
            "Number of the instrument.",
            required=True,
            aliases=("instrument", "instrument no", "id"),
            example="G1",
        ),
        Column(
            "instrument_kind",
            "text",
            "What it is.",
            aliases=("kind", "type"),
            required=True,
            choices=("pressure gauge set", "torque indicator"),
            example="pressure gauge set",
        ),
        Column("make", "text", "Maker.", aliases=("manufacturer",), example="Invented maker"),
        Column("model", "text", "Model.", example="M2"),
        Column(
            "serial_no",
            "text",
            "Serial number.",
            aliases=("serial", "serial number"),
            example="0012345",
        ),
        Column("rig", "text", "Rig it is fitted to.", aliases=("machine",), example="Rig 1"),
    ),
    order=30,
)

CALIBRATION = Kind(
    "calibration",
    "calibration",
    "one certificate of one instrument",
    ("instrument_id", "certificate"),
    (
        Column(
            "instrument_id",
            "text",
            "Instrument.",
            required=True,
            aliases=("instrument", "instrument no"),
            example="G1",
        ),
        Column(
            "certificate",
            "text",
            "Number of the certificate.",
            required=True,
            aliases=("certificate no", "certificate number"),
            example="C-1",
        ),
        Column(
            "issued_on",
            "date",
            "Day of the calibration.",
            required=True,
            aliases=("issued", "date issued", "calibrated on", "calibration date"),
            example="2026-01-02",
        ),
        Column(
            "valid_from_on",
            "date",
            "First day in force.",
            required=True,
            aliases=("valid from", "from"),
            example="2026-01-02",
            future_allowed=True,
        ),
        Column(
            "valid_to_on",
            "date",
            "Last day in force.",
            required=True,
            aliases=("valid to", "valid until", "to", "expires"),
            example="2027-01-01",
            future_allowed=True,
        ),
        Column(
            "laboratory",
            "text",
            "Laboratory.",
            aliases=("lab", "calibrated by"),
            example="Invented laboratory",
        ),
    ),
    refers_to=(
        Reference(
            INSTRUMENT,
            without="refused",
            reason="A certificate of no instrument serves no reading.",
        ),
    ),
    order=40,
    day="issued_on",
    checks=(
        not_before(
            "valid_to_on",
            "valid_from_on",
            "Certificate {certificate} ends on {valid_to_on}, before its first day "
            "{valid_from_on}.",
            "Correct the dates from the certificate.",
        ),
    ),
    sheet_parent=INSTRUMENT,
    distinctive=("issued_on", "valid_from_on", "valid_to_on"),
)


def _whole_curve(points: Rows) -> None:
    """A curve has two points or more, all or none with pressure, and increases in both.

    A curve with a bad point is taken with none: a curve with a hole is another curve.
    """
    curve = points.group(("instrument_id", "certificate", "gear"))
    before = row_before(curve, ~np.isnan(points.values["point_torque_nm"]))
    _increasing(points, before, "point_pressure_kpa")
    _increasing(points, before, "point_torque_nm")
    named = curve >= 0
    size = np.bincount(curve[named], minlength=1)
    with_pressure = np.bincount(curve[named], weights=points.given("point_pressure_kpa")[named])
    alone = np.zeros(len(curve), dtype="bool")
    alone[named] = size[curve[named]] == 1
    points.fault(alone, "point_no", "short curve", lambda at: _short(points, at))
    without = named & ~points.given("point_pressure_kpa")
    without[named] &= with_pressure[curve[named]] > 0
    points.fault(
        without, "point_pressure_kpa", "missing value", lambda at: _no_pressure(points, at)
    )
    broken = np.unique(curve[points.bad & named])
    points.bad |= np.isin(curve, broken) & named


def _increasing(points: Rows, before: np.ndarray, name: str) -> None:
    found = points.values[name]
    points.fault(
        (before >= 0) & (found <= found[before]),
        name,
        "curve not increasing",
        lambda at: (
            f"Certificate {points.text('certificate', at)}: {points.name(name)} "
            f"{points.text(name, at)} follows {points.text(name, int(before[at]))} "
            f"(row {points.rows[before[at]]}).",
            "List the points from low to high, as the certificate has them.",
        ),
    )


def _short(points: Rows, at: int) -> tuple[str, str]:
    return (
        f"Certificate {points.text('certificate', at)} has one point only. A curve needs two.",
        "Add the other points of the certificate.",
    )


def _no_pressure(points: Rows, at: int) -> tuple[str, str]:
    return (
        f"Certificate {points.text('certificate', at)}: point {points.text('point_no', at)} has no "
        "pressure, others have.",
        "Write the pressure, or leave it empty at all points of an indicator.",
    )


CALIBRATION_POINT = Kind(
    "calibration_point",
    "calibration point",
    "one point of one certificate's curve",
    ("instrument_id", "certificate", "gear", "point_no"),
    (
        Column(
            "instrument_id",
            "text",
            "Instrument.",
            required=True,
            aliases=("instrument", "instrument no"),
            example="G1",
        ),
        Column(
            "certificate",
            "text",
            "Number of the certificate.",
            required=True,
            aliases=("certificate no", "certificate number"),
            example="C-1",
        ),
        _GEAR,
        Column(
            "point_no",
            "text",
            "Number of the point.",
            required=True,
            aliases=("point", "point number", "no"),
            example="1",
        ),
        Column(
            "point_pressure_kpa",
            "number",
            "Pressure of the point; empty for an indicator.",
            aliases=(*BARE_PRESSURES, *STATED_PRESSURES),
            low=0,
            stated=Stated(
                "point_pressure_kind",
                PRESSURE_QUESTION,
                "curve pressure",
                STATED_PRESSURES,
                {"line": "point_return_pressure_kpa"},
            ),
            example="20",
        ),
        Column(
            "point_torque_nm",
            "number",
            "Torque of the point.",
            required=True,
            aliases=("torque",),
            low=0,
            example="2",
        ),
        Column(
            "point_pressure_kind",
            "text",
            "What the pressure of the point is; not recorded when empty.",
            aliases=("pressure kind",),
            choices=PRESSURE_KINDS,
            example="differential",
        ),
        Column(
            "point_return_pressure_kpa",
            "number",
            "Return pressure assumed beside a line pressure.",
            aliases=("return pressure", "outlet pressure", "back pressure"),
            low=0,
            example="0",
        ),
    ),
    refers_to=(
        Reference(
            CALIBRATION,
            without="refused",
            reason="A curve without its certificate has no days in force.",
        ),
    ),
    order=50,
    checks=(_whole_curve,),
    sheet_parent=CALIBRATION,
)
