"""A whole small project: raw files in, states with their reasons out."""

import json

import pytest

from core import services
from core.errors import Refused, WrongUse
from tests.services.small import SCHEDULE, SETTINGS, log, small_project, state, take_in

GOOD = log()
WEAK = [1.0, 1.5, 2.0, 2.5, 3.0, 3.0, 3.2, 3.3, 3.4, 3.5]


def kinds(assessment, pile="101", result="not met"):
    found = assessment.findings
    return set(found.loc[found["subject"].eq(pile) & found["result"].eq(result), "kind"])


def test_a_good_pile_meets_its_criteria_and_the_others_are_not_started(tmp_path):
    assessment = services.assess(small_project(tmp_path, GOOD))
    assert state(assessment) == "criteria met"
    assert assessment.counts["criteria met"] == 1
    assert assessment.counts["not started"] == 2
    assert (assessment.current_positions, assessment.accepted_positions) == (3, 0)


def test_the_states_of_an_assessment_cannot_be_written_over(tmp_path):
    assessment = services.assess(small_project(tmp_path, GOOD))
    with pytest.raises(ValueError, match="read-only"):
        assessment.state[:] = 0
    assert state(assessment) == "criteria met"


def test_a_project_with_nothing_but_its_schedule_is_judged(tmp_path):
    assessment = services.assess(small_project(tmp_path))
    assert assessment.counts["not started"] == 3


def test_a_pile_short_of_torque_goes_to_the_engineer_with_its_reasons(tmp_path):
    assessment = services.assess(small_project(tmp_path, log(torques=WEAK)))
    assert state(assessment) == "engineer review"
    assert kinds(assessment) == {
        "required torque",
        "torque at the last reading",
        "mean torque without the peak reading",
    }


def test_a_pile_that_is_being_installed_is_not_blamed_for_what_is_not_due(tmp_path):
    running = log(torques=[1.0, 2.0]).replace("0.6,torque and depth reached", ",")
    assessment = services.assess(small_project(tmp_path, running))
    assert state(assessment) == "in progress"
    assert not kinds(assessment)
    assert not kinds(assessment, result="no evidence")


def test_a_pile_stopped_on_an_obstruction_goes_to_the_engineer_whatever_its_torque(tmp_path):
    assessment = services.assess(small_project(tmp_path, log(stop="refusal on obstruction")))
    assert state(assessment) == "engineer review"
    assert kinds(assessment) == {"reason for stopping"}


def test_a_criterion_that_nobody_set_leaves_the_record_incomplete(tmp_path):
    folder = small_project(tmp_path, GOOD)
    settings = folder / "project.toml"
    text = SETTINGS.replace('not_required = "clause 5.6 asks for none"', "")
    settings.write_text(text, encoding="utf-8")
    assessment = services.assess(folder)
    assert state(assessment) == "record incomplete"
    assert kinds(assessment, result="no evidence") == {"criterion not set"}
    assert not assessment.settings_recorded


def test_a_grouted_type_without_a_factor_of_its_own_lacks_evidence(tmp_path):
    folder = small_project(tmp_path, GOOD)
    text = SETTINGS.replace("grouted = false\nlast_stage", "grouted = true\nlast_stage")
    text = text.replace('element = "helical pile"', 'element = "grouted helical pile"')
    (folder / "project.toml").write_text(text, encoding="utf-8")
    assessment = services.assess(folder)
    assert kinds(assessment) == set()
    assert "no torque factor for this case" in kinds(assessment, result="no evidence")
    assert state(assessment) == "record incomplete"


def test_accepted_needs_criteria_met_and_a_person_with_the_right(tmp_path):
    folder = small_project(tmp_path, GOOD, log("102", WEAK))
    with pytest.raises(Refused, match="may not accept"):
        services.accept(folder, ["101"], "Bo Invented", "looked at")
    with pytest.raises(WrongUse, match="not among the people"):
        services.accept(folder, ["101"], "Nobody Known", "looked at")
    with pytest.raises(Refused, match="102 is engineer review"):
        services.accept(folder, ["101", "102"], "Ada Invented", "looked at")
    with pytest.raises(WrongUse, match="No such pile: 999"):
        services.accept(folder, ["999"], "Ada Invented", "looked at")
    with pytest.raises(WrongUse, match="needs a note"):
        services.accept(folder, ["101"], "Ada Invented", "  ")
    assert state(services.assess(folder)) == "criteria met"
    services.accept(folder, ["101"], "Ada Invented", "record read")
    assessment = services.assess(folder)
    assert state(assessment) == "accepted"
    assert assessment.accepted_positions == 1


def test_a_sign_off_drops_when_a_measured_value_changes_and_stands_again_when_it_returns(tmp_path):
    folder = small_project(tmp_path, GOOD)
    services.accept(folder, ["101"], "Ada Invented", "record read")
    changed = log(torques=[1.0, 2.0, 3.0, 4.0, 5.0, 5.5, 6.0, 6.2, 6.4, 6.5])
    take_in(folder, ("log_1.csv", changed))
    assessment = services.assess(folder)
    assert state(assessment) == "criteria met"
    assert kinds(assessment, result="noted") == {"sign-off changed since"}
    note = assessment.findings.loc[assessment.findings["kind"].eq("sign-off changed since"), "note"]
    assert "final torque 6400 → 6367" in note.item()
    take_in(folder, ("log_1.csv", GOOD))
    assert state(services.assess(folder)) == "accepted"


def test_a_later_document_that_worsens_nothing_keeps_the_sign_off(tmp_path):
    folder = small_project(tmp_path, GOOD)
    services.accept(folder, ["101"], "Ada Invented", "record read")
    take_in(folder, ("log_1.csv", GOOD.replace("Rig 1,TI-1", "Rig 2,TI-1")))
    assessment = services.assess(folder)
    assert state(assessment) == "accepted"
    pile = assessment.piles[assessment.piles["pile_id"].eq("101")]
    assert pile["sign_off_note"].item() == "added since"


def test_as_of_an_earlier_entry_gives_the_earlier_answer(tmp_path):
    folder = small_project(tmp_path, GOOD)
    before = services.assess(folder).entry
    take_in(folder, ("log_1.csv", log(torques=WEAK)))
    assert state(services.assess(folder)) == "engineer review"
    assert state(services.assess(folder, before)) == "criteria met"
    with pytest.raises(WrongUse, match="no entry 99"):
        services.assess(folder, 99)


def test_a_run_for_a_pile_on_no_schedule_is_kept_and_raises_an_item(tmp_path):
    assessment = services.assess(small_project(tmp_path, log("199")))
    assert state(assessment, "199") == "record incomplete"
    assert kinds(assessment, "199", "no evidence") == {"pile not on any schedule"}
    assert assessment.current_positions == 3


def test_the_revision_in_force_judges_and_the_change_since_the_run_is_noted(tmp_path):
    folder = small_project(tmp_path, GOOD)
    later = SCHEDULE.replace(",A,2026-02-01", ",B,2026-03-20").replace(
        "compression,5.0", "compression,7.0"
    )
    take_in(folder, ("schedule_b.csv", later))
    assessment = services.assess(folder)
    assert "required torque" in kinds(assessment)
    assert kinds(assessment, result="noted") == {"schedule revision at the run"}


def test_a_position_missing_from_a_later_revision_is_kept_and_only_deleted_removes_it(tmp_path):
    folder = small_project(tmp_path, GOOD)
    head, first, second, _ = SCHEDULE.splitlines()
    later = "\n".join([head + ",Row status", first + ",live", second + ",deleted"])
    take_in(folder, ("schedule_b.csv", later.replace(",A,2026-02-01", ",B,2026-03-20")))
    assessment = services.assess(folder)
    assert assessment.current_positions == 2
    assert kinds(assessment, "103", "noted") == {"position missing from the latest revision"}


def test_a_pile_in_the_ground_whose_position_is_deleted_says_so_and_is_no_live_position(tmp_path):
    folder = small_project(tmp_path, GOOD)
    head, first, *others = SCHEDULE.splitlines()
    rows = [head + ",Row status", first + ",deleted", *(row + ",live" for row in others)]
    take_in(folder, ("b.csv", "\n".join(rows).replace(",A,2026-02-01", ",B,2026-03-20")))
    assessment = services.assess(folder)
    found = assessment.findings[assessment.findings["kind"].eq("pile not on any schedule")]
    assert "deleted" in found["note"].item()
    assert assessment.current_positions == 2


def test_preliminary_revisions_do_not_judge(tmp_path):
    folder = small_project(tmp_path, GOOD)
    later = SCHEDULE.replace(",A,2026-02-01,for construction", ",B,2026-03-20,preliminary")
    take_in(folder, ("schedule_b.csv", later.replace("compression,5.0", "compression,7.0")))
    assert state(services.assess(folder)) == "criteria met"


def test_every_finding_is_traced_to_file_and_row(tmp_path):
    assessment = services.assess(small_project(tmp_path, log(torques=WEAK)))
    rows = assessment.evidence("101")
    torque = rows[rows["kind"].eq("required torque")]
    assert set(zip(torque["file"], torque["row"], strict=True)) == {
        ("log_1.csv", 9),
        ("log_1.csv", 10),
        ("log_1.csv", 11),
    }


def test_the_json_object_has_the_promised_shape_and_no_nan(tmp_path):
    found = services.assessment_object(services.assess(small_project(tmp_path, GOOD)))
    json.dumps(found, allow_nan=False)
    keys = {
        "project",
        "entry",
        "assessed_on",
        "counts",
        "runs_not_closed",
        "positions",
        "piles",
        "findings",
    }
    assert set(found) == keys
    pile = found["piles"][0]
    of_pile = {"pile", "position", "area", "stage", "state", "measures", "required_torque_basis"}
    assert set(pile) == of_pile | {"events_and_remarks", "findings"}
    assert found["piles"][1]["pile"] is None
    assert pile["measures"]["final_torque_nm"] == {"value": pytest.approx(6400), "unit": "N·m"}
    finding = pile["findings"][0]
    wanted = {"kind", "subject", "result", "measured", "limit", "margin", "uncertainty", "unit"}
    assert wanted | {"clause", "evidence"} <= set(finding)
    assert found["findings"][0]["subject"] == "TI-1"


def test_an_empty_project_is_assessed_to_nothing(tmp_path):
    folder = tmp_path / "empty"
    services.new_project(folder)
    assessment = services.assess(folder)
    assert assessment.piles.empty
    assert assessment.findings.empty
    assert assessment.current_positions == 0
    assert sum(assessment.counts.values()) == 0
