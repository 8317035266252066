"""Whatever text is fed to intake, it answers with rows and problems and loses none."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.intake import take
from tests.intake.files import CERTIFICATE, PROJECT, RIG_LOG, TYPICAL, kinds, said, taken

FILES = [*TYPICAL["SI"].values(), *TYPICAL["US"].values(), RIG_LOG, CERTIFICATE]
CELLS = st.one_of(
    st.sampled_from(
        ["", "1", "2", "0.3", "-1", "1e300", "n/a", "2026-03-04", "07:30", '"', "missed"]
    ),
    st.text(max_size=8),
)
HEADERS = ["Pile,Run,Depth (m),Pressure (bar),Flag,Direction", RIG_LOG.splitlines()[0]]


def check(result):
    assert len(result.problems) > 0 or result.rows_left_out == 0
    assert json.loads(json.dumps(result.mapping)) == result.mapping
    good = {kind: len(frame) for kind, frame in result.frames.items()}
    assert all(count <= result.rows_read for count in good.values())
    if "torque_reading" in good:
        assert result.rows_read == good["torque_reading"] + result.rows_left_out


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_are_answered(content):
    check(take(content, "any", PROJECT))


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=200))
def test_any_text_is_answered(text):
    check(taken(text.encode("utf-8", "replace")))


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(HEADERS), st.lists(st.lists(CELLS, min_size=4, max_size=12), max_size=8))
def test_any_cells_of_a_log_are_counted_in_or_out(header, rows):
    lines = [header, *(",".join(row) for row in rows)]
    check(taken("\n".join(lines).encode("utf-8", "replace")))


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(FILES), st.data())
def test_a_good_file_with_one_place_overwritten_is_answered(text, data):
    at = data.draw(st.integers(0, len(text) - 1))
    check(
        taken(
            (text[:at] + data.draw(st.text(max_size=3)) + text[at + 1 :]).encode("utf-8", "replace")
        )
    )


def test_problems_are_short_and_in_the_users_words():
    results = [
        taken(text[:at] + character + text[at + 1 :])
        for text in FILES
        for at in range(0, len(text), 17)
        for character in ("x", ",", "-")
    ]
    told = [line for result in results for line in said(result).splitlines()]
    assert len(told) > 100
    assert [line for line in told if len(line.split()) > 40] == []
    foreign = ("NaN", "NaT", "None", "nan", "dtype", "datetime", "float", "<NA>")
    assert [line for line in told if any(word in line for word in foreign)] == []


@pytest.mark.timeout(30)  # about 3 s on two cores; slack for a busy machine
def test_a_season_of_readings_with_faults_is_taken_in_a_few_seconds():
    rows = ["Pile,Date,Rig,Depth (ft),Pressure (psi),Time"]
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
