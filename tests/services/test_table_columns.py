"""Rows and tables read as one: whose column a name is, its forms, and several readers at once."""

from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from time import sleep

import numpy as np
import pandas as pd
import pytest

from core.assessment.measuring import TableColumns
from core.criteria.columns import FrameColumns, RecordColumns, RowColumns, SomeRows
from core.records.current_rows import CurrentRows
from core.subjects.tables import Table, Texts, column, measure, other, recorded, setting

ROWS = CurrentRows.of_frame(
    pd.DataFrame({"pile_id": ["P1", "P2", None], "toe_mm": [3000.0, np.nan, 1.0], "hidden": 1})
)


class Toe(Table):
    """One pile."""

    subject, record = "toe", "run"
    toe_mm = recorded()

    @measure("twice the toe")
    def twice_mm(self):
        """Twice."""
        return self.toe_mm.in_unit("mm")

    @column("flag", "whether it is deep")
    def deep(self):
        """Deeper than 2 m."""
        return self.toe_mm.values > 2000

    @column("text", "word for it")
    def word(self):
        """None where the toe is unknown."""
        return Texts(np.where(self.toe_mm.known, 0, -1), ["known"])


class Slow(Table):
    """One pile whose measure takes a while."""

    subject = "toe"

    @column("number", "number of evaluations")
    def made(self):
        """Counted by the tables that are made."""
        sleep(0.02)
        self.beside["count"].rows.append(1)
        return np.zeros(len(self))


def of_rows(**made):
    return TableColumns(ROWS, Toe(ROWS), hidden=["hidden"], **made)


def test_rows_tables_and_columns_made_are_read_alike():
    columns = of_rows(stage=Texts(np.array([0, -1, 0]), ["installed"]), done=np.ones(3, bool))
    names = {"deep", "done", "pile_id", "stage", "toe_mm", "twice_mm", "word"}
    assert (set(columns.names), len(columns.names)) == (names, len(names))
    assert columns.text("pile_id").tolist() == ["P1", "P2", ""]
    assert columns.numbers("twice_mm").tolist() == pytest.approx([3000, np.nan, 1], nan_ok=True)
    assert columns.is_true("deep").tolist() == [True, False, False]
    assert columns.numbers("deep").tolist() == [1, 0, 0]
    assert columns.text("word").tolist() == ["known", "", "known"]
    assert columns.text("stage").tolist() == ["installed", "", "installed"]
    assert columns.is_true("done").all()


def test_the_frame_has_every_column_once():
    frame = of_rows(stage_on=np.array(["2026-03-02"] * 3, dtype="datetime64[us]")).frame()
    assert Counter(frame.columns).most_common(1)[0][1] == 1
    assert frame["word"].isna().tolist() == [False, True, False]
    assert frame["stage_on"].dtype == "datetime64[us]"


@pytest.mark.parametrize("name", ["pile_id", "word"])
def test_texts_have_codes_and_none_has_minus_one(name):
    columns = of_rows()
    for one in (columns, FrameColumns(columns.frame()), SomeRows(columns, np.array([1, 0]))):
        codes, texts = one.coded(name)
        read = [texts[code] if code >= 0 else "" for code in codes.tolist()]
        assert read == one.text(name).tolist()
    assert RowColumns([{"a": "x"}, {}, {"a": "x"}]).coded("a")[0].tolist() == [0, -1, 0]
    assert RecordColumns(ROWS).coded("pile_id")[0].tolist() == [0, 1, -1]


def test_some_rows_have_the_values_of_their_places():
    some = SomeRows(of_rows(), slice(0, 2))
    assert (len(some), some.text("pile_id").tolist()) == (2, ["P1", "P2"])
    assert some.is_true("deep").tolist() == [True, False]


def test_several_readers_at_once_make_a_column_once():
    count = Toe(CurrentRows({}, 0))
    count.rows = []
    table = Slow(ROWS, count=count)
    with ThreadPoolExecutor(8) as pool:
        found = list(pool.map(lambda _: table.made, range(8)))
    assert all(one is found[0] for one in found)
    assert count.rows == [1]


def test_a_number_of_a_pile_is_declared_by_one_table_alone(sample_assessment):
    handed_on = (recorded, setting, other)
    names = Counter(
        name
        for table in sample_assessment.measured.tables.every
        for name, one in table.declared.items()
        if one.kind is not None and not isinstance(one, handed_on)
    )
    assert [name for name, number in names.items() if number > 1] == []
