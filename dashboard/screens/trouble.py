"""The pages of a project that cannot be shown: what happened, what is safe, what to do next."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd
import streamlit as st

from core.errors import (
    NoProject,
    PilewrightError,
    ProjectError,
    StoreBusy,
    StoreDamaged,
    StoreTooNew,
)
from dashboard import filters
from dashboard.literal import literal
from dashboard.screens import frame


@dataclass(frozen=True)
class HardPage:
    """What such a page says: its title, and what to do next."""

    title: str
    remedy: str


MISSING = HardPage(
    "There is no project here",
    "A project is a folder that holds `project.toml` and the ledger. Look for its right name and "
    "open it with `pilewright open FOLDER`; for a new job make one with `pilewright new FOLDER`. "
    "Nothing was made or changed.",
)
FAULTS = HardPage(
    "The settings have faults",
    "Correct these lines of `project.toml` in a text editor, save it, and load this page again. "
    "The ledger is whole and untouched; piles are judged again as soon as the settings are right.",
)
BY_ERROR: dict[type[PilewrightError], HardPage] = {
    NoProject: MISSING,
    ProjectError: HardPage(
        "This project cannot be used as it is",
        "Nothing was changed. Put right what the line above says, then load this page again.",
    ),
    StoreBusy: HardPage(
        "Somebody is writing to this project",
        "Taking in a large file can last a minute. Wait, then load this page again. If nobody is "
        "at work, a program that holds the ledger open was left running: close it.",
    ),
    StoreTooNew: HardPage(
        "This project belongs to a newer version of the program",
        "Install that version on this machine, or open the project on a machine that has it. This "
        "version neither reads nor changes the ledger.",
    ),
    StoreDamaged: HardPage(
        "The ledger cannot be read",
        "Do not write to this project. Make a new folder from the last backup with `pilewright "
        "restore BACKUP NEW_FOLDER`, or ask for help with what `pilewright verify FOLDER` prints. "
        "The attachments are not touched.",
    ),
}
OTHER = HardPage("This cannot be shown", "")


def page_of(error: PilewrightError) -> HardPage:
    """The page for an error."""
    if isinstance(error, ProjectError) and error.faults:
        return FAULTS
    return next((page for kind, page in BY_ERROR.items() if isinstance(error, kind)), OTHER)


def trouble(error: PilewrightError) -> None:
    """Draw the page of an error."""
    page = page_of(error)
    first, *faults = str(error).splitlines()
    st.subheader(literal(page.title))
    st.error(literal(first))
    if faults:
        parts = [fault.strip().partition(": ") for fault in faults]
        keys, said = ([part[at] for part in parts] for at in (0, 2))
        frame.table(pd.DataFrame({"Key": keys, "What is wrong": said}))
    if page.remedy:
        st.markdown(page.remedy)
    with st.container(horizontal=True):
        st.button("Load this page again", key="load_again")
        if filters.now().as_of:
            frame.back_to_now()
