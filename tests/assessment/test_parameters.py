"""A parameter that set criteria lack: no evidence, named, and one finding per criteria set."""

from dataclasses import replace

import numpy as np
import pytest

from core.assessment.findings import findings_of_rules, parameters_not_set
from core.criteria.columns import RowColumns, text_array
from core.criteria.kinds import Rule
from core.criteria.outcomes import outcome
from core.subjects.torque.rules import RequiredTorque
from tests.assessment.one_case import criterion

PILES = RowColumns(
    [
        {"pile_id": "P1", "torque_nm": 6.0},
        {"pile_id": "P2", "torque_nm": 4.0},
        {"pile_id": "P3", "torque_nm": None},
    ]
)


def against_five(cases):
    torque = cases["torque_nm"]
    found = outcome(cases, torque >= 5.0, torque, 5.0)
    found.put(np.isnan(torque), note="no readings")
    return found


def findings(near_mm=None, status="set", needs=("torque.near_mm",), is_due=True, of="torque"):
    """Findings of one rule on three piles: one met, one not met, one without readings."""
    row = {"criterion_status": status, "near_mm": near_mm}
    criteria = {
        "torque": criterion(row, row, row, is_due=is_due),
        "other": criterion({}, {}, {}),
    }
    rule = Rule(replace(RequiredTorque.mean_torque, needs=needs), of, against_five)
    return findings_of_rules([rule], PILES, criteria).frame()


def test_a_parameter_that_is_set_changes_nothing():
    found = findings(near_mm=150)
    assert found["result"].tolist() == ["met", "not met", "no evidence"]
    assert set(found["parameter"]) == {""}


def test_what_would_be_met_is_no_evidence_while_the_parameter_is_missing_and_names_it():
    met = findings().iloc[0]
    assert (met["result"], met["parameter"]) == ("no evidence", "torque.near_mm")
    assert met["note"] == "torque.near_mm is not set in project.toml"
    assert np.isnan(met["margin"])


def test_what_is_not_met_or_lacks_something_else_is_no_better_for_a_missing_parameter():
    found = findings()
    assert found["result"].tolist()[1:] == ["not met", "no evidence"]
    assert found["parameter"].tolist()[1:] == ["", ""]
    assert found["note"].iloc[2] == "no readings"


@pytest.mark.parametrize("changed", [{"status": "not required"}, {"is_due": False}])
def test_a_rule_that_is_not_required_or_not_yet_due_waits_for_no_parameter(changed):
    assert set(findings(**changed)["parameter"]) == {""}


def test_a_parameter_of_another_criterion_is_missing_only_while_that_one_is_set():
    assert findings(of="other")["result"].iloc[0] == "no evidence"
    assert findings(of="other", status="not required")["result"].iloc[0] == "met"


def test_each_parameter_of_each_criteria_set_is_one_finding_with_the_number_of_its_piles():
    lacks_x = ({}, {}, {}, {"x": 1.0}, {})
    lacks_y = ({}, {"y": 1.0}, {"y": 1.0}, {"y": 1.0}, {"y": 1.0})
    criteria = {"a": criterion(*lacks_x), "b": criterion(*lacks_y)}
    kinds = [
        replace(RequiredTorque.mean_torque, needs=needs) for needs in (("a.x",), ("a.x", "b.y"))
    ]
    piles = RowColumns([{"pile_id": f"P{at}", "torque_nm": 6.0} for at in range(1, 6)])
    waits = findings_of_rules([Rule(kind, "a", against_five) for kind in kinds], piles, criteria)
    found = parameters_not_set(waits, text_array(["deck", "deck", "wall", "wall", ""])).frame()
    assert list(zip(found["subject"], found["note"], strict=True)) == [
        ("deck", "a.x is not set in project.toml; affects 2 piles"),
        ("deck", "b.y is not set in project.toml; affects 1 pile"),
        ("wall", "a.x is not set in project.toml; affects 1 pile"),
    ]
    assert set(found["subject_kind"]) == {"criteria set"}
    assert found["pile_id"].isna().all()
