"""Static bearing of one pile in the nearest borehole, as the tables of its subject."""

from __future__ import annotations

import numpy as np

from core import units
from core.assessment.snapshot import Snapshot
from core.selection import ordered_runs
from core.settings import Project
from core.subjects.bearing.measures import Inputs, Pile, Resistance, tables
from core.subjects.piles.measures import Loads, Resistances
from core.subjects.tables import of_pile


def bearing_tables(
    snapshot: Snapshot, loads: Loads, resistances: Resistances
) -> tuple[Pile, Resistance]:
    """The tables of the one pile of ``loads`` and ``resistances``; its steps are kept."""
    rows, project = resistances.rows, snapshot.project
    runs = of_pile(snapshot.chosen(ordered_runs), rows.text("pile_id", 0))
    until = runs.values("run_on") <= np.datetime64(snapshot.on, "us")
    clause = "; ".join(_own_clause(loads, project))
    return tables(
        Inputs(
            piles=rows.with_text("own_clause", np.array([0]), [clause]),
            resistances=resistances,
            runs=runs.where(until),
            boreholes=snapshot.rows("borehole"),
            layers=snapshot.rows("borehole_layer"),
            helix_mm={name: one.helix_mm for name, one in project.tables.helix_sets.items()},
        ),
        traced=True,
    )


def _own_clause(loads: Loads, project: Project) -> list[str]:
    """What the project requires instead: its criterion of torque and its safety factor."""
    required = project.criteria("required_torque").set_index("pile_type")
    found, rows = [], loads.rows
    pile_type = rows.text("pile_type", 0)
    if pile_type in required.index:
        own = required.loc[pile_type]
        if own["criterion_status"] == "set":
            found.append(f"the project asks for its required torque by {own['clause']}")
    factors = project.safety_factors.frame()
    factors = factors[factors["direction"].eq(loads.factor_direction.at(0))]
    for _, factor in factors[factors["nature"].eq(rows.text("load_nature", 0))].iterrows():
        service = rows.text("load_basis", 0) == "service"
        needed = float(loads.load_kn.values[0] * factor["value"]) if service else float("nan")
        load = units.text(needed, "load_kn", "SI")
        found.append(f"safety factor {factor['value']:g} by {factor['clause']} asks for {load}")
    return found
