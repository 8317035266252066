"""Columns of the tables that settings are read as, and how rows become a frame."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from core.records import ELEMENTS
from core.records.current_rows import TEXT, TRUTH, TYPES, CurrentRows
from core.subjects.registry import PARAMETERS

# What a type gives its piles: the table of project.toml and the field of each column.
OF_TYPE: dict[str, tuple[str, str]] = {
    **{name: ("types", name) for name in
       ("element", "section", "helix_set", "grouted", "last_stage")},
    **{name: ("helix_sets", name) for name in
       ("largest_helix_mm", "pitch_mm", "top_helix_above_toe_mm")},
    "section_rated_torque_nm": ("sections", "rated_torque_nm"),
    "section_rated_document": ("sections", "rated_torque_document"),
    "shaft_kn": ("sections", "ultimate_kn"),
    "coupling_kn": ("sections", "coupling_ultimate_kn"),
    "helix_plates_kn": ("helix_sets", "ultimate_kn"),
    **{name: ("sections", name) for name in ("shape", "outside_diameter_mm", "wall_mm")},
    **{name: ("types", name) for name in
       ("disc_mm", "grout_from", "predrilled_diameter_mm", "grouted_bore")},
    "type_grouted_length_mm": ("types", "grouted_length_mm"),
}  # fmt: skip
TYPE = {
    "pile_type": "str",
    "element": "str",
    "section": "str",
    "helix_set": "str",
    "grouted": "bool",
    "last_stage": "str",
    "largest_helix_mm": "float64",
    "pitch_mm": "float64",
    "top_helix_above_toe_mm": "float64",
    "section_rated_torque_nm": "float64",
    "section_rated_document": "str",
    "shaft_kn": "float64",
    "coupling_kn": "float64",
    "helix_plates_kn": "float64",
    "shape": "str",
    "outside_diameter_mm": "float64",
    "wall_mm": "float64",
    "disc_mm": "float64",
    "grout_from": "str",
    "predrilled_diameter_mm": "float64",
    "grouted_bore": "bool",
    "type_grouted_length_mm": "float64",
    **{name: dtype for _, _, name, dtype in PARAMETERS},
    "reason_status": "str",
}
FORMS = {"str": TEXT, "bool": TRUTH, "float64": TYPES["number"]}
COMPONENT = {
    **dict.fromkeys(
        ("component_kind", "name", "stamp_is", "traceability", "certificate_type", "clause"), "str"
    ),
    "zinc_lot_asked": "bool",
    "zinc_um_asked": "float64",
    "origin_asked": "str",
}
GRADE = {
    **dict.fromkeys(("standard", "grade"), "str"),
    **dict.fromkeys(("min_yield_mpa", "min_tensile_mpa", "min_elongation_percent"), "float64"),
    **{f"max_{name}_percent": "float64" for name in ELEMENTS.values()},
}
CRITERION_COLUMNS = {
    "pile_type": "str",
    "criterion_status": "str",
    "clause": "str",
    "due": "str",
    "due_after_days": "float64",
}
FACTOR = {
    "id": "str",
    "section": "str",
    "direction": "str",
    "grouted": "bool",
    "helix_set": "str",
    "ground": "str",
    "source": "str",
    "torque_factor_per_m": "float64",
    "key": "str",
}
UNCERTAINTY = {
    "instrument_id": "str",
    **dict.fromkeys(
        ("class_share", "full_scale_kpa", "resolution_kpa", "full_scale_nm", "resolution_nm",
         "calibration_nm", "coverage"), "float64"
    ),
    "source": "str",
}  # fmt: skip
SAFETY = {"direction": "str", "nature": "str", "value": "float64", "clause": "str"}


def framed(rows: list[dict[str, Any]], dtypes: Mapping[str, str | None]) -> pd.DataFrame:
    """Rows as a frame with these columns, in these dtypes also when there is no row."""
    frame = pd.DataFrame(rows).reindex(columns=list(dtypes))
    known: Any = {name: dtype for name, dtype in dtypes.items() if dtype is not None}
    return frame.astype(known)


def rows_of(rows: list[dict[str, Any]], dtypes: Mapping[str, str]) -> CurrentRows:
    """Rows as columns of these dtypes; what a row does not have is not recorded."""
    columns = {name: [row.get(name) for row in rows] for name in dtypes}
    return CurrentRows.of_lists(columns, {name: FORMS[form] for name, form in dtypes.items()})
