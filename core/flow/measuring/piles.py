"""From the ledger to piles: what the schedule in force, the project and the runs have of each."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core import words
from core.compute.selection import ordered_runs, schedule_in_force
from core.flow.snapshot import Snapshot
from core.records.current_rows import CurrentRows
from core.subjects.frames import frame_of, rows_beside
from core.subjects.piles.factors import DIRECTIONS
from core.subjects.piles.measures import Loads, Resistances, lengths_of
from core.subjects.piles.selection import PileRecords
from core.subjects.piles.selection import pile_rows as selected


def runs_of_piles(snapshot: Snapshot) -> CurrentRows:
    """Runs in the order of the work up to the day that judges."""
    runs = snapshot.chosen(ordered_runs)
    return runs.where(runs.values("run_on") <= np.datetime64(snapshot.on, "us"))


def pile_rows(snapshot: Snapshot) -> CurrentRows:
    """Every pile and open position with what is required of it, its runs and its loads."""
    project = snapshot.project
    rows = selected(
        PileRecords(
            schedule=snapshot.chosen(schedule_in_force),
            piles=snapshot.rows("pile"),
            runs=runs_of_piles(snapshot),
            stages=_beyond_installing(snapshot.rows("stage_record")),
            types=project.types,
            safety_factors=project.safety_factors,
            torque_factors=project.torque_factors,
        )
    )
    return rows_beside(rows, Loads(rows))


def pile_frame(rows: CurrentRows) -> pd.DataFrame:
    """``rows`` of ``pile_rows`` as a frame, with what torque works from."""
    own = [name for name in rows.names if name not in _OF_LOADS and name not in _LATER]
    frame = rows.frame()[[*own, *_OF_LOADS]]
    return frame.astype({"runs": "int64"})


def with_lengths(piles: pd.DataFrame, rows: CurrentRows, runs: CurrentRows) -> pd.DataFrame:
    """``piles``, the frame of ``rows``, with lengths, required and rated torque, resistances."""
    lengths = lengths_of(rows, runs)
    for name in ("final_torque_nm", "component_rated_torque_nm"):
        rows = rows.with_number(name, piles[name].to_numpy(dtype=float))
    loads = Loads(rows)
    resistances = Resistances(rows, loads=loads)
    tables = {"lengths": lengths, "loads": loads, "resistances": resistances}
    found = {name: getattr(tables[table], name) for name, table in _LAST.items()}
    return pd.concat([piles, frame_of(found)], axis=1)


def with_open(runs: pd.DataFrame, readings: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """``runs`` with closed, open_run and lacks; ``readings`` gives their pile_id and run_no."""
    key = ["pile_id", "run_no"]
    read = pd.MultiIndex.from_frame(runs[key]).isin(
        pd.MultiIndex.from_frame(readings[key].drop_duplicates())
    )
    below = CurrentRows.of_frame(runs[[*key, "toe_mm", "stop_reason"]])
    above = CurrentRows.of_frame(piles[["pile_id", "reason_required"]])
    table = lengths_of(above, below, read).runs.below
    return runs.assign(
        **frame_of({"closed": table.closed, "open_run": table.open_run, "lacks": table.lacks})
    )


_OF_LOADS = (
    *(
        f"{direction}_{name}"
        for direction in DIRECTIONS
        for name in ("safety_factor", "torque_factor_per_m", "torque_factor_id",
                     "torque_factor_source", "torque_nm")
    ),
    "computed_torque_nm", "computed_direction", "computed_whole", "factor_direction", "load_kn",
    "safety_factor", "torque_factor_per_m", "torque_factor_id", "torque_factor_source",
)  # fmt: skip
_LAST = {
    "installed_mm": "lengths",
    "embedment_mm": "lengths",
    "required_torque_nm": "loads",
    "required_by": "loads",
    "required_is_part": "loads",
    "printed_agrees": "loads",
    "rated_torque_nm": "resistances",
    "resistance_kn": "resistances",
    "structural_kn": "resistances",
    "structural_by": "resistances",
    "over_structural": "resistances",
}
_LATER = {
    *_LAST, "load_source", "required_because", "factor_source",
    *(f"{direction}_torque_factor_key" for direction in DIRECTIONS),
}  # fmt: skip


def _beyond_installing(stages: CurrentRows) -> CurrentRows:
    """Stage records that show work beyond installing."""
    order = words.STAGE_ORDER
    beyond = [order.get(text, -1) > order["installing"] for text in stages.texts("stage")]
    return stages.where(np.array([*beyond, False], dtype=bool)[stages.codes("stage")])
