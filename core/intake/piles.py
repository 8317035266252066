"""Rules of piles and runs that one file can break by itself."""

from __future__ import annotations

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
    """Times in order. A toe depth or reason for stopping that is missing leaves the run open."""
    times_in_order(table, "run")


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
