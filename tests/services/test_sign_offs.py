"""What drops a sign-off of the small job, what keeps it, and what a newer program leaves alone."""

import hashlib
import json
from dataclasses import replace

import pandas as pd
import pytest

from core import services
from core.assessment.earlier_sign_offs import _terms
from core.assessment.sign_offs import signed_content
from core.criteria.earlier_names import EARLIER_WORDS
from core.criteria.kinds import EDITION
from core.errors import Refused
from core.ledger import Ledger, NewEntry
from core.subjects import registry
from tests.services.small import (
    CERTIFICATES,
    SCHEDULE,
    SETTINGS,
    copied,
    log,
    small_project,
    state,
    take_in,
)

GOOD = [1.0, 2.0, 3.0, 4.0, 5.0, 5.5, 6.0, 6.2, 6.4, 6.6]
LOAD_HEAD = ",Design compression (kN),Design tension (kN),Load basis,Load nature"
NEWER = ("survey_recorded", "plan_offset", "axis_angle", "head_level")
BEFORE_SURVEYS = SETTINGS
for _name in NEWER:
    BEFORE_SURVEYS = BEFORE_SURVEYS.replace(
        f'[criteria.all.{_name}]\nnot_required = "clause 6 asks for none"\n', ""
    )
WITH_SURVEYS = (
    BEFORE_SURVEYS
    + """
[criteria.all.survey_recorded]
clause = "6.1"
due = "installed"
stages = ["after installation"]
[criteria.all.plan_offset]
clause = "6.2"
due = "installed"
max_mm = 75
measured = "radial"
[criteria.all.axis_angle]
not_required = "clause 6 asks for none"
[criteria.all.head_level]
not_required = "clause 6 asks for none"
"""
)
WITH_FACTORS = (
    SETTINGS
    + """
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
[[safety_factors]]
direction = "compression"
nature = "sustained"
value = 2.0
clause = "5.1"
[[safety_factors]]
direction = "tension"
nature = "sustained"
value = 2.0
clause = "5.1"
"""
)
BEFORE_THE_TOE = SETTINGS.replace("toe_reading_mm = 150\n", "")


def schedule(revision="B", *, torque="5.0", loads=None, issued="2026-03-20"):
    """The schedule again in another revision."""
    text = SCHEDULE.replace(",A,2026-02-01", f",{revision},{issued}")
    head, *rows = text.replace("compression,5.0", f"compression,{torque}").splitlines()
    if loads is not None:
        head, rows = head + LOAD_HEAD, [f"{row},{loads}" for row in rows]
    return "schedule_" + revision + ".csv", "\n".join([head, *rows]) + "\n"


def with_settings(folder, text):
    (folder / "project.toml").write_text(text, encoding="utf-8")


def signed_project(parent, settings=SETTINGS, *, files=()):
    """The small job with pile 101 accepted."""
    return copied(parent, _signed_project, settings, tuple(files))


def _signed_project(parent, settings, files):
    folder = small_project(parent, log())
    with_settings(folder, settings)
    if files:
        take_in(folder, *files)
    services.accept(folder, ["101"], "Ada Invented", "record read")
    return folder


def signed_before(parent, settings, *, files=(), piles=("101",)):
    """The small job whose piles were accepted by the first edition under ``settings``."""
    return copied(parent, _signed_before, settings, tuple(files), tuple(piles))


def _signed_before(parent, settings, files, piles):
    folder = small_project(parent, *(log(pile) for pile in piles))
    with_settings(folder, WITH_FACTORS)
    if files:
        take_in(folder, *files)
    return sign_by_first_edition(folder, settings, piles)


WORD = {id_: word for word, id_ in EARLIER_WORDS.items()}


def sign_by_first_edition(folder, settings, piles=("101",), loads=None, edition=1):
    """The job with ``piles``, whose criteria are met, accepted as the first edition wrote it.

    ``loads``: a schedule whose loads that edition did not look at.
    """
    assessment = services.assess(folder)
    seen = signed_content(assessment.found, assessment.measured.of_piles, list(piles))
    seen = [(_first_edition if edition == 1 else _second_edition)(text) for text, _ in seen]
    with_settings(folder, settings)
    if loads is not None:
        take_in(folder, loads)
    frame = pd.DataFrame(
        {"subject": list(piles), "role": "engineer", "person": "Ada Invented", "seen": seen,
         "signed_on": pd.Timestamp("2026-03-31"), "note": "record read", "sheet": "",
         "digest": [hashlib.sha256(text.encode()).hexdigest() for text in seen],
         "row_no": range(1, len(piles) + 1)}
    )  # fmt: skip
    with Ledger(folder).write() as writer:
        writer.record_settings(settings, "Ada Invented")
        staged = writer.stage("sign_off", frame, None)
        writer.append(NewEntry("Ada Invented", "sign-off"), {"sign_off": staged.writes})
    return folder


def _first_edition(text):
    """What the first edition kept: no edition, no loads, four parts of a finding."""
    seen = json.loads(text)
    seen["findings"] = [[WORD[row[0]], *row[1:4]] for row in seen["findings"]]
    return json.dumps({name: seen[name] for name in ("findings", "measures", "pile")})


def _second_edition(text):
    """What the second edition kept: words in place of ids."""
    seen = json.loads(text) | {"edition": 2}
    seen["findings"] = [[WORD[row[0]], *row[1:]] for row in seen["findings"]]
    return json.dumps(seen, sort_keys=True, separators=(",", ":"))


def note(assessment, pile="101"):
    piles = assessment.piles
    return piles.loc[piles["pile_id"].eq(pile), "sign_off_note"].item()


def newer(assessment):
    """Outstanding items about what is newer than sign-offs, in words."""
    items = assessment.attention
    items = items[items["kind"].eq("criterion newer than sign-off")]
    assert items["subject_kind"].isin(["criteria set"]).all()
    return items["note"].tolist()


KEPT = {
    "a better reading": ("log_1.csv", log(torques=[*GOOD[:-1], 6.8])),
    "a late certificate": (
        "certificates_2.csv",
        CERTIFICATES.replace("C-1", "C-0").replace(
            "2026-01-10,2026-01-10", "2025-12-01,2025-12-01"
        ),
    ),
    "a lower limit": schedule(torque="4.5"),
    "the same in a new revision": schedule(),
    "a photograph": ("stages.csv", "Pile,Stage,Date,Evidence\n101,cut off,2026-03-10,photo 4\n"),
}


@pytest.mark.parametrize("file", KEPT.values(), ids=KEPT)
def test_what_worsens_nothing_keeps_the_sign_off(tmp_path, file):
    folder = signed_project(tmp_path)
    assert not take_in(folder, file).refused
    assessment = services.assess(folder)
    assert state(assessment) == "accepted"
    assert note(assessment) in ("", "added since")


def test_a_better_reading_is_shown_as_added_since(tmp_path):
    folder = signed_project(tmp_path)
    take_in(folder, KEPT["a better reading"])
    assert note(services.assess(folder)) == "added since"


DROPPED = {
    "a worse reading": (
        ("log_1.csv", log(torques=[*GOOD[:-1], 6.5])), "criteria met", "final torque 6400 → 6367"
    ),
    "a limit that rises": (
        schedule(torque="5.5"), "criteria met", "6400 against 5000 → 6400 against 5500"
    ),
    "a result that worsens": (
        schedule(torque="6.5"), "engineer review", "required torque: met → not met"
    ),
}  # fmt: skip


@pytest.mark.parametrize(("file", "then", "told"), DROPPED.values(), ids=DROPPED)
def test_what_worsens_drops_the_sign_off_and_it_stands_again_without_it(tmp_path, file, then, told):
    folder = signed_project(tmp_path)
    report = take_in(folder, file)
    assessment = services.assess(folder)
    assert state(assessment) == then
    assert told in note(assessment)
    services.withdraw(folder, report.entries[0], "Ada Invented", "wrong file")
    assert state(services.assess(folder)) == "accepted"


def test_a_setting_that_tightens_a_limit_drops_the_sign_off_until_it_is_put_back(tmp_path):
    folder = signed_project(tmp_path)
    with_settings(folder, SETTINGS.replace("max_share = 0.2", "max_share = 0.15"))
    assessment = services.assess(folder)
    assert state(assessment) == "criteria met"
    assert "drop at the end: 0.000 against 0.200 → 0.000 against 0.150" in note(assessment)
    with_settings(folder, SETTINGS.replace("max_share = 0.2", "max_share = 0.25"))
    assert state(services.assess(folder)) == "accepted"


def test_a_criterion_taken_away_drops_it_and_one_declared_not_required_does_not(tmp_path):
    folder = signed_project(tmp_path)
    embedment = 'clause = "5.3"\ndue = "installed"\nmeasure = "along the axis"\n'
    with_settings(folder, SETTINGS.replace(embedment, ""))
    assessment = services.assess(folder)
    assert state(assessment) == "record incomplete"
    assert "criterion not set: embedment: absent → no evidence" in note(assessment)
    assert newer(assessment) == []
    with_settings(folder, SETTINGS.replace(embedment, 'not_required = "instruction 7"\n'))
    assert state(services.assess(folder)) == "accepted"


SERVICE = "service,sustained"
LOADED = {
    "a load that doubles": (f"80,,{SERVICE}", "compression load 40.0 → 80.0 kN"),
    "a direction that is added": (f"40,10,{SERVICE}", "tension load added: 10.0 kN"),
    "a load that falls": (f"30,,{SERVICE}", ""),
}


@pytest.mark.parametrize("first_edition", [False, True], ids=["now", "by the first edition"])
@pytest.mark.parametrize(("loads", "told"), LOADED.values(), ids=LOADED)
def test_loads_of_a_later_revision(tmp_path, first_edition, loads, told):
    """Where the sign-off saw no loads, those in force when it was signed are its loads."""
    first = schedule("B", loads=f"40,,{SERVICE}", issued="2026-03-01")
    if first_edition:
        folder = signed_before(tmp_path, WITH_FACTORS, files=[first])
    else:
        folder = signed_project(tmp_path, WITH_FACTORS, files=[first])
    assert state(services.assess(folder)) == "accepted"
    report = take_in(folder, schedule("C", loads=loads))
    assessment = services.assess(folder)
    assert (state(assessment) == "accepted") == (told == "")
    assert told in note(assessment)
    services.withdraw(folder, report.entries[0], "Ada Invented", "wrong file")
    assert state(services.assess(folder)) == "accepted"


def test_a_revision_known_at_the_sign_off_and_in_force_later_counts_from_then(tmp_path):
    later = schedule("B", loads=f"80,,{SERVICE}", issued="2026-04-10")
    folder = signed_before(tmp_path, SETTINGS, files=[later])
    assert state(services.assess(folder)) == "accepted"
    with_settings(folder, SETTINGS.replace("2026-03-31", "2026-04-11"))
    assert "compression load added: 80.0 kN" in note(services.assess(folder))


def test_criteria_newer_than_a_sign_off_are_items_and_drop_nothing(tmp_path):
    folder = signed_before(tmp_path, BEFORE_SURVEYS, piles=("101", "102"))
    assessment = services.assess(folder)
    assert [state(assessment, pile) for pile in ("101", "102")] == ["accepted"] * 2
    assert sorted(newer(assessment)) == sorted(
        f"{name} is newer than the sign-offs of 2 piles" for name in NEWER
    )
    unset = ", ".join(sorted(f"criterion not set: {name}" for name in NEWER))
    assert note(assessment) == f"not judged by this sign-off: {unset}"


def test_a_newer_criterion_bars_new_sign_offs_until_the_settings_that_say_it_are_recorded(tmp_path):
    folder = signed_before(tmp_path, BEFORE_SURVEYS)
    take_in(folder, ("log_2.csv", log("102")))
    with pytest.raises(Refused, match="survey_recorded is newer than the sign-offs of 1 pile"):
        services.accept(folder, ["102"], "Ada Invented", "record read")
    with_settings(folder, SETTINGS)
    with pytest.raises(Refused, match="pilewright record-settings"):
        services.accept(folder, ["102"], "Ada Invented", "record read")
    services.record_settings(folder, "Ada Invented")
    assert newer(services.assess(folder)) == []
    services.accept(folder, ["102"], "Ada Invented", "record read")
    assessment = services.assess(folder)
    assert [state(assessment, pile) for pile in ("101", "102")] == ["accepted"] * 2
    with pytest.raises(Refused, match="already recorded"):
        services.record_settings(folder, "Ada Invented")


def test_a_newer_criterion_that_is_set_drops_a_sign_off_only_by_what_is_recorded_since(tmp_path):
    folder = signed_before(tmp_path, BEFORE_SURVEYS)
    with_settings(folder, WITH_SURVEYS)
    services.record_settings(folder, "Ada Invented")
    assessment = services.assess(folder)
    assert state(assessment) == "accepted"  # no survey, which nobody asked for then
    assert note(assessment) == "not judged by this sign-off: offset in plan, survey recorded"
    survey = "Pile,Stage,Date,Easting (m),Northing (m),Level (m)\n101,after installation,"
    take_in(folder, ("survey.csv", survey + "2026-03-20,100.3,200.0,5.0\n"))
    assessment = services.assess(folder)
    assert state(assessment) != "accepted"
    assert "offset in plan: absent → no evidence" in note(assessment)


def test_a_newer_parameter_is_an_item_and_drops_nothing(tmp_path):
    folder = signed_before(tmp_path, BEFORE_THE_TOE)
    assessment = services.assess(folder)
    assert state(assessment) == "accepted"
    assert newer(assessment) == [
        "required_torque.toe_reading_mm is newer than the sign-offs of 1 pile"
    ]
    assert "required torque" in note(assessment)
    with_settings(folder, SETTINGS)
    services.record_settings(folder, "Ada Invented")
    assessment = services.assess(folder)
    assert (state(assessment), newer(assessment)) == ("accepted", [])


def test_under_a_newer_parameter_a_worse_log_and_a_tighter_limit_drop_all_the_same(tmp_path):
    folder = signed_before(tmp_path, BEFORE_THE_TOE)
    report = take_in(folder, ("log_1.csv", log(torques=[*GOOD[:-1], 6.5])))
    assert "last reading of the final window 6600 → 6500" in note(services.assess(folder))
    services.withdraw(folder, report.entries[0], "Ada Invented", "wrong file")
    assert state(services.assess(folder)) == "accepted"
    take_in(folder, schedule(torque="6.0"))
    assert "6400 against 5000 → 6400 against 6000" in note(services.assess(folder))


def test_a_correction_withdrawn_since_counts_as_new_under_a_newer_parameter(tmp_path):
    """The rows that stand again are older than the sign-off."""
    short = log(torques=GOOD[:-1]).replace(",2.7,torque", ",3.0,torque")  # without its last reading
    folder = small_project(tmp_path, short)
    report = take_in(folder, ("log_1.csv", log()))
    sign_by_first_edition(folder, BEFORE_THE_TOE)
    with_settings(folder, SETTINGS)
    assert state(services.assess(folder)) == "accepted"
    services.withdraw(folder, report.entries[0], "Ada Invented", "wrong file")
    assert state(services.assess(folder)) != "accepted"


def test_a_sign_off_that_names_findings_by_their_words_is_compared_with_the_ids_of_now(tmp_path):
    folder = small_project(tmp_path, log())
    sign_by_first_edition(folder, SETTINGS, edition=2)
    assessment = services.assess(folder)
    assert (state(assessment), note(assessment)) == ("accepted", "")
    assert newer(assessment) == []
    take_in(folder, schedule(torque="6.0"))
    assert "required torque: 6400 against 5000 → 6400 against 6000" in note(services.assess(folder))


def test_a_sign_off_keeps_ids_of_findings_and_their_edition(tmp_path):
    folder = signed_project(tmp_path)
    with Ledger(folder).read() as reader:
        seen = json.loads(reader.current_frame("sign_off", reader.last_entry())["seen"].iloc[0])
    assert seen["edition"] == EDITION
    assert {row[0] for row in seen["findings"]} <= set(registry.FINDING)


def test_a_sign_off_of_the_present_edition_is_compared_on_everything(tmp_path):
    folder = signed_project(tmp_path)
    with_settings(folder, BEFORE_THE_TOE)
    assessment = services.assess(folder)
    assert state(assessment) == "record incomplete"
    assert newer(assessment) == []


@pytest.fixture
def a_newer_kind(monkeypatch):
    """The reason for stopping as a kind that the first edition did not know."""
    kinds = [
        replace(kind, since=2) if kind.word == "reason for stopping" else kind
        for kind in registry.FINDING_KINDS
    ]
    monkeypatch.setattr(registry, "FINDING_KINDS", tuple(kinds))
    _terms.cache_clear()
    yield
    _terms.cache_clear()


def test_a_kind_newer_than_a_sign_off_drops_it_only_by_what_is_recorded_since(
    tmp_path, a_newer_kind
):
    folder = signed_before(tmp_path, SETTINGS)
    with_settings(folder, SETTINGS.replace('"torque and depth reached", "instructed"', '"none"'))
    assessment = services.assess(folder)
    assert state(assessment) == "accepted"
    assert note(assessment) == "not judged by this sign-off: reason for stopping"
    take_in(folder, ("log_1.csv", log(stop="refusal on obstruction")))
    assessment = services.assess(folder)
    assert state(assessment) == "engineer review"
    assert "reason for stopping: met → not met" in note(assessment)


def test_a_kind_that_the_sign_off_knew_drops_it(tmp_path):
    folder = signed_before(tmp_path, SETTINGS)
    with_settings(folder, SETTINGS.replace('"torque and depth reached", "instructed"', '"none"'))
    assert state(services.assess(folder)) == "engineer review"


def test_a_printed_torque_below_the_computed_drops_no_earlier_sign_off_but_a_revision_does(
    tmp_path,
):
    """The earlier program held the pile against the printed value alone."""
    loads = "90,,service,sustained"  # needs 7.8 kN·m; printed 5.0, and 6.4 is reached
    folder = small_project(tmp_path, log())
    sign_by_first_edition(folder, WITH_FACTORS, loads=schedule("B", loads=loads))
    assessment = services.assess(folder)
    assert state(assessment) == "accepted"
    assert "required torque" in note(assessment)
    take_in(folder, schedule("C", loads="91,,service,sustained"))
    assert state(services.assess(folder)) == "engineer review"
