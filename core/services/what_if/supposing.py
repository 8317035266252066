"""A snapshot as it would be: each supposition changes a copy and states what it assumes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import singledispatch

import pandas as pd

from core.assessment.snapshot import Snapshot
from core.errors import WrongUse
from core.selection import readings_of_runs, schedule_at_runs, schedule_in_force
from core.services.what_if.suppositions import OtherFactor, OtherLoads, OtherRevision, WrongGauge
from core.settings import Project
from core.settings.tables import TorqueFactor
from core.subjects.torque.selection import local_day

LOADS = ("design_compression_kn", "design_tension_kn")
READ = ("pressure_kpa", "torque_read_nm")
IN_PROPORTION = "Required torques printed on the schedule are taken to change in proportion"


@dataclass(frozen=True)
class Standing:
    """As things stand: ``piles`` with their measures, and every issue of the schedule."""

    piles: pd.DataFrame
    issues: pd.DataFrame


@singledispatch
def supposed(one: object, snapshot: Snapshot, standing: Standing) -> tuple[Snapshot, str]:
    """``snapshot`` as ``one`` supposes it, and a sentence about it.

    Raises WrongUse when it names what the project does not have.
    """
    raise TypeError(f"{one!r} is no supposition")


@supposed.register
def _(one: OtherFactor, snapshot: Snapshot, standing: Standing) -> tuple[Snapshot, str]:
    tables = snapshot.project.tables
    rows = {row.id: row for row in tables.torque_factors}
    if one.id not in rows:
        known = ", ".join(rows) or "none"
        raise WrongUse(f"project.toml has no torque factor {one.id}. There are: {known}.")
    row = rows[one.id]
    other = TorqueFactor(**{**row.model_dump(), "value": one.value, "unit": one.unit})
    factors = tuple(other if kept.id == one.id else kept for kept in tables.torque_factors)
    changed = tables.model_copy(update={"torque_factors": factors})
    piles = standing.piles
    mine = piles.loc[piles["torque_factor_id"].eq(one.id), "position_id"]
    scale = row.torque_factor_per_m / one.per_m
    scaled = _scaled(snapshot, mine, ("required_torque_nm",), scale)
    said = f"{IN_PROPORTION}, by {row.value:g} {row.unit} over {one.value:g} {one.unit}."
    project = Project(changed, snapshot.project.text)
    return replace(scaled, project=project), said


@supposed.register
def _(one: OtherLoads, snapshot: Snapshot, standing: Standing) -> tuple[Snapshot, str]:
    schedule = snapshot.select(schedule_in_force)
    raised = _scaled(snapshot, schedule["position_id"], LOADS, one.factor)
    unloaded = schedule.loc[~schedule[list(LOADS)].gt(0).any(axis=1), "position_id"]
    said = (
        "Required torques printed on the schedule stay, as in a revision of the loads alone: where "
        "the loads need more, the computed value governs by the rule of the criterion."
    )
    if unloaded.empty:
        return raised, said
    said += f" {IN_PROPORTION} to the loads where the schedule gives none."
    return _scaled(raised, unloaded, ("required_torque_nm",), one.factor), said


@supposed.register
def _(one: WrongGauge, snapshot: Snapshot, standing: Standing) -> tuple[Snapshot, str]:
    readings = snapshot.select(readings_of_runs)
    known = sorted(readings["instrument_id"].dropna().unique())
    if one.instrument_id not in known:
        listed = ", ".join(known) or "none"
        raise WrongUse(f"No reading is of instrument {one.instrument_id}. There are: {listed}.")
    zone = snapshot.project.tables.project.time_zone
    read_on = local_day(readings["read_at"].to_numpy(), zone)
    day = pd.Series(read_on, readings.index).fillna(readings["run_on"])
    mine = readings["instrument_id"].eq(one.instrument_id)
    mine &= day.between(pd.Timestamp(one.first), pd.Timestamp(one.last))
    scaled = {name: readings[name].mask(mine, readings[name] / (1 + one.share)) for name in READ}
    said = (
        f"{int(mine.sum())} readings of {one.instrument_id} are taken as what it showed, divided "
        f"by {1 + one.share:g}."
    )
    return snapshot.supposing(readings_of_runs, readings.assign(**scaled)), said


@supposed.register
def _(one: OtherRevision, snapshot: Snapshot, standing: Standing) -> tuple[Snapshot, str]:
    issued = standing.issues
    rows = issued[issued["revision"].eq(one.revision)]
    if rows.empty:
        listed = ", ".join(issued["revision"].dropna().unique()) or "none"
        raise WrongUse(f"The schedule has no revision {one.revision}. There are: {listed}.")
    rows = rows.drop_duplicates("position_id", keep="last")
    others = snapshot.select(schedule_in_force)
    others = others[~others["position_id"].isin(rows["position_id"])]
    live = rows[rows["row_status"].ne("deleted")].assign(in_latest=True)
    schedule = pd.concat([others, live[others.columns]], ignore_index=True)
    number = "1 position is" if len(rows) == 1 else f"{len(rows)} positions are"
    said = f"{number} as in revision {one.revision}, the others as in force."
    return snapshot.supposing(schedule_in_force, schedule), said


def _scaled(
    snapshot: Snapshot, positions: pd.Series, columns: tuple[str, ...], scale: float
) -> Snapshot:
    """The schedule in force, and as it stood at the runs, with ``columns`` times ``scale``."""
    for selection in (schedule_in_force, schedule_at_runs):
        rows = snapshot.select(selection)
        mine = rows["position_id"].isin(positions)
        scaled = {name: rows[name].mask(mine, rows[name] * scale) for name in columns}
        snapshot = snapshot.supposing(selection, rows.assign(**scaled))
    return snapshot
