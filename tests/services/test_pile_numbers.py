"""Pile numbers that differ from the schedule: matched, asked about, or kept as they are."""

import shutil

import pytest

from core import services
from core.errors import WrongUse
from core.ledger import Ledger
from tests.services.small import ledger, log, small_project, state, take_in

SCHEDULED = """\
Position,Revision,Issued on,Status,Area,Type,Easting (m),Northing (m),Direction,\
Required torque (kN·m),Minimum embedment (m)
"""


def schedule(*positions):
    """A second revision with more positions."""
    rows = [
        f"{position},B,2026-02-10,for construction,A,T1,{100 + at}.0,210.0,compression,5.0,2.4"
        for at, position in enumerate(positions)
    ]
    return "schedule_b.csv", SCHEDULED + "\n".join(rows) + "\n"


@pytest.fixture(scope="module")
def scheduled(tmp_path_factory):
    """A project whose schedule has positions of other forms besides 101 to 103."""
    folder = small_project(tmp_path_factory.mktemp("scheduled"))
    take_in(folder, schedule("B12-1", "B14-3", "P-1"))
    return folder


@pytest.fixture
def project(scheduled, tmp_path):
    """A copy of it for one test."""
    return shutil.copytree(scheduled, tmp_path / "project")


def piles_with_runs(folder):
    piles = services.assess(folder).piles
    return sorted(piles.loc[piles["runs"] > 0, "pile_id"])


@pytest.mark.parametrize("written", ["b12-1", "B 12-1", "B12 - 1", "b12\u20131", "B12-\u00a01"])
def test_letter_case_and_spacing_do_not_matter(project, written):
    report = take_in(project, ("log_1.csv", log(written)))
    assert not report.refused
    assert piles_with_runs(project) == ["B12-1"]
    assert state(services.assess(project), "B12-1") == "criteria met"
    notice = services.notice_sentence(report.notices.iloc[0])
    assert notice.startswith("log_1.csv, row 2: Pile “")
    assert "is read as B12-1: letter case and spacing do not matter" in notice


def test_every_kind_of_record_is_matched(project):
    take_in(project, ("log_1.csv", log("B12-1")))
    files = {
        "readings.csv": "Pile,Run,Depth (m),Torque (kN·m)\nb12-1,1,3.1,6.6\n",
        "stages.csv": "Pile,Stage,Date\nb12-1,cut off,2026-03-05\n",
        "piles.csv": "Pile,Position served\nB12-1R,b14 - 3\n",
        "members.csv": "Sample group,Pile\nG1,b12-1\n",
        "surveys.csv": "Pile,Survey stage,Date,Easting (m),Northing (m),Level (m)\n"
        "b12-1,after cut-off,2026-03-06,100.0,210.0,5.0\n",
    }
    report = take_in(project, *files.items())
    assert not report.refused
    assert len(report.notices) == len(files)
    with Ledger(project).read() as reader:
        last = reader.last_entry()
        assert reader.current_frame("pile", last)["position_id"].tolist() == ["B14-3"]
        for kind in ("stage_record", "sample_group_member", "survey"):
            assert reader.current_frame(kind, last)["pile_id"].tolist() == ["B12-1"]
        assert set(reader.current_frame("torque_reading", last)["pile_id"]) == {"B12-1"}


def test_one_pile_in_two_spellings_of_one_file_is_one_run(project):
    lines = log("B14-3").splitlines(keepends=True)
    mixed = "".join([*lines[:6], *(line.replace("B14-3", "b14-3") for line in lines[6:])])
    report = take_in(project, ("log_1.csv", mixed))
    assert not report.refused
    assert report.rows["added"] == 11
    assert piles_with_runs(project) == ["B14-3"]
    assert report.notices["row"].tolist() == [7]


def test_a_pile_twice_in_a_schedule_in_two_spellings_is_a_problem(project):
    report = take_in(project, schedule("B20-1", "b20-1"))
    assert report.refused
    assert report.problems["row"].tolist() == [3]
    assert "holds the same" in report.problems["problem"].item()


def test_the_schedule_and_a_log_of_one_command_match(tmp_path):
    folder = small_project(tmp_path)
    report = take_in(folder, ("a_log.csv", log("c 1")), schedule("C1"))
    assert not report.refused
    assert piles_with_runs(folder) == ["C1"]


def test_numbers_before_any_schedule_are_taken_and_the_schedule_joins_them(tmp_path):
    from tests.services.small import CERTIFICATES, INSTRUMENTS, SETTINGS, started

    first = [("instruments.csv", INSTRUMENTS), ("certificates.csv", CERTIFICATES)]
    folder = started(tmp_path, SETTINGS, *first, ("log_1.csv", log("c1")))
    report = take_in(folder, schedule("C1", "C2"))
    assert not report.refused
    assert services.assess(folder).current_positions == 2
    assert piles_with_runs(folder) == ["c1"]
    found = services.assess(folder).findings
    assert "pile not on any schedule" not in set(found["kind"])


@pytest.mark.parametrize("written", ["B1-21", "B12-7", "B121", "B12-11", "b12 -7"])
def test_a_number_one_character_from_a_scheduled_pile_without_a_run_is_asked(project, written):
    before = ledger(project)
    report = take_in(project, ("log_1.csv", log(written)))
    assert report.refused
    assert report.questions[["written", "candidate", "row", "rows"]].to_numpy().tolist() == [
        [written, "B12-1", 2, 10]
    ]
    problem = services.problem_sentence(report.problems.iloc[0])
    assert f"{written} is not on the schedule; did you mean B12-1?" in problem
    assert f'--pile-number "{written}=B12-1"' in problem
    assert ledger(project) == before


def test_an_answer_maps_the_number_in_all_files_of_the_command_and_is_kept(project):
    string = "Pile,Run,Depth (m),Torque (kN·m)\nB1-21,1,3.1,6.6\n"
    files = ("log_1.csv", log("B1-21")), ("more.csv", string)
    assert len(take_in(project, *files).questions) == 2
    report = take_in(project, *files, pile_numbers={"B1-21": "B12-1"})
    assert not report.refused
    assert piles_with_runs(project) == ["B12-1"]
    assert "is read as B12-1: as answered" in report.notices["notice"].iloc[0]
    again = take_in(project, ("log_1.csv", log("B1-21").replace("2.7,6.4", "2.7,6.3")))
    assert not again.refused
    assert again.rows["superseded"] == 1
    assert piles_with_runs(project) == ["B12-1"]


def test_a_confirmed_number_is_another_pile_with_its_item_and_not_asked_again(project):
    report = take_in(project, ("log_1.csv", log("B1-21")), pile_numbers={"B1-21": "B1-21"})
    assert not report.refused
    found = services.assess(project).findings
    lost = found[found["kind"].eq("pile not on any schedule")]
    assert lost["subject"].tolist() == ["B1-21"]
    assert not take_in(project, ("log_2.csv", log("B1-21", run="2", day="2026-03-04"))).refused


def test_leaving_out_bad_rows_leaves_the_rows_of_the_number_out(project):
    both = log("B1-21") + log("101").split("\n", 1)[1]
    report = take_in(project, ("log_1.csv", both), skip_bad_rows=True)
    assert not report.refused
    assert report.rows["skipped"] == 10
    assert piles_with_runs(project) == ["101"]


@pytest.mark.parametrize(
    "number", ["101A", "101R", "TP-1", "E-1", "EX101", "104", "B12-1R", "B12-2", "X-77"]
)
def test_new_piles_are_taken_without_a_question(project, number):
    take_in(project, ("log_1.csv", log("102")), ("log_2.csv", log("103")))
    report = take_in(project, ("log_3.csv", log(number)))
    assert not report.refused
    assert report.questions.empty
    assert number in piles_with_runs(project)


def test_a_number_near_several_or_near_a_pile_with_its_run_is_not_asked(project):
    assert not take_in(project, ("log_1.csv", log("107"))).refused  # 101, 102 and 103 are open
    assert not take_in(project, ("log_2.csv", log("B12-1"))).refused
    assert not take_in(project, ("log_3.csv", log("B12-7"))).refused


def test_an_answer_that_means_no_pile_is_wrong_use(project):
    with pytest.raises(WrongUse, match="There is no pile Z-9"):
        take_in(project, ("log_1.csv", log("B1-21")), pile_numbers={"B1-21": "Z-9"})
    with pytest.raises(WrongUse, match="Pile 101 is on the schedule"):
        take_in(project, ("log_1.csv", log("101")), pile_numbers={"101": "102"})


def test_two_rows_that_an_answer_makes_one_are_a_problem(project):
    both = log("B12-1") + log("B1-22").split("\n", 1)[1]
    report = take_in(project, ("log_1.csv", both), pile_numbers={"B1-22": "B12-1"})
    assert report.refused
    assert "hold the same run (B12-1 / 1)" in report.problems["problem"].iloc[0]
