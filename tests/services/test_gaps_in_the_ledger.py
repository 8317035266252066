"""Gaps in the records of many piles at once: no number becomes known, no finding better.

Each pile is a copy of one with everything on record. Some of its numbers are moved, so that some
of its findings are open; then some of its cells are emptied.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from core import records, words
from core.assessment.assess import judged
from core.assessment.evaluation import evaluated
from core.assessment.snapshot import load_snapshot
from core.records.current_rows import CurrentRows
from core.records.matching import in_order
from core.subjects.piles.rules import RUN_NOT_CLOSED
from tests.services.small import UNCERTAIN
from tests.services.whole_job import run_log, whole_project

PILES = 250
SHARED = ("instrument", "calibration", "calibration_point")  # one rig for all
OF_COPY = (
    "pile_id", "position_id", "batch_id", "specimen_id", "sample_group_id", "stamp", "delivery_id",
    "heat", "certificate", "lot", "report",
)  # fmt: skip
MOVED_MM = ("toe_mm", "length_mm", "cut_off_mm", "stick_up_mm", "to_mm", "level_drop_mm",
            "first_disc_depth_mm", "min_embedment_mm")  # fmt: skip
CLAUSE = 'clause = "5.1"\n'
# A second run, deeper, on the day after.
AGAIN = "\n".join(
    f"101,2,2026-03-03,Rig 1,TI-1,5.1,instructed,{3.3 + 0.3 * n:.1f},{6.0 + 0.1 * n:.1f},0.5,"
    "2026-03-03 08:00,,0.1,0.5"
    for n in range(7)
)
JOBS = {"one run": run_log(), "two runs": run_log() + AGAIN + "\n"}
GUARDED = CLAUSE + 'decision_rule = "guarded"\ndecision_clause = "5.1.2"\n'
# Findings that an empty cell may make better, and why that is stated.
BETTER = {
    ("grout_level_after_placing", "level_drop_mm"): "the level after the last lift is asked for",
    ("head_level", "head_level_m"): "the surveyed point is then taken as the head",
    ("rated_torque", "rated_torque_nm"): "the minimum of the ratings that are known",
}


class Copies:
    """The rows of every pile by record kind; ``emptied``: columns of each pile without a cell."""

    def __init__(self, snapshot, rng):
        self.snapshot, self.rng = snapshot, rng
        self.emptied = defaultdict(set)
        self.rows = {kind: snapshot.rows(kind).frame() for kind in SHARED}
        self.pile = {}
        for kind in set(snapshot.last_entries) & set(records.KIND) - {*SHARED}:
            frame = snapshot.rows(kind).frame()
            if kind == "schedule":
                frame = frame[frame["position_id"].eq("101")]
            parts = [self._copy(frame, number) for number in range(PILES)]
            self.rows[kind] = pd.concat(parts, ignore_index=True)
            self.pile[kind] = np.repeat(np.arange(PILES), len(frame))

    @staticmethod
    def _copy(frame, number):
        own = {name: frame[name] + f"-{number}" for name in OF_COPY if name in frame}
        if "easting_m" in frame:
            own["easting_m"] = frame["easting_m"] + 100.0 * number
        return frame.assign(**own)

    def move(self):
        """Some numbers become others."""
        for kind in sorted(self.pile):
            frame = self.rows[kind].copy()
            for column in records.KIND[kind].columns:
                some = self.rng.random(len(frame)) < 0.06
                if column.form == "number" and not column.name.endswith("ing_m"):
                    by = self.rng.choice([0.5, 0.9, 0.98, 1.1, 1.27, 1.36, 2.0], len(frame))
                    frame[column.name] = frame[column.name] * np.where(some, by, 1.0)
                elif column.name in MOVED_MM:
                    by = self.rng.choice([-600, -60, 60, 600], len(frame))
                    frame[column.name] = (frame[column.name] + np.where(some, by, 0)).clip(lower=0)
            self.rows[kind] = frame

    def empty(self):
        """One to three columns of every pile lose one of its cells or all of them."""
        places = [
            (kind, column.name)
            for kind in sorted(self.pile)
            for column in records.KIND[kind].columns
            if not column.required and column.default is None
            and column.name not in records.KIND[kind].key
            and self.rows[kind][column.name].notna().any()
        ]  # fmt: skip
        self.rows = {kind: frame.copy() for kind, frame in self.rows.items()}
        for pile in range(PILES):
            for at in self.rng.choice(len(places), self.rng.integers(1, 4), replace=False):
                kind, name = places[at]
                own = np.flatnonzero(self.pile[kind] == pile)
                lost = own if self.rng.random() < 0.5 else self.rng.choice(own, 1)
                column = self.rows[kind][name]
                column.iloc[lost] = np.nan if column.dtype.kind == "f" else None
                self.rows[kind][name] = column
                self.emptied[f"101-{pile}"].add(name)

    def judged(self, mark):
        """The assessment of these rows; ``mark`` tells one state of the ledger from another."""
        rows = {kind: in_order(kind, CurrentRows.of_frame(one)) for kind, one in self.rows.items()}
        newest = {kind: (entry, f"{mark} {digest}")
                  for kind, (entry, digest) in self.snapshot.last_entries.items()}  # fmt: skip
        snapshot = replace(self.snapshot, _rows=rows, last_entries=newest)
        return judged(snapshot.folder, snapshot, evaluated(snapshot))


@pytest.fixture(scope="module", params=JOBS)
def jobs(request, tmp_path_factory):
    """The same piles with numbers moved, and then with cells emptied too; what was emptied."""
    folder = whole_project(tmp_path_factory.mktemp("gaps"), log=JOBS[request.param])
    settings = folder / "project.toml"
    guarded = settings.read_text(encoding="utf-8").replace(CLAUSE, GUARDED) + UNCERTAIN
    settings.write_text(guarded, encoding="utf-8")
    snapshot = load_snapshot(folder)
    copies = Copies(snapshot, np.random.default_rng(1))
    copies.move()
    before = copies.judged("moved")
    copies.empty()
    return before, copies.judged("emptied"), copies.emptied


def worst(assessment):
    """Per pile and kind of finding the result that asks for most; none where there is none."""
    found = assessment.findings
    found = found[found["pile_id"].notna()]
    rank = found["result"].map(words.RESULTS.index)
    return rank.groupby([found["pile_id"], found["finding"]]).min()


def open_run(assessment, emptied):
    """Piles that lost the toe of a run, which is then reported as not closed.

    What is measured to the toe is measured to that of the run before, or to the last lift.
    """
    found = assessment.findings
    reported = set(found.loc[found["finding"].eq(RUN_NOT_CLOSED.id), "pile_id"])
    return {pile for pile, names in emptied.items() if "toe_mm" in names} & reported


def test_the_numbers_moved_leave_findings_of_every_subject_open(jobs):
    before, _, _ = jobs
    found = before.findings
    open_ = set(found.loc[found["result"].isin(["not met", "no evidence"]), "finding"])
    assert {"mean_torque", "grout_take", "head_level", "length_reconciliation"} <= open_
    assert "within measurement uncertainty" in found["result"].tolist()


def test_no_measure_becomes_known(jobs):
    before, after, emptied = jobs
    names = [measure.name for measure in records.MEASURES]
    unknown, known = (one.piles.set_index("pile_id")[names] for one in (before, after))
    unknown = unknown.drop(index=sorted(open_run(after, emptied)))
    known = known.loc[unknown.index].notna()
    assert [name for name in names if (unknown[name].isna() & known[name]).any()] == []
    assert (unknown.notna() & ~known).to_numpy().sum() > PILES


def test_no_finding_becomes_better(jobs):
    before, after, emptied = jobs
    then, now, open_ = worst(before), worst(after), open_run(after, emptied)
    asks = {rank for rank, result in enumerate(words.RESULTS) if words.RESULT_STATE[result]}
    assert sum(now.get(key, 0) in asks for key, rank in then.items() if rank not in asks) > PILES
    better = [
        (pile, kind)
        for (pile, kind), rank in then.items()
        if rank in asks and now.get((pile, kind), len(words.RESULTS)) not in asks
    ]
    assert [
        (pile, kind, emptied[pile])
        for pile, kind in better
        if pile not in open_ and not any((kind, name) in BETTER for name in emptied[pile])
    ] == []


def test_no_pile_with_something_open_meets_its_criteria(jobs):
    before, after, emptied = jobs
    then, now = (one.piles.set_index("pile_id")["state"] for one in (before, after))
    better = [pile for pile in then.index if then[pile] != now[pile] == "criteria met"]
    stated = {name for _, name in BETTER}
    assert [pile for pile in better if not emptied[pile] & stated] == []
