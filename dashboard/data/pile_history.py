"""The history of one pile in sentences: what was done and entered, by whom, from which file."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import streamlit as st

from core import records, services, units
from dashboard.data.history import local
from dashboard.data.views import BY_KEY, View

COLUMNS = ["day", "what", "person", "file", "entry_no", "stands"]


@st.cache_resource(max_entries=64, hash_funcs=BY_KEY, show_spinner=False)
def pile_history(view: View, subject: str, system: str, _pile: pd.Series) -> pd.DataFrame:
    """One row per thing done and per entry, newest day first: day, what, person, file, entry_no.

    ``stands`` is False for an entry that is withdrawn. ``day`` is empty where nobody says which.
    """
    found = services.pile_history(view.assessment, _pile)
    works = found.works.assign(
        day=found.works["happened_on"].dt.strftime("%Y-%m-%d").fillna(""),
        what=_done(found.works, system),
        stands=True,
        rank=0,
    )
    entered = found.entries.assign(
        day=local(Path(str(view.key[0])), found.entries["entered_at"]).str[:10],
        what=_entered(found.entries, found.about),
        stands=found.entries["live"],
        rank=1,
    )
    both = pd.concat([works, entered], ignore_index=True)
    both["file"] = both["source"].fillna("form")
    both = both.sort_values(["day", "rank", "entry_no"], ascending=False, kind="stable")
    return both[COLUMNS].reset_index(drop=True)


def _done(works: pd.DataFrame, system: str) -> list[str]:
    rows = zip(works["happening"], works["name"], works["detail"], works["amount"], strict=True)
    return [_sentence(*row, system) for row in rows]


def _sentence(happening: str, name: str, detail: str, amount: float, system: str) -> str:
    number = 0 if pd.isna(amount) else int(amount)
    sentence = {
        "revision": f"Revision {name} of the schedule issued",
        "run": f"Run {name} to {units.text(amount, 'toe_mm', system)}",
        "string": f"String of run {name}: {number} components placed",
        "grout": f"Grout placed in run {name}: {number} lifts, batches",
        "sample": f"Sample group {name} taken: {number} specimens",
        "strength": f"Sample group {name} tested: "
        f"least {units.text(amount, 'strength_mpa', system)}",
        "survey": f"Survey {name}",
        "stage": f"Stage reached: {name}",
        "sign-off": f"Signed off by {name} as",
        "quarantine": f"Heat {name}",
    }[happening]
    if happening in ("grout", "sign-off", "quarantine"):
        return f"{sentence} {detail}"
    return f"{sentence}: {detail}" if detail else sentence


def _entered(entries: pd.DataFrame, about: pd.DataFrame) -> list[str]:
    """What each entry says about the pile, and whether it still counts."""
    held: dict[int, list[str]] = {}
    for row in about.itertuples():
        taken = f" (takes away {row.removed})" if row.removed else ""
        told = f"{records.KIND[str(row.kind)].word} {row.rows:,}{taken}"
        held.setdefault(row.entry_no, []).append(told)
    sentences = []
    for entry in entries.itertuples():
        first = f"Entry {entry.entry_no}, {entry.act}"
        if pd.notna(entry.withdraws):
            first += f" withdraws entry {entry.withdraws}"
        told = ": " + ", ".join(held[entry.entry_no]) if entry.entry_no in held else ""
        sentences.append(first + told + ("" if entry.live else " (withdrawn)"))
    return sentences
