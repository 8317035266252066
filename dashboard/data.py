"""The only reader: what the screens show, as frames in store units, cached by the ledger's stamp.

A `View` is one assessment with the key it was read under. Nothing here changes a frame that is
cached: every session reads the same one.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pandas as pd
import streamlit as st

from core import flow, project, words
from core.errors import ProjectError

INSTALLED = words.STAGE_ORDER["installed"]


@dataclass(frozen=True)
class View:
    """One assessment and the key it was read under."""

    key: tuple[Hashable, ...]
    assessment: Any  # core.flow.Assessment


_BY_KEY = {View: lambda view: view.key}


def folder() -> Path:
    """The project folder named after ``--`` on the command line. Raises ProjectError."""
    given = [argument for argument in sys.argv[1:] if not argument.startswith("-")]
    if not given:
        raise ProjectError(
            "No project folder is named. Open one with: pilewright open FOLDER, "
            "or see the sample with: pilewright demo"
        )
    return Path(given[0]).resolve()


def has_moved(view: View) -> bool:
    """Whether the ledger or project.toml may have changed since ``view`` was read."""
    where, _, moved, _ = view.key
    return flow.probe(Path(str(where))) != moved


def opened(where: Path, as_of: int | date | None) -> View:
    """The project as of an entry or day. Raises PilewrightError with the sentence to show."""
    settings = project.load(where)
    today = datetime.now(UTC).astimezone(settings.tables.project.timezone).date()
    return _opened(str(where), as_of, flow.probe(where), today)


@st.cache_resource(max_entries=8, show_spinner="Reading the ledger and judging every pile …")
def _opened(where: str, as_of: int | date | None, moved: Hashable, today: date) -> View:
    return View((where, as_of, moved, today), flow.assess(Path(where), as_of))


@st.cache_resource(max_entries=16, hash_funcs=_BY_KEY, show_spinner=False)
def piles(view: View) -> pd.DataFrame:
    """The piles with ``subject``: the pile's number, or the position's when no pile serves it."""
    frame = view.assessment.piles.reset_index(drop=True)
    return frame.assign(subject=frame["pile_id"].fillna(frame["position_id"]))


@st.cache_resource(max_entries=16, hash_funcs=_BY_KEY, show_spinner=False)
def subjects(view: View) -> list[str]:
    """Numbers of all piles in natural order."""
    return piles(view)["subject"].tolist()


@st.cache_resource(max_entries=16, hash_funcs=_BY_KEY, show_spinner=False)
def options(view: View) -> dict[str, list[str]]:
    """What each filter can be set to."""
    frame = piles(view)
    columns = {"area": "area", "rig": "rig", "type": "pile_type"}
    found = {name: sorted(frame[column].dropna().unique()) for name, column in columns.items()}
    present = set(frame["state"].unique())
    return found | {"state": [state.word for state in words.STATES if state.word in present]}


@st.cache_resource(max_entries=16, hash_funcs=_BY_KEY, show_spinner=False)
def totals(view: View) -> dict[str, float]:
    """The big numbers of the overview."""
    in_ground = _in_ground(view)
    return {
        "satisfied": view.assessment.satisfied,
        "live": view.assessment.live,
        "in_ground": in_ground["position_id"].nunique(),
        "installed_mm": in_ground["installed_mm"].sum(),
        "engineer": view.assessment.counts.get("engineer review", 0),
    }


def _in_ground(view: View) -> pd.DataFrame:
    """Production piles of live positions, with steel in the ground."""
    frame, positions = piles(view), view.assessment.positions
    live = frame["position_id"].isin(positions.loc[positions["live"], "position_id"])
    return frame[live & frame["counted"] & (frame["stage"].map(words.STAGE_ORDER) >= INSTALLED)]


@st.cache_resource(max_entries=16, hash_funcs=_BY_KEY, show_spinner=False)
def states(view: View) -> pd.DataFrame:
    """One row per state that a production pile has, best to worst, replaced last: word, piles."""
    counts = view.assessment.counts
    order = sorted(
        words.STATE_ORDER, key=lambda word: (word == "replaced", -words.STATE_ORDER[word])
    )
    rows = [(word, counts.get(word, 0)) for word in order]
    frame = pd.DataFrame(rows, columns=["state", "piles"])
    return frame[frame["piles"] > 0].reset_index(drop=True)


@st.cache_resource(max_entries=16, hash_funcs=_BY_KEY, show_spinner=False)
def areas(view: View) -> pd.DataFrame:
    """One row per area: live positions, satisfied, with a pile in the ground, metres, open."""
    positions = view.assessment.positions
    live = positions[positions["live"]].groupby("area")
    in_ground = _in_ground(view).groupby("area")
    counted = piles(view)[piles(view)["counted"]]
    names = {mark: area.name for mark, area in view.assessment.project.tables.areas.items()}
    table = pd.DataFrame(
        {
            "positions": live.size(),
            "satisfied": live["satisfied"].sum(),
            "in_ground": in_ground["position_id"].nunique(),
            "installed_mm": in_ground["installed_mm"].sum(),
        }
    )
    for word in ("engineer review", "record incomplete"):
        table[word] = counted[counted["state"] == word].groupby("area").size()
    table = table.fillna(0).astype({"in_ground": int} | dict.fromkeys(table.columns[-2:], int))
    return table.assign(name=table.index.map(lambda mark: names.get(mark, "")))


@st.cache_resource(max_entries=16, hash_funcs=_BY_KEY, show_spinner=False)
def attention(view: View) -> pd.DataFrame:
    """Outstanding items, worst first, with measured value and limit of the finding behind each."""
    keys = ["subject", "kind", "result"]
    found = view.assessment.findings.drop_duplicates(keys)
    numbers = found[[*keys, "measured", "limit_value", "unit_column"]]
    items = view.assessment.attention.merge(numbers, on=keys, how="left")
    return items.assign(is_pile=items["subject"].isin(subjects(view)))


@st.cache_resource(max_entries=16, hash_funcs=_BY_KEY, show_spinner=False)
def attention_kinds(view: View) -> pd.DataFrame:
    """One row per kind of outstanding item, in the order of the list; one column per result."""
    items = view.assessment.attention
    counted = pd.crosstab(items["kind"], items["result"])
    results = [word for word in words.RESULTS if word in counted.columns]
    return (
        counted.reindex(items["kind"].drop_duplicates())[results]
        .rename_axis(columns=None)
        .reset_index()
    )


@st.cache_resource(max_entries=16, hash_funcs=_BY_KEY, show_spinner=False)
def plan(view: View) -> dict[str, list[Any]]:
    """Columns of the site plan: number, place, state and what the filters ask for."""
    frame = piles(view)
    placed = frame[frame["easting_m"].notna() & frame["northing_m"].notna()]
    order = placed["state"].map(words.STATE_ORDER)
    leaning = placed["azimuth_deg"].where(placed["batter_deg"].fillna(0) > 0)
    return {
        "id": placed["subject"].tolist(),
        "x": placed["easting_m"].round(3).tolist(),
        "y": placed["northing_m"].round(3).tolist(),
        "state": order.astype(int).tolist(),
        "azimuth": [None if pd.isna(angle) else angle for angle in leaning],
        "area": placed["area"].fillna("").tolist(),
        "rig": placed["rig"].fillna("").tolist(),
        "type": placed["pile_type"].fillna("").tolist(),
    }


def unplaced(view: View) -> list[str]:
    """Numbers of the piles that have no coordinates and so are not on the plan."""
    frame = piles(view)
    return frame.loc[frame["easting_m"].isna() | frame["northing_m"].isna(), "subject"].tolist()


def pile(view: View, subject: str) -> pd.Series | None:
    """The row of one pile, or None when there is none of that number."""
    frame = piles(view)
    found = frame[frame["subject"] == subject]
    return None if found.empty else found.iloc[0]


def replacements(view: View, subject: str) -> list[str]:
    """Numbers of the piles that serve in place of ``subject``."""
    frame = piles(view)
    return frame.loc[frame["replaces"] == subject, "subject"].tolist()


def findings(view: View, subject: str) -> pd.DataFrame:
    """Findings of one pile, worst first."""
    frame = view.assessment.findings
    own = (frame["pile_id"] == subject) | (
        (frame["subject"] == subject) & (frame["subject_kind"] != "instrument")
    )
    return frame[own].reset_index(drop=True)


def reasons(view: View, subject: str) -> pd.DataFrame:
    """The findings of one pile that object to its acceptance, worst first."""
    own = findings(view, subject)
    return own[own["result"].map(words.RESULT_STATE).notna()]


def readings(view: View, subject: str) -> pd.DataFrame:
    """Readings of one pile by run and depth, with the bound of those outside the range.

    ``bound_torque_nm`` is the torque that a reading is known to lie above or below.
    """
    frame = view.assessment.profile
    own = frame[frame["pile_id"] == subject]
    ceiling = own.get("ceiling_torque_nm", pd.Series(float("nan"), index=own.index))
    bound = own["floor_torque_nm"].where(own["range"].eq("above"), ceiling)
    order = [name for name in ("run_order", "run_no", "depth_mm") if name in own.columns]
    return own.assign(bound_torque_nm=bound).sort_values(order)


@st.cache_resource(max_entries=128, hash_funcs=_BY_KEY, show_spinner=False)
def evidence(view: View, subject: str) -> pd.DataFrame:
    """Source rows of a pile's findings: kind, record, file, sheet, rows as ranges."""
    frame = view.assessment.evidence(subject)
    if frame.empty:
        return frame.assign(rows=pd.Series(dtype=str))
    keys = ["kind", "record", "file", "sheet"]
    frame = frame.drop_duplicates([*keys, "row"]).sort_values([*keys, "row"])
    starts = frame.groupby(keys, dropna=False)["row"].diff().ne(1).fillna(True)
    spans = frame.assign(span=starts.cumsum()).groupby([*keys, "span"], sort=False, dropna=False)
    ends = spans["row"].agg(["min", "max"]).reset_index()
    first, last = ends["min"].astype("Int64").astype(str), ends["max"].astype("Int64").astype(str)
    ends["rows"] = first.where(ends["min"] == ends["max"], first + "–" + last)
    return ends.groupby(keys, sort=False, dropna=False)["rows"].agg(", ".join).reset_index()


@st.cache_resource(max_entries=256, show_spinner=False)
def drawn(name: str, key: Hashable, _draw: Callable[[], Any]) -> Any:
    """A figure made once per ``key``: an identical figure is not sent to the browser again."""
    return _draw()
