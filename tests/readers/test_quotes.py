"""Quotation marks are read as the standard library's strict reader does, line numbers and all."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from core.readers import csv_text
from core.readers.problems import Problems

HEAD = "Pile,Depth (m),Event"


def fast(text: str, delimiter: str = ",") -> tuple[object, ...]:
    """Lines, cells, widths, broken lines and lines after a blank one, as the program reads them."""
    problems = Problems("log.csv")
    grid = csv_text._grid(text, delimiter, problems)
    assert problems.frame()["row"].tolist() == list(grid.broken)
    cells = grid.cells.astype(object).where(grid.cells.notna(), None).values.tolist()
    after = set(grid.after_blank or ()) - set(grid.broken)
    return grid.row_no.tolist(), cells, grid.width.tolist(), list(grid.broken), after


def record_by_record(text: str, delimiter: str = ",") -> tuple[object, ...]:
    """The same by the standard library alone."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows, numbers, broken, after, was_blank = [], [], [], set(), False
    while True:
        line = reader.line_num + 1
        try:
            cells = [cell.strip() or None for cell in next(reader)]
        except StopIteration:
            break
        except csv.Error:
            broken.append(line)
            was_blank = False
            continue
        if not any(cells):
            was_blank = True
            continue
        if was_blank:
            after.add(line)
        was_blank = False
        rows.append(cells)
        numbers.append(line)
    width = [len(row) for row in rows]
    most = max(width, default=0)
    return numbers, [row + [None] * (most - len(row)) for row in rows], width, broken, after


def same(text: str) -> tuple[object, ...]:
    """What is read, after both roads are compared; columns that hold nothing do not count."""
    found, wanted = fast(text), record_by_record(text)
    most = max(wanted[2], default=0)
    assert [row[:most] for row in found[1]] == wanted[1]
    assert not any(cell for row in found[1] for cell in row[most:])
    assert (found[0], *found[2:]) == (wanted[0], *wanted[2:])
    return found


@pytest.mark.parametrize(
    ("line", "cells"),
    [
        ('"P1","0.3","ok"', ["P1", "0.3", "ok"]),
        ('P1,0.3,"stone, then clay"', ["P1", "0.3", "stone, then clay"]),
        ('P1,0.3,"said ""stop"""', ["P1", "0.3", 'said "stop"']),
        ('P1,0.3,""""', ["P1", "0.3", '"']),
        ('P1,0.3,""', ["P1", "0.3", None]),
        ('P1,0.3,6" pipe', ["P1", "0.3", '6" pipe']),
        ('P1,0.3,pipe of 6"', ["P1", "0.3", 'pipe of 6"']),
        ('"P1",0.3,6" pipe', ["P1", "0.3", '6" pipe']),
        ('P1,0.3, "x"', ["P1", "0.3", '"x"']),
        ('P1,0.3,"two\nlines"', ["P1", "0.3", "two\nlines"]),
        ('P1,0.3,"two\r\nlines, ""three"""', ["P1", "0.3", 'two\r\nlines, "three"']),
        ('"P1",0.3,"a,""b"', ["P1", "0.3", 'a,"b']),
    ],
)
def test_cells_in_quotation_marks_are_read_as_they_are_meant(line, cells):
    lines, found, *_ = same(f"{HEAD}\n{line}\nP2,0.6,\n")
    assert found[1] == cells
    assert lines == [1, 2, 3 + line.count("\n")]


@pytest.mark.parametrize(
    ("line", "rows"),
    [('P1,0.3,"ok" not', [1, 3]), ('P1,0.3,"ok', [1]), ('P1,"0.3"",ok\nP1,0.6,', [1])],
)
def test_broken_quotation_marks_are_named_by_their_line(line, rows):
    lines, _, _, broken, _ = same(f"{HEAD}\n{line}\nP2,0.6,\n")
    assert (lines, broken) == (rows, [2])


def test_a_cell_over_several_lines_hides_no_line_below():
    text = f'{HEAD}\n\nP1,0.3,"a\n\n""b"",\nc"\nP2,0.6,"x,y"\n,,\nP3,0.9,"z\n'
    lines, cells, _, broken, after = same(text)
    assert (lines, broken, after) == ([1, 3, 7], [9], {3})
    assert cells[1:] == [["P1", "0.3", 'a\n\n"b",\nc'], ["P2", "0.6", "x,y"]]


TEXTS = st.lists(st.sampled_from(['"', ",", "\n", "\r", "\r\n", " ", "a", "6", '""', ',"', '",']))


@settings(max_examples=400, deadline=None)
@given(TEXTS)
@example(['"', "a", ",", '"', '"', "6", '"'])
@example(["a", "\n", "\n", '"', "\n", '"', "a", "\n", "6"])
def test_any_text_is_read_as_record_by_record(pieces):
    same('a,"b"\n' + "".join(pieces))


def test_one_mark_does_not_send_a_log_through_the_standard_library(monkeypatch):
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("read record by record")

    monkeypatch.setattr(csv, "reader", refuse)
    lines = "\n".join(f'"P{at}",0.3,"6"" pipe, old"\nP{at},0.6,6" pipe' for at in range(50))
    numbers, cells, *_ = fast(f"{HEAD}\n{lines}\n")
    assert (len(numbers), cells[99]) == (101, ["P49", "0.3", '6" pipe, old'])
