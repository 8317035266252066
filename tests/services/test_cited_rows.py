"""Rows behind measures as codes: newest entries, what is made when, and the frame of findings."""

import numpy as np
import pandas as pd
import pytest

from core.assessment.evidence import NEVER, CitedRows, Subjects, entry_rank, of_rows, of_table
from core.records.current_rows import CurrentRows
from core.subjects.registry import FINDING
from core.subjects.tables import Members, Table, evidence
from tests.assessment import found

X, Y, Z = list(FINDING)[:3]
WORD = {kind: one.word for kind, one in FINDING.items()}
PILES = Subjects("pile", ["P1", "P2", "P3"])
ROWS = [("P1", 3, "a", 1), ("P1", 5, None, 2), ("P2", 4, "b", 1), (None, 9, "b", 2)]


def rows(*each):
    frame = pd.DataFrame(each, columns=["pile_id", "entry_no", "sheet", "row_no"])
    return frame.astype({"pile_id": "str", "entry_no": "Int64", "sheet": "str", "row_no": "Int64"})


def cited(*parts, last=99):
    """Cited rows of parts (record, measures, rows, kind of subject)."""
    every = [
        of_rows(record, measures, lambda made=made: CurrentRows.of_frame(made), *kind)
        for record, measures, made, *kind in parts
    ]
    return CitedRows(every, dict.fromkeys([part[0] for part in parts], last))


def findings(*each):
    """Findings from their kind of subject, subject, measure and id of their kind."""
    names = ("subject_kind", "subject", "measure", "finding")
    return found.findings(*(dict(zip(names, one, strict=True)) for one in each))


def frame_of(every, of):
    return every.frame(of, np.arange(len(of)))


def newest(every, measure, subjects=PILES, **how):
    return [None if entry == NEVER else entry for entry in every.newest(measure, subjects, **how)]


def test_the_newest_entry_is_that_of_all_rows_of_a_subject_and_measure():
    every = cited(
        ("run", ["toe"], rows(*ROWS)), ("survey", ["toe", "head"], rows(("P2", 7, "", 1)))
    )
    assert newest(every, "toe") == [5, 7, None]
    assert newest(every, "head") == [None, 7, None]
    assert newest(every, "other") == [None, None, None]


def test_a_subject_of_another_kind_with_the_same_name_has_its_own_rows():
    every = cited(("run", ["toe"], rows(*ROWS)), ("run", ["toe"], rows(("P1", 8, "", 1)), "lot"))
    assert newest(every, "toe") == [5, 4, None]
    assert newest(every, "toe", Subjects("lot", ["P1"])) == [8]


def test_rows_of_the_ledger_and_of_a_frame_give_the_same():
    frame = rows(*ROWS)
    every = CitedRows([of_rows("run", ["toe"], lambda: CurrentRows.of_frame(frame))], {"run": 9})
    of = findings(("pile", "P1", "toe", X), ("pile", "P2", "toe", X))
    assert newest(every, "toe") == [5, 4, None]
    own = frame_of(cited(("run", ["toe"], frame)), of)
    pd.testing.assert_frame_equal(frame_of(every, of), own)


class Run(Table):
    """One run of an invented job."""

    record = "run"


class Pile(Table):
    """One pile of an invented job."""

    record = "pile"
    runs: Members[Run]

    @evidence()
    def toe(self):
        """The runs of the pile, and the pile itself."""
        return [*self.runs.links(), *self.own_links()]


def test_a_table_gives_the_rows_that_it_declares():
    piles = Pile(
        CurrentRows.of_frame(rows(("P2", 6, "s", 4), (None, 7, None, 5), ("P1", 2, "", 1)))
    )
    below = Run(CurrentRows.of_frame(rows(*ROWS, ("P3", 8, "a", 1))))
    piles.runs = Members(below, piles, np.array([2, 2, 0, 1, -1]))
    every = CitedRows(of_table(piles, ["toe"]), {})
    assert newest(every, "toe") == [5, 6, None]
    of = findings(("pile", "P1", "toe", X), ("pile", "P3", "toe", X))
    frame = frame_of(every, of)
    assert frame["record"].tolist() == ["run", "run", "pile"]
    assert frame["entry_no"].tolist() == [3, 5, 2]


def test_a_row_that_no_entry_wrote_is_older_than_all():
    every = cited(("run", ["toe"], rows(("P1", None, None, None))))
    assert newest(every, "toe") == [None, None, None]
    (row,) = frame_of(every, findings(("pile", "P1", "toe", X))).to_dict("records")
    assert pd.isna(row["entry_no"])
    assert pd.isna(row["row_no"])


def test_an_entry_made_after_the_judging_day_is_worth_nothing():
    days = pd.Series(pd.to_datetime(["2026-03-02", "2026-03-31", "2026-04-01"]), index=[3, 4, 5])
    worth = entry_rank(days, pd.Timestamp("2026-03-31"))
    every = cited(("run", ["toe"], rows(*ROWS)))
    found = every.newest("toe", PILES, worth).view("datetime64[us]")
    wanted = np.array(["2026-03-02", "2026-03-31", "NaT"], dtype="datetime64[us]")
    np.testing.assert_array_equal(found, wanted)


def test_rows_are_made_when_a_measure_is_looked_at_and_once():
    made = []
    own = CurrentRows.of_frame(rows(*ROWS))
    part = of_rows("run", ["toe", "head"], lambda: made.append(1) or own)
    every = CitedRows([part], {"run": 5})
    assert newest(every, "other") == newest(every, "toe", since=5) == [None, None, None]
    assert made == []
    assert newest(every, "toe", since=4)[0] == newest(every, "head")[0] == 5
    assert made == [1]


def test_a_measure_rests_on_the_record_kinds_of_which_it_has_rows():
    every = cited(
        ("run", ["toe"], rows(*ROWS)), ("survey", ["toe"], rows(*ROWS)),
        ("pile", ["toe"], rows()), ("schedule", ["head"], rows(*ROWS)),
    )  # fmt: skip
    assert every.records_of("toe") == {"run", "survey"}
    assert every.records_of("other") == frozenset()
    assert every.measures("pile") == ["toe", "head"]


def test_a_finding_has_each_row_once_in_the_order_in_which_they_are_declared():
    every = cited(
        ("survey", ["toe"], rows(("P2", 7, "", 1))), ("run", ["toe"], rows(*ROWS, *ROWS))
    )  # fmt: skip
    of = findings(
        ("pile", "P2", "toe", X), ("pile", "P1", "toe", Y), ("pile", "P2", "toe", Z),
        ("lot", "P2", "toe", X), ("pile", "P2", "head", X),
    )  # fmt: skip
    frame = frame_of(every, of)
    assert frame["finding"].tolist() == [0, 0, 1, 1, 2, 2]
    assert frame["kind"].tolist() == [WORD[one] for one in (X, X, Y, Y, Z, Z)]
    assert frame["record"].tolist() == ["survey", "run", "run", "run", "survey", "run"]
    assert frame["entry_no"].tolist() == [7, 4, 3, 5, 7, 4]
    assert frame["sheet"].fillna("-").tolist() == ["", "b", "a", "-", "", "b"]


@pytest.mark.parametrize(
    "of", [findings(), findings(("pile", "P9", "toe", X)), findings(("pile", "P1", "a", X))]
)
def test_findings_without_rows_give_a_frame_with_its_columns(of):
    for every in (cited(), cited(("run", ["toe"], rows())), cited(("run", ["toe"], rows(*ROWS)))):
        frame = frame_of(every, of)
        assert frame.empty
        names = ["finding", "subject", "kind", "record", "entry_no", "sheet", "row_no"]
        assert list(frame.columns) == names
        assert frame["entry_no"].dtype == frame["row_no"].dtype == "Int64"


def test_the_frame_is_that_of_a_plain_join():
    chance = np.random.default_rng(5)
    parts, every = [], []
    for number in range(6):
        size = int(chance.integers(0, 40))
        frame = rows(
            *zip(
                chance.choice(["P1", "P2", "P3", "P4"], size), chance.integers(1, 9, size),
                chance.choice(["a", "b"], size), chance.integers(1, 4, size), strict=True,
            )
        )  # fmt: skip
        measures = ["toe", "head"][: number % 2 + 1]
        record = f"kind {number % 3}"
        parts.append((record, measures, frame))
        every += [frame.assign(record=record, measure=measure) for measure in measures]
    size = 30
    named = pd.DataFrame(
        {
            "subject": chance.choice(["P1", "P2", "P5"], size),
            "measure": chance.choice(["toe", "head", "none"], size),
        }
    )
    of = findings(*(("pile", *row, X) for row in named.itertuples(index=False)))
    plain = named.reset_index(names="finding").merge(
        pd.concat(every).rename(columns={"pile_id": "subject"}), on=["subject", "measure"]
    )
    names = ["finding", "record", "entry_no", "sheet", "row_no"]
    wanted = plain[names].drop_duplicates(ignore_index=True)
    assert len(wanted) > 100
    pd.testing.assert_frame_equal(frame_of(cited(*parts), of)[names], wanted)
    by_pile = pd.concat(every).query("measure == 'toe'").groupby("pile_id")["entry_no"].max()
    assert newest(cited(*parts), "toe") == by_pile.reindex(["P1", "P2", "P3"]).tolist()
