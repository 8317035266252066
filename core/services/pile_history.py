"""The corridor of one pile's history: what was done to it, and every entry that speaks of it."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from core.assessment.assess import Assessment
from core.ledger import Ledger
from core.subjects.steel.register import may_be_one_mill

ENTRY = ["entry_no", "entered_at", "person", "act", "source", "active"]


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
        story = reader.ask("quarantine_story", as_of=assessment.entry)
    trace = assessment.measured.trace
    called = _of_pile(story, trace[trace["pile_id"].eq(own)])
    works = pd.concat([works, _happenings(called)], ignore_index=True)
    told = called.groupby("entry_no").size().rename("rows").reset_index()
    about = pd.concat([about, told.assign(kind="quarantine", removed=0)], ignore_index=True)
    touching = entries["entry_no"].isin(about["entry_no"])
    touching |= entries["withdraws"].isin(about["entry_no"])
    return PileHistory(
        works=works.merge(entries[ENTRY], on="entry_no", how="left"),
        entries=entries.loc[touching, [*ENTRY, "note", "withdraws"]].iloc[::-1],
        about=about,
    )


def _of_pile(story: pd.DataFrame, trace: pd.DataFrame) -> pd.DataFrame:
    """Words on the quarantine of the heats that a pile's strings hold."""
    held = trace[["mill", "heat"]].fillna("").drop_duplicates()
    found = story.merge(held.rename(columns={"mill": "mill_held"}), on="heat")
    same = may_be_one_mill(found["mill"], found["mill_held"])
    return found[same].drop_duplicates(["entry_no", "mill", "heat"])


def _happenings(called: pd.DataFrame) -> pd.DataFrame:
    mill = (" of " + called["mill"]).where(called["mill"].ne(""), "")
    detail = called["quarantine_status"] + ", " + called["person"] + ": " + called["reason"]
    return pd.DataFrame(
        {
            "happening": "quarantine",
            "happened_on": called["decided_on"],
            "name": called["heat"] + mill,
            "detail": detail,
            "amount": float("nan"),
            "entry_no": called["entry_no"],
        }
    )
