"""Backup and restore as a drill: what comes back is what was there, or it is said what is not."""

import shutil

import pytest

from core import records
from core.errors import Refused, StoreDamaged, WrongUse
from core.ledger import NewEntry, backup, files, restore, verify
from tests.ledger.invented import runs, take


@pytest.fixture
def job(ledger):
    """A ledger with two entries and two attachments, and its settings."""
    (ledger.folder / "project.toml").write_text("a = 1", encoding="utf-8")
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    for name in ("photo.jpg", "scan.pdf"):
        with ledger.write() as writer:
            writer.keep(NewEntry("Ann", "file", name), name.encode())
    return ledger


def attachment(folder, content):
    (found,) = [p for p in (folder / "attachments").iterdir() if p.read_bytes() == content]
    return found


def test_a_backup_restored_after_the_folder_is_lost_is_the_same_project(job, tmp_path):
    with job.read() as reader:
        before = reader.entries(), {kind: reader.current_frame(kind, 3) for kind in records.KIND}
    copied = backup(job.folder, tmp_path / "copy")
    shutil.rmtree(job.folder)
    restored = restore(tmp_path / "copy", job.folder)
    assert (restored.head, restored.missing) == (copied.head, ())
    assert verify(job.folder) == []
    with job.read() as reader:
        assert reader.head() == copied.head
        assert reader.entries().equals(before[0])
        assert all(reader.current_frame(kind, 3).equals(rows) for kind, rows in before[1].items())
    assert (job.folder / "project.toml").read_text(encoding="utf-8") == "a = 1"
    take(job, "run", runs(("P2", 8000)), "runs 2.csv")
    assert verify(job.folder) == []
    head = (tmp_path / "copy" / "head.txt").read_text(encoding="utf-8")
    assert head == f"entry 3, hash {copied.head}\n"


def test_a_backup_is_read_without_a_restore(job, tmp_path):
    backup(job.folder, tmp_path / "copy")
    assert verify(tmp_path / "copy") == []


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda path: path.unlink(), "is missing from the attachments"),
        (lambda path: path.write_bytes(b"other"), "has been changed in the attachments"),
    ],
)
def test_a_damaged_attachment_is_named_and_nothing_is_left_behind(job, tmp_path, change, words):
    change(attachment(job.folder, b"scan.pdf"))
    with pytest.raises(StoreDamaged, match=rf"scan\.pdf .* {words}"):
        backup(job.folder, tmp_path / "copy")
    assert [path for path in tmp_path.iterdir() if "copy" in path.name] == []
    copied = backup(job.folder, tmp_path / "copy", skip_damaged=True)
    assert [words in sentence for sentence in copied.missing] == [True]
    assert "scan.pdf" in (tmp_path / "copy" / "head.txt").read_text(encoding="utf-8")
    with pytest.raises(StoreDamaged, match=r"Nothing was restored: scan\.pdf"):
        restore(tmp_path / "copy", tmp_path / "back")
    restored = restore(tmp_path / "copy", tmp_path / "back", skip_damaged=True)
    assert len(restored.missing) == 1
    assert [fault.entry_no for fault in verify(tmp_path / "back")] == [3]


def test_a_backup_damaged_afterwards_is_not_restored(job, tmp_path):
    backup(job.folder, tmp_path / "copy")
    attachment(tmp_path / "copy", b"photo.jpg").write_bytes(b"other")
    with pytest.raises(StoreDamaged, match=r"photo\.jpg"):
        restore(tmp_path / "copy", tmp_path / "back")
    assert not (tmp_path / "back").exists()
    assert list(tmp_path.glob(".back*")) == []


def test_a_ledger_cut_short_is_not_restored(job, tmp_path):
    backup(job.folder, tmp_path / "copy")
    take(job, "run", runs(("P2", 8000)), "runs 2.csv")
    backup(job.folder, tmp_path / "newer")
    shutil.copy(tmp_path / "copy" / "project.duckdb", tmp_path / "newer" / "project.duckdb")
    with pytest.raises(StoreDamaged, match="names another head"):
        restore(tmp_path / "newer", tmp_path / "back")


def test_a_backup_from_an_older_schema_stays_as_it_is(job, tmp_path):
    backup(job.folder, tmp_path / "copy")
    store = tmp_path / "copy" / "project.duckdb"
    before = store.read_bytes()
    restore(tmp_path / "copy", tmp_path / "back")
    assert store.read_bytes() == before
    assert sorted(path.name for path in (tmp_path / "copy").iterdir()) == [
        "attachments", "head.txt", "project.duckdb", "project.toml",
    ]  # fmt: skip


def test_neither_writes_over_anything(job, tmp_path):
    full = tmp_path / "full"
    full.mkdir()
    (full / "mine.txt").write_text("mine")
    with pytest.raises(Refused, match="not empty"):
        backup(job.folder, full)
    backup(job.folder, tmp_path / "copy")
    with pytest.raises(Refused, match="not empty"):
        restore(tmp_path / "copy", full)
    assert [path.name for path in full.iterdir()] == ["mine.txt"]


def test_an_empty_folder_that_is_there_receives_the_copy(job, tmp_path):
    (tmp_path / "copy").mkdir()
    backup(job.folder, tmp_path / "copy")
    (tmp_path / "back").mkdir()
    restore(tmp_path / "copy", tmp_path / "back")
    assert verify(tmp_path / "back") == []


def test_a_folder_that_is_no_backup_is_refused_by_name(job, tmp_path):
    with pytest.raises(WrongUse, match=r"holds no head\.txt"):
        restore(job.folder, tmp_path / "back")
    assert not (tmp_path / "back").exists()


def test_an_interrupted_copy_leaves_nothing(job, tmp_path, monkeypatch):
    def stop(source, target):
        raise KeyboardInterrupt

    monkeypatch.setattr(files, "copy_checked", stop)
    with pytest.raises(KeyboardInterrupt):
        backup(job.folder, tmp_path / "copy")
    assert [path for path in tmp_path.iterdir() if "copy" in path.name] == []
