"""What the makers of findings may ask of a measured job, by name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from core import records
from core.compute.measures import pressure_kinds
from core.compute.measures.events import texts_to_read
from core.compute.selection import (
    calibration_points,
    grout_placements,
    readings_without_run,
    schedule_at_runs,
    schedule_for_construction,
    schedule_in_force,
)
from core.criteria.cases import PileCriterion
from core.criteria.columns import Columns
from core.flow.measuring import Measured
from core.flow.measuring.survey import covered
from core.flow.snapshot import Snapshot
from core.records.current_rows import CurrentRows

# Frames by name; each is made when a maker asks for it.
_FRAMES: dict[str, Callable[[Snapshot, Measured], pd.DataFrame]] = {
    "frame_of_piles": lambda _, measured: measured.piles,
    "runs": lambda _, measured: measured.runs,
    "profile": lambda _, measured: measured.profile,
    "surveys": lambda _, measured: measured.surveys,
    "work_after_runs": lambda _, measured: measured.after.frame("work", "done_on"),
    "texts_to_read": lambda _, measured: texts_to_read(measured.recorded),
    "stamps_placed_again": lambda _, measured: measured.steel.again,
    "stamps_cut": lambda _, measured: measured.steel.cut,
    "use_of_lots": lambda _, measured: measured.steel.lots,
    "covered": lambda snapshot, _: covered(snapshot),
    "grout_placements": lambda snapshot, _: snapshot.select(grout_placements),
    "readings_without_run": lambda snapshot, _: snapshot.select(readings_without_run),
    "rows_without_parent": lambda snapshot, _: snapshot.rows_without_parent,
    "schedule_in_force": lambda snapshot, _: snapshot.select(schedule_in_force),
    "schedule_rows": lambda snapshot, _: snapshot.select(schedule_for_construction),
    "schedule_at_runs": lambda snapshot, measured: _schedule_at_runs(snapshot, measured.piles),
    "pressure_kinds_not_asked": lambda snapshot, measured: pressure_kinds.not_asked(
        measured.profile, snapshot.select(calibration_points)
    ),
}


@dataclass(frozen=True)
class Job:
    """Current rows, measures and criteria of one assessment; ``criteria`` pile by pile.

    ``piles``: the measures of the piles that are judged.
    """

    snapshot: Snapshot
    measured: Measured
    piles: Columns
    criteria: Mapping[str, PileCriterion]

    def frame(self, name: str) -> Any:
        """The frame called ``name``: see ``Maker.of``. Raises LookupError naming what there is."""
        if name == "criteria":
            return self.criteria
        if name == "piles":
            return self.piles
        if name.startswith("criteria."):
            return self.criteria[name.removeprefix("criteria.")]
        if name in _FRAMES:
            return _FRAMES[name](self.snapshot, self.measured)
        if name in records.KIND:
            return self.records(name).frame()
        raise LookupError(f"no frame {name}; there are {', '.join([*_FRAMES, *records.KIND])}")

    def records(self, kind: str) -> CurrentRows:
        """Current rows of a record kind, up to the day of assessment where its rows have a day."""
        return self.snapshot.rows_until(kind)


def _schedule_at_runs(snapshot: Snapshot, piles: pd.DataFrame) -> pd.DataFrame:
    """The last run of each pile until the day of assessment, with the schedule of its day."""
    then = snapshot.select(schedule_at_runs)
    then = then[then["run_on"] <= pd.Timestamp(snapshot.on)]
    homes = piles.dropna(subset=["pile_id"]).set_index("pile_id")
    return then.assign(
        position_id=then["pile_id"].map(homes["position_id"]),
        on_schedule=then["pile_id"].isin(homes.index[homes["revision"].notna()]),
        last_run_no=then["pile_id"].map(homes["last_run_no"]),
    )
