"""Steel: the register read once, what a text means in it, what hangs on it, and what is missing."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd
import streamlit as st

from core import services
from core.criteria.kinds import OWNERS
from core.services import Found, Meaning, Steel, chain_csv
from core.subjects.registry import FINDING_KIND
from dashboard.data.views import BY_KEY, View, subjects

MOST_BOXES = 40


@dataclass(frozen=True)
class Question:
    """Something that may be missing: its word, the finding kind that owes it, what it lists.

    ``about``: rows name a pile, a stamp or a heat; ``asked`` puts it as a person does.
    """

    word: str
    asked: str
    kind: str
    about: str = "pile_id"


QUESTIONS: dict[str, Question] = {
    "delivery": Question(
        "no delivery",
        "Components in the ground that no delivery brought, or that several may have brought.",
        "component not on the register",
    ),
    "heat": Question(
        "no heat", "Pieces in the ground without the heat that is asked of them.", "heat traced"
    ),
    "certificate": Question(
        "no certificate", "Pieces in the ground whose heat no certificate covers.",
        "mill certificate",
    ),
    "type": Question(
        "type too low", "Pieces whose certificate is of a lower type than the contract asks.",
        "type of mill certificate",
    ),
    "kind": Question(
        "kind unknown", "Components of a kind that project.toml does not name; no grade is known.",
        "criterion not set",
    ),
    "twice": Question(
        "stamp used twice", "Stamps of one single component that stand in more than one place.",
        "stamp used twice",
    ),
    "lots": Question(
        "lot over-used", "Lots of which more is placed, left over and scrapped than was delivered.",
        "lot over-used", "stamp",
    ),
    "string": Question(
        "string", "Piles whose string of components is not recorded, or not as it should be.",
        "string recorded",
    ),
    "length": Question(
        "length", "Piles whose placed length does not agree with the depth of the toe.",
        "length reconciliation",
    ),
    "quarantine": Question(
        "heat in quarantine", "Piles that hold a piece of a heat that is called back.",
        "heat in quarantine",
    ),
    "grade": Question(
        "grade of the steel", "Piles with steel below its grade, or whose certificate is silent.",
        "grade of the steel",
    ),
    "chemistry": Question(
        "chemistry", "Piles with steel outside the limits of its ladle analysis.",
        "chemistry of the steel",
    ),
    "early": Question(
        "placed before delivery", "Piles with a component that came after it was placed.",
        "component placed before delivery",
    ),
    "zinc": Question(
        "zinc not recorded", "Piles with components whose zinc lot or thickness is not recorded.",
        "zinc recorded",
    ),
    "thin": Question(
        "zinc too thin", "Piles with components whose zinc is thinner than specified.",
        "zinc thickness",
    ),
    "origin": Question(
        "origin not shown", "Piles with steel of which no certificate shows an allowed origin.",
        "origin of the steel",
    ),
    "uncertified": Question(
        "heat nobody certified", "Heats of pieces received, placed or not, on no certificate.",
        "mill certificate", "heat",
    ),
    "unreceived": Question(
        "heat never received", "Heats on certificates of which no piece is recorded.",
        "heat not on the certificate named", "heat",
    ),
    "doubtful": Question(
        "doubtful reading", "Heats that differ only in signs taken for one another: O and 0, I, l "
        "and 1, S and 5, B and 8, Z and 2. A suggestion: read the stamp again; nothing is changed.",
        "heat not on the certificate named", "heat",
    ),
    "remnants": Question(
        "remnants", "Components cut from another, and where each went; empty is not placed.",
        "", "stamp",
    ),
}  # fmt: skip
OF_ITEMS = {
    name: QUESTIONS[name].kind
    for name in ("string", "length", "quarantine", "grade", "chemistry", "early", "zinc", "thin",
                 "origin")
}  # fmt: skip


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner="Following the steel …")
def steel(view: View) -> Steel:
    """All steel of the job."""
    return services.steel_of(view.assessment)


@st.cache_resource(max_entries=64, hash_funcs=BY_KEY, show_spinner=False)
def steel_meanings(view: View, text: str) -> dict[str, Meaning]:
    """Everything that ``text`` names, by its words."""
    found = services.meanings(steel(view), text, subjects(view))
    return {meaning.words: meaning for meaning in found}


@st.cache_resource(max_entries=64, hash_funcs=BY_KEY, show_spinner=False)
def steel_near(view: View, text: str) -> list[str]:
    """Known texts near one that is not known."""
    return services.near(steel(view), text, subjects(view))


@st.cache_resource(max_entries=32, hash_funcs=BY_KEY, show_spinner=False)
def steel_found(view: View, meaning: Meaning) -> Found:
    """All that hangs on one thing."""
    return services.found(steel(view), meaning)


@st.cache_resource(max_entries=32, hash_funcs=BY_KEY, show_spinner=False)
def steel_concerns(view: View, meaning: Meaning) -> pd.DataFrame:
    """Open findings of steel that concern one thing, worst first."""
    return services.concerns(view.assessment, steel(view), meaning, steel_found(view, meaning))


@st.cache_resource(max_entries=32, hash_funcs=BY_KEY, show_spinner=False)
def steel_alike(view: View, meaning: Meaning) -> pd.DataFrame:
    """Heats that look like the one meant; none of anything else."""
    found = services.look_alikes_of(steel(view), meaning)
    return found if meaning.kind == "heat" else found[:0]


@st.cache_resource(max_entries=32, hash_funcs=BY_KEY, show_spinner=False)
def steel_boxes(view: View, meaning: Meaning) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Boxes and lines of the chain drawn for one thing."""
    return services.boxes(steel_found(view, meaning).chain, MOST_BOXES)


@st.cache_resource(max_entries=8, hash_funcs=BY_KEY, show_spinner=False)
def steel_coverage(view: View, by: str = "area") -> pd.DataFrame:
    """What is in the ground and traced, by area or supplier; the last row is all of it."""
    return services.coverage(steel(view), by)


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner=False)
def steel_missing(view: View) -> dict[str, pd.DataFrame]:
    """Rows that answer each of `QUESTIONS`."""
    found = services.missing(steel(view))
    items = services.owed(view.assessment)
    items = items[items["subject_kind"].eq("pile")].rename(columns={"subject": "pile_id"})
    found |= {name: items[items["kind"].eq(kind)] for name, kind in OF_ITEMS.items()}
    return {name: found[name].reset_index(drop=True) for name in QUESTIONS}


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner=False)
def steel_owed(view: View) -> pd.DataFrame:
    """Per question with rows: how many, in how many piles, who clears it and with what."""
    rows = []
    for name, found in steel_missing(view).items():
        kind = FINDING_KIND.get(QUESTIONS[name].kind)
        if found.empty or kind is None:
            continue
        piles = found["pile_id"].nunique() if "pile_id" in found else 0
        rows.append((QUESTIONS[name].word, len(found), piles, OWNERS[kind.owner], kind.clears))
    return pd.DataFrame(rows, columns=["question", "rows", "piles", "owner", "clears"])


def matrix_file(view: View, ending: str) -> bytes:
    """The trace matrix of the whole job as the content of a file."""
    return services.matrix_file(view.assessment, steel(view), ending)


def near_words(sought: str, text: str) -> str:
    """A suggestion with how far it is from what was sought."""
    return f"{text}, {services.apart_words(sought, text)}"


def chain_file(chain: pd.DataFrame) -> bytes:
    """The chain shown as the content of a CSV file."""
    return chain_csv(chain)
