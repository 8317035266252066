"""Outstanding items: one per open finding, what it carries, since when, and in which order."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from core import words
from core.assessment.findings import findings_of_rules
from core.assessment.items import (
    ITEM_COLUMNS,
    ItemFilter,
    areas_of,
    filtered_items,
    items_by_responsible,
    items_by_subject,
    outstanding_items,
    overdue,
    waits_for_engineer,
)
from core.criteria.columns import RowColumns
from core.criteria.findings import other_findings
from core.criteria.kinds import Rule
from core.criteria.outcomes import outcome
from core.subjects.piles.rules import REVISION_WORKED_TO
from core.subjects.registry import FINDING_KIND
from core.subjects.torque.rules import RequiredTorque
from tests.assessment.found import findings
from tests.assessment.one_case import criterion

ON = pd.Timestamp("2026-03-31")
SUBJECTS = {  # area and last day of work
    ("pile", "P1"): ("A", "2026-03-02"),
    ("pile", "P2"): ("B", "2026-03-05"),
    ("instrument", "P1"): (None, "2026-03-09"),
}
FINDING = {
    "subject_kind": "pile",
    "subject": "P1",
    "kind": "required torque",
    "result": "not met",
    "measured": 4800.0,
    "limit_value": 5000.0,
    "sense": "at least",
    "unit_column": "final_torque_nm",
    "clause": "5.1",
    "due_on": None,
    "note": "",
}


def items(*each, entered=()):
    """Items of findings; ``entered`` pairs the place of a finding with a day of its evidence."""
    rows = [{**FINDING, **one} for one in each]
    found = findings(*({**row, "finding": FINDING_KIND[row["kind"]].id} for row in rows))
    newest = np.full(len(rows), "NaT", dtype="datetime64[us]")
    for at, day in entered:
        newest[at] = np.fmax(newest[at], np.datetime64(day))
    about = [SUBJECTS.get((row["subject_kind"], row["subject"]), (None, "NaT")) for row in rows]
    area = np.array([area for area, _ in about], dtype=object)
    worked_on = np.array([day for _, day in about], dtype="datetime64[us]")
    return outstanding_items(found, area, worked_on, newest, np.datetime64("2026-03-31", "us"))


def age(entered=(), **finding):
    return items(finding, entered=[(0, day) for day in entered])["age_days"].iloc[0]


def test_an_item_carries_what_is_measured_against_which_limit_and_who_clears_it():
    item = items({}).iloc[0]
    assert (item["measured"], item["sense"], item["limit_value"]) == (4800.0, "at least", 5000.0)
    assert (item["unit_column"], item["clause"]) == ("final_torque_nm", "5.1")
    assert (item["area"], item["blocks"], item["responsible"]) == ("A", "AC", "DES")
    assert item["closed_by"] == FINDING_KIND["required torque"].closed_by


@pytest.mark.parametrize("result", words.RESULTS)
def test_only_an_open_finding_is_an_item(result):
    assert len(items({"result": result})) == (result in words.OPEN_RESULTS)


def test_age_counts_from_the_later_of_due_day_and_newest_evidence():
    assert age(due_on="2026-03-10", entered=["2026-03-01", "2026-03-21"]) == 10
    assert age(due_on="2026-03-25", entered=["2026-03-01", "2026-03-21"]) == 6
    assert age(entered=["2026-03-01", "2026-03-21"]) == 10
    assert age(due_on="2026-03-31") == 0


def test_without_due_day_and_evidence_age_counts_from_the_last_day_of_work():
    assert age() == 29
    assert pd.isna(age(subject="P9"))


def test_an_instrument_named_like_a_pile_has_its_own_days_and_no_area():
    item = items({"subject_kind": "instrument", "kind": "calibration in force"}).iloc[0]
    assert item["age_days"] == 22
    assert pd.isna(item["area"])


def test_the_worst_result_comes_first_and_of_one_result_the_oldest():
    found = items(
        {"subject": "P1", "result": "noted"},
        {"subject": "P2"},
        {"subject": "P1"},
        {"subject": "P9"},
    )
    assert found["subject"].tolist() == ["P1", "P2", "P9", "P1"]
    assert found["result"].tolist() == ["not met", "not met", "not met", "noted"]


def test_no_finding_gives_an_empty_list_with_its_columns():
    found = items()
    assert found.empty
    assert tuple(found.columns) == ITEM_COLUMNS


@pytest.mark.parametrize(("sense", "margin"), [("at least", -200.0), ("at most", 200.0)])
def test_a_finding_says_on_which_side_of_its_limit_it_should_lie(sense, margin):
    assert (sense, margin) == tuple(finding_of(sense)[["sense", "margin"]])


def test_a_finding_without_a_better_side_has_neither_sense_nor_margin():
    assert finding_of("")["sense"] == ""
    assert np.isnan(finding_of("")["margin"])
    assert other_findings(["P1"], REVISION_WORKED_TO, "not met").text("sense").tolist() == [""]


def test_a_finding_without_evidence_shows_what_is_measured_and_no_margin():
    finding = finding_of("at least", "no evidence")
    assert (finding["measured"], finding["limit_value"]) == (4800.0, 5000.0)
    assert np.isnan(finding["margin"])


def finding_of(sense, result="met"):
    def decide(cases):
        found = outcome(cases, cases["value"] > 0, cases["value"], 5000.0)
        found.put(np.array([True]), result)
        return found

    piles = RowColumns([{"pile_id": "P1", "value": 4800.0}])
    kind = replace(RequiredTorque.mean_torque, sense=sense, needs=())
    rule = Rule(kind, "required_torque", decide)
    return findings_of_rules((rule,), piles, {rule.criterion: criterion({})}).frame().iloc[0]


def listed():
    return items(
        {"subject": "P1", "due_on": "2026-03-10"},
        {"subject": "P2", "due_on": "2026-03-31"},
        {"subject": "P2", "kind": "reading gap above the final window", "result": "noted"},
    )


@pytest.mark.parametrize(
    ("wanted", "count"),
    [
        (ItemFilter(), 3),
        (ItemFilter(area=("B",)), 2),
        (ItemFilter(responsible=("FM",)), 1),
        (ItemFilter(blocks=("C", "P")), 2),
        (ItemFilter(blocks=("H",)), 1),
        (ItemFilter(kind=("required torque",), area=("B",)), 1),
        (ItemFilter(overdue=True), 0),
        (ItemFilter(area=("C",)), 0),
    ],
)
def test_part_of_the_list_is_asked_for(wanted, count):
    assert len(filtered_items(listed(), wanted, ON)) == count


@pytest.mark.parametrize("result", words.OPEN_RESULTS)
def test_only_a_record_or_result_is_overdue_and_no_value_that_waits_for_a_decision(result):
    late = overdue(items({"result": result, "due_on": "2026-03-30"}), ON)
    assert late.tolist() == [result in ("no evidence", "waiting")]


@pytest.mark.parametrize(
    ("due", "late"), [("2026-03-30", True), ("2026-03-31", False), ("2026-04-01", False),
                      (None, False)],
)  # fmt: skip
def test_an_item_is_overdue_from_the_day_after_it_is_due(due, late):
    found = items({"result": "no evidence", "due_on": due})
    assert overdue(found, ON).tolist() == [late]
    assert len(filtered_items(found, ItemFilter(overdue=True), ON)) == late


def test_items_are_counted_by_owner_and_by_what_they_block():
    table = items_by_responsible(listed()).set_index("responsible")
    assert table.loc["DES", ["A", "C", "H", "all", "oldest_days"]].tolist() == [2, 2, 0, 2, 21]
    assert table.loc["FM", ["A", "C", "H", "all"]].tolist() == [0, 0, 1, 1]
    assert list(table.index) == ["DES", "FM"]


def test_a_subject_stands_in_one_line_with_its_kinds_and_its_oldest_age():
    row = items_by_subject(listed()).set_index("subject").loc["P2"]
    assert row["kinds"] == "required torque, reading gap above the final window"
    assert (row["owners"], row["oldest_days"], row["area"]) == ("DES, FM", 26, "B")


def test_no_item_is_counted_in_an_empty_list():
    assert items_by_responsible(listed().iloc[:0]).empty


def test_a_pile_waits_for_the_engineer_as_long_as_its_oldest_finding_that_asks_for_it():
    piles = pd.DataFrame(
        {"pile_id": ["P1", "P2", "P3"], "counted": [True, True, False]}
    ).assign(state="engineer review")  # fmt: skip
    found = items(
        {"due_on": "2026-03-20"},
        {"due_on": "2026-03-10"},
        {"due_on": "2026-03-01", "result": "no evidence"},
        {"due_on": "2026-03-01", "subject": "P3"},
    )
    waits = waits_for_engineer(piles, found)
    assert waits["pile_id"].tolist() == ["P1", "P2"]
    assert waits["age_days"].tolist()[0] == 21
    assert pd.isna(waits["age_days"].iloc[1])


SHARED = {"kind": "required torque cross-check", "result": "noted", "item": "type T1, 100 kN"}


def test_findings_that_share_an_item_are_one_line_that_names_their_piles():
    found = items(
        {**SHARED, "subject": "P1", "note": "differs by 5 %", "due_on": "2026-03-10"},
        {"subject": "P1"},
        {**SHARED, "subject": "P2", "note": "differs by 5 %", "due_on": "2026-03-20"},
    )
    assert found["subject"].tolist() == ["P1", "type T1, 100 kN"]
    shared = found.iloc[1]
    assert (shared["subject_kind"], shared["piles"], shared["area"]) == (
        "case",
        ("P1", "P2"),
        "A, B",
    )
    assert shared["note"] == "differs by 5 %; 2 piles: P1, P2"
    assert (shared["due"], shared["age_days"]) == (pd.Timestamp("2026-03-10"), 21)
    assert (shared["measured"], shared["limit_value"]) == (4800.0, 5000.0)


def test_what_findings_of_a_shared_item_do_not_have_in_common_is_left_out():
    found = items({**SHARED}, {**SHARED, "subject": "P2", "measured": 5100.0, "clause": "5.2"})
    assert len(found) == 1
    assert pd.isna(found["measured"].item())
    assert (found["limit_value"].item(), found["clause"].item()) == (5000.0, "")


def test_findings_of_another_kind_result_or_item_are_not_shared():
    found = items(
        {**SHARED},
        {**SHARED, "result": "no evidence"},
        {**SHARED, "kind": "no torque factor for this case"},
        {**SHARED, "item": "type T2, 100 kN"},
    )
    assert len(found) == 4


def test_a_shared_item_of_several_areas_is_found_under_each():
    found = items({**SHARED}, {**SHARED, "subject": "P2"}, {"subject": "P2"})
    assert areas_of(found) == ["A", "B"]
    for area, number in (("A", 1), ("B", 2), ("C", 0)):
        assert len(filtered_items(found, ItemFilter(area=(area,)), ON)) == number


def test_a_pile_waits_for_the_engineer_as_long_as_a_shared_item_that_asks_for_it():
    piles = pd.DataFrame({"pile_id": ["P1", "P2"], "counted": True, "state": "engineer review"})
    found = items(
        {**SHARED, "result": "not met", "due_on": "2026-03-10"},
        {**SHARED, "result": "not met", "due_on": "2026-03-20", "subject": "P2"},
    )
    assert waits_for_engineer(piles, found)["age_days"].tolist() == [21, 21]
