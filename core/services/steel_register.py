"""All steel of one assessment: the chains in the ground, deliveries, pieces, heats, certificates.

Read from the ledger at the entry of the assessment; what belongs to a measure or a grade of
traceability is asked of its room.
"""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from core.assessment.assess import Assessment
from core.errors import WrongUse
from core.ledger import Ledger
from core.reports.steel import chain_csv, matrix_csv, matrix_xlsx
from core.services.reporting import about
from core.subjects.registry import kinds_of
from core.subjects.steel import gaps
from core.subjects.steel import heats as heat_measures
from core.subjects.steel import links as steel_links
from core.subjects.steel import register as steel_register

OF_PILE = ["area", "state", "stage"]
GAPS = gaps.GAPS
KINDS = tuple(kind.word for kind in kinds_of("steel"))


@dataclass(frozen=True)
class Steel:
    """Frames of the steel of one job.

    ``chain``: that of the assessment with ``gap`` and the pile's area, state and stage;
    ``stock``: deliveries with what is placed and what is not; ``pieces`` and ``heats`` with their
    mill where one alone is known; ``certificates`` with ``sha256`` of the file that shows them,
    when one of the name that their list gives is kept; ``files`` linked to certificates; ``story``:
    every word on the quarantine of a heat, the newest first.
    """

    chain: pd.DataFrame
    stock: pd.DataFrame
    pieces: pd.DataFrame
    heats: pd.DataFrame
    certificates: pd.DataFrame
    files: pd.DataFrame
    story: pd.DataFrame

    @property
    def empty(self) -> bool:
        """Whether nothing at all is recorded of steel."""
        parts = (self.chain, self.stock, self.pieces, self.heats, self.certificates)
        return all(part.empty for part in parts)


def steel_of(assessment: Assessment) -> Steel:
    """The steel of ``assessment``. Raises StoreBusy, StoreDamaged."""
    with Ledger(assessment.folder).read() as reader:
        entries = reader.entries(assessment.entry)
        story = reader.ask("quarantine_story", as_of=assessment.entry)
    current = assessment.snapshot.frame
    certificates, files = current("certificate"), current("certificate_file")
    of_steel = assessment.measured.steel
    piles = assessment.piles.dropna(subset=["pile_id"]).set_index("pile_id")[OF_PILE]
    chain = gaps.with_gaps(assessment.measured.chain.merge(piles, on="pile_id", how="left"))
    kinds = assessment.project.component_kinds.frame().set_index("component_kind")["name"]
    stock = steel_register.stock(of_steel.delivered, chain)
    stock["component"] = stock["component_kind"].map(kinds).fillna(stock["component_kind"])
    kept = _kept(entries)
    certificates = certificates.assign(sha256=certificates["scan"].map(kept).astype("str"))
    return Steel(chain, stock, of_steel.pieces, of_steel.heats, certificates, files, story)


def _kept(entries: pd.DataFrame) -> pd.Series:
    """Digest of every file that entries keep, by its name without folders; only where one is."""
    held = entries[entries["live"]].dropna(subset=["source", "sha256"])
    by_name = held.groupby(held["source"].str.rsplit("/").str[-1])["sha256"]
    last: pd.Series = by_name.last()
    return last[by_name.nunique().eq(1)]


def coverage(held: Steel, by: str = "area") -> pd.DataFrame:
    """Pieces and lengths in the ground by ``area`` or ``supplier``, and how far they are traced."""
    return steel_register.coverage(held.chain, by)


def boxes(chain: pd.DataFrame, most: int) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Boxes and lines of a drawn chain."""
    return steel_links.boxes(chain, most)


def missing(held: Steel) -> dict[str, pd.DataFrame]:
    """Per question the rows that answer it: each gap, doubtful stamps, lots, heats, remnants."""
    lost = held.chain[held.chain["latest"]]
    found = {gap: lost[lost["gap"].eq(gap)] for gap in GAPS}
    known = (held.pieces, held.heats)
    return found | {
        "twice": steel_register.used_twice(held.chain),
        "lots": steel_register.over_used(held.stock, held.chain),
        "uncertified": heat_measures.never_certified(*known),
        "unreceived": heat_measures.never_received(*known),
        "doubtful": heat_measures.look_alikes(*known),
        "remnants": steel_register.remnants(held.stock, held.chain),
    }


def matrix_file(assessment: Assessment, held: Steel, ending: str) -> bytes:
    """The trace matrix of the whole job, ``.csv`` or ``.xlsx``.

    Raises WrongUse for another ending.
    """
    chain = held.chain.assign(document=held.chain["certificate"].map(_documents(held)))
    if ending == ".csv":
        return matrix_csv(chain)
    if ending == ".xlsx":
        row = ("One row", "one piece of steel in one place of the string of one run")
        return matrix_xlsx(chain, [*about(assessment), row])
    raise WrongUse(f"A trace matrix ends in .csv or .xlsx, not in {ending or 'nothing'}.")


def _documents(held: Steel) -> pd.Series:
    """Names of the files that show each certificate."""
    linked = held.files.rename(columns={"file_name": "name"})[["certificate", "name"]]
    kept = held.certificates.dropna(subset=["sha256"])[["certificate", "scan"]]
    both = pd.concat([linked, kept.rename(columns={"scan": "name"})]).drop_duplicates()
    names: pd.Series = both.groupby("certificate")["name"].agg(", ".join).astype("str")
    return names


def owed(assessment: Assessment) -> pd.DataFrame:
    """Outstanding items of steel: what somebody must still do, worst first."""
    items = assessment.attention
    return items[items["kind"].isin(KINDS)].reset_index(drop=True)


__all__ = [
    "GAPS",
    "KINDS",
    "Steel",
    "boxes",
    "chain_csv",
    "coverage",
    "matrix_file",
    "missing",
    "owed",
    "steel_of",
]
