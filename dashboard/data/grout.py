"""Grout compared: takes of lifts and piles, batches, samples, and their limits."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from core import services, units, words
from core.subjects.registry import FINDING
from dashboard import theme
from dashboard.data.views import BY_KEY, View

# Lists of the page: name in the address, word on the switch.
LISTS: dict[str, str] = {
    "all": "all",
    "below": "below minimum",
    "barely": "smallest margin",
    "unlike": "outlier in its group",
    "alarm": "above the alarm",
    "gap": "gap between lifts",
    "unknown": "not known",
}
TAKE_LIMITS = ("min_cumulative_ratio", "min_lift_ratio", "alarm_ratio")
BELOW = ["not met", "within measurement uncertainty"]
TAKES = ("grout_take", "grout_take_in_lift")
TAKE_RESULTS = {
    "grout_take": "take_result",
    "grout_take_in_lift": "lift_result",
    "grout_take_above_alarm": "alarm_result",
    "grout_lifts_to_toe": "gap_result",
    "grout_recorded": "recorded_result",
    "grout_sampling": "sampling_result",
    "grout_strength": "strength_result",
}


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner="Comparing grout …")
def grouting(view: View) -> Any:
    """Frames of grout, as `core.services.Grouting` says."""
    return services.grouting(view.assessment)


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner=False)
def grouted_piles(view: View) -> pd.DataFrame:
    """Grouted piles with their thinnest lift, results of the grout rules, and the smallest margin.

    ``take_margin`` is the smaller of the margins of both take ratios, ``take_note`` the note of
    the worse finding, ``gap_note`` that of the lifts to the toe.
    """
    frame = grouting(view).piles.copy()
    frame = frame.assign(subject=frame["pile_id"].fillna(frame["position_id"]))
    found = view.assessment.findings
    found = found[found["pile_id"].notna()]
    for finding, name in TAKE_RESULTS.items():
        own = found[found["kind"].eq(FINDING[finding].word)]
        own = own.drop_duplicates("pile_id").set_index("pile_id")
        frame[name] = frame["pile_id"].map(own["result"]).astype("str").fillna("")
    takes = found[found["kind"].isin([FINDING[one].word for one in TAKES])]
    worst = takes.drop_duplicates("pile_id").set_index("pile_id")
    frame["take_margin"] = frame["pile_id"].map(takes.groupby("pile_id")["margin"].min())
    frame["take_margin"] = frame["take_margin"].astype(float)
    frame["take_note"] = frame["pile_id"].map(worst["note"]).astype("str").fillna("")
    to_toe = found[found["kind"].eq(FINDING["grout_lifts_to_toe"].word)]
    to_toe = to_toe.drop_duplicates("pile_id")
    gap_note = frame["pile_id"].map(to_toe.set_index("pile_id")["note"])
    frame["gap_note"] = gap_note.astype("str").fillna("")
    bad = frame["take_result"].isin(BELOW) | frame["lift_result"].isin(BELOW)
    bad |= frame["gap_result"].eq("no evidence")
    frame["named"] = bad | frame["alarm_result"].isin(["noted", *BELOW]) | frame["unlike"]
    return frame


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner=False)
def groups(view: View) -> dict[str, tuple[str, str]]:
    """Area and type of every group of grouted piles, by the group's name."""
    frame = grouted_piles(view).dropna(subset=["area", "pile_type"])
    rows = frame.drop_duplicates("group").sort_values("group")
    return {row.group: (row.area, row.pile_type) for row in rows.itertuples()}


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner=False)
def caps(view: View) -> dict[str, list[str]]:
    """Grouted piles under each cap, by the cap's name."""
    frame = grouted_piles(view).dropna(subset=["cap"])
    return frame.groupby("cap")["subject"].agg(list).to_dict()


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner=False)
def take_limits(view: View) -> pd.DataFrame:
    """What the project asks of the take: one row per type, NaN where nothing is set."""
    return criterion_limits(view, "grout_take", TAKE_LIMITS)


def criterion_limits(view: View, criterion: str, names: tuple[str, ...]) -> pd.DataFrame:
    """Numbers and clause of a criterion of grout by type, of the types that have it set."""
    rows = view.assessment.project.criteria(criterion)
    rows = rows[rows["criterion_status"].eq("set")].reindex(columns=["pile_type", "clause", *names])
    used = set(grouted_piles(view)["pile_type"])
    return rows[rows["pile_type"].isin(used)].set_index("pile_type")


def limits_of(view: View, kinds: pd.Series) -> dict[str, float]:
    """Limits of the take that all piles of these types share, by name; none where they differ."""
    rows = take_limits(view).reindex(kinds.dropna().unique())[list(TAKE_LIMITS)].drop_duplicates()
    if len(rows) != 1:
        return {}
    return {name: float(value) for name, value in rows.iloc[0].items() if pd.notna(value)}


def listed(frame: pd.DataFrame, name: str) -> pd.DataFrame:
    """The rows of ``frame`` that are in one of `LISTS`, the smallest margin first."""
    order = ["take_margin", "min_lift_ratio", "min_cumulative_ratio"]
    ranked = frame.sort_values(order, kind="stable")
    below = ranked["take_result"].isin(BELOW) | ranked["lift_result"].isin(BELOW)
    if name == "below":
        return ranked[below]
    if name == "barely":
        return ranked[~below & ranked["min_lift_ratio"].notna()]
    if name == "unlike":
        return ranked[ranked["unlike"]]
    if name == "alarm":
        high = ranked[ranked["alarm_result"].isin(["noted", *BELOW])]
        return high.sort_values("take_ratio", ascending=False, kind="stable")
    if name == "gap":
        return ranked[ranked["gap_result"].eq("no evidence")]
    if name == "unknown":
        return ranked[ranked["lifts"].gt(0) & ranked["take_ratio"].isna()]
    return ranked


def counts(frame: pd.DataFrame) -> dict[str, int]:
    """How many rows of ``frame`` are in each list that calls for something."""
    names = ("below", "unlike", "alarm", "gap", "unknown")
    return {name: len(listed(frame, name)) for name in names}


def lifts_of(view: View, subjects: list[str]) -> pd.DataFrame:
    """Lifts of some piles in the order pile, work."""
    frame = grouting(view).lifts
    return frame[frame["pile_id"].isin(subjects)]


def batches(view: View, subjects: set[str] | None) -> pd.DataFrame:
    """Batches, the latest first; with ``subjects`` those that went into one of these piles."""
    frame = grouting(view).batches.iloc[::-1]
    if subjects is None:
        return frame
    placed = view.assessment.measured.placed
    return frame[frame["batch_id"].isin(placed.loc[placed["pile_id"].isin(subjects), "batch_id"])]


def batch_piles(view: View, names: pd.Series) -> list[str]:
    """Piles that some batches went into."""
    placed = view.assessment.measured.placed
    return placed.loc[placed["batch_id"].isin(names), "pile_id"].drop_duplicates().tolist()


def sampled_days(view: View) -> pd.DataFrame:
    """Days with placements or specimens taken, the latest first."""
    return grouting(view).days


def day_piles(view: View, days: pd.Series) -> list[str]:
    """Piles with placements on some days."""
    placed = view.assessment.measured.placed
    held = placed["placed_on"].fillna(placed["run_on"]).isin(days)
    return placed.loc[held, "pile_id"].drop_duplicates().tolist()


def groups_of(view: View, subjects: set[str]) -> set[str]:
    """Sample groups that represent one of these piles."""
    sampled = view.assessment.measured.sampled
    return set(sampled.loc[sampled["pile_id"].isin(subjects), "sample_group_id"])


def group_piles(view: View, names: pd.Series) -> list[str]:
    """Piles that some sample groups represent."""
    sampled = view.assessment.measured.sampled
    held = sampled["sample_group_id"].isin(names)
    return sampled.loc[held, "pile_id"].drop_duplicates().tolist()


def samples(view: View, subjects: set[str] | None, chosen: set[str]) -> pd.DataFrame:
    """Sample groups, those of the ``chosen`` piles first, then those that wait the longest.

    ``waits_for``: which results are outstanding; ``chosen``: whether it represents a chosen pile;
    ``strength_result`` is the worst result of the strength of its piles.
    """
    frame = grouting(view).samples
    if subjects is not None:
        frame = frame[frame["sample_group_id"].isin(groups_of(view, subjects))]
    due = theme.days(frame["due_on"])
    number = frame["waiting"].astype(str) + " of " + frame["specimens"].astype(str)
    late = frame["overdue_days"].fillna(0).astype(int)
    overdue = late.map(lambda days: f", {days} day{'' if days == 1 else 's'} overdue")
    text = number + ", due " + due + overdue.where(late > 0, "")
    waits = text.where(frame["waiting"] > 0, "")
    own = frame["sample_group_id"].isin(groups_of(view, chosen))
    worst = frame["sample_group_id"].map(_worst_strength(view)).astype("str").fillna("")
    frame = frame.assign(waits_for=waits, chosen=own, strength_result=worst)
    order = ["chosen", "due_on", "taken_on"]
    return frame.sort_values(order, ascending=[False, True, True], kind="stable")


def _worst_strength(view: View) -> pd.Series:
    results = grouted_piles(view).dropna(subset=["pile_id"]).set_index("pile_id")
    pairs = view.assessment.measured.sampled
    rank = {word: place for place, word in enumerate(words.RESULTS)}
    found = pairs.assign(result=pairs["pile_id"].map(results["strength_result"]))
    found = found[found["result"].isin(rank)].sort_values("result", key=lambda one: one.map(rank))
    return found.drop_duplicates("sample_group_id").set_index("sample_group_id")["result"]


def strength_columns(view: View) -> pd.DataFrame:
    """Minimum strength by sample group (rows) and age in days (columns)."""
    rows = grouting(view).strengths
    return rows.pivot(index="sample_group_id", columns="age_days", values="min_strength_mpa")


def specimens(view: View, names: pd.Series) -> pd.DataFrame:
    """Specimens of some sample groups."""
    frame = grouting(view).specimens
    return frame[frame["sample_group_id"].isin(names)]


def strength_limits(view: View) -> list[tuple[float, float]]:
    """Age and minimum strength of every criterion of strength in use."""
    rows = criterion_limits(view, "grout_strength", ("age_days", "min_mpa")).drop_duplicates()
    found = {(float(row.age_days), float(row.min_mpa)) for row in rows.itertuples()}
    return sorted(found)


def unsampled(view: View, chosen: set[str] | None = None) -> list[str]:
    """Piles, or those of the chosen ones, that have grout and are in no sample group."""
    frame = grouted_piles(view)
    held = set(view.assessment.measured.sampled["pile_id"])
    bare = frame.loc[frame["lifts"].gt(0) & ~frame["pile_id"].isin(held), "subject"]
    return bare.tolist() if chosen is None else bare[bare.isin(chosen)].tolist()


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def batch_limits(view: View, system: str) -> str:
    """Limits of density, flow and age, in words."""
    return _requirements(
        _sentences(view, "grout_density", "density", ("min_kg_m3", "max_kg_m3"), system),
        _sentences(view, "grout_flow", "flow", ("min_s", "max_s"), system),
        _sentences(view, "grout_batch_age", "age at placement", ("max_h",), system),
    )


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def sampling_frequency(view: View) -> str:
    """How often sample groups are required, in words."""
    names = ("max_piles_per_group", "min_specimens_per_group", "every_day")
    rows = criterion_limits(view, "grout_sampling", names)
    if rows.empty:
        return "No sampling frequency is set."
    daily = rows["every_day"].eq(True).map({True: ", one on every day with placements", False: ""})
    piles, specimens = (rows[name].astype(int).astype(str) for name in names[:2])
    often = "maximum " + piles + " piles per group, minimum " + specimens + " specimens each"
    return _requirements(_by_type(often + daily + _clause(rows)))


def _sentences(
    view: View, criterion: str, word: str, names: tuple[str, ...], system: str
) -> list[str]:
    """Limits of a criterion with its clause, by type where they differ."""
    rows = criterion_limits(view, criterion, names)
    if rows.empty:
        return [f"no limit set for {word}"]
    signs = {"min": "minimum ", "max": "maximum "}
    parts = [
        rows[name]
        .map(lambda value, name=name: units.text(value, name, system))
        .radd(signs[name.partition("_")[0]])
        for name in names
    ]
    limits = parts[0] if len(parts) == 1 else parts[0] + " and " + parts[1]
    return _by_type(f"{word} " + limits + _clause(rows))


def _clause(rows: pd.DataFrame) -> pd.Series:
    return " (clause " + rows["clause"].astype(str) + ")"


def _by_type(texts: pd.Series) -> list[str]:
    if texts.nunique() == 1:
        return [str(texts.iloc[0])]
    return [f"{kind}: {text}" for kind, text in texts.items()]


def _requirements(*parts: list[str]) -> str:
    return "Required: " + "; ".join(text for part in parts for text in part) + "."
