"""How the senders lay their sheets out, as somebody says it once on the Intake screen."""

from __future__ import annotations

import json

from office_books import FILLED_DOWN, SCHEDULE_GROUPS

Origin = dict[str, object]


def _header(text: str, unit: str = "") -> Origin:
    return {"header": text, **({"unit": unit} if unit else {})}


def _cell(address: str, before: str = "", unit: str = "") -> Origin:
    said = {"cell": address, "before": before, "unit": unit}
    return {name: text for name, text in said.items() if text}


def _readings(unit: str) -> dict[str, Origin]:
    return {
        "depth_mm": _header(f"Depth ({unit})", unit),
        "pressure_kpa": _header("Reading psi", "psi"),
        "torque_read_nm": _header("Reading ft-lb", "ft-lb"),
        "advance_mm_per_turn": _header("Turning in/rev", "in/rev"),
        "turning_speed_rpm": _header("Turning rpm", "rpm"),
        "instrument_id": _header("Gauge set"),
        "gear": _header("Gear"),
        "event": _header("Event"),
    }


def _pile_sheet() -> Origin:
    return {
        "kinds": ["run", "torque_reading"],
        "header_rows": [6, 7],
        "columns": {
            "pile_id": {"tab": True, "before": "Pile "},
            "run_on": _cell("B4"),
            "rig": _cell("B2"),
            "crew": _cell("E2"),
            "operator": _cell("B3"),
            "inspector": _cell("E3"),
            "schedule_revision": _cell("E4"),
            "started_at": _cell("A5", "Begun:"),
            "ended_at": _cell("C5", "Ended:"),
            "toe_mm": _cell("E5", "Toe:", "ft-in"),
            "stop_reason": _cell("G5", "Stopped:"),
            "remarks": _cell("H5", "Remarks:"),
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
            "pile_id": _header("Pile"),
            "run_on": _cell("B2"),
            "rig": _cell("L2"),
            "crew": _cell("D2"),
            "operator": _cell("F2"),
            "inspector": _cell("H2"),
            "schedule_revision": _cell("J2"),
            "started_at": _header("Begun"),
            "ended_at": _header("Ended"),
            "toe_mm": _header("Toe (ft)", "ft"),
            "stop_reason": _header("Stopped"),
            "remarks": _header("Remarks"),
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
        "pressure_kpa": ("Pressure", "bar"),
        "advance_mm_per_turn": ("Advance", "mm/turn"),
        "turning_speed_rpm": ("Speed", "rpm"),
        "toe_mm": ("Final depth", "m"),
    }
    return {
        "kinds": ["run", "torque_reading"],
        "header_rows": [4, 4],
        "columns": {name: _header(text) for name, text in texts.items()}
        | {name: _header(f"{text} ({unit})", unit) for name, (text, unit) in measured.items()},
        "date_order": "day month year",
        "decimal": "comma",
    }


def _certificate(pressure: str, torque: str) -> Origin:
    return {
        "kinds": ["calibration", "calibration_point"],
        "header_rows": [10, 11],
        "columns": {
            "certificate": _cell("B3"),
            "instrument_id": _cell("B4"),
            "laboratory": _cell("B5"),
            "issued_on": _cell("B6"),
            "valid_from_on": _cell("B7"),
            "valid_to_on": _cell("B8"),
            "gear": _header("Gear"),
            "point_no": _header("Point"),
            "point_pressure_kpa": _header(f"Pressure ({pressure})", pressure),
            "point_torque_nm": _header(f"Torque ({torque})", torque),
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
        "revision": _cell("A2", "Revision:"),
        "status": _cell("C2", "Status:"),
        "issued_on": _cell("F2"),
    }
    for group, names in SCHEDULE_GROUPS:
        for name in names:
            unit = name.rpartition("(")[2].rstrip(")") if "(" in name else ""
            columns[_IN_LEDGER[name]] = _header(f"{group} {name}", unit)
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
    said = {
        "rig1_office_copy": ("Rig 1", "office copy of the daily log", _comma_log()),
        "rig2_pile_sheet": ("Rig 2", "pile sheet", _pile_sheet()),
        "rig2_day_sheet": ("Rig 2", "day sheet", _day_sheet()),
        "laboratory_bar": ("Fernhollow", "certificate in bar", _certificate("bar", "kN·m")),
        "laboratory_psi": ("Fernhollow", "certificate in psi", _certificate("psi", "ft-lb")),
        "designer_schedule": ("Designer", "schedule with groups", _schedule()),
    }
    return {
        f"{file}.json": json.dumps(
            {"sender": sender, "name": name, "layout": layout}, indent=1, ensure_ascii=False
        )
        + "\n"
        for file, (sender, name, layout) in said.items()
    }
