"""Sign-offs compared with what is seen now: what has worsened, whose pile is gone, what is left."""

import numpy as np
import pandas as pd
import pytest

from core import records
from core.assessment.sign_offs import (
    JUDGED_BY_ALL,
    NotCompared,
    changed_findings,
    compared,
    kind_keys,
    not_covered_by_sign_offs,
)
from core.criteria.kinds import CRITERION_NOT_SET
from core.records.current_rows import CurrentRows
from core.subjects.piles.rules import SIGN_OFF_CHANGED
from tests.assessment.found import findings
from tests.assessment.test_sign_off_differences import RATED, TORQUE, finding, seen

SIGN_OFF = records.KIND["sign_off"]
GOOD = seen(TORQUE, RATED)
WORSE = seen(finding(TORQUE, "not met", "4900"), RATED)
WORSENED = "required torque: met → not met"
LEFT_OUT = NotCompared(frozenset({"mean_torque"}))


def signed(*rows):
    """Sign-offs as rows of the ledger, entry after entry, from their pile, role and what it saw."""
    if not rows:
        return CurrentRows.none(SIGN_OFF)
    given = [
        {"subject": pile, "role": role, "person": f"{role} {pile}", "seen": saw, "digest": "d",
         "signed_on": f"2026-04-{at:02d}"}
        for at, (pile, role, saw) in enumerate(rows, start=1)
    ]  # fmt: skip
    frame = records.typed(pd.DataFrame(given), SIGN_OFF.columns)
    return CurrentRows.of_frame(frame.assign(entry_no=range(1, len(rows) + 1), row_no=1, sheet=""))


def against(now, *rows, unjudged=None, newer=None):
    """``rows`` compared with what is seen of each pile ``now``."""
    given = unjudged or [JUDGED_BY_ALL] * len(rows)
    return compared(signed(*rows), now, given, newer or [frozenset()] * len(rows))


def test_no_sign_off_is_compared_with_nothing():
    for now in ({}, {"P1": GOOD}):
        found = against(now)
        assert (found.changed, found.gone, found.is_valid, found.subjects) == ([], [], [], [])
        assert (found.latest, found.latest_valid) == ({}, {})
        assert (found.persons, found.roles, len(found.signed_on), len(found.entry_no)) == (
            [], [], 0, 0
        )  # fmt: skip
        assert len(changed_findings(found)) == 0
        assert not_covered_by_sign_offs(findings(), found).tolist() == []
        assert not_covered_by_sign_offs(findings({"subject": "P1"}), found).tolist() == [False]


def test_each_sign_off_is_compared_with_what_is_seen_of_its_own_pile():
    rows = (("P1", "engineer", GOOD), ("P2", "engineer", GOOD), ("P3", "engineer", GOOD))
    found = against({"P2": WORSE, "P1": GOOD}, *rows)
    assert found.changed == ["", WORSENED, "the pile is gone"]
    assert found.gone == [False, False, True]
    assert found.is_valid == [True, False, False]
    assert found.persons == ["engineer P1", "engineer P2", "engineer P3"]
    assert found.entry_no.tolist() == [1, 2, 3]
    assert str(found.signed_on[2])[:10] == "2026-04-03"


def test_the_last_sign_off_of_a_pile_and_the_last_that_stands_may_differ():
    rows = (("P1", "engineer", WORSE), ("P1", "client", GOOD), ("P2", "engineer", GOOD))
    found = against({"P1": WORSE, "P2": WORSE}, *rows)
    assert found.changed == ["", WORSENED, WORSENED]
    assert found.latest == {"P1": 1, "P2": 2}
    assert found.latest_valid == {"P1": 0}


def test_what_one_sign_off_is_not_compared_on_leaves_another_as_it_is():
    rows = (("P1", "engineer", GOOD), ("P2", "engineer", GOOD))
    newer = [frozenset({"torque_factor"}), frozenset()]
    found = against(
        {"P1": WORSE, "P2": WORSE}, *rows, unjudged=[LEFT_OUT, JUDGED_BY_ALL], newer=newer
    )
    assert found.changed[1] == WORSENED
    assert WORSENED not in found.changed[0]  # the lower measured value alone may drop it
    assert found.unjudged == [LEFT_OUT.kinds, frozenset()]
    assert found.newer == newer


def test_as_many_sign_offs_as_there_are_things_not_compared():
    with pytest.raises(ValueError, match="zip"):
        compared(signed(("P1", "engineer", GOOD)), {"P1": GOOD}, [], [])


def test_a_dropped_sign_off_is_one_finding_unless_its_pile_is_gone():
    rows = (("P1", "engineer", GOOD), ("P1", "client", GOOD), ("P2", "engineer", GOOD),
            ("P3", "engineer", GOOD))  # fmt: skip
    found = changed_findings(against({"P1": WORSE, "P2": GOOD}, *rows))
    assert found.text("subject").tolist() == found.text("pile_id").tolist() == ["P1", "P1"]
    assert set(found.text("finding")) == {SIGN_OFF_CHANGED.id}
    assert set(found.text("result")) == {"noted"}
    assert found.text("note").tolist() == [WORSENED, WORSENED]
    assert found.text("part").tolist() == ["engineer", "client"]
    assert set(found.text("measure")) == {"sign_off"}


FOUND = findings(
    {"subject": "P1", "finding": "mean_torque", "result": "not met"},
    {"subject": "P1", "finding": "mean_torque", "result": "noted"},
    {"subject": "P1", "finding": "rated_torque", "result": "not met"},
    {"subject": "P2", "finding": "mean_torque", "result": "no evidence"},
    {"subject": "P3", "finding": "mean_torque", "result": "not met"},
    {"subject": "P1", "finding": "mean_torque", "result": "not met", "subject_kind": "lot"},
)


def test_findings_of_a_kind_that_the_standing_sign_off_does_not_judge_are_outside():
    rows = (("P1", "engineer", GOOD), ("P2", "engineer", GOOD))
    every = [LEFT_OUT, JUDGED_BY_ALL]
    outside = not_covered_by_sign_offs(
        FOUND, against({"P1": GOOD, "P2": GOOD}, *rows, unjudged=every)
    )
    assert outside.tolist() == [True, False, False, False, False, False]


def test_a_sign_off_that_does_not_stand_leaves_nothing_outside():
    lower = seen(finding(TORQUE, measured="6300"), RATED)
    found = against({"P1": lower}, ("P1", "engineer", GOOD), unjudged=[LEFT_OUT])
    assert found.is_valid == [False]
    assert not not_covered_by_sign_offs(FOUND, found).any()


def test_the_last_sign_off_that_stands_says_what_is_outside():
    rows = (("P1", "engineer", GOOD), ("P1", "client", GOOD))
    first_only, last_only = [LEFT_OUT, JUDGED_BY_ALL], [JUDGED_BY_ALL, LEFT_OUT]
    now = {"P1": GOOD}
    assert not not_covered_by_sign_offs(FOUND, against(now, *rows, unjudged=first_only)).any()
    assert not_covered_by_sign_offs(FOUND, against(now, *rows, unjudged=last_only)).sum() == 1


def test_a_criterion_that_is_not_set_is_outside_by_its_own_name():
    unset = [
        {"subject": "P1", "finding": CRITERION_NOT_SET.id, "result": "no evidence", "part": part}
        for part in ("embedment", "torque_factor")
    ]
    of = findings(*unset)
    codes, keys = kind_keys(of)
    own = [keys[code] for code in codes.tolist()]
    assert own == [f"{CRITERION_NOT_SET.id}: embedment", f"{CRITERION_NOT_SET.id}: torque_factor"]
    only = [NotCompared(frozenset(own[1:]))]
    found = against({"P1": GOOD}, ("P1", "engineer", GOOD), unjudged=only)
    assert not_covered_by_sign_offs(of, found).tolist() == [False, True]


def test_keys_of_no_findings():
    codes, keys = kind_keys(findings())
    assert (len(codes), keys) == (0, [])
    assert np.issubdtype(codes.dtype, np.integer)
