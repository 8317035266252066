"""A person accepts piles: refused unless the right is theirs and every pile is *criteria met*."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

import pandas as pd

from core.assessment.assess import Assessment, assess
from core.assessment.sign_offs import signed_content
from core.errors import Refused, WrongUse
from core.ledger import Ledger, NewEntry
from core.subjects.piles.rules import CRITERION_NEWER


def accept(folder: Path, piles: Sequence[str], by: str, note: str) -> int:
    """Sign piles off; returns the entry. All or none.

    Raises WrongUse for an unknown person or pile, Refused when the person has no right to accept
    or a pile is not *criteria met*, or when the ledger changed while the piles were looked at.
    """
    assessment = assess(folder)
    project = assessment.project
    person = project.person(by)
    roles = project.may(person, "accept")
    if not roles:
        holders = [p.name for p in project.tables.people if project.may(p, "accept")]
        raise Refused(
            f"{person.name} may not accept piles. The right is held by: "
            f"{', '.join(holders) or 'no role yet; add it in project.toml'}."
        )
    if not note.strip():
        raise WrongUse("A sign-off needs a note with its basis.")
    wanted = list(dict.fromkeys(piles))
    _refuse_while_unsettled(assessment, wanted)
    _refuse_unless_met(assessment, wanted)
    seen = signed_content(assessment.found, assessment.measured.of_piles, wanted)
    today = datetime.now(project.tables.project.timezone).date()
    frame = pd.DataFrame(seen, columns=pd.Index(["seen", "digest"]), dtype="str").assign(
        subject=pd.array(wanted, dtype="str"),
        role=roles[0],
        person=person.name,
        signed_on=pd.Timestamp(today),
        note=note.strip(),
        sheet="",
        row_no=range(1, len(seen) + 1),
    )
    with Ledger(folder).write() as writer:
        if writer.changed_since(assessment.entry):
            raise Refused("The ledger changed while you were signing. Look again, then sign.")
        writer.record_settings(project.text, person.name)
        staged = writer.stage("sign_off", frame, None)
        new = NewEntry(person.name, "sign-off", note=note.strip())
        entry = writer.append(new, {"sign_off": staged.writes})
    if entry is None:
        raise Refused(f"{', '.join(wanted)}: signed off already, by the same person today.")
    return entry


def _refuse_while_unsettled(assessment: Assessment, wanted: list[str]) -> None:
    """Raises WrongUse for an unknown pile, Refused while its criteria set has a criterion or
    parameter that is newer than other sign-offs and not in the recorded settings."""
    marks = assessment.piles.dropna(subset=["pile_id"]).set_index("pile_id")["pile_type"]
    unknown = [pile for pile in wanted if pile not in marks.index]
    if unknown:
        raise WrongUse(f"No such pile: {', '.join(unknown)}.")
    sets = set(marks[wanted].map(assessment.project.criteria_sets()))
    found = assessment.found
    open_ = found.is_text("finding", CRITERION_NEWER.id) & found.is_text("subject", *sets)
    if open_.any():
        raise Refused(
            f"{'; '.join(found.where(open_).text('note'))}. Set each in project.toml or declare it "
            "not required, then record the settings with: pilewright record-settings"
        )


def _refuse_unless_met(assessment: Assessment, wanted: list[str]) -> None:
    states = assessment.piles.dropna(subset=["pile_id"]).set_index("pile_id")["state"]
    unmet = [f"{pile} is {states[pile]}" for pile in wanted if states[pile] != "criteria met"]
    if unmet:
        raise Refused(f"Only piles with criteria met can be accepted; {'; '.join(unmet)}.")
