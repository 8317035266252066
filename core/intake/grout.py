"""Rules of placements and specimens that one file can break by itself."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.intake.piles import times_in_order
from core.intake.table import Table
from core.intake.torque import row_before
from core.records import CONVERSION_NOISE

WASTE = ("left_l", "spilled_l", "returned_l")


def check_placement(table: Table) -> None:
    """Lifts go down the pile, nothing is wasted that was not batched, times are in order."""
    start, end = table.values["from_mm"], table.values["to_mm"]
    table.fault(
        end < start,
        "to_mm",
        "depths out of order",
        lambda at: (
            f"{_lift(table, at)} goes from {table.text('from_mm', at)} up to "
            f"{table.text('to_mm', at)}. The toe goes down during a lift.",
            "Correct the depths; write the same depth twice for a top-up.",
        ),
    )
    _lifts_in_order(table)
    _waste(table)
    times_in_order(table, "placement")


def _lift(table: Table, at: int) -> str:
    return f"Pile {table.text('pile_id', at)}: lift {table.text('lift_no', at)}"


def _lifts_in_order(table: Table) -> None:
    """A lift begins where the one before ended or lower, unless it goes over the same depths."""
    start, end = table.values["from_mm"], table.values["to_mm"]
    run = table.group(("pile_id", "run_no"))
    before = row_before(run, ~np.isnan(start) & ~np.isnan(end) & ~table.bad)
    again = pd.DataFrame({"run": run, "from": start, "to": end}).duplicated().to_numpy()
    lift = table.values["lift_no"]
    same = (before >= 0) & (lift == lift[before])
    above = (before >= 0) & (start < end[before]) & (start < end) & ~again & ~same

    def say(at: int) -> tuple[str, str]:
        earlier = int(before[at])
        return (
            f"{_lift(table, at)} begins at {table.text('from_mm', at)}, above the end of lift "
            f"{table.text('lift_no', earlier)} at {table.text('to_mm', earlier)} "
            f"(row {table.rows[earlier]}).",
            "Put the lifts in order or correct the depths; a lift that is grouted again has the "
            "depths of the earlier one.",
        )

    table.fault(above, "from_mm", "lifts out of order", say)


def _waste(table: Table) -> None:
    wasted = sum(np.nan_to_num(table.values[name]) for name in WASTE)
    batched = table.values["batched_l"]

    def say(at: int) -> tuple[str, str]:
        told = ", ".join(
            f"{table.name(name)} {table.text(name, at)}" for name in WASTE if table.text(name, at)
        )
        return (
            f"{_lift(table, at)}: more is wasted ({told}) than was batched "
            f"({table.text('batched_l', at)}).",
            "Correct the volumes, or the unit in the header.",
        )

    table.fault(
        wasted > batched * (1 + CONVERSION_NOISE), "batched_l", "more wasted than batched", say
    )


def check_specimen(table: Table) -> None:
    """A specimen is tested on the day it was taken or later, and a strength has its day."""
    table.fault(
        table.values["tested_on"] < table.values["taken_on"],
        "tested_on",
        "dates out of order",
        lambda at: (
            f"Specimen {table.text('specimen_id', at)} is tested on {table.text('tested_on', at)}, "
            f"before it was taken on {table.text('taken_on', at)}.",
            "Correct the dates.",
        ),
    )
    table.fault(
        table.given("strength_mpa") & ~table.given("tested_on"),
        "tested_on" if "tested_on" in table.headings else "strength_mpa",
        "missing value",
        lambda at: (
            f"Specimen {table.text('specimen_id', at)} has a strength but no day of the test.",
            "Write the day of the test, or leave the strength empty until the result is in.",
        ),
    )
