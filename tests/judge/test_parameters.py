"""A parameter that set criteria lack: no evidence, named, and one finding per criteria set."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from core.criteria import Rule
from core.criteria.findings import outcome
from core.criteria.torque import RequiredTorque
from core.judge.findings import findings_of_rules, parameters_not_set

DAY = pd.Timestamp("2026-03-03")
PILES = pd.DataFrame({"pile_id": ["P1", "P2", "P3"], "torque_nm": [6.0, 4.0, np.nan]})


def against_five(cases):
    found = outcome(cases, cases["torque_nm"] >= 5.0, cases["torque_nm"], 5.0)
    found.loc[cases["torque_nm"].isna(), "note"] = "no readings"
    return found


def findings(near_mm=None, status="set", needs=("torque.near_mm",), is_due=True, of="torque"):
    """Findings of one rule on three piles: one met, one not met, one without readings."""
    criterion = {"criterion_status": status, "clause": "5.1", "due_on": DAY, "is_due": is_due}
    frame = pd.DataFrame([{**criterion, "near_mm": near_mm}] * len(PILES))
    rule = Rule(replace(RequiredTorque.mean_torque, needs=needs), of, against_five)
    set_ = frame.assign(criterion_status="set").drop(columns="near_mm")
    return findings_of_rules([rule], PILES, {"torque": frame, "other": set_})


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
    waits = pd.DataFrame(
        {
            "pile_id": ["P1", "P1", "P2", "P3", "P3"],
            "parameter": ["a.x", "a.x, b.y", "a.x", "a.x", ""],
        }
    )
    found = parameters_not_set(waits, pd.Series({"P1": "deck", "P2": "deck", "P3": "wall"}))
    assert list(zip(found["subject"], found["note"], strict=True)) == [
        ("deck", "a.x is not set in project.toml; affects 2 piles"),
        ("deck", "b.y is not set in project.toml; affects 1 pile"),
        ("wall", "a.x is not set in project.toml; affects 1 pile"),
    ]
    assert set(found["subject_kind"]) == {"criteria set"}
    assert found["pile_id"].isna().all()
