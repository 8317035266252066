"""What the makers of findings may ask of a measured job, by name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from core import records
from core.compute.measures import pressure_kinds
from core.compute.measures.events import texts_to_read
from core.flow.facts import Facts
from core.flow.measuring import Measured
from core.flow.measuring.survey import covered
from core.store import Ledger

# Frames by name; each is made when a maker asks for it.
_FRAMES: dict[str, Callable[[Facts, Measured], pd.DataFrame]] = {
    "piles": lambda _, measured: measured.piles,
    "runs": lambda _, measured: measured.runs,
    "profile": lambda _, measured: measured.profile,
    "surveys": lambda _, measured: measured.surveys,
    "work_after_runs": lambda _, measured: measured.after,
    "texts_to_read": lambda _, measured: texts_to_read(measured.recorded),
    "stamps_placed_again": lambda _, measured: measured.steel.again,
    "stamps_cut": lambda _, measured: measured.steel.cut,
    "use_of_lots": lambda _, measured: measured.steel.lots,
    "covered": lambda facts, _: covered(facts),
    "grout_placements": lambda facts, _: facts.works.grout_placements,
    "readings_without_run": lambda facts, _: facts.readings_without_run,
    "rows_without_parent": lambda facts, _: facts.rows_without_parent,
    "schedule_in_force": lambda facts, _: facts.schedule,
    "schedule_rows": lambda facts, _: facts.schedule_rows,
    "schedule_at_runs": lambda facts, measured: _schedule_at_runs(facts, measured.piles),
    "pressure_kinds_not_asked": lambda facts, measured: pressure_kinds.not_asked(
        measured.profile, facts.points
    ),
}


@dataclass(frozen=True)
class Job:
    """Current rows, measures and criteria of one assessment; ``criteria`` row by row for piles."""

    facts: Facts
    measured: Measured
    criteria: Mapping[str, pd.DataFrame]

    def frame(self, name: str) -> Any:
        """The frame called ``name``: see ``Maker.of``. Raises LookupError naming what there is."""
        if name == "criteria":
            return self.criteria
        if name.startswith("criteria."):
            return self.criteria[name.removeprefix("criteria.")]
        if name in _FRAMES:
            return _FRAMES[name](self.facts, self.measured)
        if name in records.KIND:
            return self.records(name)
        raise LookupError(f"no frame {name}; there are {', '.join([*_FRAMES, *records.KIND])}")

    def records(self, kind: str) -> pd.DataFrame:
        """Current rows of a record kind, up to the day of assessment where its rows have a day."""
        with Ledger(self.facts.folder).read() as reader:
            rows = reader.standing(kind, self.facts.entry)
        day = getattr(records.KIND[kind], "day", "")
        return rows[rows[day] <= pd.Timestamp(self.facts.on)] if day else rows


def _schedule_at_runs(facts: Facts, piles: pd.DataFrame) -> pd.DataFrame:
    """The last run of each pile until the day of assessment, with the schedule of its day."""
    then = facts.schedule_at_runs[facts.schedule_at_runs["run_on"] <= pd.Timestamp(facts.on)]
    homes = piles.dropna(subset=["pile_id"]).set_index("pile_id")
    return then.assign(
        position_id=then["pile_id"].map(homes["position_id"]),
        on_schedule=then["pile_id"].isin(homes.index[homes["revision"].notna()]),
        last_run_no=then["pile_id"].map(homes["last_run_no"]),
    )
