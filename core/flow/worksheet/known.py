"""What a worksheet of one pile works from: its row, its records and the settings of its type."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from core.compute.selection import ordered_runs
from core.criteria import Table
from core.flow.assessing import Assessment
from core.flow.worksheet.steps import InputValue, assumed, of_row, of_settings
from core.project.tables import HelixSet, PileType, Section


@dataclass(frozen=True)
class Known:
    """One pile of an assessment with the rows of the ledger that its numbers come from."""

    assessment: Assessment
    row: pd.Series
    runs: pd.DataFrame
    boreholes: pd.DataFrame
    layers: pd.DataFrame

    @property
    def pile_type(self) -> PileType:
        """The type of the pile."""
        return self.assessment.project.tables.types[self.row["pile_type"]]

    def of_type(self, name: str) -> InputValue:
        """A number that the pile's type, section or helix set gives."""
        kind, tables = self.pile_type, self.assessment.project.tables
        table: Table = kind
        where = f"types.{self.row['pile_type']}"
        if name in Section.model_fields:
            table, where = tables.sections[kind.section], f"sections.{kind.section}"
        elif name in HelixSet.model_fields:
            table, where = tables.helix_sets[kind.helix_set], f"helix_sets.{kind.helix_set}"
        return of_settings(getattr(table, name), f"{where}.{table.as_entered(name)}")

    def of_schedule(self, name: str) -> InputValue:
        """A number of the schedule in force; unknown when no position is."""
        if pd.isna(self.row["entry_no"]):
            return assumed(float("nan"), "no schedule in force")
        return of_row(self.row, name, "schedule")

    def of_runs(self, name: str, take: str) -> InputValue:
        """A number of the pile's runs: the ``last`` that has one, the ``least``, the ``most``."""
        having = self.runs[self.runs[name].notna()]
        if having.empty:
            return assumed(float("nan"), "no run records it")
        values = having[name].astype(float)
        place = {"last": values.index[-1], "least": values.idxmin(), "most": values.idxmax()}[take]
        return of_row(having.loc[place], name, "run")


def known_of(assessment: Assessment, row: pd.Series) -> Known:
    """The records of the pile in ``row``, as the assessment found them."""
    snapshot = assessment.snapshot
    runs, on = snapshot.select(ordered_runs), pd.Timestamp(assessment.on)
    own = runs[runs["pile_id"].eq(row["pile_id"]) & (runs["run_on"] <= on)]
    return Known(
        assessment,
        row,
        own.reset_index(drop=True),
        snapshot.frame("borehole"),
        snapshot.frame("borehole_layer"),
    )
