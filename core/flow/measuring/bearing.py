"""Static bearing of one pile in the nearest borehole, as the tables of its subject."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core import units
from core.compute.selection import ordered_runs
from core.flow.snapshot import Snapshot
from core.project import Project
from core.records.current_rows import CurrentRows
from core.subjects.bearing.measures import Inputs, Pile, Resistance, tables
from core.subjects.tables import of_pile

# What the subject takes of the piles: place, levels, batter and the numbers of their type.
_OF_PILE = ["pile_id", "pile_type", "element", "section", "helix_set", "shape", "easting_m",
            "northing_m", "ground_level_m", "batter_deg", "outside_mm", "top_helix_above_toe_mm",
            "shaft_kn", "coupling_kn", "helix_plates_kn", "resistance_kn", "entry_no", "sheet",
            "row_no"]  # fmt: skip


def bearing_tables(
    snapshot: Snapshot, pile: pd.DataFrame, traced: bool = False
) -> tuple[Pile, Resistance]:
    """The tables of the one pile in ``pile``, with its measures by torque."""
    row, project = pile.iloc[0], snapshot.project
    runs = of_pile(snapshot.chosen(ordered_runs), row["pile_id"])
    until = runs.values("run_on") <= np.datetime64(snapshot.on, "us")
    clause = "; ".join(_own_clause(row, project))
    rows = CurrentRows.of_frame(pile[_OF_PILE]).with_text("own_clause", np.array([0]), [clause])
    return tables(
        Inputs(
            piles=rows,
            runs=runs.where(until),
            boreholes=snapshot.rows("borehole"),
            layers=snapshot.rows("borehole_layer"),
            helix_mm={name: one.helix_mm for name, one in project.tables.helix_sets.items()},
        ),
        traced,
    )


def _own_clause(row: pd.Series, project: Project) -> list[str]:
    """What the project requires instead: its criterion of torque and its safety factor."""
    required = project.criteria("required_torque").set_index("pile_type")
    found = []
    if row["pile_type"] in required.index:
        own = required.loc[row["pile_type"]]
        if own["criterion_status"] == "set":
            found.append(f"the project asks for its required torque by {own['clause']}")
    factors = project.safety_factors.frame()
    factors = factors[factors["direction"].eq(row["factor_direction"])]
    for _, factor in factors[factors["nature"].eq(row["load_nature"])].iterrows():
        load = units.text(_required_load(row, factor), "load_kn", "SI")
        found.append(f"safety factor {factor['value']:g} by {factor['clause']} asks for {load}")
    return found


def _required_load(row: pd.Series, factor: pd.Series) -> float:
    """Ultimate load [kN] that a service load and its safety factor require; NaN otherwise."""
    service = row["load_basis"] == "service" and pd.notna(row["load_kn"])
    return float(row["load_kn"] * factor["value"]) if service else float("nan")
