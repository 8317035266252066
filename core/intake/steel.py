"""Rules of components and strings that one file can break by itself.

Stamps and heats stay as they are written: O for 0 is for a person to see, never changed here.
"""

from __future__ import annotations

import pandas as pd

from core.intake.table import Table
from core.project import Project


def check_component(table: Table, project: Project) -> None:
    """A stamp of one piece stands for one component."""
    kinds = project.tables.component_kinds
    kind = pd.Series(table.values["component_kind"])
    single = kind.isin([name for name, one in kinds.items() if one.stamp_is == "piece"]).to_numpy()
    table.fault(
        single & (table.values["quantity"] > 1),
        "quantity",
        "impossible value",
        lambda at: (
            f"Stamp {table.text('stamp', at)} stands for {table.text('quantity', at)} components, "
            f"but every {table.text('component_kind', at)} has a stamp of its own.",
            'Write one row per stamp, or set stamp_is = "lot" for the kind in project.toml.',
        ),
    )


def check_placed(table: Table) -> None:
    """A string whose places leave a gap is remarked; the missing one may come in another file."""
    rows = pd.DataFrame({"run": table.group(("pile_id", "run_no")), "place": table.values["place"]})
    rows = rows[rows["run"].ge(0) & rows["place"].notna()].sort_values(["run", "place"])
    before = rows.groupby("run")["place"].shift(fill_value=0)
    gaps = before[rows["place"] > before + 1].sort_index()
    for at, place in zip(gaps.index.to_list(), gaps.to_list(), strict=True):
        table.problems.remark(
            f"Pile {table.text('pile_id', at)}: place {int(place) + 1} of the string is not "
            "in this file.",
            int(table.rows[at]),
        )
