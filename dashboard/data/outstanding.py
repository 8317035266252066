"""Outstanding items: the part of the list that the filters leave, its counts, and its file."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd
import streamlit as st

from core import services
from core.criteria.kinds import BLOCKS, RESPONSIBLE
from core.subjects.registry import FINDING_KIND
from dashboard import theme
from dashboard.data.views import BY_KEY, View, subjects

OWNER_CODES = {word: code for code, word in RESPONSIBLE.items()}
BLOCK_LETTERS = {word: letter for letter, word in BLOCKS.items()}


@dataclass(frozen=True)
class Waits:
    """Piles that wait for the engineer: how many, and since how many days; None when not dated."""

    piles: int
    median_days: float | None
    longest_days: float | None


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def attention(view: View) -> pd.DataFrame:
    """Outstanding items, worst first, whether each is about a pile, and the piles it selects."""
    return _with_pile(view, view.assessment.attention)


def worst_piles(view: View, most: int = 8) -> list[str]:
    """Piles that head the list of outstanding items, each once."""
    held = attention(view)
    piles = held.loc[held["is_pile"], "subject"].drop_duplicates()
    return piles.head(most).tolist()


def _with_pile(view: View, items: pd.DataFrame) -> pd.DataFrame:
    known = items["subject"].isin(subjects(view))
    is_pile = known & items["subject_kind"].isin(["pile", "position"])
    each = zip(items["subject"], items["subject_kind"], items["piles"], is_pile, strict=True)
    chooses = [
        (subject,) if known_pile else piles if kind == services.SHARED else ()
        for subject, kind, piles, known_pile in each
    ]
    return items.assign(is_pile=is_pile, chooses=pd.Series(chooses, items.index, dtype=object))


@st.cache_resource(max_entries=64, hash_funcs=BY_KEY, show_spinner=False)
def items(
    view: View,
    area: tuple[str, ...],
    responsible: tuple[str, ...],
    blocks: tuple[str, ...],
    finding: tuple[str, ...],
    overdue: bool,
) -> pd.DataFrame:
    """The items that pass the filters, worst first, with ``late``: whether each is overdue."""
    owners = tuple(OWNER_CODES[word] for word in responsible)
    letters = tuple(BLOCK_LETTERS[word] for word in blocks)
    wanted = services.ItemFilter(area, owners, letters, finding, overdue)
    found = _with_pile(view, services.filtered_items_of(view.assessment, wanted))
    return found.assign(late=services.overdue(found, pd.Timestamp(view.assessment.on)))


@st.cache_resource(max_entries=64, show_spinner=False)
def items_in_words(key: tuple[object, ...], system: str, _items: pd.DataFrame) -> pd.DataFrame:
    """Columns of the list for people; ``key`` names the view and the filters."""
    return in_words(_items, system)


def in_words(items: pd.DataFrame, system: str) -> pd.DataFrame:
    """The items as people read them: results with their sign, days as days."""
    rows = services.items_in_words(items, system).drop(columns="Piles")
    return rows.assign(
        **{
            "Result": rows["Result"].map(theme.RESULT_SIGNS) + " " + rows["Result"],
            "Due date": pd.to_datetime(rows["Due date"]).dt.date,
        }
    )


@st.cache_resource(max_entries=64, show_spinner=False)
def items_by_owner(key: tuple[object, ...], _items: pd.DataFrame) -> pd.DataFrame:
    """Number of items by owner and what they block, with the oldest; ``key`` as above."""
    return services.items_by_responsible(_items)


def items_by_subject(view: View, items: pd.DataFrame) -> pd.DataFrame:
    """The list with one line per pile, position or instrument, in words."""
    rows = services.items_by_subject(items)
    piles = view.assessment.piles
    states = dict(zip(piles["pile_id"].fillna(piles["position_id"]), piles["state"], strict=True))
    is_pile = rows["subject_kind"].isin(["pile", "position"])
    return pd.DataFrame(
        {
            "About": services.about(rows),
            "Area": rows["area"],
            "State": rows["subject"].map(states).where(is_pile),
            "Findings": rows["kinds"],
            "Oldest [days]": rows["oldest_days"],
            "Responsible": rows["owners"]
            .str.split(", ")
            .map(lambda codes: ", ".join(RESPONSIBLE[code] for code in codes)),
        }
    )


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def item_options(view: View) -> dict[str, list[str]]:
    """What each filter of the list can be set to."""
    found = view.assessment.attention
    held = {name: set(found[name].dropna()) for name in ("responsible", "kind")}
    letters = set("".join(found["blocks"]))
    return {
        "area": services.areas_of(found),
        "responsible": [word for code, word in RESPONSIBLE.items() if code in held["responsible"]],
        "blocks": [word for letter, word in BLOCKS.items() if letter in letters],
        "finding": [kind for kind in FINDING_KIND if kind in held["kind"]],
    }


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def waits(view: View, area: tuple[str, ...] = ()) -> Waits:
    """Production piles of ``area`` in *engineer review* and how long they have waited.

    Without an area those of the whole job.
    """
    piles = view.assessment.piles
    own = piles[piles["area"].isin(area)] if area else piles
    found = services.waits_for_engineer(own, view.assessment.attention)
    days = found["age_days"].dropna()
    if days.empty:
        return Waits(len(found), None, None)
    return Waits(len(found), float(days.median()), float(days.max()))


def items_file(view: View, items: pd.DataFrame, ending: str, system: str) -> bytes:
    """The list as the content of a .csv or .xlsx file."""
    return services.items_file(
        view.assessment, items[list(view.assessment.attention)], ending, system
    )
