"""Problems and remarks speak to the person who has the file: short, in words, no program's own."""

from __future__ import annotations

import csv
import io
import re
from functools import cache
from itertools import cycle

import pytest

from core.readers import Locale, ReadOptions, parse_file
from tests.readers.files import CERTIFICATE, PROJECT, RIG_LOG, TYPICAL

MOST_WORDS = 40
FOREIGN = re.compile(
    r"\b(nan|None|NaT|dtype|Traceback|object at|ValueError|KeyError|TypeError|datetime64|float64"
    r"|int64|Int64|numpy|pandas|True|False|null)\b|<NA>|_\w+_id\b|\[us\]"
)
CELLS = [
    "", "n/a", "x", "25/03/2026", "25/03/26", "0,6", "1,234", "1,234.5", "0.6.7",
    "-5", "1e9", "0", "24'-6\"", "24-6",
    "24.6", "20 bar", "1:5", "5:1", "20 %", "#REF!", "#NO VALUE", "4E+12", "03-Apr",
    "2026-03-04 00:00:00", "2026-03-04 07:30", "03/04/2026", "03/04/26", "31/02/2026",
    "46085", "0.3125", "7.30", "07:30", "2026-11-01 01:30", "2026-03-08 02:30",
    "two words and then many more of them, as people write when a form has no room for it",
    "a b c d e f g h i j k l m n o p q r s t u v w x y z",
]  # fmt: skip
SAID = (
    Locale(),
    Locale("day month year", "comma"),
    Locale("month day year", "point"),
    Locale("day number"),
)
UNITS = ("(ft-in)", "(h:v)", "(%)", "(gal)", "(ton)", "(parsec)", "")
FILES = [*TYPICAL["SI"].values(), TYPICAL["US"]["torque_reading"], RIG_LOG, CERTIFICATE]


def rows_of(text):
    mark = next(mark for mark in ("\t", ";", ",") if mark in text.splitlines()[0])
    return list(csv.reader(io.StringIO(text), delimiter=mark))


def written(rows):
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    return out.getvalue().encode()


def with_bad_cells(text, at_once):
    """``text`` with bad cells in each of its columns, so many at once."""
    rows = rows_of(text)
    for at in range(len(rows[0])):
        bad = [[*rows[1][:at], cell, *rows[1][at + 1 :]] for cell in CELLS]
        for start in range(0, len(bad), at_once):
            yield written([rows[0], *bad[start : start + at_once]])


def with_other_headers(text):
    """``text`` with another unit in each of its headers, and without each of its columns."""
    rows = rows_of(text)
    bare = [re.sub(r"\s*[(\[].*", "", header) for header in rows[0]]
    for at, (header, unit) in enumerate(zip(bare, cycle(UNITS), strict=False)):
        yield written([[*rows[0][:at], f"{header} {unit}", *rows[0][at + 1 :]], *rows[1:]])
        yield written([[*row[:at], *row[at + 1 :]] for row in rows])


def lines_of(contents, conventions):
    told = set()
    for content in contents:
        result = parse_file(content, "file.csv", PROJECT, ReadOptions(conventions=conventions))
        for problem in result.problems.itertuples():
            told.add((problem.kind, f"{problem.problem} {problem.remedy}"))
        told |= {("notice", notice) for notice in result.notices["notice"]}
    return told


@cache
def told():
    """Kind and words of everything that is said about many bad files."""
    found = set()
    for text in FILES:
        found |= lines_of(with_other_headers(text), SAID[0])
        found |= lines_of(with_bad_cells(text, at_once=18), SAID[0])
    for text in (TYPICAL["SI"]["torque_reading"], TYPICAL["SI"]["run"]):
        for conventions in SAID[1:]:
            found |= lines_of(with_bad_cells(text, at_once=len(CELLS)), conventions)
    broken = [b"", b"\0\1\2", b"%PDF-1.7", b"<html>", b"a;b\n1;2;3\n", b"\xff\xfe\0", b"PK\x03\x04"]
    return found | lines_of(broken, Locale())


@pytest.mark.timeout(240)  # about 15 s on two cores; slack for a busy machine
def test_a_problem_and_its_remedy_are_forty_words_at_most():
    long = [line for _, line in told() if len(line.split()) > MOST_WORDS]
    assert long == []


def test_no_word_of_a_program_is_in_a_problem():
    assert [line for _, line in told() if FOREIGN.search(line)] == []


def test_a_problem_is_whole_sentences():
    odd = [line for _, line in told() if not re.search(r"[.?!]$", line) or "  " in line]
    assert odd == []


def test_many_kinds_of_problem_are_heard():
    kinds = {kind for kind, _ in told()}
    assert {
        "not a number", "decimal mark", "two number styles", "unclear length", "another unit",
        "date order", "not a date", "not a time", "no date", "clock change", "missing value",
        "impossible value", "unknown word", "number altered by the spreadsheet",
        "spreadsheet fault", "unknown unit", "unit not stated", "repeated key", "missing column",
        "notice",
    } <= kinds  # fmt: skip
