"""What if: the job judged again on supposed facts, and which piles would change their state.

Nothing is stored. Sign-offs are left out on both sides: they say what a person accepted, not what
the numbers give.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd

from core import units, words
from core.assessment.assess import Assessment, judged
from core.assessment.evaluation import evaluated, load_and_evaluate
from core.selection import schedule_issues
from core.services.what_if.offered import Offered, offered
from core.services.what_if.supposing import Standing, supposed
from core.services.what_if.suppositions import FORMS, supposition

MOVED = ("pile_id", "area", "state", "state_then", "why")
OBJECTIONS = {result for result, state in words.RESULT_STATE.items() if state is not None}


@dataclass(frozen=True)
class WhatIf:
    """What was supposed, what was taken for granted, and what would come of it.

    ``moved`` has the columns of ``MOVED``, one row per pile whose state would change; ``state`` is
    its state as things stand, sign-offs included.
    """

    texts: tuple[str, ...]
    notes: tuple[str, ...]
    moved: pd.DataFrame
    counts: dict[str, int]
    counts_then: dict[str, int]


def what_if(
    folder: Path, texts: Sequence[str], as_of: int | date | None = None, system: str = ""
) -> WhatIf:
    """The answer to one or several suppositions together, told in the words of ``FORMS``.

    ``system`` (SI or US) is that of the numbers in ``why``; the project's own when empty.

    Raises WrongUse for a sentence that is not understood or names what is not there, and what
    ``assess`` raises.
    """
    folder = Path(folder)
    wanted = [supposition(text) for text in texts]
    known, found = load_and_evaluate(folder, as_of)
    unsigned = known.without("sign_off")
    real = judged(folder, known, found)
    now = judged(folder, unsigned, found) if len(known.rows("sign_off")) else real
    standing = Standing(now.piles, known.select(schedule_issues))
    changed, notes = unsigned, []
    for one in wanted:
        changed, said = supposed(one, changed, standing)
        notes.append(said)
    then = judged(folder, changed, evaluated(changed))
    moved = _moved(real, now, then, system or known.project.tables.project.system)
    return WhatIf(tuple(texts), tuple(notes), moved, now.counts, then.counts)


def _moved(real: Assessment, now: Assessment, then: Assessment, system: str) -> pd.DataFrame:
    """One row per pile or open position whose state differs, in the order of the piles."""
    states = [_states(assessment) for assessment in (real, now, then)]
    frame = pd.DataFrame({"state": states[0], "now": states[1], "state_then": states[2]})
    frame = frame.fillna("not there")[frame["now"].ne(frame["state_then"]).to_numpy()]
    areas = pd.concat([_by_subject(real)["area"], _by_subject(then)["area"]])
    frame["area"] = areas[~areas.index.duplicated()].reindex(frame.index)
    frame["why"] = _why(now, then, frame.index, system).reindex(frame.index).fillna("")
    ordered = frame.rename_axis("pile_id").reset_index()
    place = {subject: at for at, subject in enumerate(_by_subject(then).index)}
    ordered = ordered.sort_values("pile_id", key=lambda ids: ids.map(place), kind="stable")
    return ordered[list(MOVED)].reset_index(drop=True)


def _by_subject(assessment: Assessment) -> pd.DataFrame:
    piles = assessment.piles
    return piles.set_index(piles["pile_id"].fillna(piles["position_id"]))


def _states(assessment: Assessment) -> pd.Series:
    return _by_subject(assessment)["state"]


def _why(now: Assessment, then: Assessment, subjects: pd.Index, system: str) -> pd.Series:
    """Per subject the findings whose objection comes, goes or changes, with what would be."""
    before, after = (_results(assessment, subjects) for assessment in (now, then))
    gone = before.loc[before.index.difference(after.index, sort=False), ["result"]]
    pairs = after.join(before["result"].rename("was"))
    pairs = pd.concat([pairs, gone.rename(columns={"result": "was"})])
    pairs = pairs.fillna({"result": "none", "was": "none"})
    objected = pairs["result"].isin(OBJECTIONS) | pairs["was"].isin(OBJECTIONS)
    pairs = pairs[pairs["result"].ne(pairs["was"]) & objected].reset_index()
    told = [
        f"{row['kind']}: {row['was']} → {row['result']}{_numbers(row, system)}"
        for row in pairs.to_dict("records")
    ]
    why: pd.Series = pd.Series(told, dtype="str").groupby(pairs["subject"]).agg("; ".join)
    return why


def _results(assessment: Assessment, subjects: pd.Index) -> pd.DataFrame:
    """The first finding of each kind and subject, by both."""
    found = assessment.findings
    mine = found[found["subject"].isin(subjects)]
    return mine.drop_duplicates(["subject", "kind"]).set_index(["subject", "kind"])


def _numbers(row: dict[Hashable, Any], system: str) -> str:
    if pd.isna(row["measured"]) or pd.isna(row["limit_value"]):
        return ""
    measured, limit = (
        units.text(row[name], row["unit_column"] or "", system)
        for name in ("measured", "limit_value")
    )
    return f" ({measured}, {row['sense']} {limit})" if row["sense"] else f" ({measured}, {limit})"


def what_if_object(answer: WhatIf) -> dict[str, Any]:
    """The answer for JSON."""
    named = answer.moved.rename(columns={"pile_id": "pile", "state": "now", "state_then": "then"})
    rows = named.astype(object).where(named.notna(), None).to_dict("records")
    return {
        "what_if": list(answer.texts),
        "notes": list(answer.notes),
        "moved": rows,
        "counts": {"now": answer.counts, "then": answer.counts_then},
    }


__all__ = ["FORMS", "Offered", "WhatIf", "offered", "what_if", "what_if_object"]
