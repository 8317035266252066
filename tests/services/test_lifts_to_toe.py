"""Lifts down to the toe, from their files: what a crew leaves out, and whose depths it writes."""

import csv
import io

import pytest

from core import services
from tests.services.grout_job import (
    GROUTED,
    PLACED_HEAD,
    grouted_project,
    placed,
    run_log,
    whole_files,
)
from tests.services.small import SCHEDULE, state, take_in

KIND = "grout lifts to the toe"
FOOT = 0.3048
# Grout enough for every ratio of the project, also where one of the lifts is missing.
FULL = (
    ("1", "B1", 0.5, 1.5, 48, 0, 0, 0),
    ("2", "B1", 1.5, 2.5, 48, 0, 0, 0),
    ("3", "B2", 2.5, 3.0, 24, 0, 0, 0),
)


def findings(assessment, pile="101"):
    """What is open of a pile: result and note by kind."""
    found = assessment.findings
    mine = found[found["subject"].eq(pile) & ~found["result"].isin(["met", "not required"])]
    return {row.kind: (row.result, row.note) for row in mine.itertuples()}


def judged(tmp_path, lifts=FULL, settings=GROUTED, **changed):
    files = whole_files(placements=placed(lifts=lifts), **changed)
    return services.assess(grouted_project(tmp_path, *files, settings=settings))


def edited(number, **changed):
    """The lifts with one of them changed, or left out, and numbered anew."""
    rows = [list(lift) for lift in FULL]
    names = {"from_m": 2, "to_m": 3, "batched": 4}
    for name, value in changed.items():
        rows[number - 1][names[name]] = value
    if not changed:
        del rows[number - 1]
    return [(str(place), *row[1:]) for place, row in enumerate(rows, start=1)]


def test_lifts_down_to_the_toe_are_met_with_their_rows(tmp_path):
    assessment = judged(tmp_path)
    assert findings(assessment) == {}
    assert state(assessment) == "criteria met"
    rows = assessment.evidence("101").query("kind == @KIND")
    assert set(rows["file"]) == {"placements.csv", "log.csv"}


@pytest.mark.parametrize(
    ("lifts", "note"),
    [
        (edited(3), "no lift recorded below lift 2 of run 1 down to the toe"),
        (edited(2), "no lift recorded between lift 1 of run 1 and lift 2 of run 1"),
        (edited(3, to_m=2.6), "no lift recorded below lift 3 of run 1 down to the toe"),
        (edited(1, from_m=0.9), "no lift recorded above lift 1 of run 1"),
        (edited(3, from_m=2.9), "no lift recorded between lift 2 of run 1 and lift 3 of run 1"),
    ],
)
def test_a_pile_does_not_pass_by_a_lift_or_a_depth_left_out(tmp_path, lifts, note):
    assessment = judged(tmp_path, lifts)
    assert findings(assessment) == {KIND: ("no evidence", note)}
    assert state(assessment) == "record incomplete"


def test_a_gap_of_exactly_one_reading_interval_is_met(tmp_path):
    assessment = judged(tmp_path, edited(3, to_m=2.7))
    assert findings(assessment) == {}
    assert assessment.piles.set_index("pile_id").loc["101", "lift_gap_mm"] == 300


def test_a_type_grouted_through_its_bar_declares_it_not_required(tmp_path):
    criterion = '[criteria.all.grout_lifts_to_toe]\nclause = "7.2"\ndue = "grouted"\n'
    bar = GROUTED.replace(
        criterion + "max_gap_mm = 300\n",
        '[criteria.all.grout_lifts_to_toe]\nnot_required = "7.2: grouted through the bar"\n',
    )
    assert findings(judged(tmp_path, edited(3), bar)) == {}


def test_a_pile_without_any_placement_has_no_lift_to_its_toe(tmp_path):
    files = whole_files(placements="")
    folder = grouted_project(tmp_path, *files)
    take_in(folder, ("stages.csv", "Pile,Stage,Date\n101,cut off,2026-03-03\n"))
    assert findings(services.assess(folder))[KIND] == ("no evidence", "no placement is recorded")


# 12 ft of column on 18 ft piles: what opens the column stays 6 ft above the toe.
COLUMN = (("1", "B1", 0, 6, 66, 0, 0, 0), ("2", "B1", 6, 12, 66, 0, 0, 0))


def readings_to(toe_ft):
    """The log of the pile with a reading a foot and nothing said of the first disc."""
    head, row, *_ = run_log(disc="").splitlines()
    names = head.split(",")
    cells = next(csv.reader(io.StringIO(row)))
    depth, torque = names.index("Depth (m)"), names.index("Torque (kN·m)")
    cells[names.index("Toe depth (m)")] = f"{toe_ft * FOOT:.3f}"
    lines = [head]
    for foot in range(1, toe_ft + 1):
        cells[depth], cells[torque] = f"{foot * FOOT:.3f}", f"{1 + 0.4 * foot:.1f}"
        lines.append(",".join(cells))
    return "\n".join(lines) + "\n"


def sheet(lifts=COLUMN):
    """The crew's sheet of a day with depths of the column in feet."""
    return placed(lifts=lifts).replace("(m)", "(ft)")


LAYOUT = {
    "kinds": ["grout_placement"],
    "header_rows": [1, 1],
    "columns": {
        "pile_id": {"header": "Pile"},
        "run_no": {"header": "Run"},
        "lift_no": {"header": "Lift"},
        "batch_id": {"header": "Batch"},
        "from_mm": {"header": "From (ft)", "unit": "ft"},
        "to_mm": {"header": "To (ft)", "unit": "ft"},
        "batched_l": {"header": "Batched (L)", "unit": "L"},
        "left_l": {"header": "Left (L)", "unit": "L"},
        "spilled_l": {"header": "Spilled (L)", "unit": "L"},
        "returned_l": {"header": "Returned (L)", "unit": "L"},
        "started_at": {"header": "Start"},
        "ended_at": {"header": "End"},
        "level_drop_mm": {"header": "Level drop (mm)", "unit": "mm"},
        "depths_of": {"text": "column"},
    },
}


def of_columns(tmp_path, *, settings=GROUTED, schedule=SCHEDULE, lifts=COLUMN, layout=LAYOUT):
    """The job of 18 ft piles whose crew writes depths of the column, as its layout says."""
    files = [file for file in whole_files(log=readings_to(18)) if file[0] != "placements.csv"]
    folder = grouted_project(tmp_path, *files, settings=settings)
    take_in(folder, ("schedule_b.csv", schedule), replace=True)
    services.store_layout(folder, "Grout crew", "sheet", layout, "Bo Invented")
    report = take_in(folder, ("sheet.csv", sheet(lifts)))
    assert not report.refused, report.problems
    return services.assess(folder)


def with_length(text):
    """The schedule with the grouted length of every pile."""
    head, *rows = SCHEDULE.splitlines()
    return "\n".join([head + ",Grouted length (ft)", *(f"{row},{text}" for row in rows)]) + "\n"


OF_TYPE = GROUTED.replace("disc_mm = 200\n", f"disc_mm = 200\ngrouted_length_mm = {12 * 304.8}\n")


@pytest.mark.parametrize(
    ("settings", "schedule"), [(GROUTED, with_length("12")), (OF_TYPE, SCHEDULE)]
)
def test_depths_of_the_column_are_judged_as_depths_of_the_toe(tmp_path, settings, schedule):
    assessment = of_columns(tmp_path, settings=settings, schedule=schedule)
    assert findings(assessment) == {}
    pile = assessment.piles.set_index("pile_id").loc["101"]
    # By hand: 25.2088 L/m over 12 ft, 3.6576 m, is 92.2 L; net 2 x 66 = 132 L.
    assert round(pile["void_l"], 1) == 92.2
    assert pile["lift_gap_mm"] < 2


def test_without_saying_whose_depths_they_are_the_same_sheet_ends_above_the_toe(tmp_path):
    of_toe = {**LAYOUT, "columns": {**LAYOUT["columns"], "depths_of": {"text": "toe"}}}
    found = findings(of_columns(tmp_path, schedule=with_length("12"), layout=of_toe))
    assert found[KIND][0] == "no evidence"


def test_a_column_lift_left_out_is_found_and_the_schedule_goes_before_the_type(tmp_path):
    found = findings(of_columns(tmp_path, settings=OF_TYPE, lifts=COLUMN[:1]))
    assert found[KIND] == ("no evidence", "no lift recorded below lift 1 of run 1 down to the toe")
    longer = of_columns(tmp_path / "b", settings=OF_TYPE, schedule=with_length("14"))
    assert findings(longer)[KIND][0] == "no evidence"
    assert longer.piles.set_index("pile_id").loc["101", "grouted_length_mm"] == 4267


def test_depths_of_a_column_of_unknown_length_are_no_evidence(tmp_path):
    found = findings(of_columns(tmp_path))
    assert {"grout recorded", "grout take", KIND} <= set(found)
    assert "grouted length" in found[KIND][1]


def test_a_word_that_is_neither_toe_nor_column_is_refused(tmp_path):
    folder = grouted_project(tmp_path, *whole_files(placements=""))
    head, row = PLACED_HEAD.strip(), placed().splitlines()[1]
    report = take_in(folder, ("p.csv", f"{head},Depths are of\n{row},head\n"))
    assert report.problems["kind"].tolist() == ["unknown word"]


def test_the_worksheet_leads_from_column_depths_to_the_gap(tmp_path):
    assessment = of_columns(tmp_path, schedule=with_length("12"), lifts=COLUMN[:1])
    pile = assessment.piles.set_index("pile_id").loc["101"]
    sheet = services.worksheet(assessment, "101")
    steps = {step.title: step for step in sheet.steps}
    # By hand: 18 ft less 12 ft is 6 ft, 1,828 mm of whole millimetres; 6 ft more is 3,657 mm.
    assert steps["Toe depth at which the column begins"].value == 5486 - 3658
    end = steps["Toe depth at the end of batch B1 in lift 1 of run 1"]
    assert (end.value, sheet.place(end.inputs[0])) == (1828 + 1829, "sheet.csv, row 2")
    for measure in ("grouted_length_mm", "lift_gap_mm", "void_l", "net_grout_l", "take_ratio"):
        (step,) = (one for one in sheet.steps if one.measure == measure)
        assert step.value == pytest.approx(pile[measure], rel=1e-9)
    assert sheet.place(steps["Required grouted length"].inputs[0]) == "schedule_b.csv, row 2"
