"""Measures by name: word for the screen and decimals in store units. Digests use this precision."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Adverse = Literal["down", "up", "by its finding", "neither"]


@dataclass(frozen=True)
class Measure:
    """One number about one pile; its unit is the ending of its name, ``subject`` what it is of.

    ``adverse`` says which move since a sign-off drops it: ``down`` or ``up``, also where no finding
    holds the measure against a limit; ``by its finding``, towards the limit of the finding that
    shows it; ``neither``, because it has no better side of its own (lengths placed, volumes), is a
    limit or follows from one (required and rated torque, torque factor, resistance), is compared
    as a load, or rises with every better reading (maximum torque, take of the whole pile).
    Results and limits of findings are compared whatever the measure; that a number is no longer
    recorded shows in a result.
    """

    name: str
    word: str
    decimals: int
    subject: str = "torque"
    adverse: Adverse = "neither"


MEASURES: tuple[Measure, ...] = (
    Measure("toe_mm", "toe depth along the axis", 0, adverse="down"),
    Measure("installed_mm", "length in ground", 0),
    Measure("embedment_mm", "embedment", 0, adverse="down"),
    Measure("final_torque_nm", "final torque", 0, adverse="down"),
    Measure("last_torque_nm", "last reading of the final window", 0, adverse="down"),
    Measure("torque_without_peak_nm", "mean of the final window without the peak reading", 0,
            adverse="down"),
    Measure("max_torque_nm", "maximum torque", 0),
    Measure("design_compression_kn", "design load in compression", 1),
    Measure("design_tension_kn", "design load in tension", 1),
    Measure("required_torque_nm", "required torque", 0),
    Measure("rated_torque_nm", "rated torque", 0),
    Measure("drop_share", "drop at the end", 3, adverse="up"),
    Measure("advance_share", "advance per revolution over pitch", 3, adverse="down"),
    Measure("toe_distance_mm", "last reading that counts above the toe", 0),
    Measure("window_gap_mm", "maximum gap in the final window", 0, adverse="up"),
    Measure("upper_gap_mm", "maximum gap above the final window", 0, adverse="up"),
    Measure("torque_factor_per_m", "torque factor Kt", 2),
    Measure("resistance_kn", "torque-derived resistance", 1),
    Measure("net_grout_l", "net grout placed", 0, "grout"),
    Measure("void_l", "theoretical void", 0, "grout"),
    Measure("take_ratio", "take ratio of the whole pile", 2, "grout"),
    Measure("min_cumulative_ratio", "minimum cumulative take ratio at the end of a lift", 2,
            "grout", "down"),
    Measure("min_lift_ratio", "minimum take ratio of a lift", 2, "grout", "down"),
    Measure("grouted_length_mm", "required grouted length", 0, "grout"),
    Measure("lift_gap_mm", "widest gap between lifts down to the toe", 0, "grout", "up"),
    Measure("batch_age_h", "maximum age of a batch at placement", 2, "grout", "up"),
    Measure("grout_strength_mpa", "minimum grout strength at the criterion's age", 1, "grout",
            "down"),
    Measure("placed_length_mm", "length of the string placed", 0, "steel"),
    Measure("cut_off_mm", "length cut off", 0, "steel"),
    Measure("stick_up_mm", "stick-up", 0, "steel"),
    Measure("string_length_mm", "length of the string in the ground", 0, "steel"),
    Measure("length_difference_mm", "string length less toe depth", 0, "steel",
            "by its finding"),
    Measure("offset_east_mm", "plan offset, east", 0, "survey"),
    Measure("offset_north_mm", "plan offset, north", 0, "survey"),
    Measure("plan_offset_mm", "plan offset at cut-off level", 0, "survey", "up"),
    Measure("axis_angle_deg", "angle between as-built and design axis", 2, "survey", "up"),
    Measure("head_level_difference_mm", "head level less cut-off level", 0, "survey",
            "by its finding"),
)  # fmt: skip
MEASURE: dict[str, Measure] = {measure.name: measure for measure in MEASURES}
