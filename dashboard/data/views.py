"""One assessment with the key it was read under, and the lists that every screen needs."""

from __future__ import annotations

import sys
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pandas as pd
import streamlit as st

from core import services, words
from core.criteria.earlier_names import EARLIER_WORDS
from core.criteria.kinds import BLOCKS, RESPONSIBLE
from core.errors import NoProject
from core.settings import load_project
from core.subjects.registry import FINDING, FINDING_KIND


@dataclass(frozen=True)
class View:
    """One assessment and the key it was read under."""

    key: tuple[Hashable, ...]
    assessment: Any  # core.services.Assessment

    @property
    def as_of(self) -> int | date | None:
        """The entry or day of the view; None for now, when project.toml itself counts."""
        return self.key[1]


BY_KEY = {View: lambda view: view.key}
FINDING_MEANING = {kind: declared.meaning for kind, declared in FINDING_KIND.items()}


def folder() -> Path:
    """The project folder named after ``--`` on the command line. Raises NoProject."""
    given = [argument for argument in sys.argv[1:] if not argument.startswith("-")]
    if not given:
        raise NoProject(
            "No project folder given. Open one with: pilewright open FOLDER, "
            "or see the sample with: pilewright demo"
        )
    return Path(given[0]).resolve()


def has_moved(view: View) -> bool:
    """Whether the ledger or project.toml may have changed since ``view`` was read."""
    where, _, moved, _ = view.key
    return services.version_key(Path(str(where))) != moved


def opened(where: Path, as_of: int | date | None) -> View:
    """The project as of an entry or day. Raises PilewrightError with the sentence to show."""
    settings = load_project(where)
    today = datetime.now(UTC).astimezone(settings.tables.project.timezone).date()
    return _opened(str(where), as_of, services.version_key(where), today)


@st.cache_resource(max_entries=8, show_spinner="Reading the ledger and assessing every pile …")
def _opened(where: str, as_of: int | date | None, moved: Hashable, today: date) -> View:
    return View((where, as_of, moved, today), services.assess(Path(where), as_of))


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def piles(view: View) -> pd.DataFrame:
    """The piles with ``subject``: the pile's number, or the position's when no pile serves it."""
    frame = view.assessment.piles.reset_index(drop=True)
    return frame.assign(subject=frame["pile_id"].fillna(frame["position_id"]))


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def subjects(view: View) -> list[str]:
    """Numbers of all piles in natural order."""
    return piles(view)["subject"].tolist()


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def options(view: View) -> dict[str, list[str]]:
    """What each filter can be set to."""
    frame = piles(view)
    columns = {"area": "area", "rig": "rig", "type": "pile_type"}
    found = {name: sorted(frame[column].dropna().unique()) for name, column in columns.items()}
    present = set(frame["state"].unique())
    return found | {"state": [state.word for state in words.STATES if state.word in present]}


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def link_values(view: View) -> dict[str, dict[str, str]]:
    """By choice, what a link may say and what that means; older links say codes."""
    plain = options(view) | {"piles": subjects(view), "finding": list(FINDING_KIND)}
    coded = {"responsible": RESPONSIBLE, "blocks": BLOCKS}
    plain |= {name: list(codes.values()) for name, codes in coded.items()}
    coded["finding"] = {earlier: FINDING[one].word for earlier, one in EARLIER_WORDS.items()}
    coded["finding"] |= {one: kind.word for one, kind in FINDING.items()}
    return {
        name: coded.get(name, {}) | {value: value for value in values}
        for name, values in plain.items()
    }


@st.cache_resource(max_entries=256, show_spinner=False)
def cached_figure(name: str, key: Hashable, _draw: Callable[[], Any]) -> Any:
    """A figure made once per ``key``: an identical figure is not sent to the browser again."""
    return _draw()


def measured_texts(rows: pd.DataFrame, system: str) -> pd.DataFrame:
    """``measured`` and ``limit`` of findings in words; empty where there is none."""
    return services.measured_texts(rows, system)


def margin_texts(rows: pd.DataFrame, system: str) -> pd.Series:
    """``margin`` of findings in words; empty where there is none."""
    return services.margin_texts(rows, system)
