"""Surveys, stage records and samples of piles or groups on no record: kept, listed, resolved."""

import pytest

from core import services
from tests.services.small import SCHEDULE, log, small_project, state, take_in

SURVEY = (
    "Pile,Survey stage,Date,Easting (m),Northing (m),Level (m)\n"
    "101,after cut-off,2026-03-06,100.0,200.0,5.0\nZ-77,after cut-off,2026-03-06,1.0,2.0,5.0\n"
)
STAGES = "Pile,Stage,Date\nZ-77,{stage},2026-03-05\n"
MEMBERS = "Sample group,Pile\nG1,Z-77\n"
SPECIMENS = "Specimen,Sample group,Taken,Age (d)\nS1,G1,2026-03-02,28\n"
UNKNOWN, EMPTY = "record of an unknown pile", "sample group without specimens"
FILES = {
    "survey": (SURVEY, "survey: names.csv row 3"),
    "released": (STAGES.format(stage="released"), "stage record: names.csv row 2"),
    "cut off": (STAGES.format(stage="cut off"), "stage record: names.csv row 2"),
    "members": (MEMBERS, "pile of a sample group: names.csv row 2"),
}


@pytest.fixture
def project(tmp_path):
    return small_project(tmp_path, log())


def items(folder, kind=UNKNOWN):
    found = services.assess(folder).attention
    rows = found[found["kind"].eq(kind)]
    return rows[["subject_kind", "subject", "result", "note"]].to_numpy().tolist()


@pytest.mark.parametrize("name", FILES)
def test_a_record_of_an_unknown_pile_is_an_item_with_file_and_row(project, name):
    text, note = FILES[name]
    assert not take_in(project, ("names.csv", text)).refused
    assert items(project) == [["pile", "Z-77", "no evidence", note]]
    assert state(services.assess(project)) == "criteria met"  # others are not touched
    found = services.assessment_object(services.assess(project))
    listed = [*found["findings"], *(one for pile in found["piles"] for one in pile["findings"])]
    own = next(one for one in listed if one["kind"] == UNKNOWN)
    assert [place["file"] for place in own["evidence"]] == ["names.csv"]


@pytest.mark.parametrize("name", FILES)
def test_the_item_is_resolved_by_schedule_run_or_pile(project, name):
    take_in(project, ("names.csv", FILES[name][0]))
    after = SCHEDULE.replace("103,A", "Z-77,B").splitlines(keepends=True)
    resolving = {
        "schedule": "".join([after[0], after[-1]]),
        "run": log("Z-77"),
        "pile": "Pile,Position served\nZ-77,103\n",
    }
    for file, text in resolving.items():
        report = take_in(project, (f"{file}.csv", text))
        assert not report.refused
        assert items(project) == []
        services.withdraw(project, report.entries[-1], "Ada Invented", "tried")
        assert len(items(project)) == 1


def test_a_corrected_file_resolves_the_item(project):
    take_in(project, ("names.csv", SURVEY))
    corrected = SURVEY.replace("Z-77", "102")
    assert not take_in(project, ("names.csv", corrected), replace=True).refused
    assert items(project) == []


def test_several_rows_of_one_pile_are_one_item(project):
    take_in(project, ("names.csv", SURVEY), ("stages.csv", STAGES.format(stage="released")))
    [[_, subject, _, note]] = items(project)
    assert subject == "Z-77"
    assert note == "stage record: stages.csv row 2; survey: names.csv row 3"


def test_a_sample_group_without_specimens_is_an_item_until_they_are_there(project):
    members = "Sample group,Pile\nG1,101\nG1,102\n"
    take_in(project, ("members.csv", members))
    note = "pile of a sample group: members.csv row 2, 3"
    assert items(project, EMPTY) == [["sample group", "G1", "no evidence", note]]
    assert items(project) == []
    assert state(services.assess(project)) == "criteria met"
    take_in(project, ("specimens.csv", SPECIMENS))
    assert items(project, EMPTY) == []
