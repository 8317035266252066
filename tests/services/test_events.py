"""Installation events and open runs, from the crew's file to state, items and JSON."""

import pytest

from core import services
from tests.services.small import SETTINGS, small_project, state, take_in

HEAD = (
    "Pile,Run,Date,Rig,Instrument,Toe depth (m),Reason for stopping,Depth (m),Torque (kN·m),"
    "Event at depth,Remarks\n"
)
TORQUES = [1.0, 2.0, 3.0, 4.0, 5.0, 5.5, 6.0, 6.2, 6.4, 6.6, 6.7, 6.8]


def log(events=(), *, toe="3.6", stop="torque and depth reached", remarks="", day="2026-03-02",
        run="1", first=1):  # fmt: skip
    """A log to 3.6 m, a reading every 300 mm, with (depth, text) written beside some."""
    beside = dict(events)
    rows = []
    for number, torque in enumerate(TORQUES, start=1):
        depth = f"{0.3 * number:.1f}"
        if number >= first:
            rows.append(
                f"101,{run},{day},Rig 1,TI-1,{toe},{stop},{depth},{torque},"
                f"{beside.get(depth, '')},{remarks}"
            )
    return HEAD + "\n".join(rows) + "\n"


def assessed(parent, *logs):
    return services.assess(small_project(parent, *logs))


def open_findings(assessment):
    found = assessment.findings
    open_ = found[found["result"].isin(["not met", "no evidence", "noted"])]
    return dict(zip(open_["kind"], open_["result"], strict=True))


VOID = {"required torque", "torque at the last reading", "mean torque without the peak reading",
        "drop at the end"}  # fmt: skip


def test_a_clean_log_with_couplings_is_met(tmp_path):
    found = assessed(tmp_path, log([("2.1", "coupling"), ("2.4", "lunch")]))
    assert open_findings(found) == {}
    assert state(found) == "criteria met"


def test_spin_out_near_the_toe_needs_the_engineer_and_its_torque_does_not_count(tmp_path):
    found = assessed(tmp_path, log([("3.0", "Spun out")]))
    assert open_findings(found) == {"spin-out": "not met"} | dict.fromkeys(VOID, "no evidence")
    assert state(found) == "engineer review"
    own = found.findings.set_index("kind").loc["spin-out"]
    assert (own["measured"], own["limit_value"], own["clause"]) == (600, 1050, "5.13")
    assert not found.measured.profile.loc[found.measured.profile["depth_mm"] < 4050, "counts"].any()


def test_torque_counts_again_three_helices_below_spin_out(tmp_path):
    found = assessed(tmp_path, log([("1.5", "spin-out")]))
    assert open_findings(found) == {"spin-out": "noted"}
    assert state(found) == "criteria met"
    counted = found.measured.profile.loc[found.measured.profile["counts"], "depth_mm"].tolist()
    assert counted == [2700, 3000, 3300, 3600]  # from 1500 + 3 × 350 on


@pytest.mark.parametrize(
    ("text", "kind"),
    [("coupling broke", "coupling failure"), ("shaft twisted", "shaft damage"),
     ("refusal", "refusal")],
)  # fmt: skip
def test_failure_damage_and_refusal_need_the_engineer_wherever_they_happen(tmp_path, text, kind):
    found = assessed(tmp_path, log([("0.6", text)]))
    assert open_findings(found) == {kind: "not met"}
    assert state(found) == "engineer review"


@pytest.mark.parametrize("text", ["boulder", "lost crowd"])
@pytest.mark.parametrize(("depth", "result"), [("3.0", "not met"), ("1.2", "noted")])
def test_obstruction_and_loss_of_crowd_matter_near_the_toe(tmp_path, text, depth, result):
    found = open_findings(assessed(tmp_path, log([(depth, text)])))
    assert list(found.values()) == [result]


def test_other_text_and_a_denied_event_are_one_item_for_the_engineer_that_blocks_no_state(tmp_path):
    found = assessed(tmp_path, log([("0.9", "no spin-out"), ("1.2", "roots")]))
    assert open_findings(found) == {"remark to review": "noted"}
    assert state(found) == "criteria met"
    (item,) = found.attention.to_dict("records")
    assert (item["responsible"], item["note"]) == ("ENG", 'run 1: "no spin-out"; "roots"')
    (row,) = found.evidence("101")["row"].unique()[:1]
    assert row == 4


def test_remarks_that_name_an_event_are_read_and_others_are_only_shown(tmp_path):
    found = assessed(tmp_path, log(remarks="shaft bent slightly"))
    assert open_findings(found) == {"remark to review": "noted"}
    fine = assessed(tmp_path / "fine", log(remarks="fine day"))
    assert open_findings(fine) == {}
    assert fine.measured.recorded["text"].tolist() == ["fine day"]


def test_an_event_criterion_left_open_is_reported_and_one_not_required_judges_nothing(tmp_path):
    start = SETTINGS.index("[criteria.all.events]")
    end = SETTINGS.index("[criteria.all.survey_recorded]")
    other = '[criteria.all.events]\nnot_required = "5.13 asks for none"\n'
    for name, text, expected in (("open", "", {"criterion not set": "no evidence"}),
                                 ("none", other, {})):  # fmt: skip
        settings = SETTINGS[:start] + text + SETTINGS[end:]
        folder = small_project(tmp_path / name, log([("3.0", "spin-out")]))
        (folder / "project.toml").write_text(settings, encoding="utf-8")
        assert open_findings(services.assess(folder)) == expected


def test_json_shows_events_and_remarks_as_written_and_as_read(tmp_path):
    found = assessed(tmp_path, log([("3.0", "Spun out")], remarks="fine day"))
    pile = next(one for one in services.assessment_object(found)["piles"] if one["pile"] == "101")
    assert pile["events_and_remarks"] == [
        {"run": "1", "depth_mm": 3000, "text": "Spun out", "recognised_as": "spin-out"},
        {"run": "1", "depth_mm": None, "text": "fine day", "recognised_as": ""},
    ]


LACKS = [("", "", "no toe depth and no reason for stopping"), ("3.6", "", "no reason for stopping"),
         ("", "instructed", "no toe depth")]  # fmt: skip


@pytest.mark.parametrize(("toe", "stop", "lacks"), LACKS)
def test_a_run_without_toe_or_reason_is_in_progress_and_an_item_for_the_foreman(
    tmp_path, toe, stop, lacks
):
    found = assessed(tmp_path, log(toe=toe, stop=stop))
    assert open_findings(found) == {"run not closed": "noted"}
    assert state(found) == "in progress"
    assert found.runs_not_closed == 1
    assert found.piles_not_closed == ["101"]
    assert services.assessment_object(found)["runs_not_closed"] == 1
    (item,) = found.attention.to_dict("records")
    assert (item["responsible"], item["note"]) == ("FM", f"run 1: {lacks}")


LATER = {
    "concreted over": "Pile,Stage,Stage date,Evidence\n101,concreted over,2026-03-05,pour 1\n",
    "cut off": "Pile,Stage,Stage date,Evidence\n101,cut off,2026-03-05,sheet\n",
    "surveyed": "Pile,Survey stage,Surveyed on,Easting (m),Northing (m),Level (m)\n"
    "101,after installation,2026-03-05,100.0,200.0,1.0\n",
}


@pytest.mark.parametrize("work", LATER)
@pytest.mark.parametrize(("toe", "stop", "lacks"), LACKS)
def test_an_open_run_with_later_work_is_no_evidence_and_defers_no_criterion(
    tmp_path, work, toe, stop, lacks
):
    folder = small_project(tmp_path, log([("2.1", "coupling broke")], toe=toe, stop=stop))
    assert not take_in(folder, ("later.csv", LATER[work])).refused
    found = services.assess(folder)
    own = found.findings.set_index("kind").loc["run not closed"]
    assert own["result"] == "no evidence"
    assert own["note"] == f"run 1: {lacks}; since then: {work}"
    assert open_findings(found)["coupling failure"] == "not met"
    assert state(found) == "engineer review"
    judged = found.findings.set_index("kind")["result"]
    assert judged["required torque"] == ("met" if toe else "no evidence")


def test_a_run_left_open_is_not_closed_by_the_run_after_it(tmp_path):
    again = log(run="2", day="2026-03-03", first=11)
    before = log(toe="", stop="").replace(f"3.3,{TORQUES[10]}", "x")
    kept = "\n".join(before.splitlines()[:11]) + "\n"
    found = assessed(tmp_path, kept, again)
    own = found.findings.set_index("kind").loc["run not closed"]
    assert own["result"] == "no evidence"
    assert own["note"].startswith(
        "run 1: no toe depth and no reason for stopping; since then: a la"
    )
    assert state(found) == "record incomplete"


def test_a_run_that_ended_with_the_shift_at_a_recorded_toe_is_closed(tmp_path):
    found = assessed(tmp_path, log(stop="end of shift"))
    assert found.runs_not_closed == 0
    assert state(found) == "in progress"


def test_the_toe_alone_closes_a_run_whose_type_requires_no_reason(tmp_path):
    start = SETTINGS.index("[criteria.all.stop_reason]")
    end = SETTINGS.index("[criteria.all.advance_per_revolution]")
    none = '[criteria.all.stop_reason]\nnot_required = "5.5: logger"\n'
    settings = SETTINGS[:start] + none + SETTINGS[end:]
    folder = small_project(tmp_path, log(stop=""))
    (folder / "project.toml").write_text(settings, encoding="utf-8")
    found = services.assess(folder)
    assert found.runs_not_closed == 0
    assert state(found) == "criteria met"
