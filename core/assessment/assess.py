"""The corridor of judging: snapshot, measures, findings, states, in this order."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path

import numpy as np
import pandas as pd

from core import words
from core.assessment import evidence as evidence_of
from core.assessment import findings as judging
from core.assessment import sign_offs, states
from core.assessment.earlier_sign_offs import newer_findings, signing_basis
from core.assessment.evaluation import Evaluation, load_and_evaluate
from core.assessment.evidence import CitedRows
from core.assessment.items import items_of
from core.assessment.measuring import Measured
from core.assessment.sign_offs import Compared
from core.assessment.snapshot import Snapshot
from core.criteria.columns import Array, Columns, Mask
from core.criteria.findings import Findings
from core.ledger import Ledger
from core.settings import Project
from core.subjects.piles.rules import RUN_NOT_CLOSED


@dataclass(frozen=True)
class Assessment:
    """What a project comes to at one entry, judged on one day.

    ``state``: of each row of ``measured.of_piles``, as a place in ``words.STATES``; ``signed``: the
    sign-offs, compared with what is seen now; ``seen_now``: what a sign-off of each signed pile
    would see, with its digest. Frames are made when somebody looks, as frames.py declares them.
    """

    snapshot: Snapshot
    measured: Measured
    state: Array
    found: Findings
    signed: Compared
    cited_rows: CitedRows
    seen_now: Mapping[str, tuple[str, str]]

    @cached_property
    def piles(self) -> pd.DataFrame:
        """One row per pile, and per position that no pile serves, in the order people count.

        The measures with state, signed_by, signed_on and sign_off_note.
        """
        return _with_state(self)

    @cached_property
    def positions(self) -> pd.DataFrame:
        """One row per position, as of ``states.position_states``."""
        return states.position_states(self.piles)

    @cached_property
    def attention(self) -> pd.DataFrame:
        """Outstanding items, worst and oldest first."""
        measured, rows = self.measured, self.cited_rows
        return items_of(
            self.found, measured.of_piles, self.state, rows, measured.of_runs, self.snapshot
        )

    @cached_property
    def seen(self) -> pd.DataFrame:
        """What a sign-off of each signed pile would see now: pile_id, seen and digest."""
        rows = [(pile, *of) for pile, of in self.seen_now.items()]
        return pd.DataFrame(rows, columns=pd.Index(["pile_id", "seen", "digest"]), dtype="str")

    @cached_property
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
        return list(dict.fromkeys(self.found.where(self._not_closed).text("subject")))

    @property
    def _not_closed(self) -> Mask:
        return self.found.is_text("finding", RUN_NOT_CLOSED.id)

    @property
    def current_positions(self) -> int:
        """Positions that need support."""
        return int(self.positions["current"].sum())

    @property
    def accepted_positions(self) -> int:
        """Live positions whose every needed pile is accepted."""
        return int((self.positions["current"] & self.positions["accepted"]).sum())

    def evidence(self, pile_id: str | None = None) -> pd.DataFrame:
        """Source rows of findings, of one pile or all: subject, kind, record, file, sheet, row."""
        own = np.ones(len(self.found), dtype=bool)
        if pile_id is not None:
            own = self.found.is_text("subject", pile_id)
        rows = self.cited_rows.frame(self.found, np.flatnonzero(own))
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
    seen = evaluation.seen(_signed_piles(numbers.of_piles, known))
    signs = known.last_entries.get("sign_off"), *known.settings_texts
    signed = evaluation.compared(signs, lambda: _compared(folder, known, evaluation, seen))
    found = judging.sorted_findings(
        [
            evaluation.found,
            sign_offs.changed_findings(signed),
            newer_findings(known, evaluation, signed),
        ]
    )
    return Assessment(
        snapshot=known,
        measured=numbers,
        state=_states(numbers.of_piles, found, signed),
        found=found,
        signed=signed,
        cited_rows=rows.beside([evidence_of.rows_of_sign_offs(known)]),
        seen_now=seen,
    )


def _compared(
    folder: Path, known: Snapshot, evaluation: Evaluation, seen: dict[str, tuple[str, str]]
) -> Compared:
    """The sign-offs with what has worsened, what each is not compared on and what is newer."""
    under = signing_basis(folder, known, evaluation)
    now = {pile: text for pile, (text, _) in seen.items()}
    return sign_offs.compared(known.rows("sign_off"), now, under.unjudged, under.newer)


def _signed_piles(piles: Columns, known: Snapshot) -> list[str]:
    """The piles that somebody signed, in the order of the ledger."""
    signed = known.rows("sign_off").used("subject")
    held = set(piles.text("pile_id").tolist()) if signed else ()
    return [pile for pile in signed if pile in held]


def _states(piles: Columns, found: Findings, signed: Compared) -> Array:
    """The state of each of ``piles``, as a place in ``words.STATES``."""
    is_valid, (codes, texts) = signed.latest_valid, piles.coded("pile_id")
    signed_piles = np.array([*(pile in is_valid for pile in texts), False], dtype=bool)
    return states.pile_states(
        _worst(piles, found, sign_offs.not_covered_by_sign_offs(found, signed)),
        _orders(piles, "stage"),
        _orders(piles, "last_stage"),
        signed_piles[codes],
        states.Served.of(piles),
    )


def _with_state(assessment: Assessment) -> pd.DataFrame:
    """The frame of the piles with state, signed_by, signed_on and sign_off_note, in order."""
    piles, signed = assessment.measured.piles, assessment.signed
    ids = piles["pile_id"].tolist()
    latest = np.array([signed.latest.get(pile, -1) for pile in ids], dtype=np.int64)
    persons = pd.array([*signed.persons, None], dtype="str")
    notes = _sign_off_notes(assessment.found, signed, assessment.cited_rows)
    order = _natural_order(piles)
    own = {
        "state": states.state_words(assessment.state[order]),
        "signed_by": persons.take(latest[order]),
        "signed_on": np.append(signed.signed_on, np.datetime64("NaT", "us"))[latest[order]],
        "sign_off_note": pd.array([notes.get(ids[at], "") for at in order.tolist()], dtype="str"),
    }
    return pd.concat([piles.take(order).reset_index(drop=True), pd.DataFrame(own)], axis=1)


def _sign_off_notes(found: Findings, signed: Compared, rows: CitedRows) -> dict[str, str]:
    """Per pile what there is to know of its last sign-off."""
    changed, entries = signed.changed, signed.entry_no
    stood = {pile: int(entries[at]) for pile, at in signed.latest.items() if not changed[at]}
    added = evidence_of.added_since(found, rows, stood)
    notes = {
        pile: "added since" if pile in added else f"changed since: {changed[at]}"
        for pile, at in signed.latest.items()
        if pile in added or changed[at]
    }
    kinds: dict[str, set[str]] = defaultdict(set)
    left = found.where(sign_offs.not_covered_by_sign_offs(found, signed))
    codes, keys = sign_offs.kind_keys(left)
    for pile, code in zip(left.text("pile_id"), codes.tolist(), strict=True):
        kinds[pile].add(sign_offs.key_in_words(keys[code]))
    for pile, of in kinds.items():
        own = [notes[pile]] if pile in notes else []
        listed = ", ".join(sorted(of))
        notes[pile] = "; ".join([*own, f"not judged by this sign-off: {listed}"])
    return notes


def _orders(piles: Columns, name: str) -> Array:
    """The order of the stage that each pile has under ``name``, -1 for none."""
    codes, texts = piles.coded(name)
    found: Array = np.array([*(words.STAGE_ORDER.get(text, -1) for text in texts), -1])[codes]
    return found


def _worst(piles: Columns, found: Findings, outside: Mask) -> Array:
    """Per pile the worst state that its findings ask for, those ``outside`` apart."""
    pile = found.codes("pile_id")
    asks = np.flatnonzero((pile >= 0) & ~outside)
    worst = np.full(len(found.texts("pile_id")) + 1, states.NO_STATE)
    np.minimum.at(worst, pile[asks], states.ASKED[found.codes("result")[asks]])
    code = {one: code for code, one in enumerate(found.texts("pile_id"))}
    codes, texts = piles.coded("pile_id")
    own: Array = worst[np.array([*(code.get(one, -1) for one in texts), -1])[codes]]
    return own


def _natural_order(piles: pd.DataFrame) -> Array:
    """Places of the rows in the order people count: numbers inside the text as numbers."""
    texts = piles["pile_id"].fillna(piles["position_id"]).tolist()
    padded = [_NUMBER.sub(_padded, text) if isinstance(text, str) else _LAST for text in texts]
    found: Array = np.array(sorted(range(len(texts)), key=padded.__getitem__), dtype=np.int64)
    return found


_NUMBER = re.compile(r"\d+")
_LAST = chr(0x10FFFF)  # behind every number


def _padded(digits: re.Match[str]) -> str:
    return digits.group().zfill(12)
