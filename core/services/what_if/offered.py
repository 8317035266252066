"""What a person may choose from when they suppose something: what the project has."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from core.assessment.assess import Assessment
from core.selection import schedule_issues


@dataclass(frozen=True)
class Offered:
    """``gauges``: instrument_id with first and last day of its readings; ``factors``: rows of the
    torque factor table; ``revisions``: of the schedule, in the order of their issue."""

    gauges: pd.DataFrame
    factors: pd.DataFrame
    revisions: list[str]


def offered(assessment: Assessment) -> Offered:
    """The instruments, torque factors and revisions of the project at the assessment's entry."""
    days = assessment.measured.profile.groupby("instrument_id")["read_on"]
    gauges = pd.DataFrame({"first": days.min(), "last": days.max()}).reset_index()
    issues = assessment.snapshot.select(schedule_issues)
    revisions = issues["revision"].dropna().drop_duplicates().tolist()
    return Offered(gauges, assessment.project.torque_factors.frame(), revisions)
