"""Tables and columns of later record kinds are made from their declarations, as an entry."""

from __future__ import annotations

from dataclasses import replace

import duckdb
import pandas as pd
import pytest

from core import records
from core.errors import Refused, StoreDamaged, StoreTooNew, WrongUse
from core.ledger import Ledger, NewEntry, backup, database, declared, verify
from core.ledger.database import _called, _texts, migrations, newest
from core.records import Column, Kind, Reference
from tests.ledger.invented import runs, take

POUR = Kind(
    "invented_pour",
    "invented pour",
    "one pour of one cap around one pile",
    ("cap", "pour_no", "pile_id"),
    (
        Column("cap", "text", "Cap.", required=True),
        Column("pour_no", "text", "Number of the pour.", required=True),
        Column("pile_id", "text", "Pile.", required=True),
        Column("poured_on", "date", "Day of the pour.", required=True),
        Column("volume_l", "number", "Volume.", low=0),
    ),
    refers_to=(Reference(records.KIND["run"], {"pile_id": "pile_id"}, "outstanding"),),
)
TIDE = Column("tide_level_m", "number", "Level of the tide.")
POURS = pd.DataFrame(
    {"cap": ["C1"], "pour_no": ["1"], "pile_id": ["P1"], "volume_l": [2500.0],
     "poured_on": [pd.Timestamp(2026, 3, 9)], "sheet": [""], "row_no": [2]}
)  # fmt: skip


def _forget():
    for cached in (_texts, _called):
        cached.cache_clear()


def _declare(patch, *kinds):
    patch.setattr(records, "KINDS", kinds)
    patch.setattr(records, "KIND", {kind.name: kind for kind in kinds})
    _forget()


def _with_column(kind, column):
    return replace(kind, columns=(*kind.columns, column))


@pytest.fixture(autouse=True)
def _declarations_of_the_program():
    yield
    _forget()


@pytest.fixture
def later():
    """What a later program declares: one more kind, and one more column of a run."""
    with pytest.MonkeyPatch.context() as patch:
        kinds = [_with_column(one, TIDE) if one.name == "run" else one for one in records.KINDS]
        yield lambda: _declare(patch, *kinds, POUR)


def _migrated(version):
    con = duckdb.connect()
    for step in migrations():
        if step.version <= version:
            con.execute(step.sql)
    return con


def _columns(con):
    found = {}
    for table, column, sql, nullable in con.execute(database.block("file_columns")).fetchall():
        found.setdefault(table, {})[column] = (sql, nullable)
    return found


@pytest.fixture
def older(folder):
    """A ledger as the program of an earlier schema left it."""

    def build(version):
        store = Ledger(folder).store
        with duckdb.connect(str(store)) as con:
            for step in migrations():
                if step.version <= version:
                    con.execute(step.sql)
                    con.execute("insert into schema_version values (?, ?, now()::timestamp, '0')",
                                [step.version, step.name])  # fmt: skip
        return Ledger(folder)

    return build


def test_a_declaration_makes_the_table_that_the_migrations_make():
    migrated = _columns(_migrated(99))
    made = duckdb.connect()
    for kind in records.KINDS:
        made.execute(database.for_kind("make_table", kind))
    for kind, columns in _columns(made).items():
        assert migrated.get(kind, {}).items() <= columns.items(), kind
    kinds = set(migrated) - declared._LEDGER_TABLES
    assert kinds <= set(records.KIND)


def test_a_new_ledger_has_every_declared_table_and_no_entry(folder, later):
    later()
    with Ledger.create(folder).read() as reader:
        assert reader.last_entry() == 0
    with duckdb.connect(str(folder / "project.duckdb"), read_only=True) as con:
        assert list(_columns(con)["invented_pour"])[:3] == ["cap", "pour_no", "pile_id"]


def test_new_kind_and_column_are_added_when_opened_for_writing_as_one_entry(ledger, later):
    take(ledger, "run", runs(("P1", 6000)), "runs.csv")
    later()
    with ledger.write() as writer:
        staged = writer.stage("invented_pour", POURS, "pours.csv")
        writer.append(NewEntry("Ann", "file", "pours.csv"), {"invented_pour": staged.writes})
    with ledger.read() as reader:
        entries = reader.entries()
        assert list(entries["act"]) == ["file", "schema", "file"]
        assert entries.loc[1, "person"] == "Pilewright"
        added = "tables added: invented_pour; columns added: run.tide_level_m"
        assert entries.loc[1, "note"] == added
        assert reader.current_frame("invented_pour", 3)["volume_l"].tolist() == [2500.0]
        assert reader.current_frame("invented_pour", 2).empty
        assert reader.current_frame("run", 3)["tide_level_m"].isna().all()
        assert reader.entry_changes(2).empty
        assert reader.entry_changes(3)["change"].tolist() == ["new"]
    assert verify(ledger.folder) == []
    assert ledger.store.with_name("project.duckdb.before_entry_2").is_file()


def test_the_schema_entry_is_hashed_like_every_other(ledger, later):
    take(ledger, "run", runs(("P1", 6000)), "runs.csv")
    later()
    with ledger.write():
        pass
    with duckdb.connect(str(ledger.store)) as con:
        con.execute("update entry set note = 'nothing' where act = 'schema'")
    assert [fault.entry_no for fault in verify(ledger.folder)] == [2]


def test_a_second_opening_adds_nothing(ledger, later):
    later()
    for _ in range(3):
        with ledger.write():
            pass
    with ledger.read() as reader:
        assert reader.last_entry() == 1
    with duckdb.connect(str(ledger.store), read_only=True) as con:
        steps = con.execute("select step, entry_no from declared_schema order by step").fetchall()
    assert steps == [(1, None), (2, 1)]


def test_what_a_file_lacks_is_read_as_empty_and_the_file_stays_as_it_is(ledger, later):
    take(ledger, "run", runs(("P1", 6000)), "runs.csv")
    before = ledger.store.read_bytes()
    later()
    with ledger.read() as reader:
        assert reader.current_frame("invented_pour", 1).empty
        run = reader.current_frame("run", 1)
        assert run["toe_mm"].tolist() == [6000]
        assert run["tide_level_m"].isna().all()
        assert reader.current("run", 1).frame()["tide_level_m"].isna().tolist() == [True]
        assert reader.current("invented_pour", 1).frame().empty
        assert len(reader.last_written(1)) == 1
    assert verify(ledger.folder) == []
    assert ledger.store.read_bytes() == before


def test_a_column_before_others_is_found_by_its_name(ledger, later, monkeypatch):
    take(ledger, "run", runs(("P1", 6000)), "runs.csv")
    first = [
        replace(one, columns=(*one.columns[:2], TIDE, *one.columns[2:]))
        if one.name == "run"
        else one
        for one in records.KINDS
    ]
    _declare(monkeypatch, *first)
    take(ledger, "run", runs(("P1", 6100)).assign(tide_level_m=1.5), "runs.csv")
    with ledger.read() as reader:
        found = reader.current_frame("run", 3)
        assert found[["toe_mm", "tide_level_m"]].values.tolist() == [[6100, 1.5]]
    assert verify(ledger.folder) == []


@pytest.mark.parametrize("version", range(1, 7))
def test_a_file_of_an_earlier_program_is_read_as_it_is(older, version):
    ledger = older(version)
    before = ledger.store.read_bytes()
    with ledger.read() as reader:
        assert all(reader.current_frame(kind, 0).empty for kind in records.KIND)
        assert all(reader.current(kind, 0).frame().empty for kind in records.KIND)
    assert verify(ledger.folder) == []
    assert ledger.store.read_bytes() == before


@pytest.fixture
def migrated_alone():
    """The program with those kinds and columns alone that the migrations make."""
    made = _columns(_migrated(newest()))
    kinds = [
        replace(kind, columns=tuple(one for one in kind.columns if one.name in made[kind.name]))
        for kind in records.KINDS
        if kind.name in made
    ]
    with pytest.MonkeyPatch.context() as patch:
        _declare(patch, *kinds)
        yield


@pytest.mark.usefixtures("migrated_alone")
def test_a_file_of_an_earlier_program_is_brought_up_to_date_by_writing_without_an_entry(older):
    ledger = older(4)
    take(ledger, "run", runs(("P1", 6000)), "runs.csv")
    with ledger.read() as reader:
        assert list(reader.entries()["act"]) == ["file"]
    copies = sorted(path.name for path in ledger.folder.glob("project.duckdb.before_*"))
    assert copies == [f"project.duckdb.before_{version:04}" for version in (5, 6, 7)]


def test_the_entry_of_the_schema_is_no_change_by_somebody(ledger, later):
    take(ledger, "run", runs(("P1", 6000)), "runs.csv")
    with ledger.read() as reader:
        last = reader.last_entry()
    later()
    with ledger.write() as writer:
        assert writer.last_entry() == last + 1
        assert not writer.changed_since(last)
        assert writer.changed_since(last - 1)


def test_an_unknown_table_or_column_means_a_newer_program(ledger, later):
    take(ledger, "run", runs(("P1", 6000)), "runs.csv")
    known = records.KINDS
    later()
    with ledger.write():
        pass
    for unknown, kinds in {
        "the table invented_pour": (*known[:5], _with_column(known[5], TIDE), *known[6:]),
        r"the column run\.tide_level_m": (*known, POUR),
    }.items():
        with pytest.MonkeyPatch.context() as patch:
            _declare(patch, *kinds)
            sentence = rf"made by a newer program: this one does not know {unknown}\. Install"
            for attempt in (ledger.read, ledger.write):
                with pytest.raises(StoreTooNew, match=sentence), attempt():
                    pass
        _forget()


def test_an_entry_that_added_tables_is_not_withdrawn(ledger, later):
    later()
    with ledger.write() as writer, pytest.raises(Refused, match="they stay in the file"):
        writer.withdraw(1, "Ann", "not wanted")


def test_a_key_never_changes(ledger, monkeypatch):
    kinds = [
        replace(_with_column(one, TIDE), key=(*one.key, TIDE.name)) if one.name == "run" else one
        for one in records.KINDS
    ]
    _declare(monkeypatch, *kinds)
    for attempt in (ledger.read, ledger.write):
        with pytest.raises(WrongUse, match=r"run without tide_level_m.*another kind"), attempt():
            pass


def test_a_failure_on_the_way_leaves_the_file_as_it_was(ledger, later, monkeypatch):
    later()
    blocks = database.blocks()
    monkeypatch.setitem(blocks, "make_column", "alter table {kind} add column {column} no_type;")
    with pytest.raises(duckdb.Error), ledger.write():
        pass
    monkeypatch.undo()
    later()
    with ledger.read() as reader:
        assert reader.last_entry() == 0
    with duckdb.connect(str(ledger.store), read_only=True) as con:
        assert "invented_pour" not in _columns(con)


def test_another_jobs_ledger_is_left_alone(ledger, later):
    take(ledger, "run", runs(("P1", 6000)), "runs.csv")
    (ledger.folder / "attachments" / "ledger_id").write_text("f" * 64, encoding="utf-8")
    before = ledger.store.read_bytes()
    later()
    with pytest.raises(StoreDamaged, match="not the ledger of this folder"), ledger.write():
        pass
    assert ledger.store.read_bytes() == before


def test_a_backup_holds_the_added_tables_and_names_its_last_entry(ledger, later, tmp_path):
    take(ledger, "run", runs(("P1", 6000)), "runs.csv")
    later()
    backup(ledger.folder, tmp_path / "copy")
    assert (tmp_path / "copy" / "head.txt").read_text(encoding="utf-8").startswith("entry 2, ")
    assert verify(tmp_path / "copy") == []
