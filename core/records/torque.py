"""Record kinds of torque: readings, and the instruments and certificates behind them."""

from __future__ import annotations

from core.records.kinds import Column, Kind, Reference, Stated
from core.records.piles import (
    _PILE_ID,
    _RUN_NO,
    BARE_PRESSURES,
    PRESSURE_KINDS,
    PRESSURE_QUESTION,
    RUN,
    STATED_PRESSURES,
)

_GEAR = Column(
    "gear",
    "text",
    "Gear or range; empty text when the drive head has only one.",
    aliases=("gear or range", "range"),
    absent="",
)

TORQUE_READING = Kind(
    "torque_reading",
    "torque reading",
    "one reading at one depth of one run",
    ("pile_id", "run_no", "depth_mm"),
    (
        _PILE_ID,
        _RUN_NO,
        Column(
            "depth_mm",
            "whole",
            "Depth of the toe at the end of the interval, along the axis.",
            aliases=("depth", "toe depth", "depth of toe"),
            required=True,
            low=0,
            high=100_000,
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
        ),
        Column(
            "torque_read_nm",
            "number",
            "Torque as an indicator shows it.",
            aliases=("torque", "torque read", "installation torque", "indicated torque"),
            low=0,
        ),
        Column(
            "instrument_id",
            "text",
            "Instrument of this reading; the run's when empty.",
            aliases=("instrument", "indicator", "gauge set", "instrument no"),
        ),
        Column(
            "gear",
            "text",
            "Gear of this reading; the run's when empty.",
            aliases=("gear or range",),
        ),
        Column(
            "direction",
            "text",
            "Direction of turning; advancing when empty.",
            aliases=("turning",),
            one_of=("advancing", "reversed"),
        ),
        Column(
            "advance_mm_per_turn",
            "number",
            "Advance per turn over the interval.",
            aliases=("advance per turn", "advance", "advance per rev", "advance per revolution"),
            low=0,
        ),
        Column(
            "turning_speed_rpm",
            "number",
            "Turning speed.",
            aliases=("rpm", "speed", "turns per minute"),
            low=0,
        ),
        Column("read_at", "moment", "When it was read.", aliases=("time", "time of reading")),
        Column("event", "text", "What happened at this depth.", aliases=("event at depth",)),
        Column(
            "flag",
            "text",
            "How the number came about; measured when empty.",
            one_of=("measured", "estimated", "missed"),
        ),
        Column(
            "pressure_kind",
            "text",
            "What the pressure is: across the motor, or of one line; not asked when empty.",
            one_of=PRESSURE_KINDS,
        ),
        Column(
            "return_pressure_kpa",
            "number",
            "Return pressure assumed beside a line pressure.",
            aliases=("return pressure", "outlet pressure", "back pressure"),
            low=0,
        ),
    ),
    refers_to=(Reference(RUN, without="refused"),),
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
        ),
        Column(
            "instrument_kind",
            "text",
            "What it is.",
            aliases=("kind", "type"),
            required=True,
            one_of=("pressure gauge set", "torque indicator"),
        ),
        Column("make", "text", "Maker.", aliases=("manufacturer",)),
        Column("model", "text", "Model."),
        Column("serial_no", "text", "Serial number.", aliases=("serial", "serial number")),
        Column("rig", "text", "Rig it is fitted to.", aliases=("machine",)),
    ),
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
        ),
        Column(
            "certificate",
            "text",
            "Number of the certificate.",
            required=True,
            aliases=("certificate no", "certificate number"),
        ),
        Column(
            "issued_on",
            "date",
            "Day of the calibration.",
            required=True,
            aliases=("issued", "date issued", "calibrated on", "calibration date"),
        ),
        Column(
            "valid_from_on",
            "date",
            "First day in force.",
            required=True,
            aliases=("valid from", "from"),
        ),
        Column(
            "valid_to_on",
            "date",
            "Last day in force.",
            required=True,
            aliases=("valid to", "valid until", "to", "expires"),
        ),
        Column("laboratory", "text", "Laboratory.", aliases=("lab", "calibrated by")),
    ),
    refers_to=(Reference(INSTRUMENT, without="refused"),),
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
        ),
        Column(
            "certificate",
            "text",
            "Number of the certificate.",
            required=True,
            aliases=("certificate no", "certificate number"),
        ),
        _GEAR,
        Column(
            "point_no",
            "text",
            "Number of the point.",
            required=True,
            aliases=("point", "point number", "no"),
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
        ),
        Column(
            "point_torque_nm",
            "number",
            "Torque of the point.",
            required=True,
            aliases=("torque",),
            low=0,
        ),
        Column(
            "point_pressure_kind",
            "text",
            "What the pressure of the point is; not asked when empty.",
            aliases=("pressure kind",),
            one_of=PRESSURE_KINDS,
        ),
        Column(
            "point_return_pressure_kpa",
            "number",
            "Return pressure assumed beside a line pressure.",
            aliases=("return pressure", "outlet pressure", "back pressure"),
            low=0,
        ),
    ),
    refers_to=(Reference(CALIBRATION, without="refused"),),
)
