"""No workbook takes the machine: each meets a limit, and one sentence names it."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from dataclasses import asdict, replace

import pytest

from core.readers import apart, books
from core.readers.book_limits import LIMITS, Unreadable
from core.readers.problems import Problems
from tests.readers import hostile_books as hostile
from tests.readers.hostile_books import PILE, book, number_cell, old_book, open_book, open_row
from tests.readers.workbooks import cells, grids

FAR_CELL = book(f'<row r="1">{PILE}<c r="ZZZZZZ99999999"><v>1</v></c></row>')
MANY_COLUMNS = book("<row>" + "<c><v>1</v></c>" * 200_000 + "</row>")
MANY_ROWS = book("<row><c><v>1</v></c><c><v>2</v></c></row>" * 11_000)
ONE_LONG_STRING = book(
    ("<row>" + '<c t="s"><v>0</v></c>' * 100 + "</row>") * 1_000,
    more=hostile.strings(f"<si><t>{'x' * 32_000}</t></si>"),
)
MERGED = "<mergeCells>" + '<mergeCell ref="A1:B2"/>' * 50_001 + "</mergeCells>"
HIDDEN_MANY = 'table:visibility="collapse" table:number-rows-repeated="1000000000"'
STRINGS = hostile.strings("<si><t>y</t></si>" * 1_000_000)
DECLARED_LARGE = hostile.declaring(book(PILE, more=STRINGS), hostile.STRINGS, 900_000_000)
START = STRINGS[hostile.STRINGS][:90].encode()
DECLARED_SMALL = hostile.declaring(book(PILE, more=STRINGS), hostile.STRINGS, 90, START)
ENTITIES = '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
OUTSIDE = '<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]>'
WIDE_ROWS = b"".join(number_cell(row, 255) for row in range(6_500))
READ_ENTITY = '<row r="1" hidden="1"><c r="A1" t="str"><v>&a;</v></c></row>'


def problem(content: bytes) -> str:
    """The one problem for which a file is not read."""
    problems = Problems("log.xlsx")
    assert books.is_workbook(content)
    assert books.read(content, problems) is None
    (line,) = problems.frame().itertuples()
    assert line.remedy.endswith("import that.")
    return f"{line.kind}: {line.problem}"


# A process counts the memory of the one that starts it as its own, and that of a long run of tests
# is large; so a small one stands between.
BETWEEN = """
import resource, subprocess, sys
subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
usage = resource.getrusage(resource.RUSAGE_CHILDREN)
print(usage.ru_maxrss / 1_000, usage.ru_utime + usage.ru_stime)
"""


def spent(content: bytes) -> tuple[float, float]:
    """Memory (MB) and processor time (s) that the reader's process takes for a file."""
    command = [sys.executable, "-P", apart.__file__, "book_reader", json.dumps(asdict(LIMITS))]
    with tempfile.TemporaryFile() as file:
        file.write(content)
        file.seek(0)
        between = [sys.executable, "-c", BETWEEN, *command]
        done = subprocess.run(between, stdin=file, capture_output=True, text=True, check=True)
    memory, seconds = done.stdout.split()
    return float(memory), float(seconds)


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (FAR_CELL, "file too large: The workbook has 321,272,406 columns in sheet S1"),
        (
            book(f'<row r="1">{PILE}<c r="A99999999"><v>1</v></c></row>'),
            "file too large: The workbook has a cell in row 99,999,999 of sheet S1",
        ),
        (MANY_COLUMNS, "file too large: The workbook has 200,000 columns in sheet S1"),
        (
            open_book(open_row("Pile", of_cell='table:number-columns-repeated="100000000"')),
            "file too large: The workbook has 16,384 columns in sheet S",
        ),
        (
            open_book(open_row("#N/A", of_cell='table:number-columns-repeated="100000000"')),
            "file too large: The workbook has 100,000,000 columns in sheet S",
        ),
        (
            open_book(open_row("Pile", HIDDEN_MANY)),
            "file too large: The workbook has a cell in row 1,000,000,000 of sheet S",
        ),
        (book(*[""] * 1_001), "file too large: The workbook has 1,001 sheets"),
        (
            hostile.archive(hostile.book_parts([hostile.sheet("")], ["n" * 1_000_000])),
            "file too large: The workbook has a sheet whose name is 1,000,000 characters long",
        ),
        (
            hostile.archive(hostile.book_parts([hostile.sheet(PILE, MERGED)])),
            "file too large: The workbook has 50,001 merged areas in sheet S1",
        ),
        (
            hostile.archive(hostile.book_parts([""]) | {f"x/{n}": "" for n in range(10_000)}),
            "file too large: The workbook has 10,005 parts",
        ),
        (DECLARED_LARGE, "file too large: The workbook unpacks to more than 800 MB"),
        (DECLARED_SMALL, "broken file: "),
        (
            hostile.archive(hostile.book_parts([hostile.sheet(READ_ENTITY, before=ENTITIES)])),
            "broken file: The workbook declares XML entities",
        ),
        (
            hostile.archive(hostile.book_parts([hostile.sheet(READ_ENTITY, before=OUTSIDE)])),
            "broken file: The workbook declares XML entities",
        ),
        (
            hostile.archive(
                hostile.book_parts([hostile.sheet(READ_ENTITY, before=ENTITIES).encode("utf-16")])
            ),
            "broken file: The workbook declares XML entities",
        ),
        (hostile.archive(hostile.book_parts([hostile.sheet(PILE)]), hostile.BZIP2), "broken file"),
        (
            old_book(number_cell(65_535, 65_535)),
            "file too large: The workbook has 65,536 columns in sheet S1",
        ),
        (
            old_book(WIDE_ROWS, sheets=1_000),
            "file too large: The workbook has a cell in row 6,500 of sheet S13",
        ),
        (old_book(WIDE_ROWS, sheets=1_001), "file too large: The workbook has 1,001 sheets"),
    ],
    ids=lambda value: value[:60] if isinstance(value, str) else "",
)
def test_a_hostile_workbook_meets_a_limit_and_takes_little(content, sentence):
    assert problem(content).startswith(sentence)
    memory, seconds = spent(content)
    assert memory < 700
    assert seconds < 20


def test_a_part_that_holds_more_than_it_declares_is_inflated_no_further(monkeypatch):
    monkeypatch.setattr(books, "LIMITS", replace(LIMITS, unpacked_bytes=1_000_000))
    assert problem(DECLARED_SMALL).startswith(
        "file too large: The workbook unpacks to more than 1 MB"
    )


def test_what_fills_the_memory_ends_the_readers_process_alone(monkeypatch):
    monkeypatch.setattr(books, "LIMITS", replace(LIMITS, memory_bytes=600_000_000))
    assert problem(ONE_LONG_STRING) == (
        "file too large: The workbook takes more than 600 MB of memory to read."
    )


def test_a_reader_that_takes_too_long_is_ended(monkeypatch):
    monkeypatch.setattr(books, "LIMITS", replace(LIMITS, seconds=0))
    assert problem(FAR_CELL) == "file too large: The workbook takes more than 0 s to read."
    monkeypatch.setattr(books, "LIMITS", replace(LIMITS, cpu_seconds=1))
    assert grids(book(f"<row>{PILE}</row>"))
    endless = hostile.book_parts([hostile.sheet("<row><c><f/></c></row>" * 2_000_000)])
    assert problem(hostile.archive(endless)).endswith("takes more than 1 s of computing to read.")


def test_a_reader_that_breaks_is_one_problem():
    with pytest.raises(Unreadable, match="damaged"):
        apart.answer_of("no_such_reader", b"", LIMITS)


@pytest.mark.parametrize(
    ("limit", "most", "content"),
    [
        ("cells", 22_000, MANY_ROWS),
        ("cells", 4, book(PILE.replace("A1", "B1"), PILE.replace("A1", "B1"))),
        ("cells", 4, old_book(number_cell(0, 1), sheets=2)),
        ("columns", 3, cells(C1="x")),
        ("all_columns", 4, book(PILE.replace("A1", "B1"), PILE.replace("A1", "B1"))),
        ("sheets", 2, book(PILE, PILE)),
        ("sheets", 2, old_book(number_cell(0, 0), sheets=2)),
        ("name", 3, cells(A1="x")),
        ("parts", 5, book(PILE)),
        (
            "merged",
            1,
            hostile.archive(
                hostile.book_parts(
                    [hostile.sheet(PILE, '<mergeCells><mergeCell ref="A1:B1"/></mergeCells>')]
                )
            ),
        ),
    ],
)
def test_exactly_on_a_limit_a_workbook_is_read(monkeypatch, limit, most, content):
    monkeypatch.setattr(books, "LIMITS", replace(LIMITS, **{limit: most}))
    assert grids(content)
    monkeypatch.setattr(books, "LIMITS", replace(LIMITS, **{limit: most - 1}))
    assert problem(content).startswith("file too large")


def test_more_text_than_is_handed_on_is_refused(monkeypatch):
    monkeypatch.setattr(books, "LIMITS", replace(LIMITS, text_bytes=1_000_000))
    long = hostile.strings(f"<si><t>{'x' * 32_000}</t></si>")
    rows = ("<row>" + '<c t="s"><v>0</v></c>' * 10 + "</row>") * 4
    assert problem(book(rows, more=long)).endswith("holds more than 1 MB of text.")


def test_an_archive_inside_is_left_alone():
    parts = hostile.book_parts([hostile.sheet(f"<row>{PILE}</row>")])
    (grid,) = grids(hostile.archive(parts | {"xl/embeddings/inner.zip": FAR_CELL}))
    assert grid.text(1, 0) == "Pile"


def modules_loaded_by(content: bytes) -> set[str]:
    """What the reader's process imports for a file that it reads."""
    command = [sys.executable, "-P", "-X", "importtime", apart.__file__, "book_reader"]
    command.append(json.dumps(asdict(LIMITS)))
    done = subprocess.run(command, input=content, capture_output=True, check=True)
    assert done.stdout.endswith(b'{"end":true}\n')
    return {line.rpartition("|")[2].strip() for line in done.stderr.decode().splitlines()}


def test_the_readers_process_loads_no_more_than_it_needs():
    too_much = {"pandas", "numpy", "pyarrow", "pydantic", "duckdb"}
    assert not modules_loaded_by(cells(A1="Pile")) & {"xlrd", *too_much}
    assert modules_loaded_by(old_book(number_cell(0, 0))) & {"xlrd", *too_much} == {"xlrd"}
