"""Bytes become cells: encodings, delimiters, physical lines, and what is no CSV at all."""

from __future__ import annotations

import hashlib

import pytest

from core.readers import parse_file
from tests.readers.files import PROJECT, kinds, readings, said, taken

PLAIN = "Pile,Depth (m),Differential pressure (bar),Event\n101,0.3,20,Stoß\n"


@pytest.mark.parametrize(
    ("codec", "word"),
    [
        ("utf-8", "UTF-8"),
        ("utf-8-sig", "UTF-8"),
        ("utf-16", "UTF-16"),
        ("cp1252", "Windows-1252"),
    ],
)
def test_each_encoding_is_read_and_said(codec, word):
    result = taken(PLAIN.encode(codec))
    assert said(result) == ""
    assert result.mapping["encoding"] == word
    assert list(result.frames["torque_reading"]["event"]) == ["Stoß"]


@pytest.mark.parametrize(("mark", "word"), [(",", "comma"), (";", "semicolon"), ("\t", "tab")])
def test_each_delimiter_is_found_from_the_header(mark, word):
    result = taken(PLAIN.replace(",", mark))
    assert said(result) == ""
    assert result.mapping["delimiter"] == word


def test_units_after_a_comma_do_not_hide_the_semicolon():
    result = taken("Pile;Depth, ft;Differential pressure, psi\n101;1;300\n")
    assert said(result) == ""
    assert result.mapping["delimiter"] == "semicolon"
    assert list(result.frames["torque_reading"]["depth_mm"]) == [305]


def test_rows_keep_their_physical_lines_past_blank_lines_and_line_breaks_in_cells():
    result = taken(
        "\nPile,Depth (m),Differential pressure (bar),Event at depth\r\n"
        '1,0.3,20,"two\nlines"\r\n\r\n,,,\r\n1,0.6,25,\r\n'
    )
    assert said(result) == ""
    assert list(result.frames["torque_reading"]["row_no"]) == [3, 7]
    assert result.rows_read == 2


@pytest.mark.parametrize("content", [b"", b"  \r\n\n", b"\xef\xbb\xbf"])
def test_an_empty_file_is_a_problem(content):
    assert kinds(taken(content)) == [("empty file", None)]


def test_a_header_without_rows_is_a_problem():
    assert kinds(readings()) == [("no rows", None)]


@pytest.mark.parametrize(
    "content",
    [
        b"PK\x03\x04rest",
        b"%PDF-1.7 x",
        b"\xd0\xcf\x11\xe0x",
        b"a,b\n\x00,1\n",
        b"\xff\xfea",
        b"\x89PNG\r\n\x1a\n\x01",
        b"a,b\n\x01,1\n",
    ],
)
def test_what_is_no_table_says_so(content):
    result = taken(content)
    assert kinds(result) == [("not a table", None)]
    assert "as a workbook or as CSV" in said(result)
    assert (result.rows_read, result.rows_left_out, result.frames) == (0, 0, {})


def test_rows_with_too_few_or_too_many_cells_are_left_out():
    result = readings("1,1,0.3,20", "1,1,0.6", "1,1,0.9,20,9", "1,1,1.2,20,,")
    assert kinds(result) == [("wrong number of cells", 3), ("wrong number of cells", 4)]
    assert list(result.frames["torque_reading"]["depth_mm"]) == [300, 1200]
    assert (result.rows_read, result.rows_left_out) == (4, 2)


def test_a_quotation_mark_that_never_closes_is_named_by_its_row():
    result = readings("1,1,0.3,20", '1,1,"0.6,20', "1,1,0.9,20")
    assert kinds(result) == [("quotation marks", 3)]
    assert result.rows_left_out == 1


def test_file_name_comes_without_folder_and_digest_from_the_bytes():
    result = parse_file(PLAIN.encode(), r"C:\site\day/log.csv", PROJECT)
    assert result.file == "log.csv"
    assert result.sha256 == hashlib.sha256(PLAIN.encode()).hexdigest()


@pytest.mark.parametrize(
    "text",
    [
        "Dear Bo,\nsee the attached log.\n".replace(",", ""),
        '<!DOCTYPE html PUBLIC "-//IETF//DTD HTML 2.0//EN", "x">\n<p>log</p>\n',
        "{\n  pile: 101,\n}\n",
        "[1, 2, 3]\n",
    ],
)
def test_text_that_is_no_table_has_one_problem(text):
    result = taken(text)
    assert kinds(result) == [("not a table", None)]
    assert result.mapping["sheets"] == {}


def test_a_table_without_a_known_header_is_told_what_it_lacks():
    assert kinds(taken("Sun;Wind\n1;2\n")) == [("missing column", 1)]
    assert kinds(taken("Depth (m)\n1\n")) == [("missing column", 1)]
