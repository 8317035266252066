"""Entries: numbers, times, withdrawals, settings, attachments, and what is answered as of when."""

from __future__ import annotations

import hashlib
from contextlib import suppress
from datetime import datetime, timedelta

import duckdb
import pandas as pd
import pytest

from core import records
from core.errors import Refused, StoreDamaged, WrongUse
from core.ledger import Ledger, NewEntry, verify
from tests.ledger.invented import readings, runs, take, toes


def test_new_ledger_reads_as_empty(ledger):
    with ledger.read() as reader:
        assert (reader.last_entry(), reader.head()) == (0, "")
        assert reader.entries().empty
        assert reader.settings_text(0) is None
        assert reader.last_entries(0) == {}
        assert all(reader.current_frame(kind, 0).empty for kind in records.KIND)


@pytest.mark.parametrize("how", ["read", "write", "alone"])
def test_missing_ledger_is_a_fault_and_none_is_made_in_its_place(folder, how):
    with pytest.raises(StoreDamaged, match="pilewright restore"), getattr(Ledger(folder), how)():
        pass
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize("how", ["read", "write", "alone"])
def test_ledger_of_another_job_beside_the_attachments_is_noticed(ledger, tmp_path, how):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    other = Ledger.create(tmp_path)
    take(other, "run", runs(("Q1", 8000)), "other.csv")
    ledger.store.write_bytes(other.store.read_bytes())
    with pytest.raises(StoreDamaged, match="not the ledger of this folder"), getattr(ledger, how)():
        pass
    assert any("not the ledger of this folder" in str(fault) for fault in verify(ledger.folder))


def test_new_ledger_beside_the_attachments_of_another_is_noticed(ledger, tmp_path):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    ledger.store.write_bytes(Ledger.create(tmp_path).store.read_bytes())
    with pytest.raises(StoreDamaged, match="its id is none"), ledger.read():
        pass


def test_folder_from_before_the_id_was_kept_gets_one_when_it_is_written_to(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    kept = ledger.folder / "attachments" / "ledger_id"
    known = kept.read_text()
    kept.unlink()
    with ledger.read() as reader:
        assert reader.last_entry() == 1
    assert not kept.exists()
    take(ledger, "run", runs(("P2", 9000)), "runs 2.csv")
    assert kept.read_text() == known


def test_creating_a_ledger_where_one_is_refuses(ledger):
    with pytest.raises(Refused, match="never replaced"):
        Ledger.create(ledger.folder)


def test_standing_frames_have_the_types_that_rooms_expect(ledger):
    take(ledger, "run", runs(("P1", None)), "runs.csv")
    with ledger.read() as reader:
        for kind in records.KINDS:
            for as_of in (0, 1):
                rows = reader.current_frame(kind.name, as_of)
                wanted = records.typed(rows, kind.columns).dtypes
                assert rows.dtypes.equals(wanted)
                assert list(rows.columns) == [*kind.names, "entry_no", "row_no"]
                assert set(rows.dtypes[["entry_no", "row_no"]]) == {pd.Int64Dtype()}


def test_values_come_back_as_they_were_written(ledger):
    frame = runs(("P1", 9000)).assign(
        ground_level_m=0.1 + 0.2,
        started_at=pd.Timestamp("2026-03-02 07:15:00.123456"),
        remarks="stein på 3,2 m; 'quoted', \"twice\"",
        row_no=41,
    )
    take(ledger, "run", frame, "runs.csv")
    with ledger.read() as reader:
        row = reader.current_frame("run", 1).iloc[0]
    assert row["ground_level_m"] == 0.1 + 0.2
    assert row["started_at"] == pd.Timestamp("2026-03-02 07:15:00.123456")
    assert row["remarks"] == frame["remarks"].iloc[0]
    assert (row["entry_no"], row["row_no"]) == (1, 41)
    assert pd.isna(row["operator"])


def test_entry_without_rows_is_not_written(ledger):
    with ledger.write() as writer:
        assert writer.append(NewEntry("Ann", "file", "runs.csv"), {"run": runs()}) is None
        assert writer.append(NewEntry("Ann", "file", "runs.csv"), {}) is None
        assert writer.last_entry() == 0


def test_withdrawn_entry_no_longer_stands_and_did_before(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    take(ledger, "run", runs(("P1", 9100)), "runs.csv")
    with ledger.write() as writer:
        assert writer.withdraw(2, "Ben", "typed by mistake") == 3
    assert [toes(ledger, as_of) for as_of in range(4)] == [
        {},
        {"P1": 9000},
        {"P1": 9100},
        {"P1": 9000},
    ]
    with ledger.read() as reader:
        entries = reader.entries()
        assert list(entries["active"]) == [True, False, True]
        assert list(reader.entries(as_of=2)["active"]) == [True, True]
        assert entries.iloc[2][["person", "act", "note"]].to_list() == [
            "Ben",
            "withdrawal",
            "typed by mistake",
        ]


@pytest.mark.parametrize(
    ("entry_no", "error", "message"),
    [
        (1, Refused, "not withdrawn. Change project.toml"),
        (2, Refused, "withdrawn already, by entry 3"),
        (3, Refused, "is a withdrawal"),
        (4, WrongUse, r"^There is no entry 4; the last is 3\.$"),
        (0, WrongUse, r"^There is no entry 0; the last is 3\.$"),
    ],
)
def test_what_cannot_be_withdrawn_is_refused(ledger, entry_no, error, message):
    with ledger.write() as writer:
        writer.record_settings("a = 1", "Ann")
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    with ledger.write() as writer:
        writer.withdraw(2, "Ann", "wrong file")
    with pytest.raises(error, match=message), ledger.write() as writer:
        writer.withdraw(entry_no, "Ann", "again")


def test_settings_are_recorded_when_they_differ_from_the_last(ledger):
    with ledger.write() as writer:
        assert writer.record_settings("a = 1", "Ann") == 1
        assert writer.record_settings("a = 1", "Ann") is None
        assert writer.record_settings("a = 2", "Ann") == 2
        assert writer.record_settings("a = 1", "Ann") == 3
    with ledger.read() as reader:
        texts = [reader.settings_text(as_of) for as_of in range(4)]
    assert texts == [None, "a = 1", "a = 2", "a = 1"]


def test_newest_entry_of_a_kind_is_the_one_that_added_or_withdrew(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    take(ledger, "torque_reading", readings(("P1", 300, 5e3)), "t.csv")
    take(ledger, "run", runs(("P2", 9000)), "more.csv")
    with ledger.write() as writer:
        writer.withdraw(2, "Ann", "wrong file")
    with ledger.read() as reader:
        then, now = reader.last_entries(3), reader.last_entries(4)
        hashes = reader.entries().set_index("entry_no")["hash"]
    assert then == {"run": (3, hashes[3]), "torque_reading": (2, hashes[2])}
    assert now == {"run": (3, hashes[3]), "torque_reading": (4, hashes[4])}


def test_entry_in_force_at_an_instant(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    take(ledger, "run", runs(("P1", 9100)), "runs.csv")
    with ledger.read() as reader:
        first, second = (moment.to_pydatetime() for moment in reader.entries()["entered_at"])
        step = timedelta(microseconds=1)
        asked = (first - step, first, second - step, second, second + timedelta(days=9))
        assert [reader.entry_at(moment) for moment in asked] == [0, 1, 1, 2, 2]


def test_clock_that_goes_back_does_not_put_an_entry_before_the_last(ledger, monkeypatch):
    late, early = datetime(2026, 3, 2, 9), datetime(2026, 3, 2, 8)
    for number, moment in enumerate((late, early)):
        monkeypatch.setattr("core.ledger.writer.now", lambda moment=moment: moment)
        take(ledger, "run", runs(("P1", 9000 + number)), "runs.csv")
    with ledger.read() as reader:
        assert list(reader.entries()["entered_at"]) == [late, late]


def test_file_taken_in_is_kept_under_its_digest_before_its_entry(ledger):
    with ledger.write() as writer:
        sha256 = writer.attach(b"pile;toe\n")
        new = NewEntry("Ann", "file", "runs.csv", sha256, mapping={"run": {"toe_mm": "toe"}})
        writer.append(new, {"run": runs(("P1", 9000))})
    assert sha256 == hashlib.sha256(b"pile;toe\n").hexdigest()
    assert (ledger.folder / "attachments" / sha256).read_bytes() == b"pile;toe\n"
    with ledger.read() as reader:
        assert reader.entries()["sha256"].to_list() == [sha256]
        assert reader.entries()["mapping"].to_list() == ['{"run": {"toe_mm": "toe"}}']


def test_entry_that_names_a_file_not_kept_is_refused(ledger):
    new = NewEntry("Ann", "file", "runs.csv", "0" * 64)
    with pytest.raises(WrongUse, match="attachment"), ledger.write() as writer:
        writer.append(new, {"run": runs(("P1", 9000))})


def test_rows_are_traced_to_file_sheet_and_row(ledger):
    take(ledger, "run", runs(("P1", 9000), ("P2", 8000), sheet="North"), "Week 1.xlsx")
    take(ledger, "torque_reading", readings(("P1", 300, 5e3)), None)
    asked = pd.DataFrame(
        {
            "record": ["torque_reading", "run", "run", "run"],
            "entry_no": [2, 1, 1, 7],
            "sheet": ["", "North", "North", "North"],
            "row_no": [2, 3, 2, 2],
        },
        index=[10, 11, 12, 13],
    )
    with ledger.read() as reader:
        found = reader.sources(asked)
        assert reader.sources(asked.iloc[:0]).empty
    assert list(found.index) == [10, 11, 12, 13]
    assert found["file"].to_list()[:3] == ["form", "Week 1.xlsx", "Week 1.xlsx"]
    assert found["sheet"].to_list()[:3] == ["", "North", "North"]
    assert found["row"].to_list()[:3] == [2, 3, 2]
    assert found.iloc[3][["file", "sheet", "row"]].isna().all()


def test_probe_moves_with_every_write_and_rests_otherwise(ledger):
    before = ledger.version_key()
    with ledger.read() as reader:
        reader.last_entry()
    assert ledger.version_key() == before
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    assert ledger.version_key() != before


def test_discarded_transaction_writes_nothing(ledger):
    with ledger.write() as writer:
        writer.append(NewEntry("Ann", "file", "runs.csv"), {"run": runs(("P1", 9000))})
        writer.discard()
    assert toes(ledger, 9) == {}


def test_error_inside_a_transaction_writes_nothing(ledger):
    def fail() -> None:
        with ledger.write() as writer:
            writer.append(NewEntry("Ann", "file", "runs.csv"), {"run": runs(("P1", 9000))})
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail()
    with ledger.read() as reader:
        assert reader.last_entry() == 0


def test_swallowed_error_of_the_engine_is_not_taken_for_success(ledger):
    def swallow() -> None:
        with ledger.write() as writer:
            writer.append(NewEntry("Ann", "file", "runs.csv"), {"run": runs(("P1", 9000))})
            with suppress(duckdb.Error):
                writer.connection.execute("select * from no_such_table")

    with pytest.raises(duckdb.TransactionException):
        swallow()
    with ledger.read() as reader:
        assert reader.last_entry() == 0


def test_unknown_question_and_unknown_kind_name_the_known_ones(ledger):
    with ledger.read() as reader:
        with pytest.raises(WrongUse, match=r"^There is no question .*quarantine_story.*\.$"):
            reader.ask("no such question")
        with pytest.raises(WrongUse, match=r"^There is no record kind .*torque_reading.*\.$"):
            reader.current_frame("no such kind", 0)
