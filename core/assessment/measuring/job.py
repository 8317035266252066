"""What the makers of findings may ask of a measured job, by name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from core import records
from core.assessment.measuring import Measured
from core.assessment.measuring.table_columns import TableColumns
from core.assessment.snapshot import Snapshot
from core.criteria.cases import PileCriterion
from core.criteria.columns import Columns, FrameColumns, RecordColumns
from core.criteria.kinds import Maker
from core.records.current_rows import CurrentRows
from core.selection import (
    grout_placements,
    readings_without_run,
    schedule_at_runs,
    schedule_for_construction,
    schedule_in_force,
)
from core.subjects.survey.selection import covered_heads
from core.subjects.torque.events import texts_to_read
from core.subjects.torque.tables import Torque

# Tables by name; each is made when a maker takes it.
_TABLES: dict[str, Callable[[Snapshot, Measured], CurrentRows | Columns | pd.DataFrame]] = {
    "runs": lambda _, measured: measured.of_runs,
    "read_instruments": lambda _, measured: _read_instruments(measured.tables.torque),
    "surveys": lambda _, measured: measured.of_surveys,
    "work_after_runs": lambda _, measured: measured.after.frame("work", "done_on"),
    "texts_to_read": lambda _, measured: texts_to_read(measured.tables.torque.recorded_texts),
    "stamps_placed_again": lambda _, measured: measured.steel.again,
    "stamps_cut": lambda _, measured: measured.steel.cut,
    "use_of_lots": lambda _, measured: measured.steel.lots,
    "covered": lambda snapshot, _: covered_heads(snapshot.rows("stage_record"), snapshot.on),
    "grout_placements": lambda snapshot, _: snapshot.chosen(grout_placements),
    "readings_without_run": lambda snapshot, _: snapshot.chosen(readings_without_run),
    "rows_without_parent": lambda snapshot, _: snapshot.rows_without_parent,
    "schedule_in_force": lambda snapshot, _: snapshot.chosen(schedule_in_force),
    "schedule_rows": lambda snapshot, _: snapshot.chosen(schedule_for_construction),
    "schedule_at_runs": lambda snapshot, _: _schedule_at_runs(snapshot),
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
    _tables: dict[str, Any] = field(default_factory=dict, repr=False, compare=False)

    def given(self, maker: Maker) -> list[Any]:
        """What ``maker`` takes: see ``Maker.of``. Raises LookupError naming what there is."""
        return [self._table(name) for name in maker.of]

    def _table(self, name: str) -> Any:
        if name not in self._tables:
            self._tables[name] = self._made(name)
        return self._tables[name]

    def _made(self, name: str) -> Any:
        if name == "criteria":
            return self.criteria
        if name == "piles":
            return self.piles
        if name.startswith("criteria."):
            return self.criteria[name.removeprefix("criteria.")]
        if name in _TABLES:
            table = _TABLES[name](self.snapshot, self.measured)
        elif name in records.KIND:
            table = self.records(name)
        else:
            raise LookupError(f"no table {name}; there are {', '.join([*_TABLES, *records.KIND])}")
        if isinstance(table, CurrentRows):
            return RecordColumns(table)
        return FrameColumns(table) if isinstance(table, pd.DataFrame) else table

    def records(self, kind: str) -> CurrentRows:
        """Current rows of a record kind, up to the day of assessment where its rows have a day."""
        return self.snapshot.rows_until(kind)


def _read_instruments(torque: Torque) -> Columns:
    """The instruments that readings and certificates name, with counts of their rows."""
    return TableColumns(torque.read_instruments.rows, torque.read_instruments)


def _schedule_at_runs(snapshot: Snapshot) -> CurrentRows:
    """The last run of each pile until the day of assessment, with the schedule of its day."""
    then = snapshot.chosen(schedule_at_runs)
    return then.where(then.values("run_on") <= np.datetime64(snapshot.on, "us"))
