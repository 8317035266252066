"""The job assessed again on a changed snapshot, and the piles whose state differs."""

from __future__ import annotations

import re
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import singledispatch
from pathlib import Path
from typing import Any

import pandas as pd

from core import units, words
from core.assessment.assess import Assessment, judged
from core.assessment.evaluation import evaluated, load_and_evaluate
from core.assessment.snapshot import Snapshot
from core.errors import WrongUse
from core.selection import readings_of_runs, schedule_at_runs, schedule_in_force, schedule_issues
from core.services.outstanding import against
from core.settings import Project
from core.settings.tables import TorqueFactor
from core.subjects.registry import FINDING_KIND
from core.subjects.torque.selection import local_day

FORMS = (
    "torque factor TF-1 = 27 1/m",
    "loads x 1.1",
    "gauge G-1 read 4 % high from 2026-03-02 to 2026-03-06",
    "revision C in force",
)


@dataclass(frozen=True)
class ChangedFactor:
    """Another value of one row of the torque factor table."""

    id: str
    value: float
    unit: str

    @property
    def per_m(self) -> float:
        """The value in store units [1/m]."""
        return self.value * units.factor(self.unit, "1/m")


@dataclass(frozen=True)
class ScaledLoads:
    """All design loads times a factor."""

    factor: float


@dataclass(frozen=True)
class GaugeError:
    """An instrument that showed too much, or with a negative share too little, between two days."""

    instrument_id: str
    share: float
    first: date
    last: date


@dataclass(frozen=True)
class ChangedRevision:
    """A revision of the schedule as if it were in force."""

    revision: str


Scenario = ChangedFactor | ScaledLoads | GaugeError | ChangedRevision

_NUMBER = r"(\d+(?:\.\d+)?)"
_DAY = r"(\d{4}-\d{2}-\d{2})"
_FACTOR = re.compile(rf"torque factor (\S+) = {_NUMBER} (1/m|1/ft)", re.I)
_LOADS = re.compile(rf"loads [x×*] {_NUMBER}", re.I)
_GAUGE = re.compile(rf"gauge (\S+) read {_NUMBER} ?% (high|low) from {_DAY} to {_DAY}", re.I)
_REVISION = re.compile(r"revision (\S+) in force", re.I)


def supposition(text: str) -> Scenario:
    """The supposition that a sentence says.

    Raises WrongUse naming the sentences that are understood, and for numbers that make no sense.
    """
    words = " ".join(text.split())
    if found := _FACTOR.fullmatch(words):
        return ChangedFactor(found[1], _positive(found[2], words), found[3])
    if found := _LOADS.fullmatch(words):
        return ScaledLoads(_positive(found[1], words))
    if found := _GAUGE.fullmatch(words):
        return _gauge(found, words)
    if found := _REVISION.fullmatch(words):
        return ChangedRevision(found[1])
    known = "; ".join(FORMS)
    raise WrongUse(f"--what-if {text!r} is not recognised. Use one of: {known}.")


def _positive(text: str, words: str) -> float:
    value = float(text)
    if value <= 0:
        raise WrongUse(f"{words!r}: the number must be above zero.")
    return value


def _gauge(found: re.Match[str], words: str) -> GaugeError:
    share = float(found[2]) / 100 * (1 if found[3].lower() == "high" else -1)
    if share <= -1:
        raise WrongUse(f"{words!r}: a gauge cannot read 100 % low or more.")
    try:
        first, last = date.fromisoformat(found[4]), date.fromisoformat(found[5])
    except ValueError as error:
        raise WrongUse(f"{words!r}: write days like 2026-03-02.") from error
    if last < first:
        raise WrongUse(f"{words!r}: the last day lies before the first.")
    return GaugeError(found[1], share, first, last)


LOADS = ("design_compression_kn", "design_tension_kn")
READ = ("pressure_kpa", "torque_read_nm")
IN_PROPORTION = "Required torques printed on the schedule are assumed to change in proportion"


@dataclass(frozen=True)
class BaseRows:
    """As things stand: ``piles`` with their measures, and every issue of the schedule."""

    piles: pd.DataFrame
    issues: pd.DataFrame


@singledispatch
def applied(one: object, snapshot: Snapshot, base: BaseRows) -> tuple[Snapshot, str]:
    """``snapshot`` as ``one`` supposes it, and a sentence about it.

    Raises WrongUse when it names what the project does not have.
    """
    raise TypeError(f"{one!r} is no supposition")


@applied.register
def _(one: ChangedFactor, snapshot: Snapshot, base: BaseRows) -> tuple[Snapshot, str]:
    tables = snapshot.project.tables
    rows = {row.id: row for row in tables.torque_factors}
    if one.id not in rows:
        known = ", ".join(rows) or "none"
        raise WrongUse(f"project.toml has no torque factor {one.id}. There are: {known}.")
    row = rows[one.id]
    other = TorqueFactor(**{**row.model_dump(), "value": one.value, "unit": one.unit})
    factors = tuple(other if kept.id == one.id else kept for kept in tables.torque_factors)
    changed = tables.model_copy(update={"torque_factors": factors})
    piles = base.piles
    mine = piles.loc[piles["torque_factor_id"].eq(one.id), "position_id"]
    scale = row.torque_factor_per_m / one.per_m
    scaled = _scaled(snapshot, mine, ("required_torque_nm",), scale)
    said = f"{IN_PROPORTION}, by {row.value:g} {row.unit} over {one.value:g} {one.unit}."
    project = Project(changed, snapshot.project.text)
    return replace(scaled, project=project), said


@applied.register
def _(one: ScaledLoads, snapshot: Snapshot, base: BaseRows) -> tuple[Snapshot, str]:
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


@applied.register
def _(one: GaugeError, snapshot: Snapshot, base: BaseRows) -> tuple[Snapshot, str]:
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
    return snapshot.with_rows(readings_of_runs, readings.assign(**scaled)), said


@applied.register
def _(one: ChangedRevision, snapshot: Snapshot, base: BaseRows) -> tuple[Snapshot, str]:
    issued = base.issues
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
    return snapshot.with_rows(schedule_in_force, schedule), said


def _scaled(
    snapshot: Snapshot, positions: pd.Series, columns: tuple[str, ...], scale: float
) -> Snapshot:
    """The schedule in force, and as it stood at the runs, with ``columns`` times ``scale``."""
    for selection in (schedule_in_force, schedule_at_runs):
        rows = snapshot.select(selection)
        mine = rows["position_id"].isin(positions)
        scaled = {name: rows[name].mask(mine, rows[name] * scale) for name in columns}
        snapshot = snapshot.with_rows(selection, rows.assign(**scaled))
    return snapshot


@dataclass(frozen=True)
class ScenarioOptions:
    """``gauges``: instrument_id with first and last day of its readings; ``factors``: rows of the
    torque factor table; ``revisions``: of the schedule, in the order of their issue."""

    gauges: pd.DataFrame
    factors: pd.DataFrame
    revisions: list[str]


def scenario_options(assessment: Assessment) -> ScenarioOptions:
    """The instruments, torque factors and revisions of the project at the assessment's entry."""
    days = assessment.measured.profile.groupby("instrument_id")["read_on"]
    gauges = pd.DataFrame({"first": days.min(), "last": days.max()}).reset_index()
    issues = assessment.snapshot.select(schedule_issues)
    revisions = issues["revision"].dropna().drop_duplicates().tolist()
    return ScenarioOptions(gauges, assessment.project.torque_factors.frame(), revisions)


MOVED = ("pile_id", "area", "state", "state_then", "why")
OBJECTIONS = {result for result, state in words.RESULT_STATE.items() if state is not None}


@dataclass(frozen=True)
class WhatIf:
    """What was supposed, what was taken for granted, and what would come of it.

    ``moved`` has the columns of ``MOVED``, one row per pile whose state would change; ``state`` is
    its state as things stand, sign-offs included.
    """

    texts: tuple[str, ...]
    notes: tuple[str, ...]
    moved: pd.DataFrame
    counts: dict[str, int]
    counts_then: dict[str, int]


def what_if(
    folder: Path, texts: Sequence[str], as_of: int | date | None = None, system: str = ""
) -> WhatIf:
    """The answer to one or several suppositions together, told in the words of ``FORMS``.

    ``system`` (SI or US) is that of the numbers in ``why``; the project's own when empty.

    Raises WrongUse for a sentence that is not understood or names what is not there, and what
    ``assess`` raises.
    """
    folder = Path(folder)
    wanted = [supposition(text) for text in texts]
    known, found = load_and_evaluate(folder, as_of)
    unsigned = known.without("sign_off")
    real = judged(folder, known, found)
    now = judged(folder, unsigned, found) if len(known.rows("sign_off")) else real
    base = BaseRows(now.piles, known.select(schedule_issues))
    changed, notes = unsigned, []
    for one in wanted:
        changed, said = applied(one, changed, base)
        notes.append(said)
    then = judged(folder, changed, evaluated(changed))
    moved = _moved(real, now, then, system or known.project.tables.project.system)
    return WhatIf(tuple(texts), tuple(notes), moved, now.counts, then.counts)


def _moved(real: Assessment, now: Assessment, then: Assessment, system: str) -> pd.DataFrame:
    """One row per pile or open position whose state differs, in the order of the piles."""
    states = [_states(assessment) for assessment in (real, now, then)]
    frame = pd.DataFrame({"state": states[0], "now": states[1], "state_then": states[2]})
    frame = frame.fillna("not there")[frame["now"].ne(frame["state_then"]).to_numpy()]
    areas = pd.concat([_by_subject(real)["area"], _by_subject(then)["area"]])
    frame["area"] = areas[~areas.index.duplicated()].reindex(frame.index)
    frame["why"] = _why(now, then, frame.index, system).reindex(frame.index).fillna("")
    ordered = frame.rename_axis("pile_id").reset_index()
    place = {subject: at for at, subject in enumerate(_by_subject(then).index)}
    ordered = ordered.sort_values("pile_id", key=lambda ids: ids.map(place), kind="stable")
    return ordered[list(MOVED)].reset_index(drop=True)


def _by_subject(assessment: Assessment) -> pd.DataFrame:
    piles = assessment.piles
    return piles.set_index(piles["pile_id"].fillna(piles["position_id"]))


def _states(assessment: Assessment) -> pd.Series:
    return _by_subject(assessment)["state"]


def _why(now: Assessment, then: Assessment, subjects: pd.Index, system: str) -> pd.Series:
    """Per subject the findings whose objection comes, goes or changes, with what would be."""
    before, after = (_results(assessment, subjects) for assessment in (now, then))
    gone = before.loc[before.index.difference(after.index, sort=False), ["result"]]
    pairs = after.join(before["result"].rename("was"))
    pairs = pd.concat([pairs, gone.rename(columns={"result": "was"})])
    pairs = pairs.fillna({"result": "none", "was": "none"})
    objected = pairs["result"].isin(OBJECTIONS) | pairs["was"].isin(OBJECTIONS)
    pairs = pairs[pairs["result"].ne(pairs["was"]) & objected].reset_index()
    told = [
        f"{row['kind']}: {row['was']} → {row['result']}{_numbers(row, system)}"
        for row in pairs.to_dict("records")
    ]
    why: pd.Series = pd.Series(told, dtype="str").groupby(pairs["subject"]).agg("; ".join)
    return why


def _results(assessment: Assessment, subjects: pd.Index) -> pd.DataFrame:
    """The first finding of each kind and subject, by both."""
    found = assessment.findings
    mine = found[found["subject"].isin(subjects)]
    return mine.drop_duplicates(["subject", "kind"]).set_index(["subject", "kind"])


def _numbers(row: dict[Hashable, Any], system: str) -> str:
    if pd.isna(row["measured"]) or pd.isna(row["limit_value"]):
        return ""
    words = against(
        FINDING_KIND[row["kind"]],
        row["measured"],
        row["limit_value"],
        row["sense"],
        row["unit_column"],
        system,
    )
    return f" ({words})"


def what_if_object(answer: WhatIf) -> dict[str, Any]:
    """The answer for JSON."""
    named = answer.moved.rename(
        columns={"pile_id": "pile", "state": "now", "state_then": "in_scenario"}
    )
    rows = named.astype(object).where(named.notna(), None).to_dict("records")
    return {
        "scenario": list(answer.texts),
        "notes": list(answer.notes),
        "changed_piles": rows,
        "counts": {"now": answer.counts, "in_scenario": answer.counts_then},
    }
