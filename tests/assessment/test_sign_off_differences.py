"""What drops a sign-off, and what came later and worsens nothing."""

import json

import pytest

from core.assessment.sign_offs import NotCompared, differences
from core.criteria.earlier_names import id_of

TORQUE = ["required torque", "met", "6400", "5000", "at least", "final_torque_nm"]
RATED = ["rated torque", "met", "6600", "12000", "at most", "max_torque_nm"]
HEAD = ["head level", "met", "20", "50", "at most", "head_level_difference_mm"]
DENSITY = ["grout density", "met", "1900.000", "1850.000", "at least", "density_kg_m3"]
LOADS = {
    "design_compression_kn": "200.0",
    "design_tension_kn": "not recorded",
    "load_basis": "service",
    "load_nature": "sustained",
}


def seen(*findings, edition=3, loads=LOADS, **measures):
    """What a sign-off sees of a pile, as it is stored; the third edition stores ids."""
    numbers = {"toe_mm": "6000", **measures}
    rows = [[id_of(row[0]), *row[1:]] if edition >= 3 else row for row in findings]
    text = {"findings": rows, "measures": numbers, "pile": {"position_id": "101"}}
    if edition == 1:
        text["findings"] = [row[:4] for row in findings]
    else:
        text |= {"edition": edition, "loads": {**LOADS, **loads}}
    return json.dumps(text)


def finding(row, result=None, measured=None, limit=None, sense=None):
    """``row`` with other parts."""
    given = [None, result, measured, limit, sense, None]
    return [new or old for new, old in zip(given, row, strict=True)]


CASES = {
    # name: (findings then, findings now, what has worsened)
    "the same": (TORQUE, TORQUE, ""),
    "a better reading": (TORQUE, finding(TORQUE, measured="6500"), ""),
    "a worse reading": (
        TORQUE, finding(TORQUE, measured="6300"),
        "required torque: 6400 against 5000 → 6300 against 5000",
    ),
    "a result that worsens": (
        TORQUE, finding(TORQUE, "not met", "4900"), "required torque: met → not met"
    ),
    "a result without evidence": (
        TORQUE, finding(TORQUE, "no evidence", "not recorded"),
        "required torque: met → no evidence",
    ),
    "a result that waits": (
        TORQUE, finding(TORQUE, "waiting", "not recorded"), "required torque: met → waiting"
    ),
    "a result no longer due or asked": (TORQUE, None, ""),
    "a minimum limit that rises": (
        TORQUE, finding(TORQUE, limit="5500"),
        "required torque: 6400 against 5000 → 6400 against 5500",
    ),
    "a minimum limit that falls": (TORQUE, finding(TORQUE, limit="4500"), ""),
    "a maximum limit that falls": (
        RATED, finding(RATED, limit="8000"),
        "rated torque: 6600 against 12000 → 6600 against 8000",
    ),
    "a maximum limit that rises": (RATED, finding(RATED, limit="13000"), ""),
    "a maximum torque that rises with a better reading": (
        RATED, finding(RATED, measured="6800"), ""
    ),
    "a finding that was not there and is met": (None, TORQUE, ""),
    "a finding that was not there and is not met": (
        None, finding(TORQUE, "not met", "4900"), "required torque: absent → not met"
    ),
    "a head nearer to the same side": (
        HEAD, finding(HEAD, measured="30"), "head level: 20 against 50 → 30 against 50"
    ),
    "a head further from the limit": (HEAD, finding(HEAD, measured="10"), ""),
    "a head as far on the other side": (
        HEAD, finding(HEAD, measured="-20", limit="-50", sense="at least"), ""
    ),
    "a head nearer to the other side": (
        HEAD, finding(HEAD, measured="-40", limit="-50", sense="at least"),
        "head level: 20 against 50 → -40 against -50",
    ),
    "a band that narrows": (
        DENSITY, finding(DENSITY, limit="1880.000"),
        "grout density: 1900.000 against 1850.000 → 1900.000 against 1880.000",
    ),
}  # fmt: skip


@pytest.mark.parametrize("edition", [1, 2, 3])
@pytest.mark.parametrize(("then", "now", "worse"), CASES.values(), ids=CASES)
def test_a_sign_off_drops_by_what_worsens_alone(edition, then, now, worse):
    """Also one of the first edition, which kept neither sense nor loads."""
    before = seen(*([] if then is None else [then]), edition=edition)
    assert differences(before, seen(*([] if now is None else [now]))) == worse


LOADED = {
    "a load that rises": ({"design_compression_kn": "400.0"}, "compression load 200.0 → 400.0 kN"),
    "a load that falls": ({"design_compression_kn": "150.0"}, ""),
    "a load that is gone": ({"design_compression_kn": "not recorded"}, ""),
    "a direction that is added": (
        {"design_tension_kn": "80.0"}, "tension load added: 80.0 kN"
    ),
    "a direction without load": ({"design_tension_kn": "0.0"}, ""),
    "another basis": ({"load_basis": "factored"}, "load basis service → factored"),
    "another nature": ({"load_nature": "wind"}, "nature of the load sustained → wind"),
    "a basis no longer given": ({"load_basis": ""}, "load basis service → not recorded"),
}  # fmt: skip


@pytest.mark.parametrize(("now", "worse"), LOADED.values(), ids=LOADED)
def test_loads_are_part_of_what_a_sign_off_saw(now, worse):
    assert differences(seen(), seen(loads=now)) == worse


@pytest.mark.parametrize(("now", "worse"), LOADED.values(), ids=LOADED)
def test_the_loads_in_force_when_it_was_signed_serve_where_it_saw_none(now, worse):
    old, given = seen(edition=1), NotCompared(loads=tuple(LOADS.items()))
    assert differences(old, seen(loads=now), given) == worse
    assert differences(old, seen(loads=now)) == ""


def test_a_sign_off_that_saw_loads_is_compared_with_them_whatever_was_in_force():
    old, given = seen(edition=2), NotCompared(loads=(("design_compression_kn", "900.0"),))
    assert differences(old, seen(loads={"design_compression_kn": "400.0"}), given) == (
        "compression load 200.0 → 400.0 kN"
    )


def test_a_number_recorded_later_drops_nothing_while_its_finding_is_met():
    before = seen(plan_offset_mm="not recorded")
    offset = ["offset in plan", "met", "31", "75", "at most", "plan_offset_mm"]
    assert differences(before, seen(offset, plan_offset_mm="31")) == ""


def test_a_number_recorded_later_that_is_outside_its_limit_drops_the_sign_off():
    before = seen(plan_offset_mm="not recorded")
    offset = ["offset in plan", "not met", "90", "75", "at most", "plan_offset_mm"]
    after = seen(offset, plan_offset_mm="90")
    assert differences(before, after) == "offset in plan: absent → not met"


def test_a_number_that_moves_adversely_drops_the_sign_off():
    assert differences(seen(), seen(toe_mm="5900")) == "toe depth along the axis 6000 → 5900"
    assert differences(seen(), seen(toe_mm="6100")) == ""


def test_a_number_that_is_gone_drops_it_where_a_finding_still_asks_for_it():
    before = seen(TORQUE, final_torque_nm="6400")
    assert differences(before, seen(final_torque_nm="not recorded")) == ""  # not required any more
    missing = finding(TORQUE, "no evidence", "not recorded")
    after = seen(missing, final_torque_nm="not recorded")
    assert differences(before, after) == "required torque: met → no evidence"


def test_a_number_without_a_better_side_drops_nothing():
    assert differences(seen(net_grout_l="310"), seen(net_grout_l="300")) == ""


def test_a_number_is_told_once_when_its_finding_shows_it_too():
    before = seen(TORQUE, final_torque_nm="6400")
    after = seen(finding(TORQUE, measured="6300"), final_torque_nm="6300")
    assert differences(before, after) == "final torque 6400 → 6300"


def test_a_number_printed_with_more_decimals_is_the_same_number():
    assert differences(seen(toe_mm="6000"), seen(toe_mm="5999.8")) == ""
    assert differences(seen(toe_mm="6000"), seen(toe_mm="5999.4")) != ""


def test_a_kind_or_measure_that_is_no_longer_known_drops_nothing():
    before = seen(["drop of torque", "met", "0.100", "0.200"], min_drop_nm="5")
    assert differences(before, seen()) == ""


def test_what_was_not_judged_then_drops_nothing_by_its_result():
    missing = finding(TORQUE, "no evidence", "not recorded", "9000")
    of = NotCompared(frozenset(["mean_torque"]), limits=False)
    assert differences(seen(TORQUE), seen(missing), of) == ""
    higher = finding(TORQUE, limit="9000")
    assert differences(seen(TORQUE), seen(higher), of) == ""
    tightened = NotCompared(frozenset(["required torque"]), limits=True)
    assert differences(seen(TORQUE), seen(higher), tightened) != ""


def test_a_number_that_moves_adversely_counts_also_where_the_result_does_not():
    of = NotCompared(frozenset(["required torque"]))
    assert differences(seen(TORQUE), seen(finding(TORQUE, measured="6300")), of) != ""


def test_the_worst_of_several_findings_of_a_kind_counts():
    lots = [["lot", result, "1.000", "0.000", "at most", ""] for result in ("met", "not met")]
    assert differences(seen(lots[0]), seen(*lots)) == "lot: met → not met"
    assert differences(seen(lots[0]), seen(*reversed(lots))) == "lot: met → not met"
