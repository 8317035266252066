"""The engine of rules: which piles a rule decides, criteria that are not set, and the order."""

import numpy as np

from core.assessment.findings import criteria_not_set, findings_of_rules, sorted_findings
from core.criteria.columns import RowColumns, text_array
from core.criteria.findings import other_findings
from core.criteria.kinds import Rule
from core.criteria.outcomes import outcome
from core.subjects.piles.rules import Embedment
from core.subjects.registry import FINDING
from tests.assessment.one_case import criterion

PILES = RowColumns([{"pile_id": f"P{at}", "depth_mm": depth} for at, depth in enumerate((5, 9, 9))])


def deep(cases):
    return outcome(cases, cases["depth_mm"] > 6, cases["depth_mm"], cases["limit_mm"])


def found(*rows, is_due=(True, True, True)):
    asked = criterion(*rows)
    asked.is_due[:] = is_due
    rule = Rule(Embedment.embedment, "embedment", deep)
    return findings_of_rules([rule], PILES, {"embedment": asked}).frame()


SET, NOT_REQUIRED = {"limit_mm": 6.0}, {"criterion_status": "not required", "clause": "7"}


def test_a_rule_decides_the_piles_of_which_it_is_due_and_says_what_it_asks_of_the_others():
    every = found(SET, SET, SET)
    assert every["result"].tolist() == ["not met", "met", "met"]
    some = found(SET, NOT_REQUIRED, SET, is_due=(True, True, False))
    assert some["result"].tolist() == ["not met", "not required", "not yet due"]
    assert some["clause"].tolist() == ["5.1", "7", "5.1"]
    assert some["measured"].isna().tolist() == [False, True, True]
    assert some["sense"].tolist() == ["at least"] * 3


def test_a_criterion_about_which_a_type_is_silent_is_one_finding_of_each_pile_at_work():
    silent = found({"criterion_status": "not set"}, SET, {"criterion_status": "does not apply"})
    assert silent["subject"].tolist() == ["P1"]
    status = [{"criterion_status": "not set"}] * 3
    piles, sets = PILES.text("pile_id"), text_array(["deck", "", "wall"])
    at_work = np.array([True, True, False])
    missing = criteria_not_set({"embedment": criterion(*status)}, piles, at_work, sets)
    assert missing.text("item").tolist() == ["deck: embedment", ""]
    assert missing.text("part").tolist() == ["embedment", "embedment"]
    assert (
        len(criteria_not_set({"embedment": criterion(*status)}, piles, ~at_work & False, sets)) == 0
    )


def test_findings_are_sorted_by_result_and_then_in_the_order_of_the_kinds():
    later, first = FINDING["grout_take"], FINDING["embedment"]
    parts = [
        other_findings(["P1", "P2"], later, "met"),
        other_findings(["P3"], later, "not met"),
        other_findings(["P4"], first, "met"),
    ]
    ordered = sorted_findings(parts)
    assert ordered.text("subject").tolist() == ["P3", "P4", "P1", "P2"]
    assert sorted_findings([ordered]) is ordered
    assert len(sorted_findings([])) == 0
