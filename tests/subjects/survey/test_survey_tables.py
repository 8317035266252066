"""Surveys beside the design: which judges, where the axis meets cut-off level, axis and head."""

from datetime import date
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core import records
from core.records.current_rows import CurrentRows
from core.subjects.columns import Book
from core.subjects.survey import selection
from core.subjects.survey.measures import Inputs, tables

NAN = np.nan
PLACE = {"entry_no": 1, "sheet": None, "row_no": 1}
PILE = {
    "pile_id": "P1",
    "pile_type": "T1",
    "easting_m": 100.0,
    "northing_m": 200.0,
    "cutoff_level_m": 5.0,
    "batter_deg": NAN,
    "azimuth_deg": NAN,
    "element": "helical pile",
}
MEASURED = (
    "offset_east_mm",
    "offset_north_mm",
    "plan_offset_mm",
    "axis_offset_mm",
    "axis_angle_deg",
    "head_level_difference_mm",
)
TEXTS = dict.fromkeys(("pile_id", "pile_type", "element", "sheet"), "str")


def of_kind(kind, *rows):
    """Rows of a record kind, each with a place in the ledger of its own."""
    placed = [{**PLACE, "entry_no": at, **row} for at, row in enumerate(rows, start=1)]
    if not placed:
        return CurrentRows.none(records.KIND[kind])
    typed = records.typed(pd.DataFrame(placed), records.KIND[kind].columns)
    place = pd.DataFrame(placed)[list(PLACE)].astype({"sheet": "str"})
    return CurrentRows.of_frame(typed.assign(**place))


def surveys(*rows):
    base = {"pile_id": "P1", "survey_stage": "after cut-off", "surveyed_on": "2026-03-05"}
    base |= {"easting_m": 100.0, "northing_m": 200.0, "level_m": 5.0}
    return of_kind("survey", *({**base, **row} for row in rows or [{}]))


def piles(*rows):
    frame = pd.DataFrame([{**PILE, **PLACE, "entry_no": 9, **row} for row in rows or [{}]])
    return CurrentRows.of_frame(frame.astype(TEXTS))


def inputs_of(found, design=None, **other):
    """Piles with the surveys ``found``; ``other``: further inputs."""
    given = {
        "piles": piles() if design is None else design,
        "surveys": found,
        "pile_records": of_kind("pile"),
        "runs": of_kind("run"),
        "covered": of_kind("stage_record"),
        "stages": {},
        "on": np.datetime64("2026-12-31", "us"),
    }
    return Inputs(**{**given, **other})


def pile_table(found, design=None, traced=False, **other):
    """The table of piles of ``inputs_of``."""
    return tables(inputs_of(found, design, **other), traced)


def measured(pile=None, **given):
    """The numbers of one survey."""
    found = pile_table(surveys(given), piles(pile or {})).surveys.below
    return {name: getattr(found, name).values[0] for name in (*MEASURED, "built_batter_deg")}


def judging(*rows, stages=None):
    found = pile_table(surveys(*rows), stages={"T1": stages} if stages else {})
    assert (
        found.at_judging.tolist()
        == np.append(np.flatnonzero(found.surveys.below.is_assessed), -1)[:1].tolist()
    )
    return [text for text in found.survey_stage.array() if text]


def test_the_last_survey_judges_and_of_one_day_the_later_stage():
    first = {"survey_stage": "before concrete", "surveyed_on": "2026-03-05"}
    assert judging(first, {"surveyed_on": "2026-03-06"}) == ["after cut-off"]
    assert judging(first, {"surveyed_on": "2026-03-05"}) == ["before concrete"]
    again = {"survey_stage": "re-survey", "surveyed_on": "2026-03-05"}
    assert judging(again, first) == ["re-survey"]


def test_only_stages_that_the_type_names_count():
    rows = {"survey_stage": "before concrete"}, {"survey_stage": "re-survey"}
    assert judging(*rows, stages=("before concrete",)) == ["before concrete"]
    assert judging(*rows, stages=("after installation",)) == []
    assert judging(*rows) == ["re-survey"]
    found = pile_table(surveys(*rows), stages={"T1": ("re-survey",), "T2": ()})
    assert found.surveys.below.counts.tolist() == [False, True]


def test_a_survey_after_the_day_is_left_out_and_a_later_review_is_not_known_yet():
    rows = surveys({"reviewed_by": "Ada", "reviewed_on": "2026-03-08"},
                   {"surveyed_on": "2026-03-09", "survey_stage": "re-survey"})  # fmt: skip
    assert len(selection.until(rows, "surveyed_on", date(2026, 3, 8))) == 1
    early = pile_table(surveys({"reviewed_by": "Ada", "reviewed_on": "2026-03-08"}),
                       on=np.datetime64("2026-03-07", "us"))  # fmt: skip
    assert early.reviewed_by.array().tolist() == [""]
    assert np.isnat(early.reviewed_on).all()
    same = pile_table(rows, on=np.datetime64("2026-03-08", "us"))
    assert same.surveys.below.reviewed_by.array().tolist() == ["Ada", ""]


def at_covering(*rows, day="2026-03-10", stages=None):
    over = of_kind("stage_record", {"pile_id": "P1", "stage": "concreted over", "stage_on": day})
    found = pile_table(surveys(*rows), covered=over, stages={"T1": stages} if stages else {})
    assert found.covered_on.tolist() == [pd.Timestamp(day).to_pydatetime()]
    return [found.covered_survey_stage.array()[0], found.covered_reviewed_by.array()[0]]


def test_concrete_is_placed_on_the_last_survey_that_counts_by_then():
    first = {"surveyed_on": "2026-03-05", "reviewed_by": "Ada", "reviewed_on": "2026-03-06"}
    again = {"survey_stage": "re-survey", "surveyed_on": "2026-03-10", "reviewed_by": "Bo"}
    assert at_covering(first, again) == ["re-survey", "Bo"]
    assert at_covering(first, {**again, "surveyed_on": "2026-03-11"}) == ["after cut-off", "Ada"]
    assert at_covering(first, again, stages=("after cut-off",)) == ["after cut-off", "Ada"]
    assert at_covering(first, day="2026-03-04") == ["", ""]


def test_only_covered_heads_of_the_day_or_before_count():
    stages = of_kind(
        "stage_record",
        {"pile_id": "P1", "stage": "concreted over", "stage_on": "2026-03-10"},
        {"pile_id": "P1", "stage": "cut off", "stage_on": "2026-03-09"},
    )
    assert len(selection.covered_heads(stages, date(2026, 3, 10))) == 1
    assert len(selection.covered_heads(stages, date(2026, 3, 9))) == 0


def test_a_pile_has_the_numbers_of_its_judging_survey_alone():
    rows = {"easting_m": 100.9}, {"survey_stage": "re-survey", "easting_m": 100.02}
    found = pile_table(surveys(*rows), piles({}, {"pile_id": "P2"}, {"pile_id": None}))
    assert found.offset_east_mm.values.tolist() == pytest.approx([20, NAN, NAN], nan_ok=True)
    assert found.survey_stage.array().tolist() == ["re-survey", "", ""]
    assert found.survey_level_m.values.tolist() == pytest.approx([5, NAN, NAN], nan_ok=True)


def test_a_relocated_pile_is_compared_with_the_instructed_point():
    moved = {"pile_id": "P1", "instructed_easting_m": 100.5, "instructed_northing_m": 200.25}
    found = pile_table(surveys({}), pile_records=of_kind("pile", moved))
    assert found.offset_east_mm.values.tolist() == [-500]
    assert found.offset_north_mm.values.tolist() == [-250]


def test_offsets_are_signed_radial_and_the_greater_of_the_axes():
    found = measured(easting_m=99.97, northing_m=200.04)
    assert (found["offset_east_mm"], found["offset_north_mm"]) == (-30, 40)
    assert (found["plan_offset_mm"], found["axis_offset_mm"]) == (50, 40)


def test_an_offset_in_national_coordinates_stands_exactly_on_its_limit():
    place = {"easting_m": 612345.1, "northing_m": 5512345.3}
    found = measured(place, easting_m=612345.175, northing_m=5512345.3)
    assert found["plan_offset_mm"] == 75


def test_the_as_built_axis_goes_before_that_of_the_design():
    # 0.5 m down a tilt of 1:100 to the east is 5 mm, whatever the design's 45 degrees.
    pile = {"batter_deg": 45.0, "azimuth_deg": 0.0}
    tilts = {"tilt_east_deg": np.rad2deg(np.arctan(0.01)), "tilt_north_deg": 0.0}
    found = measured(pile, level_m=5.5, **tilts)
    assert found["offset_east_mm"] == 5
    assert found["offset_north_mm"] == 0
    found = measured(pile, level_m=5.5)
    assert (found["offset_east_mm"], found["offset_north_mm"]) == (0, 500)


def test_a_point_under_cut_off_level_is_projected_upward():
    found = measured({"batter_deg": 45.0, "azimuth_deg": 90.0}, level_m=4.9)
    assert found["offset_east_mm"] == -100


def test_a_pile_without_batter_is_upright_and_an_anchor_is_not_known():
    assert measured(level_m=5.5)["plan_offset_mm"] == 0
    anchor = {"element": "helical anchor"}
    assert np.isnan(measured(anchor, level_m=5.5)["plan_offset_mm"])
    assert measured(anchor, level_m=5.0)["plan_offset_mm"] == 0  # nothing to project
    assert np.isnan(measured(anchor, batter_deg=10.0, azimuth_deg=0.0)["axis_angle_deg"])


@pytest.mark.parametrize(
    ("pile", "given"),
    [
        ({"cutoff_level_m": NAN}, {}),
        ({}, {"level_m": NAN}),
        ({}, {"level_m": 5.5, "batter_deg": 3.0}),  # leans, but nobody says where
        ({"batter_deg": 20.0}, {"level_m": 5.5}),
        ({}, {"level_m": 5.5, "batter_deg": 90.0, "azimuth_deg": 0.0}),  # never gets there
    ],
)
def test_what_cannot_be_projected_has_no_offset(pile, given):
    found = measured(pile, **given)
    assert np.isnan([found["plan_offset_mm"], found["axis_offset_mm"]]).all()


def test_the_angle_from_an_upright_axis_is_the_batter_wherever_it_leans():
    assert measured(batter_deg=1.5)["axis_angle_deg"] == pytest.approx(1.5)
    leaning = {"batter_deg": 20.0, "azimuth_deg": 90.0}
    assert measured(leaning, batter_deg=0.0)["axis_angle_deg"] == pytest.approx(20)
    assert np.isnan(measured(leaning, batter_deg=20.0)["axis_angle_deg"])
    same = measured(leaning, batter_deg=20.0, azimuth_deg=90.0)
    assert same["axis_angle_deg"] == pytest.approx(0, abs=1e-9)


def test_without_a_measured_axis_there_is_no_angle():
    assert np.isnan(measured()["axis_angle_deg"])
    assert np.isnan(measured(tilt_east_deg=1.0)["axis_angle_deg"])


def test_the_head_is_the_measured_point_once_it_is_cut():
    assert measured(level_m=5.025)["head_level_difference_mm"] == 25
    assert measured(level_m=5.6, head_level_m=4.97)["head_level_difference_mm"] == -30
    early = measured(survey_stage="after installation", level_m=5.6)
    assert np.isnan(early["head_level_difference_mm"])


def test_a_survey_of_a_pile_that_nobody_knows_has_no_numbers_and_judges_none():
    found = pile_table(surveys({"pile_id": "P9"}))
    below = found.surveys.below
    assert all(np.isnan(getattr(below, name).values).all() for name in MEASURED)
    assert not below.is_assessed.any()
    assert found.at_judging.tolist() == [-1]


def test_every_column_of_no_piles_and_of_no_surveys_is_empty():
    nobody = piles({}).where(np.zeros(1, dtype=bool))
    for found in (pile_table(of_kind("survey"), nobody), pile_table(surveys({}), nobody)):
        assert all(len(values) == 0 for _, values in found.columns())
    found = pile_table(of_kind("survey"))
    assert all(len(values) == 1 for _, values in found.columns())
    assert all(len(values) == 0 for _, values in found.surveys.below.columns())
    assert np.isnan(found.plan_offset_mm.values).all()


def behind(found, name):
    """Record kinds and entries behind a declared number, by row of the pile."""
    links = found.evidence(name)
    return sorted(
        (int(owner), one.record, int(entry))
        for one in links
        for owner, entry in zip(one.owner, one.entry_no, strict=True)
    )


def evidence_of(*rows):
    """Two piles, one of them moved and covered; ``rows``: surveys."""
    moved = {"pile_id": "P1", "instructed_easting_m": 100.5, "instructed_northing_m": 200.0}
    run = {"run_no": "1", "run_on": "2026-03-01"}
    over = {"pile_id": "P1", "stage": "concreted over", "stage_on": "2026-03-10"}
    return pile_table(
        surveys(*rows) if rows else of_kind("survey"),
        piles({}, {"pile_id": "P2", "entry_no": 8}),
        pile_records=of_kind("pile", moved),
        runs=of_kind("run", {"pile_id": "P1", **run}, {"pile_id": "P2", **run}),
        covered=of_kind("stage_record", over),
        stages={"T1": ("after cut-off",)},
    )


def test_an_offset_rests_on_the_survey_that_judges_the_design_and_the_instruction():
    found = evidence_of({"survey_stage": "re-survey"}, {})
    assert behind(found, "plan_offset_mm") == [
        (0, "pile", 1), (0, "schedule", 9), (0, "survey", 2), (1, "schedule", 8)
    ]  # fmt: skip
    assert behind(found, "axis_angle_deg") == [
        (0, "schedule", 9), (0, "survey", 2), (1, "schedule", 8)
    ]  # fmt: skip


def test_a_pile_that_no_survey_judges_rests_on_its_runs():
    found = evidence_of({"survey_stage": "re-survey"})
    assert behind(found, "survey") == [(0, "run", 1), (1, "run", 2)]
    assert behind(found, "survey_review") == [
        (0, "run", 1), (0, "stage_record", 1), (0, "survey", 1), (1, "run", 2)
    ]  # fmt: skip
    assert behind(evidence_of({}), "survey") == [(0, "survey", 1), (1, "run", 2)]


def test_a_covered_head_rests_on_every_survey_and_the_day_of_covering():
    found = evidence_of({"survey_stage": "re-survey"}, {})
    assert behind(found, "covered") == [
        (0, "stage_record", 1), (0, "survey", 1), (0, "survey", 2)
    ]  # fmt: skip


def test_the_steps_of_the_judging_survey_say_how_its_numbers_come_about():
    # 0.5 m down an axis of 45 degrees towards the east is 500 mm; head 4.97 m against 5.00 m.
    rows = {"survey_stage": "after installation"}, {"level_m": 5.5, "head_level_m": 4.97}
    found = pile_table(surveys(*rows), piles({"batter_deg": 45.0, "azimuth_deg": 90.0}), True)
    book = Book(str)
    steps = {step.measure: step for step in found.steps(book) if step.measure}
    assert list(steps) == [
        "offset_east_mm", "offset_north_mm", "plan_offset_mm", "axis_angle_deg",
        "head_level_difference_mm",
    ]  # fmt: skip
    assert [step.value for step in steps.values()][:3] == [500, 0, 500]
    east = steps["offset_east_mm"]
    assert (east.title, east.note) == ("Plan offset, east", "1 mm = 0.001 m; to 0.001 mm")
    assert [one.value for one in east.inputs] == [pytest.approx(100.5), 100.0]
    assert east.inputs[1].origin.record == "schedule"
    angle = steps["axis_angle_deg"]
    assert np.isnan(angle.value)
    assert angle.inputs[0].source == "not recorded"
    assert steps["head_level_difference_mm"].inputs[0].origin.record == "survey"
    titles = [step.title for step in book.steps]
    assert titles.count("Eastward part of the axis") == 1


GAPS = ("easting_m", "northing_m", "level_m", "batter_deg", "azimuth_deg", "tilt_east_deg",
        "tilt_north_deg", "head_level_m")  # fmt: skip
DESIGN = ("easting_m", "northing_m", "cutoff_level_m", "batter_deg", "azimuth_deg")
PLACES = st.floats(-2, 2).map(lambda metres: round(metres, 3))
ANGLES = st.floats(0, 60).map(lambda degrees: round(degrees, 1))


@st.composite
def leaning(draw):
    """A survey with its axis by batter or tilts, and the design of its pile."""
    survey = {"easting_m": 100 + draw(PLACES), "northing_m": 200 + draw(PLACES),
              "level_m": 5 + draw(PLACES), "head_level_m": 5 + draw(PLACES),
              "survey_stage": draw(st.sampled_from(records.SURVEY_STAGES))}  # fmt: skip
    if draw(st.booleans()):
        survey |= {"batter_deg": draw(ANGLES), "azimuth_deg": 6 * draw(ANGLES)}
    else:
        survey |= {"tilt_east_deg": draw(ANGLES), "tilt_north_deg": draw(ANGLES)}
    pile = {"batter_deg": draw(ANGLES), "azimuth_deg": 6 * draw(ANGLES),
            "element": draw(st.sampled_from(["helical pile", "helical anchor"]))}  # fmt: skip
    return SimpleNamespace(survey=survey, pile=pile)


@settings(deadline=None)
@given(leaning(), st.sets(st.sampled_from(["easting_m", "northing_m", "level_m"]), min_size=1),
       st.booleans())  # fmt: skip
def test_a_gap_in_the_surveyed_point_leaves_no_offset(case, gaps, of_design):
    if of_design:
        names = {"level_m": "cutoff_level_m"}
        pile = {**case.pile, **{names.get(name, name): NAN for name in gaps}}
        found = measured(pile, **case.survey)
    else:
        found = measured(case.pile, **{**case.survey, **dict.fromkeys(gaps, NAN)})
    assert np.isnan(found["plan_offset_mm"])
    assert np.isnan(found["axis_offset_mm"])
    own = {"easting_m": "offset_east_mm", "northing_m": "offset_north_mm"}
    assert all(np.isnan(found[own[name]]) for name in gaps if name in own)
    if "level_m" in gaps and of_design:
        assert np.isnan(found["head_level_difference_mm"])


@settings(deadline=None)
@given(leaning(), st.sets(st.sampled_from(DESIGN)), st.sets(st.sampled_from(GAPS)))
def test_a_gap_anywhere_never_makes_a_number_from_nothing(case, of_design, of_survey):
    """What is unknown with all records stays so without some; an axis needs its direction."""
    whole = measured(case.pile, **case.survey)
    less = {**case.survey, **dict.fromkeys(of_survey, NAN)}
    pile = {**case.pile, **dict.fromkeys(of_design, NAN)}
    found = measured(pile, **less)
    for name in ("offset_east_mm", "offset_north_mm", "plan_offset_mm", "axis_angle_deg"):
        assert np.isnan(found[name]) or not np.isnan(whole[name])
    built = found["built_batter_deg"]
    if np.isnan(built):
        assert np.isnan(found["axis_angle_deg"])
    level, cutoff = less["level_m"], {**PILE, **pile}["cutoff_level_m"]
    leans = built > 0 and np.isnan(less.get("azimuth_deg", NAN)) and "batter_deg" in case.survey
    if leans and level != cutoff:
        assert np.isnan(found["plan_offset_mm"])
