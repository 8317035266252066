"""Grouted piles from their files: what is met, what goes to the engineer, what waits."""

import pytest

from core import services
from tests.services.grout_job import (
    BATCHES,
    FACTOR,
    GROUTED,
    LIFTS,
    MEMBERS,
    SPECIMENS,
    grouted_project,
    placed,
    run_log,
    whole_files,
)
from tests.services.small import state, take_in


def results(assessment, pile="101"):
    """What is open of a pile: result and note by kind."""
    found = assessment.findings
    mine = found[found["subject"].eq(pile) & ~found["result"].isin(["met", "not required"])]
    return {row.kind: (row.result, row.note) for row in mine.itertuples()}


def judged(tmp_path, settings=GROUTED, **changed):
    return services.assess(grouted_project(tmp_path, *whole_files(**changed), settings=settings))


def test_a_grouted_pile_with_everything_in_order_meets_its_criteria(tmp_path):
    assessment = judged(tmp_path)
    assert results(assessment) == {}
    assert state(assessment) == "criteria met"
    grout = assessment.findings[assessment.findings["clause"].str.startswith("7.")]
    assert set(grout["kind"]) >= {"grout take", "grout strength", "installed near fresh grout"}


def test_every_finding_of_grout_leads_to_file_and_row(tmp_path):
    assessment = judged(tmp_path)
    found = assessment.findings
    grout = found[found["subject"].eq("101") & found["clause"].str.startswith("7.")]
    rows = assessment.evidence("101")
    beside = {"installed near fresh grout"}  # nothing was close
    assert set(grout["kind"]) - beside <= set(rows.loc[rows["file"].ne(""), "kind"])
    lift = rows[rows["kind"].eq("grout take in a lift")]
    assert lift["file"].tolist() == ["placements.csv"]
    assert len(lift) == 1


def test_a_lift_short_of_its_void_is_named_and_no_depth_is_blamed(tmp_path):
    short = [*LIFTS[:1], ("2", "B1", 1.5, 2.5, 20, 0, 2, 0), *LIFTS[2:]]
    found = results(judged(tmp_path, placements=placed(lifts=short)))
    assert found["grout take in a lift"] == ("not met", "lift 2 of run 1")
    assert found["grout take"] == ("not met", "at the end of lift 2 of run 1")


def test_waste_that_is_not_recorded_is_no_evidence(tmp_path):
    unknown = [*LIFTS[:1], ("2", "B1", 1.5, 2.5, 32, 0, None, 0), *LIFTS[2:]]
    found = results(judged(tmp_path, placements=placed(lifts=unknown)))
    assert set(found) == {"grout recorded", "grout take", "grout take in a lift"}
    assert found["grout recorded"][0] == "no evidence"
    assert "spilled" in found["grout take"][1]


def test_a_first_disc_depth_that_is_not_recorded_is_no_evidence(tmp_path):
    found = results(judged(tmp_path, log=run_log(disc="")))
    assert set(found) == {
        "grout recorded", "grout take", "grout take in a lift", "grout lifts to the toe",
    }  # fmt: skip
    assert {result for result, _ in found.values()} == {"no evidence"}
    assert "first disc" in found["grout recorded"][1]


def test_a_grouted_type_is_not_served_by_a_factor_of_bare_shafts(tmp_path):
    assessment = judged(tmp_path, settings=GROUTED.replace(FACTOR, ""))
    assert results(assessment)["no torque factor for this case"][0] == "no evidence"
    assert state(assessment) == "record incomplete"
    factor = assessment.piles.set_index("pile_id").loc["101", "torque_factor_per_m"]
    assert factor != factor  # unknown, not the bare one of the table


def test_seven_day_results_do_not_pass_a_28_day_criterion(tmp_path):
    young = "".join(SPECIMENS.splitlines(keepends=True)[:2])
    found = results(judged(tmp_path, specimens=young))
    assert found["grout strength"] == ("no evidence", "a group has no specimen of 28 days")


@pytest.mark.parametrize(
    ("on", "result"), [("2026-04-06", "waiting"), ("2026-04-07", "no evidence")]
)
def test_a_result_that_is_not_in_waits_until_it_is_overdue(tmp_path, on, result):
    # Taken on 2 March: 28 days on 30 March, overdue after 7 more days, that is after 6 April.
    text = SPECIMENS.replace("2026-03-30,38.5", ",")
    assessment = judged(tmp_path, GROUTED.replace("2026-05-31", on), specimens=text)
    assert results(assessment)["grout strength"][0] == result
    states = {"waiting": "waiting for result", "no evidence": "record incomplete"}
    assert state(assessment) == states[result]
    item = assessment.attention.query("kind == 'grout strength'")
    assert item["due"].item().date().isoformat() == "2026-04-06"


def test_one_low_result_touches_every_pile_of_its_group(tmp_path):
    second = run_log("102", start="10:05", end="10:45")
    low = whole_files(specimens=SPECIMENS.replace("38.5", "34.9"), members=MEMBERS + "G1,102\n")
    files = [*low, ("log2.csv", second), ("placements2.csv", placed("102"))]
    assessment = services.assess(grouted_project(tmp_path, *files))
    told = "minimum single value: specimen S3 of group G1"
    assert results(assessment, "101")["grout strength"] == ("not met", told)
    assert results(assessment, "102")["grout strength"] == ("not met", told)


def test_a_pile_close_to_fresh_grout_is_found_and_names_its_neighbour(tmp_path):
    wide = GROUTED.replace("within_mm = 2000", "within_mm = 3000")
    files = [
        *whole_files(members=MEMBERS + "G1,102\n"),
        ("log2.csv", run_log("102", start="12:05", end="12:45")),
        ("placements2.csv", placed("102").replace(" 08:", " 12:")),
    ]
    assessment = services.assess(grouted_project(tmp_path, *files, settings=wide))
    # The last placement of 101 ends at 08:38; 102 begins at 12:05, 3.45 h later.
    assert results(assessment, "102")["installed near fresh grout"] == ("not met", "pile 101")
    mine = assessment.findings.query("subject == '102' and kind == 'installed near fresh grout'")
    assert mine["measured"].item() == pytest.approx(3.45)
    assert "installed near fresh grout" not in results(assessment, "101")
    cited = assessment.evidence("102").query("kind == 'installed near fresh grout'")
    assert set(cited["file"]) == {"log2.csv", "placements.csv"}


def test_a_pile_turned_after_its_grout_has_set_goes_to_the_engineer(tmp_path):
    folder = grouted_project(tmp_path, *whole_files())
    again = "Pile,Run,Date,Start,Instrument,Toe depth (m),Reason for stopping\n"
    again += "101,2,2026-03-03,2026-03-03 09:00,TI-1,3.0,instructed\n"
    take_in(folder, ("again.csv", again))
    found = results(services.assess(folder))
    assert found["turned after initial set"][0] == "not met"


def test_placements_whose_run_is_withdrawn_count_for_nothing(tmp_path):
    folder = grouted_project(tmp_path, *whole_files())
    history = services.history(folder)
    entry = history.loc[history["source"].eq("log.csv"), "entry_no"].item()
    services.withdraw(folder, int(entry), "Ada Invented", "wrong pile")
    assessment = services.assess(folder)
    assert assessment.measured.lifts.empty
    assert results(assessment)["placement without a run"][0] == "no evidence"


def test_a_batch_outside_its_band_and_too_old_is_named(tmp_path):
    batches = BATCHES.replace("08:30,1900,17", "06:30,1840,26")
    found = results(judged(tmp_path, batches=batches))
    assert found["grout density"] == ("not met", "batch B2")
    assert found["grout flow"] == ("not met", "batch B2")
    assert found["batch age at placement"] == ("not met", "batch B2")
