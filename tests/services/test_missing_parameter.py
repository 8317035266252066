"""Settings that are older than a parameter: readable, no evidence, one item for all piles."""

from core import services
from tests.services.small import SETTINGS, log, small_project, state

OLD = SETTINGS.replace("toe_reading_mm = 150\n", "")
WEAK = [1.0, 1.5, 2.0, 2.5, 3.0, 3.0, 3.2, 3.3, 3.4, 3.5]


def assessed(parent, *logs, settings=OLD):
    folder = small_project(parent, *logs)
    (folder / "project.toml").write_text(settings, encoding="utf-8")
    return services.assess(folder)


def test_older_settings_are_read_and_what_needs_the_parameter_is_no_evidence(tmp_path):
    assessment = assessed(tmp_path, log())
    found = assessment.findings[assessment.findings["parameter"].ne("")]
    assert set(found["kind"]) == {
        "required torque",
        "torque at the last reading",
        "mean torque without the peak reading",
        "drop at the end",
    }
    assert set(found["result"]) == {"no evidence"}
    assert state(assessment) == "record incomplete"


def test_two_piles_give_one_item_on_the_criteria_set_and_none_of_their_own(tmp_path):
    items = assessed(tmp_path, log("101"), log("102")).attention
    assert items[["kind", "subject_kind", "subject", "note"]].to_numpy().tolist() == [
        [
            "parameter not set",
            "criteria set",
            "all",
            "required_torque.toe_reading_mm is not set in project.toml; affects 2 piles",
        ]
    ]


def test_a_pile_that_is_not_met_stays_with_the_engineer(tmp_path):
    assert state(assessed(tmp_path, log(torques=WEAK))) == "engineer review"


def test_with_the_parameter_nothing_waits(tmp_path):
    assessment = assessed(tmp_path, log(), settings=SETTINGS)
    assert state(assessment) == "criteria met"
    assert set(assessment.findings["parameter"]) == {""}


def test_a_criterion_that_nobody_set_is_one_item_for_all_its_piles(tmp_path):
    folder = small_project(tmp_path, log("101"), log("102"))
    text = (folder / "project.toml").read_text(encoding="utf-8")
    start = text.index("[criteria.all.advance_per_revolution]")
    end = text.index("[criteria.", start + 1)
    (folder / "project.toml").write_text(text[:start] + text[end:], encoding="utf-8")
    assessment = services.assess(folder)
    assert state(assessment, "101") == state(assessment, "102") == "record incomplete"
    items = assessment.attention
    items = items[items["kind"].eq("criterion not set")]
    assert items["subject"].tolist() == ["all: advance per revolution"]
    assert items["piles"].tolist() == [("101", "102")]
