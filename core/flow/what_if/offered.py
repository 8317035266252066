"""What a person may choose from when they suppose something: what the project has."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from core.flow.assessing import Assessment
from core.store import Ledger


@dataclass(frozen=True)
class Offered:
    """``gauges``: instrument_id with first and last day of its readings; ``factors``: rows of the
    torque factor table; ``revisions``: of the schedule, in the order of their issue."""

    gauges: pd.DataFrame
    factors: pd.DataFrame
    revisions: list[str]


def offered(assessment: Assessment) -> Offered:
    """The instruments, torque factors and revisions of the project at the assessment's entry."""
    days = assessment.profile.groupby("instrument_id")["read_on"]
    gauges = pd.DataFrame({"first": days.min(), "last": days.max()}).reset_index()
    issues = schedule_issues(assessment.folder, assessment.entry)
    revisions = issues["revision"].dropna().drop_duplicates().tolist()
    return Offered(gauges, assessment.project.torque_factors(), revisions)


def schedule_issues(folder: Path, entry: int) -> pd.DataFrame:
    """Every position in every standing revision of the schedule, in the order of their issue."""
    with Ledger(folder).read() as reader:
        return reader.ask("schedule_issues", as_of=entry)
