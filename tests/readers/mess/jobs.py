"""Answers of small projects in the ledger: what is judged, and what stands, about one pile."""

from __future__ import annotations

from core import services
from tests.services.small import CERTIFICATES, INSTRUMENTS, SCHEDULE, SETTINGS, started, take_in

GAUGES = "Instrument,Kind,Rig\nG-1,pressure gauge set,Rig 1\nG-2,pressure gauge set,Rig 1\n"
POINTS = (
    "Instrument,Certificate,Issued on,Valid from,Valid to,Point,Differential pressure (bar),"
    "Torque (kN·m)\n"
)


def objections(assessment, pile="101"):
    """Result by kind of every finding on the pile that is not plainly met."""
    found = assessment.findings
    mine = found[found["subject"].eq(pile) & ~found["result"].isin(["met", "not required"])]
    return dict(zip(mine["kind"], mine["result"], strict=True))


def note(assessment, kind, pile="101"):
    """What the one finding of this kind says beside its result."""
    found = assessment.findings
    return found.loc[found["subject"].eq(pile) & found["kind"].eq(kind), "note"].item()


def pile_row(assessment, pile="101"):
    """The pile's row, as a dict."""
    piles = assessment.piles
    (row,) = piles[piles["pile_id"].eq(pile)].to_dict("records")
    return row


def profile(assessment, *columns, pile="101"):
    """Tuples of these columns for every reading of the pile, by run and depth."""
    mine = assessment.measured.profile[assessment.measured.profile["pile_id"].eq(pile)]
    return [tuple(row) for row in mine[list(columns)].astype(object).to_numpy()]


def taken_in(folder, *files, **choice):
    """Files taken in without a problem."""
    report = take_in(folder, *files, **choice)
    assert not report.refused, (report.problems, report.conflicts)
    return report


def project_with(parent, *, settings=None, schedule=SCHEDULE, certificates=CERTIFICATES, logs=()):
    """A project with its schedule, instruments, certificates and logs, and settings if given."""
    files = [("schedule.csv", schedule), ("instruments.csv", INSTRUMENTS)]
    if certificates:
        files.append(("certificates.csv", certificates))
    files += [(f"log_{number}.csv", text) for number, text in enumerate(logs, start=1)]
    return started(parent, settings or SETTINGS, *files)


def counts(folder):
    """Rows of the ledger that stand, by state of the piles."""
    assessment = services.assess(folder)
    return {state: number for state, number in assessment.counts.items() if number}
