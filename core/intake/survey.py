"""Rules of the as-built survey that one file can break by itself."""

from __future__ import annotations

import numpy as np

from core.intake.table import Table

_AXIS = "Give the axis by batter and azimuth, or by both tilts."


def check_survey(table: Table) -> None:
    """The axis is given whole and in one way; nobody reviews a survey before it is taken."""
    batter, azimuth = table.given("batter_deg"), table.given("azimuth_deg")
    east, north = table.given("tilt_east_deg"), table.given("tilt_north_deg")
    _lacks(table, azimuth & ~batter, "azimuth_deg", "batter_deg")
    _lacks(table, east & ~north, "tilt_east_deg", "tilt_north_deg")
    _lacks(table, north & ~east, "tilt_north_deg", "tilt_east_deg")
    table.fault(
        batter & (east | north),
        "batter_deg",
        "two axes",
        lambda at: (
            f"Pile {table.text('pile_id', at)} has a batter of {table.text('batter_deg', at)} and "
            "tilts as well: two axes of one pile.",
            "Keep the one that was measured. " + _AXIS,
        ),
    )
    table.fault(
        table.values["reviewed_on"] < table.values["surveyed_on"],
        "reviewed_on",
        "dates out of order",
        lambda at: (
            f"The survey of pile {table.text('pile_id', at)} is reviewed on "
            f"{table.text('reviewed_on', at)}, before it was taken on "
            f"{table.text('surveyed_on', at)}.",
            "Correct the dates.",
        ),
    )


def _lacks(table: Table, where: np.ndarray, given: str, lacking: str) -> None:
    table.fault(
        where,
        given,
        "missing value",
        lambda at: (
            f"Pile {table.text('pile_id', at)} has {table.name(given)} but no "
            f"{table.name(lacking)}.",
            _AXIS,
        ),
    )
