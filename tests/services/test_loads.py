"""Loads of the schedule: each direction is judged, printed against computed, what a rise moves.

2 · 57.5 kN / 23 1/m = 5.0 kN·m, which the schedule prints; the final torque of a log is 6.4 kN·m.
"""

import pytest

from core import services
from tests.services.small import SETTINGS, log, small_project, state, take_in

SAFETY = """
[[safety_factors]]
direction = "compression"
nature = "sustained"
value = 2.0
clause = "invented 4.1"
[[safety_factors]]
direction = "tension"
nature = "sustained"
value = 3.0
clause = "invented 4.2"
"""
IN_TENSION = """
[[torque_factors]]
id = "TF2"
section = "round 89"
direction = "tension"
grouted = false
helix_set = "any"
ground = "any"
value = 20
unit = "1/m"
source = "invented"
"""
HEAD = (
    "Position,Revision,Issued on,Status,Area,Type,Easting (m),Northing (m),Direction,"
    "Compression (kN),Tension (kN),Load basis,Load nature,Required torque (kN·m),"
    "Minimum embedment (m)\n"
)
BY_CLAUSE = 'cross_check_share = 0.02\nprinted_governs = "drawing S-2, note 4"'
PILES = ("101", "102", "103")


def schedule(compression="57.5", tension="", printed="5.0", basis="service", rev="B", **own):
    """A revision of three positions; ``own`` prints another torque for one, as ``p101``."""
    rows = [
        f"{pile},{rev},2026-02-{ord(rev) - 62:02d},for construction,A,T1,{100 + 3 * at}.0,200.0,"
        f"compression,{compression},{tension},{basis},sustained,{own.get(f'p{pile}', printed)},2.4"
        for at, pile in enumerate(PILES)
    ]
    return HEAD + "\n".join(rows) + "\n"


def job(parent, text, settings=SETTINGS + SAFETY, torques=None):
    """A project with three driven piles and this revision of its schedule in force."""
    folder = small_project(parent, *(log(pile, torques) for pile in PILES))
    (folder / "project.toml").write_text(settings, encoding="utf-8")
    revise(folder, text)
    return folder


def revise(folder, text):
    taken = take_in(folder, ("revision.csv", text), replace=True)
    assert not taken.refused, (taken.problems, taken.conflicts)


def findings(folder, kind, pile="101"):
    found = services.assess(folder).findings
    return found[found["kind"].eq(kind) & found["pile_id"].eq(pile)]


def items(folder, kind):
    attention = services.assess(folder).attention
    return attention[attention["kind"].eq(kind)]


def states(folder):
    assessment = services.assess(folder)
    return [state(assessment, pile) for pile in PILES]


def required(folder, pile="101"):
    piles = services.assess(folder).piles.set_index("pile_id")
    return round(piles.loc[pile, "required_torque_nm"]), piles.loc[pile, "required_by"]


def test_an_honest_pile_meets_the_torque_that_is_printed_for_its_load(tmp_path):
    folder = job(tmp_path, schedule())
    assert states(folder) == ["criteria met"] * 3
    assert required(folder) == (5000, "printed")
    assert findings(folder, "required torque cross-check")["result"].tolist() == ["met"]
    assert findings(folder, "no torque factor for this case").empty


def test_a_revision_that_doubles_a_load_takes_a_pile_out_of_accepted(tmp_path):
    folder = job(tmp_path, schedule())
    services.accept(folder, ["101"], by="Ada Invented", note="seen")
    assert states(folder) == ["accepted", "criteria met", "criteria met"]
    revise(folder, schedule(compression="115", rev="C"))
    assert states(folder) == ["engineer review"] * 3
    assert required(folder) == (10_000, "computed, the greater")


def test_a_revision_that_adds_a_direction_without_a_factor_takes_a_pile_out_of_accepted(tmp_path):
    folder = job(tmp_path, schedule())
    services.accept(folder, ["101"], by="Ada Invented", note="seen")
    revise(folder, schedule(tension="200", rev="C"))
    assert states(folder) == ["record incomplete"] * 3
    (found,) = findings(folder, "no torque factor for this case").to_dict("records")
    assert found["result"] == "no evidence"
    (item,) = items(folder, "no torque factor for this case").to_dict("records")
    words = "round 89, tension, bare, helix set 350, ground not recorded: no torque factor"
    assert (item["subject"], item["piles"]) == (words, PILES)
    assert (item["responsible"], item["result"]) == ("DES", "no evidence")


def test_an_added_direction_with_its_factor_is_judged_by_it(tmp_path):
    # 3 · 200 kN / 20 1/m = 30 kN·m; 3 · 40 / 20 = 6.0 kN·m against 6.3 without the maximum.
    folder = job(tmp_path, schedule(tension="200"), SETTINGS + SAFETY + IN_TENSION)
    assert (states(folder), required(folder)[0]) == (["engineer review"] * 3, 30_000)
    revise(folder, schedule(tension="40", rev="C"))
    assert (states(folder), required(folder)[0]) == (["criteria met"] * 3, 6000)


def test_a_load_without_its_safety_factor_is_no_evidence(tmp_path):
    folder = job(tmp_path, schedule(), SETTINGS)
    assert states(folder) == ["record incomplete"] * 3
    (item,) = items(folder, "no torque factor for this case").to_dict("records")
    assert item["subject"].endswith(": no safety factor for compression, sustained")


@pytest.mark.parametrize("basis", ["factored", ""])
def test_a_factored_load_does_not_pass_in_silence(tmp_path, basis):
    folder = job(tmp_path, schedule(basis=basis))
    assert states(folder) == ["record incomplete"] * 3
    settings = (SETTINGS + SAFETY).replace("cross_check_share = 0.02", BY_CLAUSE)
    (folder / "project.toml").write_text(settings, encoding="utf-8")
    assert states(folder) == ["criteria met"] * 3


@pytest.mark.parametrize("loads", [{"compression": "115"}, {"compression": "60"}])
@pytest.mark.parametrize("printed", ["5.0", "1.524", "6.35", "16.4"])
def test_loads_x_2_and_a_revision_that_doubles_them_give_the_same_states(tmp_path, loads, printed):
    folder = job(tmp_path, schedule(printed=printed), torques=[6.0] * 6 + [9.8, 10.2, 10.6, 11.0])
    half = {"compression": str(float(loads["compression"]) / 2)}
    revise(folder, schedule(printed=printed, rev="C", **half))
    before = dict(zip(PILES, states(folder), strict=True))
    moved = services.what_if(folder, ["loads x 2"]).moved
    supposed = before | dict(zip(moved["pile_id"], moved["state_then"], strict=True))
    revise(folder, schedule(printed=printed, rev="D", **loads))
    assert list(supposed.values()) == states(folder)


SHORT = [1.0, 1.5, 2.0, 2.5, 3.0, 3.2, 3.4, 3.6, 3.7, 3.8]  # kN·m; more than 5.0 / 3.28


def test_a_factor_per_foot_used_per_metre_makes_no_pile_pass(tmp_path):
    folder = job(tmp_path, schedule(printed="1.524"), torques=SHORT)
    assert states(folder) == ["engineer review"] * 3
    (found,) = findings(folder, "required torque").to_dict("records")
    assert (round(found["measured"]), round(found["limit_value"])) == (3700, 5000)
    assert found["note"] == "required torque computed from the loads, above the printed one"


def test_one_item_asks_which_governs_and_a_pile_above_the_greater_keeps_its_state(tmp_path):
    folder = job(tmp_path, schedule(p103="1.524", printed="4.5"))
    services.accept(folder, ["101", "102"], by="Ada Invented", note="seen")
    assert states(folder) == ["accepted", "accepted", "criteria met"]
    one, other = items(folder, "required torque cross-check").to_dict("records")
    words = "type T1, compression 57.5 kN, service, sustained, printed {} N·m"
    assert (one["subject"], one["piles"]) == (words.format(4500), ("101", "102"))
    assert (other["subject"], other["piles"]) == (words.format(1524), ("103",))
    assert "the printed value differs by 10.0 %" in one["note"]
    assert "1/ft used as 1/m; governs until decided: computed, the greater" in other["note"]
    assert (one["measured"], round(one["limit_value"]), one["result"]) == (4500, 5000, "noted")


def test_a_greater_printed_value_governs(tmp_path):
    folder = job(tmp_path, schedule(printed="7.0"))
    assert required(folder) == (7000, "printed, the greater")
    assert states(folder) == ["engineer review"] * 3


def test_the_clause_that_lets_the_printed_value_govern_settles_it(tmp_path):
    settings = (SETTINGS + SAFETY).replace("cross_check_share = 0.02", BY_CLAUSE)
    folder = job(tmp_path, schedule(printed="3.0"), settings, SHORT)
    assert required(folder) == (3000, "printed, by its clause")
    assert states(folder) == ["criteria met"] * 3
    assert items(folder, "required torque cross-check").empty
    (found,) = findings(folder, "required torque cross-check").to_dict("records")
    assert "the printed value governs by drawing S-2, note 4" in found["note"]


def test_the_worksheet_shows_both_values_and_which_governs(tmp_path):
    folder = job(tmp_path, schedule(tension="20", printed="4.5"), SETTINGS + SAFETY + IN_TENSION)
    steps = {step.title: step for step in services.worksheet(services.assess(folder), "101").steps}
    assert steps["Torque that the load in compression needs"].value == pytest.approx(5000)
    assert steps["Torque that the load in tension needs"].value == pytest.approx(3000)
    step = steps["Required torque"]
    assert step.value == pytest.approx(5000)
    assert [(put.symbol, round(put.value, 2)) for put in step.inputs] == [
        ("Tp", 4500),
        ("Tc", 5000),
        ("s", 0.02),
    ]
    assert step.source == "beyond the cross-check share the greater governs: the computed"
