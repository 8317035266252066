"""Columns that are not read are listed with values; a slip of the pen or a void mark stops them."""

from __future__ import annotations

import pytest

from core.readers import Layout, Origin, ReadOptions, StoredLayout, answers_of, parse_file
from core.readers.recognise import marks_void
from tests.readers.files import PROJECT, kinds, said, taken

HEAD = "Pile,Run,Depth (m),Differential pressure (bar)"


def log(heading, *values):
    rows = [f"1,1,{0.3 * (at + 1):.1f},20,{value}" for at, value in enumerate(values)]
    return "\n".join([f"{HEAD},{heading}", *rows]) + "\n"


def read(text, *dismissed):
    how = ReadOptions(answers=answers_of({}, dismissed))
    return parse_file(text.encode(), "log.csv", PROJECT, how)


def test_every_column_that_is_not_read_is_listed_with_three_values():
    result = taken(log("Weather", "sun", "rain", "sun", "fog", "hail"))
    assert said(result) == ""
    assert result.not_read.to_dict("records") == [
        {"file": "file.csv", "sheet": "", "column": "E", "heading": "Weather",
         "values": "sun; rain; fog"},
    ]  # fmt: skip


def test_a_column_without_a_heading_is_listed_too():
    result = taken(log("", "see sketch"))
    assert result.not_read[["column", "heading", "values"]].values.tolist() == [
        ["E", "", "see sketch"]
    ]


@pytest.mark.parametrize(
    ("heading", "word"),
    [("Torqe (kN·m)", "torque"), ("Gaer", "gear"), ("Dirction", "direction"), ("Evnt", "event"),
     ("Advence per turn (mm)", "advance per turn"), ("torque raed (kNm)", "torque read"),
     ("Turning sped", "turning speed")],
)  # fmt: skip
def test_a_heading_that_is_nearly_a_known_word_stops_the_sheet(heading, word):
    result = taken(log(heading, "5"))
    assert kinds(result) == [("column not read", 1)]
    assert f"The heading is nearly {word} and is not read" in said(result)
    assert "--not-read" in said(result)
    assert (result.frames, result.rows_left_out) == ({}, 1)


@pytest.mark.parametrize(
    "heading",
    ["Void", "VOID?", "Voided by", "Rejected", "reject (y/n)", "Failed", "Cancelled", "canceled",
     "Struck out", "Abandoned", "Do not use"],
)  # fmt: skip
def test_a_heading_that_says_void_stops_the_sheet(heading):
    result = taken(log(heading, "", "yes"))
    assert kinds(result) == [("column not read", 1)]
    assert "may mark rows as void" in said(result)
    assert result.frames == {}


@pytest.mark.parametrize("heading", ["Void", "Torqe (kN·m)"])
def test_a_column_dismissed_by_name_stops_nothing_and_stays_listed(heading):
    result = read(log(heading, "5"), heading.upper())
    assert said(result) == ""
    assert result.not_read["heading"].tolist() == [heading]
    assert len(result.frames["torque_reading"]) == 1


def test_another_name_dismisses_nothing():
    assert kinds(read(log("Void", "yes"), "Weather")) == [("column not read", 1)]


@pytest.mark.parametrize("heading", ["Void", "Torqe (kN·m)"])
def test_an_empty_column_stops_nothing(heading):
    assert said(taken(log(heading, "", ""))) == ""


@pytest.mark.parametrize(
    "heading",
    ["Weather", "Ground", "Shift", "Rate", "Test", "Void volume (l)", "Void ratio", "Inspector",
     "Foreman", "Temperature (°C)", "Torque limit", "Crew lead", "Page", "Checked", "Photo no",
     "Depth of water (m)", "Signature", "Fuel (l)"],
)  # fmt: skip
def test_honest_columns_stop_nothing(heading):
    assert said(taken(log(heading, "5"))) == ""


def test_a_column_dismissed_by_name_is_no_second_word_for_another():
    text = f"{HEAD},Depth of toe (m)\n1,1,0.3,20,0.4\n"
    assert kinds(taken(text)) == [("repeated column", 1)]
    assert said(read(text, "Depth of toe (m)")) == ""


def layouted(answers=(), text="No;Deep;Hard;Rejected;Sky\n1;0.3;5;x;blue\n", **more):
    layout = Layout(
        **more,
        kinds=("torque_reading",),
        header_rows=(1, 1),
        columns={
            "pile_id": Origin(header="No"),
            "depth_mm": Origin(header="Deep", unit="m"),
            "torque_read_nm": Origin(header="Hard", unit="kN·m"),
        },
    )
    known = (StoredLayout(sender="Rig 1", name="log", layout=layout),)
    how = ReadOptions(layouts=known, answers_by_sender=dict(answers))
    return parse_file(text.encode(), "log.csv", PROJECT, how)


def test_a_sheet_read_by_a_layout_is_held_to_the_same():
    assert kinds(layouted()) == [("column not read", 1)]
    result = layouted([("Rig 1", answers_of({}, ("Rejected",)))])
    assert said(result) == ""
    assert result.not_read["heading"].tolist() == ["Rejected", "Sky"]
    assert result.mapping["unread"] == ["Rejected", "Sky"]


def test_a_heading_seen_when_the_sheet_was_laid_out_resembles_by_chance():
    text = "No;Deep;Hard;Evnt\n1;0.3;5;x\n"
    assert kinds(layouted(text=text)) == [("column not read", 1)]
    assert said(layouted(text=text, not_read=("Evnt",))) == ""
    assert kinds(layouted(not_read=("Rejected", "Sky"))) == [("column not read", 1)]


@pytest.mark.parametrize("value", ["rejected", "REJECT", " Void ", "failed"])
def test_a_value_that_says_void_stops_the_sheet_wherever_it_is_in_the_column(value):
    result = read(log("Status", "ok", "good", "fine", "done", value))
    (problem,) = result.problems.to_dict("records")
    assert problem["kind"] == "column not read"
    assert f"column may mark rows as void ({value.strip()})" in problem["problem"]
    assert said(read(log("Status", "ok", value), "Status")) == ""


def test_a_sentence_with_such_a_word_stops_nothing():
    assert said(taken(log("Weather", "sun", "pump failed at noon"))) == ""


def test_void_as_a_room_is_no_void_row():
    assert marks_void("Void (reason)")
    assert not marks_void("Theoretical void")
