"""The corridor of one pile's history: what was done to it, and every entry that speaks of it."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from core.flow.assessing import Assessment
from core.store import Ledger

ENTRY = ["entry_no", "entered_at", "person", "act", "source", "live"]


@dataclass(frozen=True)
class PileHistory:
    """``works``: one row per thing done, with the entry that says so, newest first.

    ``entries``: one row per entry that holds rows about the pile or its position, or withdraws
    one that does, newest first; ``about``: what each holds, one row per entry and record kind.
    """

    works: pd.DataFrame
    entries: pd.DataFrame
    about: pd.DataFrame


def pile_history(assessment: Assessment, pile: pd.Series) -> PileHistory:
    """The history of ``pile``, a row of the assessment's piles, as of the assessment's entry.

    A position that no pile serves has that of the pile of its own number, whose runs are withdrawn.
    """
    position = "" if pd.isna(pile["position_id"]) else str(pile["position_id"])
    own = position if pd.isna(pile["pile_id"]) else str(pile["pile_id"])
    names = {"pile_id": own, "position_id": position}
    with Ledger(assessment.folder).read() as reader:
        works = reader.ask("works_of_pile", as_of=assessment.entry, **names)
        about = reader.entries_about(**names, as_of=assessment.entry)
        entries = reader.entries(assessment.entry)
    touching = entries["entry_no"].isin(about["entry_no"])
    touching |= entries["withdraws"].isin(about["entry_no"])
    return PileHistory(
        works=works.merge(entries[ENTRY], on="entry_no", how="left"),
        entries=entries.loc[touching, [*ENTRY, "note", "withdraws"]].iloc[::-1],
        about=about,
    )
