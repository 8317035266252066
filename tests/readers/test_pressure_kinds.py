"""A pressure is differential or of a line: its heading states it, or it is asked; never assumed."""

from __future__ import annotations

import pytest

from core.errors import WrongUse
from core.readers import Layout, Locale, Origin, ReadOptions, StoredLayout, answers_of, parse_file
from tests.readers.files import PROJECT, kinds, said, taken


def log(heading, *extra, cells=()):
    rows = [["Pile", "Depth (m)", heading, *extra], ["1", "0.3", "118", *cells]]
    return "\n".join(",".join(row) for row in rows) + "\n"


def answered(text, kind="", back="", name="pressure", **how):
    given = answers_of({name: (kind, back)}, ())
    return parse_file(text.encode(), "log.csv", PROJECT, ReadOptions(answers=given, **how))


def reading(result, *names):
    assert said(result) == ""
    frame = result.frames["torque_reading"]
    return [frame[name].iloc[0] for name in names or ("pressure_kind", "return_pressure_kpa")]


@pytest.mark.parametrize(
    "heading",
    ["Pressure (bar)", "Gauge pressure (bar)", "Hydraulic pressure bar", "pressure, bar",
     "pressure_kpa", "PRESSURE [psi]"],
)  # fmt: skip
def test_a_heading_that_only_says_pressure_is_asked_and_nothing_is_taken(heading):
    text = log(f'"{heading}"')
    result = taken(text)
    assert kinds(result) == [("pressure kind not stated", 1)]
    assert "--pressure-kind differential" in said(result)
    assert (result.frames, result.rows_left_out) == ({}, 1)


@pytest.mark.parametrize(
    "heading",
    ["Differential pressure (bar)", "dp (bar)", "Delta p, bar", "ΔP (bar)", "diff pressure bar"],
)  # fmt: skip
def test_a_heading_that_says_differential_states_it(heading):
    assert reading(taken(log(f'"{heading}"')), "pressure_kind") == ["differential"]


@pytest.mark.parametrize("heading", ["Line pressure (bar)", "Inlet pressure (bar)"])
def test_a_line_pressure_asks_for_the_return_pressure_assumed(heading):
    result = taken(log(heading))
    assert kinds(result) == [("pressure return not stated", 1)]
    assert "--pressure-return" in said(result)
    assert result.frames == {}


def test_a_column_of_the_return_pressure_answers_for_line_pressures():
    result = taken(log("Line pressure (bar)", "Return pressure (bar)", cells=["10"]))
    assert reading(result) == ["line", 1000.0]


@pytest.mark.parametrize(
    ("kind", "back", "kpa"), [("differential", "", None), ("line", "8 bar", 800)]
)
def test_an_answer_holds_for_every_reading_that_has_a_pressure(kind, back, kpa):
    text = "Pile,Depth (m),Pressure (bar),Torque (kN·m)\n1,0.3,118,\n1,0.6,,4\n"
    frame = answered(text, kind, back).frames["torque_reading"]
    assert frame["pressure_kind"].fillna("").tolist() == [kind, ""]
    assert frame["return_pressure_kpa"].dropna().tolist() == ([] if kpa is None else [kpa])


def test_a_return_pressure_that_nobody_recorded_may_be_answered_so():
    result = answered(log("Line pressure (bar)"), "", "not recorded")
    assert reading(result, "pressure_kind") == ["line"]
    assert result.frames["torque_reading"]["return_pressure_kpa"].isna().all()


def test_an_answer_is_written_with_the_files_decimal_mark():
    text = "Pile;Depth (m);Pressure (bar)\n1;0,3;118,5\n"
    result = answered(text, "line", "8.5 bar", conventions=Locale(decimal="comma"))
    assert reading(result, "return_pressure_kpa") == [pytest.approx(850.0)]


def test_the_heading_goes_before_the_answer():
    result = answered(log("Differential pressure (bar)"), "line", "8 bar")
    assert reading(result, "pressure_kind") == ["differential"]


def test_a_column_of_kinds_states_each_and_an_empty_cell_is_a_problem():
    text = "Pile,Depth (m),Pressure (bar),Pressure kind,Return pressure (bar)\n"
    result = taken(f"{text}1,0.3,118,Line,10\n1,0.6,119,differential,\n1,0.9,120,,\n1,1.2,,,\n")
    assert ("missing value", 4) in kinds(result)
    frame = result.frames["torque_reading"]
    assert frame["depth_mm"].tolist() == [300, 600]
    assert frame["pressure_kind"].tolist() == ["line", "differential"]


def test_a_kind_that_contradicts_the_heading_is_a_problem():
    head = "Pile,Depth (m),Differential pressure (bar),Pressure kind,Return pressure (bar)"
    text = f"{head}\n1,0.3,118,line,10\n"
    assert kinds(taken(text)) == [("two kinds", 2)]


def test_a_certificate_is_asked_for_itself():
    head = "Instrument,Certificate,Point,Pressure (bar),Torque (kN·m)\n"
    text = f"{head}G1,C-1,1,20,2\nG1,C-1,2,100,10\n"
    assert kinds(answered(text, "line", "8 bar")) == [("curve pressure kind not stated", 1)]
    points = answered(text, "differential", name="curve pressure").frames["calibration_point"]
    assert points["point_pressure_kind"].tolist() == ["differential"] * 2


def test_the_final_pressure_of_a_run_is_asked_as_its_readings_are():
    text = "Pile,Date,Rig,Final pressure (bar)\n1,2026-03-04,Rig 1,118\n"
    assert kinds(taken(text)) == [("pressure kind not stated", 1)]
    (run,) = answered(text, "line", "10 bar").frames["run"].to_dict("records")
    assert (run["final_pressure_kind"], run["final_return_pressure_kpa"]) == ("line", 1000.0)
    stated = text.replace("Final pressure", "Final differential pressure")
    assert taken(stated).frames["run"]["final_pressure_kind"].tolist() == ["differential"]


def test_grout_pressures_are_of_no_kind():
    text = "Pile,Batch,Date,Net volume (l),From (m),To (m),Pressure (bar)\n"
    result = taken(text + "1,B1,2026-03-04,40,0,1,3\n")
    assert not any("pressure" in kind for kind, _ in kinds(result))


def with_layout(answers=(), by_sender=(), **columns):
    origins = {
        "pile_id": Origin(header="No"),
        "depth_mm": Origin(header="Deep", unit="m"),
        "pressure_kpa": Origin(header="Shown", unit="bar"),
        **columns,
    }
    layout = Layout(kinds=("torque_reading",), header_rows=(1, 1), columns=origins)
    known = (StoredLayout(sender="Rig 1", name="log", layout=layout),)
    how = ReadOptions(layouts=known, answers_by_sender=dict(by_sender))
    return parse_file(b"No;Deep;Shown\n1;0.3;118\n", "log.csv", PROJECT, how)


def test_a_layout_says_the_kind_or_it_is_asked():
    assert kinds(with_layout()) == [("pressure kind not stated", 1)]
    told = with_layout(pressure_kind=Origin(text="differential"))
    assert reading(told, "pressure_kind") == ["differential"]
    line = with_layout(pressure_kind=Origin(text="line"))
    assert kinds(line) == [("pressure return not stated", 1)]


def test_what_a_sender_answered_once_holds_for_its_layouts():
    given = answers_of({"pressure": ("line", "145 psi")}, ())
    result = with_layout(by_sender=[("Rig 1", given)])
    assert reading(result)[1] == pytest.approx(999.74, abs=0.01)
    assert kinds(with_layout(by_sender=[("Rig 2", given)])) == [("pressure kind not stated", 1)]


@pytest.mark.parametrize(
    ("kind", "back"),
    [("gauge", ""), ("line", "8"), ("line", "eight bar"), ("line", "8 kN"),
     ("differential", "8 bar")],
)  # fmt: skip
def test_an_answer_that_cannot_be_used_is_refused(kind, back):
    with pytest.raises(WrongUse):
        answers_of({"pressure": (kind, back)}, ())
