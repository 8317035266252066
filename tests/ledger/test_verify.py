"""A change outside the program is found, and the entry is named."""

from __future__ import annotations

import shutil
from dataclasses import replace

import duckdb
import pytest

from core import records
from core.ledger import Ledger, NewEntry, database, verify
from core.records import Column
from tests.ledger.invented import readings, runs, take


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """Settings, runs with an attachment, readings, a correction with a removal, a withdrawal."""
    ledger = Ledger.create(tmp_path_factory.mktemp("whole"))
    with ledger.write() as writer:
        writer.record_settings("a = 1", "Ann")
        new = NewEntry("Ann", "file", "runs.csv", writer.attach(b"runs"), mapping={"run": {}})
        writer.append(new, {"run": runs(("P1", 9000), ("P2", None))})
    take(ledger, "torque_reading", readings(("P1", 300, 5e3), ("P1", 600, None)), "t.csv")
    take(ledger, "run", runs(("P1", 9100)), "runs.csv", replace=True)
    with ledger.write() as writer:
        writer.withdraw(3, "Ben", "wrong rig")
    assert verify(ledger.folder) == []
    return ledger.folder


@pytest.fixture
def told(whole, folder):
    """A copy of it for one test to change."""
    shutil.copytree(whole, folder, dirs_exist_ok=True)
    return Ledger(folder)


def behind_its_back(ledger: Ledger, sql: str) -> None:
    with duckdb.connect(str(ledger.store)) as con:
        con.execute(sql)


@pytest.mark.parametrize(
    ("sql", "entry_no"),
    [
        ("update run set toe_mm = 9001 where entry_no = 2 and pile_id = 'P1'", 2),
        ("update run set toe_mm = 0 where entry_no = 2 and pile_id = 'P2'", 2),
        ("update run set remarks = '' where entry_no = 2 and pile_id = 'P1'", 2),
        ("update torque_reading set torque_read_nm = torque_read_nm + 1e-9", 3),
        ("update torque_reading set depth_mm = 900 - depth_mm", 3),
        ("update run set removed = false where entry_no = 4", 4),
        ("update run set row_no = 7 where entry_no = 4 and not removed", 4),
        ("update run set entry_no = 4 where entry_no = 2 and pile_id = 'P2'", 2),
        ("update source set file = 'others.csv' where kind = 'torque_reading'", 3),
        ("delete from run where entry_no = 4", 4),
        ("insert into run select * from run where entry_no = 2", 2),
        ("insert into run select * replace (5 as entry_no) from run where entry_no = 2", 5),
        ("update settings set text = 'a = 2'", 1),
        ("update entry set person = 'Cid' where entry_no = 3", 3),
        ("update entry set withdraws = 2 where entry_no = 5", 5),
        ("update entry set note = 'x' where entry_no = 5", 5),
        ("update entry set entered_at = entered_at + interval 1 day where entry_no = 2", 2),
        ("update entry set mapping = '{}' where entry_no = 2", 2),
        ("update entry_content set rows = 3 where entry_no = 2", 2),
        ("delete from entry_content where entry_no = 3", 3),
        ("delete from entry where entry_no = 3", 3),
        ("delete from entry where entry_no = 1", 1),
    ],
)
def test_change_behind_the_ledgers_back_is_found_and_its_entry_named(told, sql, entry_no):
    behind_its_back(told, sql)
    faults = verify(told.folder)
    assert entry_no in {fault.entry_no for fault in faults}
    assert all(str(fault).endswith(".") for fault in faults)
    assert any(str(fault).startswith(f"Entry {entry_no}: ") for fault in faults)


def test_change_of_one_value_is_laid_to_its_entry_alone(told):
    behind_its_back(told, "update run set toe_mm = 9001 where entry_no = 2 and pile_id = 'P1'")
    assert [str(fault) for fault in verify(told.folder)] == [
        "Entry 2: its run rows are not as they were written (2 then, 2 now)."
    ]


def test_rewritten_digest_breaks_the_hash_of_the_entry(told):
    behind_its_back(told, "update entry_content set digest = repeat('0', 64) where entry_no = 2")
    assert {fault.entry_no for fault in verify(told.folder)} == {2}


def test_rewritten_hash_breaks_the_chain_after_it(told):
    behind_its_back(told, "update entry set hash = repeat('0', 64) where entry_no = 2")
    assert {fault.entry_no for fault in verify(told.folder)} == {2, 3}


def test_file_taken_in_that_is_gone_or_changed_is_found(told):
    (kept,) = (told.folder / "attachments").glob("[0-9a-f]" * 64)
    kept.write_bytes(b"runz")
    assert [str(fault) for fault in verify(told.folder)] == [
        "Entry 2: the kept copy of runs.csv has been changed."
    ]
    kept.unlink()
    assert [str(fault) for fault in verify(told.folder)] == [
        "Entry 2: the file it took in, runs.csv, is not kept any more."
    ]


def test_new_ledger_has_no_fault(ledger):
    assert verify(ledger.folder) == []


def test_moved_piece_of_text_changes_the_digest(ledger):
    frame = runs(("P1", 9000)).assign(crew="ab", operator="c")
    take(ledger, "run", frame, "runs.csv")
    behind_its_back(ledger, "update run set crew = 'a', operator = 'bc'")
    assert [fault.entry_no for fault in verify(ledger.folder)] == [1]


@pytest.fixture
def grown(told, monkeypatch):
    """The same ledger under a later program, which declares one more column of a run."""
    run = records.KIND["run"]
    wider = replace(run, columns=(*run.columns, Column("weather", "text", "Weather of the day.")))
    monkeypatch.setitem(records.KIND, "run", wider)
    kinds = tuple(records.KIND[kind.name] for kind in records.KINDS)
    monkeypatch.setattr(records, "KINDS", kinds)
    return told


def test_old_entries_verify_after_a_column_was_added(grown):
    assert verify(grown.folder) == []
    frame = runs(("P3", 7000)).assign(weather="rain")
    take(grown, "run", frame, "runs 3.csv")
    assert verify(grown.folder) == []
    with grown.read() as reader:
        assert reader.current_frame("run", 7)["weather"].dropna().to_list() == ["rain"]


def test_adding_a_column_is_preceded_by_a_copy_of_the_file(grown):
    columns = "select count(*) from information_schema.columns where table_name = 'run'"
    with duckdb.connect(str(grown.store), read_only=True) as con:
        was = con.execute(columns).fetchall()
    with grown.write():
        pass
    copy = grown.store.with_name("project.duckdb.before_entry_6")
    with duckdb.connect(str(copy), read_only=True) as con:
        assert con.execute(columns).fetchall() == was
        assert con.execute("select max(entry_no) from entry").fetchall() == [(5,)]


@pytest.mark.parametrize(
    ("sql", "entry_no"),
    [
        ("update run set toe_mm = 9001 where entry_no = 2 and pile_id = 'P1'", 2),
        ("update run set weather = 'sun' where entry_no = 2 and pile_id = 'P1'", 2),
        ("update run set weather = 'sun' where entry_no = 7", 7),
    ],
)
def test_change_is_found_after_a_column_was_added(grown, sql, entry_no):
    take(grown, "run", runs(("P3", 7000)).assign(weather="rain"), "runs 3.csv")
    behind_its_back(grown, sql)
    assert [fault.entry_no for fault in verify(grown.folder)] == [entry_no]


def test_failed_migration_leaves_the_file_as_it_was(told, monkeypatch):
    broken = "alter table run add column weather VARCHAR; select * from no_such_table;"
    steps = (*database.migrations(), database.Migration(database.newest() + 1, "broken", broken))
    with monkeypatch.context() as patched:
        patched.setattr(database, "migrations", lambda: steps)
        with pytest.raises(duckdb.CatalogException), told.write():
            pass
    assert verify(told.folder) == []
