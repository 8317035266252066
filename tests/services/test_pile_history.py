"""The history of one pile: what was done to it by day, and every entry that speaks of it."""

from __future__ import annotations

import pytest

from core import services
from tests.services.small import log, small_project, take_in
from tests.services.whole_job import whole_project


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """The whole job assessed."""
    return services.assess(whole_project(tmp_path_factory.mktemp("whole")))


def history(assessment, pile="101"):
    """The history of one pile of an assessment."""
    piles = assessment.piles
    return services.pile_history(assessment, piles[piles["position_id"].eq(pile)].iloc[0])


def done(found) -> list[tuple[str, str]]:
    days = found.works["happened_on"].dt.strftime("%Y-%m-%d")
    return list(zip(days, found.works["happening"], strict=True))


def test_everything_done_to_a_pile_comes_by_day_the_newest_first(whole):
    assert done(history(whole)) == [
        ("2026-03-30", "strength"),
        ("2026-03-20", "survey"),
        ("2026-03-09", "strength"),
        ("2026-03-04", "survey"),
        ("2026-03-02", "grout"),
        ("2026-03-02", "run"),
        ("2026-03-02", "sample"),
        ("2026-03-02", "string"),
        ("2026-02-01", "revision"),
    ]


def test_what_was_done_names_who_entered_it_and_the_file(whole):
    works = history(whole).works.set_index("happening")
    assert works.loc["grout", ["person", "source", "detail", "amount"]].tolist() == [
        "Bo Invented",
        "placements.csv",
        "B1, B2",
        3,
    ]
    assert works.loc["string", "amount"] == 2
    # The minimum of 41.0 and 38.5 MPa, tested on the same day.
    assert works["amount"].loc[["strength"]].tolist() == [38.5, 24.5]


def test_every_entry_that_holds_rows_about_a_pile_is_listed_with_what_it_holds(whole):
    found = history(whole)
    log_entry = found.entries.loc[found.entries["source"].eq("log.csv"), "entry_no"].item()
    own = found.about[found.about["entry_no"].eq(log_entry)].set_index("kind")["rows"]
    assert own.to_dict() == {"run": 1, "torque_reading": 10}
    assert found.entries["entry_no"].is_monotonic_decreasing


def test_another_pile_has_its_own_history(whole):
    found = history(whole, "102")
    assert done(found) == [("2026-02-01", "revision")]
    assert found.entries["source"].tolist() == ["schedule.csv"]


def test_a_withdrawal_stands_in_the_history_and_takes_its_rows_out_of_it(tmp_path):
    folder = small_project(tmp_path, log())
    entries = services.history(folder)
    log_entry = int(entries.loc[entries["source"].eq("log_1.csv"), "entry_no"].item())
    services.withdraw(folder, log_entry, "Ada Invented", "wrong pile")
    found = history(services.assess(folder))
    assert [happening for _, happening in done(found)] == ["revision"]
    assert found.entries["withdraws"].tolist()[0] == log_entry
    assert not found.entries.set_index("entry_no").loc[log_entry, "active"]


def test_as_of_an_earlier_entry_later_ones_are_not_in_the_history(tmp_path):
    folder = small_project(tmp_path, log())
    before = len(services.history(folder))
    take_in(folder, ("second.csv", log(run="2", day="2026-03-05")))
    runs = [happening for _, happening in done(history(services.assess(folder)))]
    assert runs.count("run") == 2
    earlier = history(services.assess(folder, before))
    assert [happening for _, happening in done(earlier)].count("run") == 1
    assert earlier.entries["entry_no"].max() <= before
