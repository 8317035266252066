"""Grout as mixed, sampled and tested: batches, days, sample groups, and what is asked of them."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from core import units, words
from dashboard.data.grout import asked, grouted_piles, grouting
from dashboard.data.views import BY_KEY, View


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
    """Sample groups that stand for one of these piles."""
    sampled = view.assessment.measured.sampled
    return set(sampled.loc[sampled["pile_id"].isin(subjects), "sample_group_id"])


def group_piles(view: View, names: pd.Series) -> list[str]:
    """Piles that some sample groups stand for."""
    sampled = view.assessment.measured.sampled
    held = sampled["sample_group_id"].isin(names)
    return sampled.loc[held, "pile_id"].drop_duplicates().tolist()


def samples(view: View, subjects: set[str] | None, chosen: set[str]) -> pd.DataFrame:
    """Sample groups, those of the ``chosen`` piles first, then those that wait the longest.

    ``waits_for`` says which results are not in; ``chosen`` whether it stands for a chosen pile;
    ``strength_result`` is the worst result of the strength of its piles.
    """
    frame = grouting(view).samples
    if subjects is not None:
        frame = frame[frame["sample_group_id"].isin(groups_of(view, subjects))]
    due = frame["due_on"].dt.strftime("%Y-%m-%d")
    number = frame["waiting"].astype(str) + " of " + frame["specimens"].astype(str)
    late = frame["overdue_days"].fillna(0).astype(int)
    since = (", since " + late.astype(str) + " days").where(late > 0, "")
    told = (number + ", due " + due + since).where(frame["waiting"] > 0, "")
    own = frame["sample_group_id"].isin(groups_of(view, chosen))
    worst = frame["sample_group_id"].map(_worst_strength(view)).astype("str").fillna("")
    frame = frame.assign(waits_for=told, chosen=own, strength_result=worst)
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
    """Least strength by sample group (rows) and age in days (columns)."""
    rows = grouting(view).strengths
    return rows.pivot(index="sample_group_id", columns="age_days", values="min_strength_mpa")


def specimens(view: View, names: pd.Series) -> pd.DataFrame:
    """Specimens of some sample groups."""
    frame = grouting(view).specimens
    return frame[frame["sample_group_id"].isin(names)]


def strengths_asked(view: View) -> list[tuple[float, float]]:
    """Age and least strength of every criterion of strength in use."""
    rows = asked(view, "grout_strength", ("age_days", "min_mpa")).drop_duplicates()
    found = {(float(row.age_days), float(row.min_mpa)) for row in rows.itertuples()}
    return sorted(found)


def unsampled(view: View, chosen: set[str] | None = None) -> list[str]:
    """Piles, or those of the chosen ones, that have grout and are in no sample group."""
    frame = grouted_piles(view)
    held = set(view.assessment.measured.sampled["pile_id"])
    bare = frame.loc[frame["lifts"].gt(0) & ~frame["pile_id"].isin(held), "subject"]
    return bare.tolist() if chosen is None else bare[bare.isin(chosen)].tolist()


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def asked_of_batches(view: View, system: str) -> str:
    """What the project asks of density, flow and age, in words."""
    return _told(
        _sentences(view, "grout_density", "density", ("min_kg_m3", "max_kg_m3"), system),
        _sentences(view, "grout_flow", "flow", ("min_s", "max_s"), system),
        _sentences(view, "grout_batch_age", "age at placement", ("max_h",), system),
    )


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def asked_of_samples(view: View) -> str:
    """How often the project asks for sample groups, in words."""
    names = ("max_piles_per_group", "min_specimens_per_group", "every_day")
    rows = asked(view, "grout_sampling", names)
    if rows.empty:
        return "Nothing is set for how often grout is sampled."
    daily = rows["every_day"].eq(True).map({True: ", one on every day with placements", False: ""})
    piles, specimens = (rows[name].astype(int).astype(str) for name in names[:2])
    told = "at most " + piles + " piles per group, at least " + specimens + " specimens in each"
    return _told(_by_type(told + daily + _clause(rows)))


def _sentences(
    view: View, criterion: str, word: str, names: tuple[str, ...], system: str
) -> list[str]:
    """Limits of a criterion with its clause, by type where they differ."""
    rows = asked(view, criterion, names)
    if rows.empty:
        return [f"no limit is set for {word}"]
    signs = {"min": "at least ", "max": "at most "}
    parts = [
        rows[name]
        .map(lambda value, name=name: units.text(value, name, system))
        .radd(signs[name.partition("_")[0]])
        for name in names
    ]
    told = parts[0] if len(parts) == 1 else parts[0] + " and " + parts[1]
    return _by_type(f"{word} " + told + _clause(rows))


def _clause(rows: pd.DataFrame) -> pd.Series:
    return " (clause " + rows["clause"].astype(str) + ")"


def _by_type(told: pd.Series) -> list[str]:
    if told.nunique() == 1:
        return [str(told.iloc[0])]
    return [f"{kind}: {text}" for kind, text in told.items()]


def _told(*parts: list[str]) -> str:
    return "Asked: " + "; ".join(text for part in parts for text in part) + "."
