"""What drops a sign-off, and what came later and worsens nothing."""

import json

from core.judge.sign_offs import differences


def seen(findings=(), **measures):
    """What a sign-off sees of a pile, as it is stored."""
    numbers = {"toe_mm": "6000", **measures}
    return json.dumps(
        {"findings": list(findings), "measures": numbers, "pile": {"position_id": "101"}}
    )


def test_a_number_recorded_later_drops_nothing_while_its_finding_is_met():
    before = seen(plan_offset_mm="not recorded")
    after = seen([["offset in plan", "met", "31", "75"]], plan_offset_mm="31")
    assert differences(before, after) == ""


def test_a_number_recorded_later_that_is_outside_its_limit_drops_the_sign_off():
    before = seen(plan_offset_mm="not recorded")
    after = seen([["offset in plan", "not met", "90", "75"]], plan_offset_mm="90")
    assert differences(before, after) == "offset in plan: absent → not met"


def test_a_number_that_changes_or_goes_drops_the_sign_off():
    assert differences(seen(), seen(toe_mm="5900")) == "toe depth along the axis 6000 → 5900"
    gone = differences(seen(), seen(toe_mm="not recorded"))
    assert gone == "toe depth along the axis 6000 → not recorded"
