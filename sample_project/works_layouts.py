"""How the senders of grout, steel and survey lay their sheets out, as somebody says it once."""

from __future__ import annotations

from origins import Origin, cell, header


def grout_sheet() -> Origin:
    """The crew's sheet of one day."""
    return {
        "kinds": ["grout_batch", "grout_placement"],
        "header_rows": [4, 5],
        "columns": {
            "mixed_on": cell("B2"),
            "placed_on": cell("B2"),
            "mix": cell("D2"),
            "plant": cell("F2"),
            "cement_lot": cell("H2"),
            "tested_by": cell("A3", "Tested by:"),
            "batch_id": header("Batch No."),
            "mixed_at": header("Batch Mixed"),
            "density_kg_m3": header("Batch kg/m³", "kg/m³"),
            "flow_s": header("Batch Flow s", "s"),
            "water_cement_ratio": header("Batch W/C"),
            "pile_id": header("Lift Pile"),
            "lift_no": header("Lift No."),
            "from_mm": header("Lift from", "ft-in"),
            "to_mm": header("Lift to", "ft-in"),
            "batched_l": header("Litres batched", "L"),
            "left_l": header("Litres left", "L"),
            "spilled_l": header("Litres spilled", "L"),
            "returned_l": header("Litres returned", "L"),
            "started_at": header("Clock start"),
            "ended_at": header("Clock end"),
            "level_drop_mm": header("Afterwards drop mm", "mm"),
            "topped_up_l": header("Afterwards topped up", "L"),
            "how_measured": {"text": "tank dip"},
            "resolution_l": {"text": "0.5", "unit": "L"},
        },
        "decimal": "point",
        "fill_down": ["batch_id", "pile_id"],
        "passed_over": ["Total"],
    }


def delivery_list() -> Origin:
    """The supplier's list of one delivery note."""
    return {
        "kinds": ["component", "piece"],
        "header_rows": [4, 5],
        "columns": {
            "delivery_id": cell("B2"),
            "delivered_on": cell("D2"),
            "supplier": cell("F2"),
            "stamp": header("Component Stamp"),
            "component_kind": header("Component Kind"),
            "quantity": header("Component Count"),
            "length_mm": header("Component Length (mm)", "mm"),
            "section": header("Component Shaft"),
            "helix_set": header("Component Helices"),
            "rated_torque_nm": header("Component Rated torque (kN·m)", "kN·m"),
            "rated_torque_document": header("Component Rating document"),
            "zinc_lot": header("Component Zinc lot"),
            "zinc_um": header("Component Zinc (µm)", "µm"),
            "piece": header("Steel Piece"),
            "mill": header("Steel Mill"),
            "heat": header("Steel Heat"),
            "certificate": header("Steel Certificate"),
            "of_this_heat": header("Steel Of this heat"),
        },
        "fill_down": ["stamp"],
        "ends": "blank row",
    }


def string_sheet() -> Origin:
    """The strings of rig 2."""
    return {
        "kinds": ["component_placed"],
        "header_rows": [3, 3],
        "columns": {
            "pile_id": header("Pile"),
            "run_no": header("Run"),
            "place": header("Place"),
            "stamp": header("Stamp"),
            "delivery_id": header("Delivery"),
            "used_length_mm": header("Length (ft-in)", "ft-in"),
            "bolts": header("Bolts"),
        },
        "fill_down": ["pile_id"],
        "ends": "blank row",
    }


def survey_list() -> Origin:
    """The surveyor's list out of the office program."""
    measured = {"easting_m": "E (m)", "northing_m": "N (m)", "level_m": "Z (m)"}
    tilts = {"tilt_east_deg": "Tilt east (deg)", "tilt_north_deg": "Tilt north (deg)"}
    return {
        "kinds": ["survey"],
        "header_rows": [4, 4],
        "columns": {
            "pile_id": header("Mark"),
            "survey_stage": header("Stage"),
            "surveyed_on": header("Date"),
            **{name: header(text, "m") for name, text in measured.items()},
            **{name: header(text, "deg") for name, text in tilts.items()},
            "surveyor": cell("A2", "Surveyor:"),
            "reviewed_by": header("Reviewed by"),
            "reviewed_on": header("Reviewed on"),
        },
        "date_order": "day month year",
        "decimal": "comma",
    }
