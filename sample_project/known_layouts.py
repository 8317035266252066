"""How the senders lay their sheets out, as somebody says it once on the Import screen."""

from __future__ import annotations

import json

from office_books import FILLED_DOWN, SCHEDULE_GROUPS
from origins import Origin, cell, header, text
from works_layouts import delivery_list, grout_sheet, string_sheet, survey_list


def _readings(unit: str) -> dict[str, Origin]:
    return {
        "depth_mm": header(f"Depth ({unit})", unit),
        "pressure_kpa": header("Reading psi", "psi"),
        "pressure_kind": text("differential"),
        "torque_read_nm": header("Reading ft-lb", "ft-lb"),
        "advance_mm_per_turn": header("Turning in/rev", "in/rev"),
        "turning_speed_rpm": header("Turning rpm", "rpm"),
        "instrument_id": header("Gauge set"),
        "gear": header("Gear"),
        "event": header("Event"),
    }


def _pile_sheet() -> Origin:
    return {
        "kinds": ["run", "torque_reading"],
        "header_rows": [6, 7],
        "columns": {
            "pile_id": {"tab": True, "before": "Pile "},
            "run_on": cell("B4"),
            "rig": cell("B2"),
            "crew": cell("E2"),
            "operator": cell("B3"),
            "inspector": cell("E3"),
            "schedule_revision": cell("E4"),
            "started_at": cell("A5", "Begun:"),
            "ended_at": cell("C5", "Ended:"),
            "toe_mm": cell("E5", "Toe:", "ft-in"),
            "stop_reason": cell("G5", "Stopped:"),
            "remarks": cell("H5", "Remarks:"),
            "first_disc_depth_mm": cell("I5", "First disc:", "ft-in"),
            "stick_up_mm": cell("J5", "Stick-up:", "ft-in"),
            "cut_off_mm": cell("K5", "Cut off:", "ft-in"),
            **_readings("ft-in"),
        },
        "date_order": "month day year",
        "decimal": "point",
        "ends": "blank row",
        "passed_over": ["Total"],
        "left_out_sheets": ["Summary"],
    }


def _day_sheet() -> Origin:
    return {
        "kinds": ["run", "torque_reading"],
        "header_rows": [4, 5],
        "columns": {
            "pile_id": header("Pile"),
            "run_on": cell("B2"),
            "rig": cell("L2"),
            "crew": cell("D2"),
            "operator": cell("F2"),
            "inspector": cell("H2"),
            "schedule_revision": cell("J2"),
            "started_at": header("Begun"),
            "ended_at": header("Ended"),
            "toe_mm": header("Toe (ft)", "ft"),
            "stop_reason": header("Stopped"),
            "remarks": header("Remarks"),
            "first_disc_depth_mm": header("First disc (ft)", "ft"),
            "stick_up_mm": header("Stick-up (ft)", "ft"),
            "cut_off_mm": header("Cut off (ft)", "ft"),
            **_readings("ft"),
        },
        "date_order": "month day year",
        "decimal": "point",
        "fill_down": ["pile_id"],
        "passed_over": ["Total"],
    }


def _comma_log() -> Origin:
    texts = {
        "run_on": "Date", "rig": "Rig", "crew": "Crew", "operator": "Operator",
        "inspector": "Inspector", "schedule_revision": "Drawing revision", "pile_id": "Pile",
        "run_no": "Run", "why": "Why this run", "started_at": "Start", "ended_at": "End",
        "instrument_id": "Instrument", "direction": "Turning", "event": "Event at depth",
        "stop_reason": "Reason for stopping", "remarks": "Remarks",
    }  # fmt: skip
    measured = {
        "depth_mm": ("Depth", "m"),
        "pressure_kpa": ("Differential pressure", "bar"),
        "advance_mm_per_turn": ("Advance", "mm/turn"),
        "turning_speed_rpm": ("Speed", "rpm"),
        "toe_mm": ("Final depth", "m"),
        "stick_up_mm": ("Stick-up", "m"),
        "cut_off_mm": ("Cut off", "m"),
    }
    return {
        "kinds": ["run", "torque_reading"],
        "header_rows": [4, 4],
        "columns": {name: header(text) for name, text in texts.items()}
        | {name: header(f"{text} ({unit})", unit) for name, (text, unit) in measured.items()},
        "date_order": "day month year",
        "decimal": "comma",
    }


def _certificate(pressure: str, torque: str) -> Origin:
    return {
        "kinds": ["calibration", "calibration_point"],
        "header_rows": [10, 11],
        "columns": {
            "certificate": cell("B3"),
            "instrument_id": cell("B4"),
            "laboratory": cell("B5"),
            "issued_on": cell("B6"),
            "valid_from_on": cell("B7"),
            "valid_to_on": cell("B8"),
            "gear": header("Gear"),
            "point_no": header("Point"),
            "point_pressure_kpa": header(f"Differential pressure ({pressure})", pressure),
            "point_torque_nm": header(f"Torque ({torque})", torque),
        },
        "fill_down": ["gear"],
        "ends": "blank row",
    }


_IN_LEDGER = {
    "Bent": "cap", "Position": "position_id", "Structure": "structure", "Area": "area",
    "Type": "pile_type", "Change": "row_status", "Easting (m)": "easting_m",
    "Northing (m)": "northing_m", "Cut-off level (m)": "cutoff_level_m",
    "Ground level (m)": "ground_level_m", "Scour level (m)": "scour_level_m",
    "Batter from vertical (deg)": "batter_deg", "Azimuth (deg)": "azimuth_deg",
    "Compression (kN)": "design_compression_kn", "Tension (kN)": "design_tension_kn",
    "Load basis": "load_basis", "Load nature": "load_nature",
    "Governing direction": "direction", "Required torque (kN·m)": "required_torque_nm",
    "Torque rating (kN·m)": "rated_torque_nm", "Minimum embedment (m)": "min_embedment_mm",
    "Maximum length (m)": "max_length_mm", "Estimated length (m)": "estimated_length_mm",
    "Ground class": "ground_class",
}  # fmt: skip


def _schedule() -> Origin:
    columns = {
        "revision": cell("A2", "Revision:"),
        "status": cell("C2", "Status:"),
        "issued_on": cell("F2"),
    }
    for group, names in SCHEDULE_GROUPS:
        for name in names:
            unit = name.rpartition("(")[2].rstrip(")") if "(" in name else ""
            columns[_IN_LEDGER[name]] = header(f"{group} {name}", unit)
    return {
        "kinds": ["schedule"],
        "header_rows": [4, 5],
        "columns": columns,
        "fill_down": [_IN_LEDGER[name] for name in FILLED_DOWN],
        "ends": "blank row",
        "passed_over": ["Total"],
    }


def layouts() -> dict[str, str]:
    """JSON of each layout by the name of its file."""
    said: dict[str, tuple[str, str, Origin]] = {
        "rig1_office_copy": ("Rig 1", "office copy of the daily log", _comma_log()),
        "rig2_pile_sheet": ("Rig 2", "pile sheet", _pile_sheet()),
        "rig2_day_sheet": ("Rig 2", "day sheet", _day_sheet()),
        "laboratory_bar": (
            "Invented laboratory",
            "certificate in bar",
            _certificate("bar", "kN·m"),
        ),
        "laboratory_psi": (
            "Invented laboratory",
            "certificate in psi",
            _certificate("psi", "ft-lb"),
        ),
        "designer_schedule": ("Designer", "schedule with groups", _schedule()),
        "grout_sheet": ("Grout crew", "grout sheet of a day", grout_sheet()),
        "supplier_list": ("Invented supplier S", "delivery list", delivery_list()),
        "rig2_strings": ("Rig 2", "string sheet", string_sheet()),
        "surveyor_list": ("Surveyor", "list of the office program", survey_list()),
    }
    return {
        f"{file}.json": json.dumps(
            {"sender": sender, "name": name, "layout": layout}, indent=1, ensure_ascii=False
        )
        + "\n"
        for file, (sender, name, layout) in said.items()
    }
