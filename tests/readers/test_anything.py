"""Whatever text is fed to the readers, they answer with rows and problems and loses none."""

from __future__ import annotations

import json
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.readers import parse_file
from tests.readers.files import CERTIFICATE, PROJECT, RIG_LOG, TYPICAL, kinds, said, taken
from tests.readers.mess.books import sheet

FILES = [*TYPICAL["SI"].values(), *TYPICAL["US"].values(), RIG_LOG, CERTIFICATE]
CELLS = st.one_of(
    st.sampled_from(
        ["", "1", "2", "0.3", "-1", "1e300", "n/a", "2026-03-04", "07:30", '"', "missed"]
    ),
    st.text(max_size=8),
)
BOOK_HEADER = ["Pile", "Run", "Depth (m)", "Torque (kN·m)"]
HEADERS = ["Pile,Run,Depth (m),Differential pressure (bar),Flag,Direction", RIG_LOG.splitlines()[0]]


def check(result):
    assert len(result.problems) > 0 or result.rows_left_out == 0
    assert json.loads(json.dumps(result.mapping)) == result.mapping
    good = {kind: len(frame) for kind, frame in result.frames.items()}
    assert all(count <= result.rows_read for count in good.values())
    if "torque_reading" in good:
        assert result.rows_read == good["torque_reading"] + result.rows_left_out


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_are_answered(content):
    check(parse_file(content, "any", PROJECT))


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=200))
def test_any_text_is_answered(text):
    check(taken(text.encode("utf-8", "replace")))


@settings(max_examples=80, deadline=None)
@given(st.sampled_from(HEADERS), st.lists(st.lists(CELLS, min_size=4, max_size=12), max_size=8))
def test_any_cells_of_a_log_are_counted_in_or_out(header, rows):
    lines = [header, *(",".join(row) for row in rows)]
    check(taken("\n".join(lines).encode("utf-8", "replace")))


@settings(max_examples=80, deadline=None)
@given(st.sampled_from(FILES), st.data())
def test_a_good_file_with_one_place_overwritten_is_answered(text, data):
    at = data.draw(st.integers(0, len(text) - 1))
    check(
        taken(
            (text[:at] + data.draw(st.text(max_size=3)) + text[at + 1 :]).encode("utf-8", "replace")
        )
    )


BOOK_CELLS = st.one_of(
    st.none(),
    st.sampled_from(["Pile", "Run", "Depth (m)", "Torque (kN·m)", "Date", "Total", "#REF!", "7"]),
    st.integers(-5, 50_000),
    st.floats(allow_nan=False, allow_infinity=False, width=32),
    st.dates(date(1990, 1, 1), date(2040, 1, 1)),
    st.text(st.characters(min_codepoint=32, max_codepoint=0x2FF), max_size=8),
)


@settings(max_examples=100, deadline=None)
@given(
    st.binary(max_size=300),
    st.sampled_from([b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", b""]),
)
def test_any_bytes_dressed_as_a_workbook_are_a_problem(content, start):
    result = parse_file(start + content, "file.xlsx", PROJECT)
    check(result)
    assert result.frames == {}
    assert len(result.problems) > 0


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 5_000), st.binary(min_size=1, max_size=4))
def test_a_good_workbook_with_some_bytes_overwritten_is_answered(at, put):
    whole = sheet(BOOK_HEADER, *[["7", "1", depth / 10, 5] for depth in range(1, 9)])
    at %= len(whole)
    check(parse_file(whole[:at] + put + whole[at + len(put) :], "file.xlsx", PROJECT))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.lists(BOOK_CELLS, min_size=1, max_size=6), max_size=8), st.booleans())
def test_any_cells_of_a_workbook_are_counted_in_or_out(rows, with_header):
    result = parse_file(sheet(*([BOOK_HEADER] if with_header else []), *rows), "file.xlsx", PROJECT)
    check(result)
    assert all(len(frame) or len(result.problems) for frame in result.frames.values())
    assert len(result.problems) or result.frames


def test_problems_are_short_and_in_the_users_words():
    results = [
        taken(text[:at] + character + text[at + 1 :])
        for text in FILES
        for at in range(0, len(text), 43)
        for character in ("x", ",", "-")
    ]
    told = [line for result in results for line in said(result).splitlines()]
    assert len(told) > 100
    assert [line for line in told if len(line.split()) > 40] == []
    foreign = ("NaN", "NaT", "None", "nan", "dtype", "datetime", "float", "<NA>")
    assert [line for line in told if any(word in line for word in foreign)] == []


@pytest.mark.timeout(30)  # about 3 s on two cores; slack for a busy machine
def test_a_season_of_readings_with_faults_is_taken_in_a_few_seconds():
    rows = ["Pile,Date,Rig,Depth (ft),Differential pressure (psi),Time"]
    for at in range(300_000):
        pile, step = divmod(at, 60)
        pressure = "bad" if at % 20 == 0 else str(500 + at % 97)
        rows.append(
            f"P-{pile},2026-03-04,Rig 1,{step + 1},{pressure},{7 + step // 60:02d}:{step:02d}"
        )
    content = "\n".join(rows).encode()
    result = taken(content)
    assert (result.rows_read, result.rows_left_out) == (300_000, 15_000)
    assert len(kinds(result)) == 15_000


@pytest.mark.parametrize("text", FILES)
def test_the_same_file_is_read_the_same_way_twice(text):
    first, second = taken(text), taken(text)
    assert first.mapping == second.mapping
    assert all(first.frames[kind].equals(second.frames[kind]) for kind in first.frames)
