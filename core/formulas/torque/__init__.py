"""Formulas of installation torque. Plain numbers and arrays in SI; no limits, no files.

Formula letters follow the sources inside the functions; outside, words.
"""

from core.formulas.torque.driving import advance_ratio, elastic_twist
from core.formulas.torque.factors import (
    characteristic_resistance,
    difference_share,
    fitted_torque_factor,
    governing_torque,
    mean_factor,
    min_factor,
    required_torque,
    resistance,
    tested_factor,
    variation,
)
from core.formulas.torque.pressure import (
    calibrated_pressure,
    calibrated_torque,
    differential_pressure,
    motor_torque,
    shear_pin_torque,
    slope_between_points,
    torque_between_points,
)
from core.formulas.torque.window import (
    distance_above_toe,
    drop_at_end,
    drop_from_greatest,
    final_torque,
    final_torque_last,
    final_torques,
    final_torques_by_length,
    gap_between,
    in_final_window,
)

__all__ = [
    "advance_ratio",
    "calibrated_pressure",
    "calibrated_torque",
    "characteristic_resistance",
    "difference_share",
    "differential_pressure",
    "distance_above_toe",
    "drop_at_end",
    "drop_from_greatest",
    "elastic_twist",
    "final_torque",
    "final_torque_last",
    "final_torques",
    "final_torques_by_length",
    "fitted_torque_factor",
    "gap_between",
    "governing_torque",
    "in_final_window",
    "mean_factor",
    "min_factor",
    "motor_torque",
    "required_torque",
    "resistance",
    "shear_pin_torque",
    "slope_between_points",
    "tested_factor",
    "torque_between_points",
    "variation",
]
