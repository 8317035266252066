"""Rules of piles and runs that one file can break by itself."""

from __future__ import annotations

import numpy as np

from core.intake.table import Table


def check_pile(table: Table) -> None:
    """A pile stands in the place of another, never of itself."""
    table.fault(
        table.given("replaces") & (table.values["replaces"] == table.values["pile_id"]),
        "replaces",
        "replaces itself",
        lambda at: (
            f"Pile {table.text('pile_id', at)} replaces itself.",
            "Name the pile in whose place it stands, or leave the cell empty.",
        ),
    )


def check_run(table: Table) -> None:
    """Times in order; reason for stopping and toe depth together or not at all."""
    times_in_order(table, "run")
    reason, toe = table.given("stop_reason"), table.given("toe_mm")
    _one_without_other(table, reason & ~toe, "stop_reason", "toe_mm")
    _one_without_other(table, toe & ~reason, "toe_mm", "stop_reason")


def times_in_order(table: Table, what: str) -> None:
    """What begins and ends, such as a run, does not end before it began."""
    table.fault(
        table.values["ended_at"] < table.values["started_at"],
        "ended_at",
        "times out of order",
        lambda at: (
            f"The {what} ends at {table.text('ended_at', at)}, before its start at "
            f"{table.text('started_at', at)}.",
            "Correct the times; past midnight write the date with the time.",
        ),
    )


def _one_without_other(table: Table, where: np.ndarray, given: str, lacking: str) -> None:
    table.fault(
        where,
        given,
        "missing value",
        lambda at: (
            f"The run of pile {table.text('pile_id', at)} has {table.name(given)} "
            f"{table.text(given, at)} but no {table.name(lacking)}.",
            "Give both when the run has ended, neither while it goes on.",
        ),
    )
