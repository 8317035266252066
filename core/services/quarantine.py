"""A heat is called back: put in quarantine with a reason, and lifted again. Each is an entry."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import pandas as pd

from core import records, words
from core.assessment.assess import Assessment, assess
from core.errors import Refused, WrongUse
from core.ledger import Ledger, NewEntry
from core.selection import quarantines
from core.services.tracing import heat_known
from core.subjects.steel.register import may_be_one_mill

UNOBJECTED = (*words.ACCEPTED_STATES, "criteria met")


@dataclass(frozen=True)
class QuarantineEffect:
    """The piles that hold a heat: ``pile_id``, ``state``, ``area``, ``stage``, ``stands``.

    ``stands``: the pile is *criteria met* or accepted as long as the heat is not in quarantine.
    ``entry``: the entry that says so, None where nothing is written.
    """

    mill: str
    heat: str
    piles: pd.DataFrame
    entry: int | None = None

    @property
    def affected(self) -> list[str]:
        """Piles that fall out of *criteria met* and *accepted* while the heat is in quarantine."""
        return list(self.piles.loc[self.piles["affected"], "pile_id"])


def quarantine_effect(
    assessment: Assessment, heat: str, mill: str | None = None
) -> QuarantineEffect:
    """The piles whose last string holds a heat, furthest along in the work first.

    Raises WrongUse as ``trace`` does.
    """
    mill = heat_known(assessment, heat, mill)
    trace = assessment.measured.trace
    held = trace[trace["latest"] & trace["heat"].eq(heat) & may_be_one_mill(trace["mill"], mill)]
    piles = assessment.piles[assessment.piles["pile_id"].isin(held["pile_id"])]
    order = -piles["stage"].map(words.STAGE_ORDER).astype(float).fillna(-1)
    piles = piles.loc[order.sort_values(kind="stable").index, ["pile_id", "state", "area", "stage"]]
    return QuarantineEffect(mill, heat, piles.assign(affected=piles["state"].isin(UNOBJECTED)))


def quarantined(assessment: Assessment, heat: str, mill: str) -> bool:
    """Whether exactly this heat of this mill is in quarantine."""
    held = assessment.snapshot.select(quarantines)
    return bool((held["heat"].eq(heat) & held["mill"].eq(mill)).any())


def put_in_quarantine(
    folder: Path, heat: str, by: str, reason: str, mill: str | None = None
) -> QuarantineEffect:
    """Record that a heat is in quarantine; the piles are as they stood before.

    Raises WrongUse for an unknown person or heat or an empty reason, Refused when it is there.
    """
    return _decide(folder, heat, mill, by, reason, records.IN_QUARANTINE)


def release_heat(
    folder: Path, heat: str, by: str, reason: str, mill: str | None = None
) -> QuarantineEffect:
    """Record that the quarantine of a heat is lifted; the piles are as they stood before.

    Raises WrongUse as ``put_in_quarantine``, Refused without the right or when it is not there.
    """
    return _decide(folder, heat, mill, by, reason, records.LIFTED)


def _decide(
    folder: Path, heat: str, mill: str | None, by: str, reason: str, status: str
) -> QuarantineEffect:
    assessment = assess(Path(folder))
    project = assessment.project
    person = project.person(by)
    held = quarantine_effect(assessment, heat, mill)
    _refuse(assessment, held, by, status)
    if not reason.strip():
        raise WrongUse("A quarantine needs a reason, and so does its release.")
    today = datetime.now(project.tables.project.timezone).date()
    row = {"mill": held.mill, "heat": heat, "quarantine_status": status, "reason": reason.strip(),
           "person": person.name, "decided_on": pd.Timestamp(today), "sheet": "",
           "row_no": 1}  # fmt: skip
    with Ledger(Path(folder)).write() as writer:
        if writer.changed_since(assessment.entry):
            raise Refused("The ledger has changed meanwhile. Check again, then decide.")
        writer.record_settings(project.text, person.name)
        staged = writer.stage("quarantine", pd.DataFrame([row]), None)
        note = f"heat {_named(held)} {status}: {reason.strip()}"
        entry = writer.append(
            NewEntry(person.name, "quarantine", note=note), {"quarantine": staged.writes}
        )
    return QuarantineEffect(held.mill, heat, held.piles, entry)


def _refuse(assessment: Assessment, held: QuarantineEffect, by: str, status: str) -> None:
    """Raises Refused when nothing would change, or without the right to lift."""
    there = quarantined(assessment, held.heat, held.mill)
    if status == records.IN_QUARANTINE and there:
        raise Refused(f"Heat {_named(held)} is in quarantine already.")
    if status == records.LIFTED and not there:
        raise Refused(f"Heat {_named(held)} is not in quarantine.")
    project = assessment.project
    if status == records.LIFTED and not project.may(project.person(by), "release"):
        holders = [p.name for p in project.tables.people if project.may(p, "release")]
        raise Refused(
            f"{by} may not release a heat. The right to release is held by: "
            f"{', '.join(holders) or 'no role yet; add it in project.toml'}."
        )


def _named(held: QuarantineEffect) -> str:
    return f"{held.heat} of {held.mill}" if held.mill else held.heat


__all__ = [
    "QuarantineEffect",
    "put_in_quarantine",
    "quarantine_effect",
    "quarantined",
    "release_heat",
]
