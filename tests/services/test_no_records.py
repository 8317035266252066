"""Projects in which next to nothing is recorded: everything runs, and nothing is accepted."""

import pytest

from core import records, services
from tests.services import small, whole_job

PILE = "Pile,Position\nX1,X1\n"
BARE = {
    "nothing": (),
    "one pile record": (("piles.csv", PILE),),
    "a schedule": (("schedule.csv", small.SCHEDULE),),
    "a schedule with levels": (("schedule.csv", whole_job.LEVELS),),
}
SETTINGS = {"torque alone": small.SETTINGS, "every subject": whole_job.settings()}


@pytest.fixture(params=SETTINGS.values(), ids=SETTINGS)
def judged(tmp_path, request):
    """From the name of what is recorded to its assessment."""

    def assess(name):
        return services.assess(small.started(tmp_path, request.param, *BARE[name]))

    return assess


def test_a_project_without_a_record_has_no_pile_and_no_finding_of_one(judged):
    found = judged("nothing")
    assert len(found.piles) == len(found.positions) == 0
    assert found.findings["pile_id"].notna().sum() == 0
    assert found.evidence().empty
    assert (found.current_positions, found.accepted_positions, found.runs_not_closed) == (0, 0, 0)
    assert set(found.counts.values()) == {0}
    assert found.measured.profile.empty
    assert found.measured.trace.empty


def test_a_pile_record_alone_is_a_pile_that_is_not_started(judged):
    found = judged("one pile record")
    assert found.piles["pile_id"].tolist() == ["X1"]
    assert small.state(found, "X1") == "not started"
    assert (found.current_positions, found.accepted_positions) == (0, 0)
    assert found.findings["pile_id"].notna().sum() == 0
    assert not found.measured.piles[[one.name for one in records.MEASURES]].notna().any(axis=None)


@pytest.mark.parametrize("name", ["a schedule", "a schedule with levels"])
def test_a_schedule_alone_is_positions_that_are_not_started(judged, name):
    found = judged(name)
    assert found.piles["pile_id"].isna().all()
    assert set(found.piles["state"]) == {"not started"}
    assert (found.current_positions, found.accepted_positions) == (3, 0)
    assert found.findings["pile_id"].notna().sum() == 0


@pytest.mark.parametrize("name", BARE)
def test_everything_that_shows_an_assessment_runs(judged, name):
    found = judged(name)
    assert not found.attention["result"].isin(["met", "not met"]).any()
    assert services.compared(found).readings.empty
    assert services.grouting(found).lifts.empty
    assert services.steel_of(found).stock.empty
    for pile in found.piles["pile_id"].dropna():
        sheet = services.worksheet(found, pile)
        assert not any(step.value == step.value for step in sheet.steps), pile  # NaN alone
