"""Steel called back, and the papers that show it: quarantine, files and pages of certificates."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import streamlit as st

from core import services
from core.errors import PilewrightError
from core.services import Found, Meaning, Recall
from dashboard.data.steel import steel
from dashboard.data.views import BY_KEY, View

FILE = ["certificate", "file_digest", "file_name", "form", "pages"]


@st.cache_resource(max_entries=32, hash_funcs=BY_KEY, show_spinner=False)
def steel_recall(view: View, meaning: Meaning) -> Recall:
    """The piles that hold a heat, and which of them a quarantine would move."""
    return services.recall(view.assessment, meaning.text, meaning.mill)


def steel_story(view: View, meaning: Meaning) -> pd.DataFrame:
    """What was said of the quarantine of one heat, the newest first."""
    return services.quarantine_of(steel(view), meaning)


def in_quarantine(view: View, meaning: Meaning) -> bool:
    """Whether this heat of this mill is in quarantine."""
    return services.quarantined(view.assessment, meaning.text, meaning.mill)


def names(view: View) -> list[str]:
    """Everybody whom project.toml names."""
    return [person.name for person in view.assessment.project.tables.people]


def releasers(view: View) -> list[str]:
    """Names of the people who may lift a quarantine."""
    project = view.assessment.project
    return [one.name for one in project.tables.people if project.may(one, "release")]


def steel_files(view: View, found: Found) -> pd.DataFrame:
    """Files of the certificates found: those linked, and those that their list names.

    One row per certificate and file; ``pages`` is 0 for one that nobody looked at as a page.
    """
    linked = steel(view).files
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


def lost_scans(view: View, found: Found) -> list[str]:
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


def stamp_says(view: View, meaning: Meaning) -> dict[str, str]:
    """What a stamp says by the pattern of its supplier; nothing of anything else."""
    if meaning.kind != "stamp":
        return {}
    stock = steel(view).stock
    suppliers = stock.loc[stock["stamp"].eq(meaning.text), "supplier"].dropna()
    return services.stamp_says(view.assessment.project, meaning.text, list(suppliers))
