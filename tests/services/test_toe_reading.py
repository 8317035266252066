"""The final window needs a reading at the toe: of the log, or of the header of the run."""

import pytest

from core import services
from tests.services.small import (
    CERTIFICATES,
    INSTRUMENTS,
    SCHEDULE,
    SETTINGS,
    log,
    small_project,
    started,
    state,
    take_in,
)

GOOD = [1.0, 2.0, 3.0, 4.0, 5.0, 5.5, 6.0, 6.2, 6.4, 6.6]
FALLING = [*GOOD[:-1], 4.5]  # the mean of the last three holds, the last reading does not
UNDISTURBED = SETTINGS.replace(
    'clause = "5.11"\ndue = "installed"\nlargest_helix_multiple = 3', 'not_required = "none asked"'
)


def without_last(text):
    """A log without its last reading; the toe stays as recorded."""
    return "\n".join(text.splitlines()[:-1]) + "\n"


def with_toe(text, toe_m):
    return text.replace(",3.0,torque and", f",{toe_m},torque and")


def with_header(text, torque=None, pressure=None, unit="kN·m"):
    """A log whose run gives a final torque [kN·m] or pressure [bar]."""
    name, value = (
        (f"Final torque ({unit})", torque)
        if torque
        else (
            "Final differential pressure (bar)",
            pressure,
        )
    )
    head, *rows = text.splitlines()
    return "\n".join([f"{head},{name}", *(f"{row},{value}" for row in rows)]) + "\n"


def assessed(parent, *logs, settings=SETTINGS):
    folder = small_project(parent, *logs)
    (folder / "project.toml").write_text(settings, encoding="utf-8")
    return services.assess(folder)


def row(assessment, pile="101"):
    return assessment.piles.set_index("pile_id").loc[pile]


def finding(assessment, kind, pile="101"):
    found = assessment.findings
    return found[found["pile_id"].eq(pile) & found["kind"].eq(kind)].iloc[0]


def test_leaving_out_the_last_lower_reading_makes_no_pile_better(tmp_path):
    whole = assessed(tmp_path / "whole", log(torques=FALLING))
    short = assessed(tmp_path / "short", without_last(log(torques=FALLING)))
    assert state(whole) == "engineer review"
    assert state(short) == "record incomplete"
    assert row(short)[["final_torque_nm", "last_torque_nm", "drop_share"]].isna().all()
    for kind in ("required torque", "torque at the last reading", "drop at the end",
                 "mean torque without the peak reading"):  # fmt: skip
        found = finding(short, kind)
        assert found["result"] == "no evidence", kind
        assert found["note"].startswith("no reading at the toe"), kind


@pytest.mark.parametrize(
    ("toe_m", "expected"),
    [("3.0", "criteria met"), ("3.15", "criteria met"), ("3.151", "record incomplete")],
)
def test_the_last_reading_may_lie_as_far_above_the_toe_as_the_setting_says(
    tmp_path, toe_m, expected
):
    assessment = assessed(tmp_path, with_toe(log(), toe_m))
    assert state(assessment) == expected
    assert row(assessment)["toe_distance_mm"] == 1000 * float(toe_m) - 3000


def test_a_last_reading_deeper_than_the_toe_by_rounding_is_the_one_at_the_toe(tmp_path):
    folder = small_project(tmp_path)
    run = "Pile,Run,Date,Rig,Instrument,Toe depth (m),Reason for stopping\n"
    run += "101,1,2026-03-02,Rig 1,TI-1,2.995,torque and depth reached\n"
    rows = [f"101,1,{0.3 * (n + 1):.1f},{torque}" for n, torque in enumerate(FALLING)]
    readings = "Pile,Run,Depth (m),Torque (kN·m)\n" + "\n".join(rows) + "\n"
    assert not take_in(folder, ("run.csv", run)).refused
    assert not take_in(folder, ("readings.csv", readings)).refused
    assessment = services.assess(folder)
    assert row(assessment)["last_torque_nm"] == 4500
    assert state(assessment) == "engineer review"


def test_a_final_torque_in_the_header_is_the_reading_at_the_toe(tmp_path):
    assessment = assessed(tmp_path, with_header(without_last(log()), 6.6))
    assert state(assessment) == "criteria met"
    assert row(assessment)["final_torque_nm"] == pytest.approx(6400)
    assert row(assessment)["toe_distance_mm"] == 0


def test_a_header_below_required_is_not_met(tmp_path):
    assessment = assessed(tmp_path, with_header(without_last(log()), 4.5))
    assert state(assessment) == "engineer review"
    assert row(assessment)["last_torque_nm"] == 4500


@pytest.mark.parametrize(("in_log", "header"), [(4.5, 6.6), (6.6, 4.5)])
def test_where_header_and_log_disagree_the_lower_counts_and_an_item_says_so(
    tmp_path, in_log, header
):
    assessment = assessed(tmp_path, with_header(log(torques=[*GOOD[:-1], in_log]), header))
    assert row(assessment)["last_torque_nm"] == 4500
    assert row(assessment)["final_torque_nm"] == pytest.approx((6200 + 6400 + 4500) / 3)
    assert state(assessment) == "engineer review"
    found = finding(assessment, "final reading in header and log")
    assert (found["result"], found["measured"], found["limit_value"]) == (
        "noted", 1000 * header, 1000 * in_log,
    )  # fmt: skip
    assert "final reading in header and log" in assessment.attention["kind"].tolist()


def test_a_header_that_repeats_the_last_reading_changes_nothing(tmp_path):
    plain = assessed(tmp_path / "plain", log())
    repeated = assessed(tmp_path / "repeated", with_header(log(), 6.6))
    assert state(repeated) == "criteria met"
    names = ["final_torque_nm", "last_torque_nm", "drop_share", "window_gap_mm"]
    assert row(repeated)[names].to_dict() == row(plain)[names].to_dict()
    assert finding(repeated, "final reading in header and log")["result"] == "met"


def test_a_header_in_another_unit_differs_by_no_noise_of_conversion(tmp_path):
    in_pounds = f"{6600 / 1.3558179483314004:.10f}"
    assessment = assessed(tmp_path, with_header(log(), in_pounds, unit="ft·lb"))
    found = finding(assessment, "final reading in header and log")
    assert found["measured"] != found["limit_value"]
    assert found["result"] == "met"


def test_a_lower_header_below_the_last_reading_leaves_no_gap_and_takes_its_place(tmp_path):
    assessment = assessed(tmp_path, with_header(with_toe(log(), "3.1"), 6.1))
    assert state(assessment) == "criteria met"
    assert row(assessment)["last_torque_nm"] == 6100
    assert row(assessment)["window_gap_mm"] == 300
    # 2.4 m lies in the window of 0.9 m above 3.1 m, too; 6.6 at 3.0 m gives way to the header.
    assert row(assessment)["final_torque_nm"] == pytest.approx((6200 + 6400 + 6100) / 3)


def test_a_header_without_a_curve_for_it_counts_as_unknown(tmp_path):
    assessment = assessed(tmp_path, with_header(log(), pressure=110))
    assert state(assessment) == "record incomplete"
    found = finding(assessment, "required torque")
    assert found["result"] == "no evidence"
    assert found["note"].endswith("points of TI-1 are of different kinds")


def test_evidence_and_worksheet_name_the_row_of_the_run_that_gives_the_reading(tmp_path):
    assessment = assessed(tmp_path, with_header(without_last(log()), 6.6))
    rows = assessment.evidence("101")
    own = rows[rows["kind"].eq("required torque")]
    assert own.groupby("record").size().to_dict() == {"run": 1, "torque_reading": 2}
    assert own.loc[own["record"].eq("run"), "file"].item() == "log_1.csv"
    sheet = services.worksheet(assessment, "101")
    step = next(step for step in sheet.steps if step.measure == "toe_distance_mm")
    assert step.value == 0
    assert sheet.place(step.inputs[1]).startswith("log_1.csv, row ")
    mean = next(step for step in sheet.steps if step.measure == "final_torque_nm")
    assert mean.value == pytest.approx(row(assessment)["final_torque_nm"])


def redriven(torques, settings, parent):
    """A run to 3.0 m, and one that advances again from 2.1 m to the same toe."""
    again = log(run="2", day="2026-03-03", torques=[0.0] * 7 + torques)
    head, *rows = again.splitlines()
    again = "\n".join([head, *rows[7:]]).replace(f"{0.3 * (7 + len(torques)):.1f},tor", "3.0,tor")
    return assessed(parent, log(), again + "\n", settings=settings)


def test_a_reading_of_an_earlier_run_is_no_reading_at_the_toe_of_a_later_one(tmp_path):
    assert state(redriven([5.5, 5.6, 4.5], UNDISTURBED, tmp_path / "whole")) == "engineer review"
    short = redriven([5.5, 5.6], UNDISTURBED, tmp_path / "short")
    assert state(short) == "record incomplete"
    assert row(short)["toe_distance_mm"] == 300


def test_a_run_that_goes_over_the_ground_again_counts_only_below_what_it_disturbed(tmp_path):
    found = finding(redriven([6.5, 6.6, 6.7], SETTINGS, tmp_path), "required torque")
    assert found["result"] == "no evidence"
    assert found["note"].endswith("does not count: it lies in disturbed ground")


def test_a_run_that_ends_above_the_earlier_toe_has_no_final_torque(tmp_path):
    back = log(run="2", day="2026-03-03", torques=[6.0] * 9, stop="instructed")
    head, *rows = back.splitlines()
    assessment = assessed(
        tmp_path, log(), "\n".join([head, *rows[7:]]) + "\n", settings=UNDISTURBED
    )
    assert finding(assessment, "required torque")["note"] == (
        "a reading lies deeper than the recorded toe"
    )
    assert state(assessment) == "record incomplete"


def note_with(parent, certificates):
    """The note of required torque with these files of certificates, and the torque's notes."""
    files = [("schedule.csv", SCHEDULE), ("instruments.csv", INSTRUMENTS), ("log.csv", log())]
    files += [("certificates.csv", certificates)] if certificates else []
    assessment = services.assess(started(parent, SETTINGS, *files))
    kinds = ("required torque", "calibrated range", "rated torque", "drop at the end")
    return [finding(assessment, kind)["note"] for kind in kinds]


def test_a_note_names_the_certificate_or_the_points_that_are_missing(tmp_path):
    missing = "no calibration certificate is recorded for TI-1"
    told = f"in the final window {missing}"
    assert note_with(tmp_path / "none", "") == [told, told, missing, told]
    bare = CERTIFICATES.splitlines()[0].replace(",Point,Torque (kN·m)", "")
    bare += "\nTI-1,C-1,2026-01-10,2026-01-10,2027-01-09\n"
    missing = "no calibration points are recorded for TI-1, certificate C-1"
    told = f"in the final window {missing}"
    assert note_with(tmp_path / "bare", bare) == [told, told, missing, told]


def test_a_note_says_below_and_above_the_range_and_never_missing(tmp_path):
    below = CERTIFICATES.replace("1,0.5", "1,6.3")
    word = "a reading in the final window is below the calibrated range"
    assert note_with(tmp_path / "below", below)[0] == word
    assert note_with(tmp_path / "below2", below)[3] == word
    above = CERTIFICATES.replace("2,12.0", "2,6.5")
    required, _, rated, drop = note_with(tmp_path / "above", above)
    assert required == "at least: readings above the calibrated range count as its last point"
    assert rated == "a reading is above the calibrated range"
    assert drop == "a reading in the final window is above the calibrated range"
