"""Steel: the register read once, what a text means in it, its trace, and what is missing."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from pathlib import Path

import pandas as pd
import streamlit as st

from core import services
from core.criteria.kinds import RESPONSIBLE
from core.errors import PilewrightError
from core.services import Match, QuarantineEffect, SearchResult, Steel, trace_csv
from core.subjects.registry import FINDING
from dashboard.data.views import BY_KEY, View, subjects

MOST_BOXES = 40


@dataclass(frozen=True)
class Listed:
    """A list of what may be missing: its word and meaning, and the id of the finding behind it.

    ``about``: whether rows are about a pile, a stamp or a heat.
    """

    word: str
    meaning: str
    finding: str
    about: str = "pile_id"


LISTS: dict[str, Listed] = {
    "delivery": Listed(
        "no delivery",
        "Components in the ground that are on no delivery, or may be on several.",
        "component_not_on_register",
    ),
    "heat": Listed(
        "no heat", "Pieces in the ground without the heat that is required.", "heat_traced"
    ),
    "certificate": Listed(
        "no certificate", "Pieces in the ground whose heat no certificate covers.",
        "mill_certificate",
    ),
    "type": Listed(
        "certificate type below requirement",
        "Pieces whose certificate is of a lower type than the contract requires.",
        "certificate_type",
    ),
    "kind": Listed(
        "kind unknown", "Components of a kind that project.toml does not name: no grade is known.",
        "criterion_not_set",
    ),
    "twice": Listed(
        "stamp used twice", "Stamps of a single component, recorded in more than one place.",
        "stamp_used_twice",
    ),
    "lots": Listed(
        "lot quantity exceeded",
        "Lots of which more is placed, left over and scrapped than was delivered.",
        "lot_quantity_exceeded", "stamp",
    ),
    "string": Listed(
        "string", "Piles whose string of components is not recorded, or not as it should be.",
        "string_recorded",
    ),
    "length": Listed(
        "length", "Piles whose placed length does not agree with the depth of the toe.",
        "length_reconciliation",
    ),
    "quarantine": Listed(
        "heat in quarantine", "Piles with a piece of a heat in quarantine.",
        "heat_in_quarantine",
    ),
    "grade": Listed(
        "grade of the steel", "Piles with steel below its grade, or without certified values.",
        "steel_grade",
    ),
    "chemistry": Listed(
        "chemistry", "Piles with steel outside the limits of its ladle analysis.",
        "steel_chemistry",
    ),
    "early": Listed(
        "placed before delivery", "Piles with a component delivered after it was placed.",
        "component_placed_before_delivery",
    ),
    "zinc": Listed(
        "zinc not recorded", "Piles with components whose zinc lot or thickness is not recorded.",
        "zinc_recorded",
    ),
    "thin": Listed(
        "zinc below minimum", "Piles with components whose zinc is thinner than specified.",
        "zinc_thickness",
    ),
    "origin": Listed(
        "origin not shown", "Piles with steel of which no certificate shows an allowed origin.",
        "steel_origin",
    ),
    "uncertified": Listed(
        "heat without certificate", "Heats of pieces received, placed or not, on no certificate.",
        "mill_certificate", "heat",
    ),
    "unreceived": Listed(
        "heat without delivery", "Heats on certificates of which no piece is recorded.",
        "heat_not_on_named_certificate", "heat",
    ),
    "doubtful": Listed(
        "similar heat numbers", "Heats that differ only in characters easily confused: O and 0, I, "
        "l and 1, S and 5, B and 8, Z and 2. A suggestion: check the stamp; nothing is changed.",
        "heat_not_on_named_certificate", "heat",
    ),
    "remnants": Listed(
        "remnants", "Components cut from another, and where each was placed; – is not placed.",
        "", "stamp",
    ),
}  # fmt: skip
OF_ITEMS = {
    name: LISTS[name].finding
    for name in ("string", "length", "quarantine", "grade", "chemistry", "early", "zinc", "thin",
                 "origin")
}  # fmt: skip


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner="Tracing the steel …")
def register(view: View) -> Steel:
    """All steel of the job."""
    return services.steel_of(view.assessment)


@st.cache_resource(max_entries=64, hash_funcs=BY_KEY, show_spinner=False)
def matches(view: View, text: str) -> dict[str, Match]:
    """Everything that matches ``text``, by its words."""
    found = services.matches(register(view), text, subjects(view))
    return {meaning.words: meaning for meaning in found}


@st.cache_resource(max_entries=64, hash_funcs=BY_KEY, show_spinner=False)
def suggestions(view: View, text: str) -> list[str]:
    """Known texts similar to one that is not known."""
    return services.suggestions(register(view), text, subjects(view))


@st.cache_resource(max_entries=32, hash_funcs=BY_KEY, show_spinner=False)
def trace(view: View, meaning: Match) -> SearchResult:
    """Everything linked to one thing."""
    return services.search(register(view), meaning)


@st.cache_resource(max_entries=32, hash_funcs=BY_KEY, show_spinner=False)
def concerns(view: View, meaning: Match) -> pd.DataFrame:
    """Open findings of steel that concern one thing, worst first."""
    return services.concerns(view.assessment, register(view), meaning, trace(view, meaning))


@st.cache_resource(max_entries=32, hash_funcs=BY_KEY, show_spinner=False)
def similar_heats(view: View, meaning: Match) -> pd.DataFrame:
    """Heats easily confused with the one meant; none of anything else."""
    found = services.similar_heats_of(register(view), meaning)
    return found if meaning.kind == "heat" else found[:0]


@st.cache_resource(max_entries=32, hash_funcs=BY_KEY, show_spinner=False)
def trace_boxes(view: View, meaning: Match) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Boxes and lines of the trace drawn for one thing."""
    return services.trace_boxes(trace(view, meaning).trace, MOST_BOXES)


@st.cache_resource(max_entries=8, hash_funcs=BY_KEY, show_spinner=False)
def coverage(view: View, by: str = "area") -> pd.DataFrame:
    """What is in the ground and traced, by area or supplier; the last row is all of it."""
    return services.coverage(register(view), by)


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner=False)
def missing(view: View) -> dict[str, pd.DataFrame]:
    """Rows of each of `LISTS`."""
    found = services.missing(register(view))
    items = services.missing_by_responsible(view.assessment)
    items = items[items["subject_kind"].eq("pile")].rename(columns={"subject": "pile_id"})
    found |= {name: items[items["kind"].eq(FINDING[one].word)] for name, one in OF_ITEMS.items()}
    return {name: found[name].reset_index(drop=True) for name in LISTS}


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner=False)
def missing_by_responsible(view: View) -> pd.DataFrame:
    """Per list with rows: how many, in how many piles, who is responsible, what closes it."""
    rows = []
    for name, found in missing(view).items():
        if found.empty or not LISTS[name].finding:
            continue
        kind = FINDING[LISTS[name].finding]
        piles = found["pile_id"].nunique() if "pile_id" in found else 0
        rows.append(
            (LISTS[name].word, len(found), piles, RESPONSIBLE[kind.responsible], kind.closed_by)
        )
    return pd.DataFrame(rows, columns=["question", "rows", "piles", "responsible", "closed_by"])


def matrix_file(view: View, ending: str) -> bytes:
    """The trace matrix of the whole job as the content of a file."""
    return services.matrix_file(view.assessment, register(view), ending)


def suggestion_text(query: str, text: str) -> str:
    """A suggestion with how far it is from what was searched for."""
    return f"{text}, {services.edit_distance_text(query, text)}"


def trace_file(trace: pd.DataFrame) -> bytes:
    """The trace shown as the content of a CSV file."""
    return trace_csv(trace)


FILE = ["certificate", "file_digest", "file_name", "form", "pages"]


@st.cache_resource(max_entries=32, hash_funcs=BY_KEY, show_spinner=False)
def quarantine_effect(view: View, meaning: Match) -> QuarantineEffect:
    """The piles that hold a heat, and which of them a quarantine would move."""
    return services.quarantine_effect(view.assessment, meaning.text, meaning.mill)


def quarantine_history(view: View, meaning: Match) -> pd.DataFrame:
    """Quarantine decisions about one heat, the newest first."""
    return services.quarantine_of(register(view), meaning)


def in_quarantine(view: View, meaning: Match) -> bool:
    """Whether this heat of this mill is in quarantine."""
    return services.quarantined(view.assessment, meaning.text, meaning.mill)


def names(view: View) -> list[str]:
    """Everybody whom project.toml names."""
    return [person.name for person in view.assessment.project.tables.people]


def releasers(view: View) -> list[str]:
    """Names of the people who may lift a quarantine."""
    project = view.assessment.project
    return [one.name for one in project.tables.people if project.may(one, "release")]


def files(view: View, found: SearchResult) -> pd.DataFrame:
    """Files of the certificates found: those linked, and those that their list names.

    One row per certificate and file; ``pages`` is 0 for one that nobody looked at as a page.
    """
    linked = register(view).files
    own = linked[linked["certificate"].isin(found.certificates["certificate"])][FILE]
    named = found.certificates.dropna(subset=["sha256"])
    listed = pd.DataFrame(
        {
            "certificate": named["certificate"],
            "file_digest": named["sha256"],
            "file_name": named["scan"].str.rsplit("/").str[-1],
            "form": "",
            "pages": 0,
        }
    )
    both = pd.concat([own, listed], ignore_index=True)
    return both.drop_duplicates(["certificate", "file_digest"]).reset_index(drop=True)


def lost_scans(view: View, found: SearchResult) -> list[str]:
    """Files that a list names and that are not kept under just one file of that name."""
    rows = found.certificates
    return sorted(set(rows.loc[rows["sha256"].isna(), "scan"].dropna()))


@st.cache_data(max_entries=16, show_spinner="Drawing the page …")
def certificate_page(where: Path, sha256: str, form: str, page: int) -> bytes | str:
    """One page as PNG, or the sentence that says why it cannot be shown."""
    try:
        return services.certificate_page(where, sha256, form, page)
    except PilewrightError as error:
        return str(error)


def stamp_parts(view: View, meaning: Match) -> dict[str, str]:
    """What a stamp says by the pattern of its supplier; nothing of anything else."""
    if meaning.kind != "stamp":
        return {}
    stock = register(view).stock
    suppliers = stock.loc[stock["stamp"].eq(meaning.text), "supplier"].dropna()
    return services.stamp_parts(view.assessment.project, meaning.text, list(suppliers))


def stamps(where: Path) -> pd.DataFrame:
    """Every stamp of the register with its supplier and the heats recorded of it."""
    return _stamps(str(where), services.version_key(where))


@st.cache_resource(max_entries=4, show_spinner=False)
def _stamps(where: str, moved: Hashable) -> pd.DataFrame:
    return services.stamps_on_register(Path(where))


def stamp_patterns(where: Path) -> dict[str, str]:
    """The pattern of each supplier in project.toml."""
    return services.patterns(where)


def stamps_read(where: Path, supplier: str, pattern: str) -> pd.DataFrame:
    """What ``pattern`` reads in the stamps of one supplier. Raises PilewrightError."""
    held = stamps(where)
    own = held[held["supplier"].eq(supplier)].reset_index(drop=True)
    return services.read_stamps(own, pattern)
