"""The file's schema equals the record kinds, and strange files are refused in a sentence."""

from __future__ import annotations

import hashlib
import re

import duckdb
import pytest

from core import records
from core.errors import Refused, StoreDamaged, StoreTooNew, WrongUse
from core.ledger import Ledger, backup, verify
from core.ledger.database import FOLDER, blocks, filled, migrations
from tests.ledger.invented import runs, take

OF_THE_LEDGER = {
    "entry_no": ("BIGINT", "NO"),
    "row_no": ("BIGINT", "NO"),
    "sheet": ("VARCHAR", "NO"),
    "source_no": ("BIGINT", "NO"),
    "removed": ("BOOLEAN", "NO"),
}


@pytest.mark.parametrize("kind", records.KINDS, ids=lambda kind: kind.name)
def test_migrated_table_has_the_columns_and_types_of_its_record_kind(ledger, kind):
    with duckdb.connect(str(ledger.store), read_only=True) as con:
        found = con.execute(
            "select column_name, data_type, is_nullable from information_schema.columns "
            "where table_name = ? order by ordinal_position",
            [kind.name],
        ).fetchall()
    wanted = {
        column.name: (
            records.SQL_TYPES[column.form],
            "NO" if column.name in kind.key else "YES",
        )
        for column in kind.columns
    }
    assert {name: (sql, null) for name, sql, null in found} == wanted | OF_THE_LEDGER


def test_every_table_is_a_record_kind_or_one_of_the_ledger(ledger):
    with duckdb.connect(str(ledger.store), read_only=True) as con:
        tables = {name for (name,) in con.execute("show tables").fetchall()}
        keys = con.execute("select count(*) from duckdb_constraints() "
                           "where constraint_type <> 'NOT NULL'").fetchall()  # fmt: skip
        indexes = con.execute("select count(*) from duckdb_indexes()").fetchall()
    own = {"schema_version", "entry", "entry_content", "source", "settings", "declared_schema"}
    assert tables == own | set(records.KIND)
    assert keys == indexes == [(0,)]


def test_new_file_can_be_read_by_the_oldest_supported_engine(ledger):
    with duckdb.connect(str(ledger.store), read_only=True) as con:
        tags = con.execute(
            "select tags['storage_version'] from duckdb_databases() where not internal"
        ).fetchall()
    assert tags == [("v1.5.0+",)]


# Merged migrations are never edited, and no further one is added: later tables and columns are made
# from the declarations.
MIGRATIONS = {
    "0001_ledger.sql":
        "df11c4f484d3e1e9b25c2044c5ead475c545311427fadccb492931ef1044a8a3",
    "0002_mapping.sql":
        "34b10fcdce0ac7e76b4a7e131ce457150b938346dc6b2cc636337894de6672ac",
    "0003_works.sql":
        "53d75d45ae7e6f52bc87e8090ce5f9db89f0b5265779e06c6e30130edcbdf080",
    "0004_ground.sql":
        "528d8197da2cf9077aedfc1d464dcf1de1c26c273438e3d5d34788de1baeba87",
    "0005_steel.sql":
        "19762ed3de0b6d1c6fedd6ce87d5fdae493ed0d551faeab44bc6fe5b851ff226",
    "0006_what_a_pile_rests_on.sql":
        "8fec7f2e2c4ac27408ff1e339151cd2ecd0b1f327cf8c8203088529fa249fa78",
    "0007_declared.sql":
        "61011559ea97b4e0672adf1a50c025d18f1fd7020ce6369ad15c7a627c0cf5fc",
}  # fmt: skip


def test_migrations_are_frozen():
    found = {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(FOLDER.iterdir())
        if path.suffix == ".sql"
    }
    assert found == MIGRATIONS
    assert [step.version for step in migrations()] == list(range(1, len(found) + 1))


def test_every_question_says_what_one_row_is():
    for name, text in blocks().items():
        if text.lstrip("-").lower().find("select") >= 0 and "insert" not in text:
            comment = text.splitlines()[0]
            assert re.match(r"-- \S", comment), name


def test_no_identifier_but_a_plain_name_is_filled_into_a_question():
    with pytest.raises(WrongUse, match="not the name"):
        filled("entries_with_rows", {"kind": "run; drop table run"}, {})


@pytest.mark.parametrize("content", [b"", b"pile;toe\n" * 999], ids=["zero bytes", "text"])
def test_file_that_is_no_ledger_is_refused_and_left_alone(folder, content):
    ledger = Ledger(folder)
    ledger.store.write_bytes(content)
    for attempt in (ledger.read, ledger.write):
        with pytest.raises(StoreDamaged, match="restore the last backup"), attempt():
            pass
    with pytest.raises(StoreDamaged):
        verify(folder)
    assert ledger.store.read_bytes() == content


def test_database_that_is_no_ledger_is_refused(folder):
    with duckdb.connect(str(Ledger(folder).store)) as con:
        con.execute("create table something_else(x integer)")
    with pytest.raises(StoreDamaged, match="not a ledger"), Ledger(folder).read():
        pass


def test_file_of_a_newer_program_is_refused(ledger):
    with duckdb.connect(str(ledger.store)) as con:
        con.execute("insert into schema_version values (99, 'later', now()::timestamp, '9.0')")
    for attempt in (ledger.read, ledger.write):
        with pytest.raises(StoreTooNew, match="schema 99"), attempt():
            pass


def test_damaged_block_is_told_as_damage(ledger):
    many = runs(*[(f"P{number}", number) for number in range(20000)])
    take(ledger, "run", many, "runs.csv")
    content = bytearray(ledger.store.read_bytes())
    for place in range(len(content) // 4, len(content), 4096):
        content[place] ^= 0xFF
    ledger.store.write_bytes(content)
    with pytest.raises(StoreDamaged):
        verify(ledger.folder)


def test_backup_into_a_folder_that_holds_something_is_refused(ledger, tmp_path):
    (tmp_path / "letter.txt").write_text("keep me", encoding="utf-8")
    with pytest.raises(Refused, match="not empty"):
        backup(ledger.folder, tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]


def test_backup_of_nothing_is_refused(folder, tmp_path):
    with pytest.raises(StoreDamaged, match=r"project\.duckdb is missing"):
        backup(folder, tmp_path / "copy")
    assert not (tmp_path / "copy").exists()
