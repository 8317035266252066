"""A workbook that cannot be read is one problem, whatever is wrong with it."""

from __future__ import annotations

import io
import random
import zipfile
from dataclasses import replace

import pytest

from core.readers import book_marks, books
from core.readers.book_limits import LIMITS
from core.readers.problems import Problems
from tests.readers.workbooks import STRUCK, cells, converted, grids, messages, refused, workbook

OLD = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
LOG = cells(A1="Pile", B1="Depth (m)", A2="101", B2=0.3, A3="101", B3="=1/0")


def rewritten(content: bytes, part: str, change) -> bytes:
    """The same archive, check sums and all, with one part changed or left out (None)."""
    source, target = zipfile.ZipFile(io.BytesIO(content)), io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in source.namelist():
            kept = change(source.read(name)) if name == part else source.read(name)
            if kept is not None:
                archive.writestr(name, kept)
    return target.getvalue()


def answered(content: bytes) -> None:
    """Reading ends in sheets or in exactly one problem; anything else fails the test."""
    problems = Problems("log.xlsx")
    found = books.read(content, problems)
    assert (found is None) == (len(problems) == 1)


def test_a_file_copied_only_in_part_is_broken():
    for length in (len(LOG) - 1, len(LOG) // 2, 1000):
        assert books.is_workbook(LOG[:length])
        assert refused(LOG[:length]) == "broken file"


@pytest.mark.parametrize(
    "part", ["xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/worksheets/sheet1.xml"]
)
def test_a_workbook_without_one_of_its_parts_is_broken(part):
    assert refused(rewritten(LOG, part, lambda _: None)) == "broken file"
    assert refused(rewritten(LOG, part, lambda xml: xml[: len(xml) // 2])) == "broken file"


def test_bytes_changed_on_the_way_never_pass_as_values():
    chance, good = random.Random(3), grids(LOG)[0].cells.fillna("").values.tolist()
    for _ in range(60):
        content = bytearray(LOG)
        content[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
        problems = Problems("log.xlsx")
        found = books.read(bytes(content), problems)
        assert found is None or found[0].cells.fillna("").values.tolist() == good


def test_any_garbled_part_is_answered():
    chance = random.Random(4)
    parts = [name for name in zipfile.ZipFile(io.BytesIO(LOG)).namelist() if "xl/" in name]

    def garbled(xml: bytes) -> bytes:
        changed = bytearray(xml)
        changed[chance.randrange(len(changed))] = chance.randrange(256)
        return bytes(changed)

    for _ in range(40):
        answered(rewritten(LOG, chance.choice(parts), garbled))


def test_an_old_workbook_that_ends_its_readers_process_is_broken(tmp_path):
    old = converted(LOG, "xls", tmp_path)
    chance = random.Random(5)
    for _ in range(15):
        answered(old[: chance.randrange(8, len(old))])
        content = bytearray(old)
        for _ in range(20):
            content[chance.randrange(8, len(content))] = chance.randrange(256)
        answered(bytes(content))
    assert refused(old[:4000]) == "broken file"


def test_a_password_is_named():
    # The container in which an encrypted workbook is kept names its stream so.
    assert refused(OLD + bytes(500) + "EncryptedPackage".encode("utf-16-le")) == "password"
    manifest = '<manifest><encryption-data checksum="x"/></manifest>'
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w") as book:
        book.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        book.writestr("content.xml", "not readable")
        book.writestr("META-INF/manifest.xml", manifest)
    assert refused(archive.getvalue()) == "password"


def test_a_file_that_unpacks_to_more_than_a_workbook_can_hold_is_refused(monkeypatch):
    monkeypatch.setattr(books, "LIMITS", replace(LIMITS, unpacked_bytes=5_000))
    assert refused(LOG) == "file too large"


def test_a_stray_cell_far_off_does_not_fill_the_memory():
    assert refused(cells(A1="Pile", XFD1048576="x")) == "file too large"


def test_formats_far_off_are_no_cells():
    def fill(sheet):
        sheet["A1"] = "Pile"
        sheet["XFD1048576"].font = STRUCK

    assert grids(workbook(fill))[0].cells.shape == (1, 1)


def test_empty_sheets_are_no_rows():
    assert refused(cells()) == "no rows"


def test_other_files_of_the_same_wrapping_are_no_workbooks():
    document = io.BytesIO()
    with zipfile.ZipFile(document, "w") as archive:
        archive.writestr("word/document.xml", "<x/>")
    assert not books.is_workbook(document.getvalue())
    assert not books.is_workbook(OLD + "WordDocument".encode("utf-16-le"))
    assert not books.is_workbook(b"Pile,Depth\n")
    assert books.is_workbook(LOG)


def test_a_plain_sheet_is_not_read_through_and_a_marked_one_is(monkeypatch):
    plain = cells(A1="Pile", A2="101")
    monkeypatch.setattr(book_marks, "_Scan", None)
    assert messages(plain)[1]["rows"] == [1, 2]
    with pytest.raises(TypeError):
        messages(cells(A1="=1"))


def test_a_prefix_on_every_name_hides_no_fault():
    def prefixed(xml: bytes) -> bytes:
        text = xml.decode().replace("<", "<x:").replace("<x:/", "</x:").replace("<x:?", "<?")
        return text.replace("xmlns=", "xmlns:x=").encode()

    found = grids(rewritten(LOG, "xl/worksheets/sheet1.xml", prefixed))
    assert found[0].text(3, 1) == "#NO VALUE"
