"""Which rows count: the revision in force, the order of the work, the run of a reading.

Plain functions on columns and codes that choose and join rows and measure nothing. A function whose
parameters are called after record kinds is a selection that ``Snapshot.select`` can be asked for.
"""

from core.selection.order import ORDERS, counting_order, in_order, ordered_runs
from core.selection.references import rows_without_parent
from core.selection.schedule import (
    schedule_at_runs,
    schedule_for_construction,
    schedule_in_force,
    schedule_issues,
)
from core.selection.torque import (
    calibration_points,
    certificates,
    readings_of_runs,
    readings_without_run,
)
from core.selection.works import components_placed, grout_placements, quarantines

__all__ = [
    "ORDERS",
    "calibration_points",
    "certificates",
    "components_placed",
    "counting_order",
    "grout_placements",
    "in_order",
    "ordered_runs",
    "quarantines",
    "readings_of_runs",
    "readings_without_run",
    "rows_without_parent",
    "schedule_at_runs",
    "schedule_for_construction",
    "schedule_in_force",
    "schedule_issues",
]
