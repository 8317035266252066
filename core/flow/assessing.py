"""The corridor of judging: snapshot, measures, findings, states, in this order."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd

from core import words
from core.criteria.findings import Findings
from core.criteria.piles import RUN_NOT_CLOSED
from core.flow import evidence as evidence_of
from core.flow import outstanding
from core.flow.cited_rows import CitedRows
from core.flow.evaluation import Evaluation, load_and_evaluate
from core.flow.measuring import Measured
from core.flow.signed_under import newer_findings, signed_under
from core.flow.snapshot import Snapshot
from core.judge import findings as judging
from core.judge import sign_offs, states
from core.project import Project
from core.store import Ledger


@dataclass(frozen=True)
class Assessment:
    """What a project comes to at one entry, judged on one day. Frames as in DEVELOPERS.md.

    ``measured.piles`` have no state yet, ``piles`` have it.
    """

    snapshot: Snapshot
    measured: Measured
    piles: pd.DataFrame
    positions: pd.DataFrame
    found: Findings
    attention: pd.DataFrame
    cited_rows: CitedRows
    seen: pd.DataFrame

    @property
    def findings(self) -> pd.DataFrame:
        """Every finding as a frame, worst first."""
        return self.found.frame()

    @property
    def folder(self) -> Path:
        """The project's folder."""
        return self.snapshot.folder

    @property
    def project(self) -> Project:
        """The settings that the assessment uses."""
        return self.snapshot.project

    @property
    def entry(self) -> int:
        """The entry as of which the ledger was read."""
        return self.snapshot.entry

    @property
    def on(self) -> date:
        """The day of the assessment."""
        return self.snapshot.on

    @property
    def head(self) -> str:
        """Hash of the last entry of the ledger."""
        return self.snapshot.head

    @property
    def settings_recorded(self) -> bool:
        """Whether project.toml is as the last settings entry has it."""
        return self.snapshot.settings_recorded

    @property
    def counts(self) -> dict[str, int]:
        """Number of production rows by state: piles, and positions that no pile serves."""
        number = self.piles.loc[self.piles["counted"], "state"].value_counts()
        return {state.word: int(number.get(state.word, 0)) for state in words.STATES}

    @property
    def runs_not_closed(self) -> int:
        """Number of runs with readings and no toe depth or reason for stopping."""
        return int(self._not_closed.sum())

    @property
    def piles_not_closed(self) -> list[str]:
        """Piles with such a run, in the order of the findings."""
        return list(self.findings.loc[self._not_closed, "subject"].unique())

    @property
    def _not_closed(self) -> pd.Series[bool]:
        return self.findings["finding"].eq(RUN_NOT_CLOSED.id)

    @property
    def live(self) -> int:
        """Positions that need support."""
        return int(self.positions["live"].sum())

    @property
    def satisfied(self) -> int:
        """Live positions whose every needed pile is accepted."""
        return int((self.positions["live"] & self.positions["satisfied"]).sum())

    def evidence(self, pile_id: str | None = None) -> pd.DataFrame:
        """Source rows of findings, of one pile or all: subject, kind, record, file, sheet, row."""
        found = self.findings
        if pile_id is not None:
            found = found[found["subject"].eq(pile_id)]
        rows = self.cited_rows.frame(found)
        if rows.empty:
            return rows.assign(file="", sheet="", row=pd.array([], dtype="Int64"))
        with Ledger(self.folder).read() as reader:
            return reader.sources(rows)


def assess(folder: Path, as_of: int | date | None = None) -> Assessment:
    """Judge the project in ``folder`` now, as of an entry, or as of the end of a day.

    Raises ProjectError, StoreBusy, StoreTooNew, StoreDamaged, WrongUse.
    """
    return judged(Path(folder), *load_and_evaluate(Path(folder), as_of))


def judged(folder: Path, known: Snapshot, evaluation: Evaluation) -> Assessment:
    """The assessment of a snapshot with its evaluation."""
    numbers, rows = evaluation.numbers, evaluation.cited_rows
    piles = numbers.piles
    signed = known.rows("sign_off").used("subject")
    seen = evaluation.seen(_known(piles, signed))
    signs = known.last_entries.get("sign_off"), *known.settings_texts
    standing = evaluation.compared(signs, lambda: _compared(folder, known, evaluation, seen))
    all_found = judging.sorted_findings(
        [
            evaluation.found,
            sign_offs.changed_findings(standing),
            newer_findings(known, evaluation, standing),
        ]
    )
    found = all_found.frame()
    piles = _with_state(piles, found, standing, rows)
    rows = rows.beside([evidence_of.rows_of_sign_offs(known)])
    return Assessment(
        snapshot=known,
        measured=numbers,
        piles=piles,
        positions=states.position_states(piles),
        found=all_found,
        attention=outstanding.items_of(found, piles, rows, numbers.runs, known),
        cited_rows=rows,
        seen=seen,
    )


def _compared(
    folder: Path, known: Snapshot, evaluation: Evaluation, seen: pd.DataFrame
) -> pd.DataFrame:
    """The sign-offs with whether each stands, what it is not compared on and what is newer."""
    under = signed_under(folder, known, evaluation)
    standing = sign_offs.standing_sign_offs(known.frame("sign_off"), seen, under.unjudged)
    return standing.assign(newer=pd.Series(under.newer, index=standing.index, dtype=object))


def _known(piles: pd.DataFrame, wanted: list[str]) -> list[str]:
    held = set(piles["pile_id"].dropna())
    return [pile for pile in wanted if pile in held]


def _with_state(
    piles: pd.DataFrame, found: pd.DataFrame, standing: pd.DataFrame, rows: CitedRows
) -> pd.DataFrame:
    stands = standing[standing["stands"]].drop_duplicates("subject", keep="last")
    outside = sign_offs.outside_sign_offs(found, stands)
    asking = found.drop(index=outside.index)
    state = states.pile_states(
        _worst(piles, asking),
        _orders(piles["stage"]),
        _orders(piles["last_stage"]),
        piles["pile_id"].isin(stands["subject"]).to_numpy(),
        states.Served.of(piles),
    )
    piles = piles.assign(state=states.state_words(state))
    latest = standing.drop_duplicates("subject", keep="last").set_index("subject")
    signed = latest.reindex(piles["pile_id"])
    stood = latest.loc[latest["stands"], "entry_no"]
    added = piles["pile_id"].isin(evidence_of.added_since(found, rows, stood)).to_numpy()
    note = signed["changed"].fillna("").to_numpy(dtype=object)
    changed = (note != "") & ~added
    note[changed] = "changed since: " + note[changed]
    note[added] = "added since"
    words_of_kinds = sign_offs.kind_key(outside).map(sign_offs.key_in_words)
    kinds = words_of_kinds.groupby(outside["pile_id"]).agg(_listed)
    kinds = "not judged by this sign-off: " + kinds
    newer = kinds.reindex(piles["pile_id"]).fillna("").to_numpy(dtype=object)
    note += np.where((note != "") & (newer != ""), "; ", "") + newer
    piles = piles.assign(
        signed_by=signed["person"].to_numpy(),
        signed_on=signed["signed_on"].to_numpy(),
        sign_off_note=note,
    )
    return _natural(piles)


def _orders(stages: pd.Series) -> states.Array:
    return np.array([words.STAGE_ORDER.get(stage, -1) for stage in stages], dtype=np.int64)


def _worst(piles: pd.DataFrame, found: pd.DataFrame) -> states.Array:
    """Per pile the worst state that its findings ask for."""
    rank = {
        result: words.STATE_ORDER[state]
        for result, state in words.RESULT_STATE.items()
        if state is not None
    }
    ranks = np.array([rank.get(result, states.NO_STATE) for result in found["result"]])
    place = {pile: at for at, pile in enumerate(piles["pile_id"])}
    pile = np.array([place.get(pile, -1) for pile in found["pile_id"]], dtype=np.int64)
    worst = np.full(len(piles), states.NO_STATE)
    np.minimum.at(worst, pile[pile >= 0], ranks[pile >= 0])
    return worst


def _listed(kinds: pd.Series) -> str:
    return ", ".join(sorted(set(kinds)))


def _natural(piles: pd.DataFrame) -> pd.DataFrame:
    """Rows in the order people count: area, then numbers inside the text as numbers."""
    text = piles["pile_id"].fillna(piles["position_id"])
    padded = text.str.replace(r"\d+", lambda digits: digits.group().zfill(12), regex=True)
    return piles.loc[padded.sort_values(kind="stable").index].reset_index(drop=True)
