"""Stage from facts, state from findings and stage, positions from their piles."""

import numpy as np
import pandas as pd
import pytest

from core import records, words
from core.assessment import states
from core.assessment.findings import at_work, first_days, with_due
from core.assessment.measuring import TableColumns
from core.criteria.columns import FrameColumns, RowColumns
from core.records.current_rows import CurrentRows
from core.subjects.piles.measures import lengths_of
from tests.formulas.frames import run_frame

DAY = np.datetime64("2026-03-31", "us")
NOBODY = np.array([], dtype=np.int64)
NO_LATER = states.Dated([], NOBODY, (), NOBODY, NOBODY.astype("datetime64[us]"))
NO_RECORDS = FrameColumns(records.typed(pd.DataFrame(), records.KIND["stage_record"].columns))


NO_WORK = NO_LATER


def _read(runs):
    """``runs`` as measures give them: each has readings."""
    rows = CurrentRows.of_frame(runs)
    piles = rows.take(np.unique(rows.codes("pile_id"), return_index=True)[1]).only(["pile_id"])
    piles = piles.with_flag("reason_required", np.ones(len(piles), dtype=bool))
    table = lengths_of(piles, rows, np.ones(len(rows), dtype=bool)).runs.below
    return TableColumns(rows, table)


def stage(*runs, stage_records=NO_RECORDS, after=NO_WORK):
    frame = run_frame(*runs).assign(ended_on=pd.NaT) if runs else run_frame({}).iloc[:0]
    if "ended_on" not in frame:
        frame["ended_on"] = pd.Series(dtype="datetime64[us]")
    reached = states.stages_reached(_read(frame), stage_records, NO_LATER, after)
    return present(reached)


def present(reached):
    """The stage of each pile that has one."""
    stage, _ = states.present_stage(reached, DAY)
    pairs = zip(reached.piles, stage, strict=True)
    return {pile: reached.words[one] for pile, one in pairs if one >= 0}


def test_a_run_without_a_reason_for_stopping_is_installing():
    assert stage({"stop_reason": None}) == {"P1": "installing"}


def test_a_run_that_ended_with_the_shift_is_stopped():
    assert stage({"stop_reason": "end of shift"}) == {"P1": "stopped"}


def work(kind, day="2026-03-10"):
    first = np.array([0])
    return states.Dated(["P1"], first, [kind], first, np.array([day], dtype="datetime64[us]"))


def test_a_run_that_ended_with_the_shift_and_was_surveyed_is_installed():
    surveyed = work("surveyed")
    assert stage({"stop_reason": "end of shift"}, after=surveyed) == {"P1": "installed"}


@pytest.mark.parametrize("kind", ["grout placed", "cut off"])
def test_grout_and_a_cut_length_do_not_end_a_run_that_stopped_with_the_shift(kind):
    assert stage({"stop_reason": "end of shift"}, after=work(kind)) == {"P1": "stopped"}


def test_a_survey_after_the_day_that_judges_does_not_end_a_stopped_run():
    later = work("surveyed", "2026-04-01")
    assert stage({"stop_reason": "end of shift"}, after=later) == {"P1": "stopped"}


def test_a_run_that_ended_is_installed_whatever_the_reason():
    assert stage({"stop_reason": "refusal on obstruction"}) == {"P1": "installed"}


def test_only_the_last_run_says_how_far_the_pile_is():
    first = {"stop_reason": "torque and depth reached"}
    assert stage(first, {"run_no": "2", "stop_reason": None}) == {"P1": "installing"}


def test_what_happens_after_the_day_that_judges_is_not_known_yet():
    assert stage({"run_on": "2026-04-01"}) == {}


def test_a_stage_record_takes_a_pile_further():
    cut = pd.DataFrame([{"pile_id": "P1", "stage": "cut off", "stage_on": "2026-03-10"}])
    record = FrameColumns(records.typed(cut, NO_RECORDS_COLUMNS))
    assert stage({}, stage_records=record) == {"P1": "cut off"}


NO_RECORDS_COLUMNS = records.KIND["stage_record"].columns


def state(results=(), standing=(), **pile):
    base = {"pile_id": "P1", "position_id": "P1", "stage": "installed", "last_stage": "installed"}
    piles = pd.DataFrame([{**base, "replaces": None, **pile}])
    return states_of(piles, {"P1": results}, standing)[0]


def states_of(piles, results, standing):
    """States of piles by their findings' results and sign-offs that stand."""
    piles = piles.astype({"pile_id": "str", "position_id": "str", "replaces": "str"})
    asked = [
        [words.RESULT_STATE[one] for one in results.get(pile, ())] for pile in piles["pile_id"]
    ]
    ranks = [[words.STATE_ORDER[one] for one in own if one] for own in asked]
    found = states.pile_states(
        np.array([min(each, default=states.NO_STATE) for each in ranks], dtype=int),
        np.array([words.STAGE_ORDER[stage] for stage in piles["stage"]]),
        np.array([words.STAGE_ORDER.get(stage, -1) for stage in piles["last_stage"]]),
        piles["pile_id"].isin(standing).to_numpy(),
        states.Served.of(FrameColumns(piles)),
    )
    return list(states.state_words(found))


@pytest.mark.parametrize(("result", "word"), words.RESULT_STATE.items())
def test_each_result_asks_for_its_state_or_has_no_objection(result, word):
    assert state([result]) == (word or "criteria met")


def test_the_worst_result_wins():
    assert state(["met", "no evidence", "not met", "noted"]) == "engineer review"


def test_a_pile_without_work_is_not_started():
    assert state(["not yet due"], stage="set out") == "not started"


def test_a_pile_before_its_last_required_stage_is_in_progress():
    assert state(["met"], last_stage="grouted") == "in progress"


def test_a_finding_outranks_work_in_progress():
    assert state(["not met"], stage="installing") == "engineer review"


def test_criteria_met_becomes_accepted_only_with_a_standing_sign_off():
    assert state(["met"]) == "criteria met"
    assert state(["met"], standing=["P1"]) == "accepted"


def test_a_sign_off_does_not_cover_a_finding():
    assert state(["not met"], standing=["P1"]) == "engineer review"


def two(first_state_results, second_state_results, standing):
    piles = pd.DataFrame(
        {
            "pile_id": ["1", "1R"],
            "position_id": "1",
            "area": "A",
            "current": True,
            "counted": True,
            "stage": "installed",
            "last_stage": "installed",
            "replaces": [None, "1"],
        }
    ).astype({"pile_id": "str", "replaces": "str"})
    results = {"1": first_state_results, "1R": second_state_results}
    piles["state"] = states_of(piles, results, standing)
    return piles, states.position_states(piles)


def test_a_pile_is_replaced_only_when_its_replacement_is_accepted():
    piles, positions = two(["not met"], ["met"], {"1R"})
    assert piles["state"].tolist() == ["replaced", "accepted"]
    assert positions["state"].tolist() == ["accepted"]
    assert positions["accepted"].tolist() == [True]


def test_until_then_the_pile_keeps_its_state_and_the_position_shows_rejected():
    piles, positions = two(["not met"], ["met"], set())
    assert piles["state"].tolist() == ["engineer review", "criteria met"]
    assert positions["state"].tolist() == ["rejected"]
    assert positions["accepted"].tolist() == [False]


def test_a_position_served_by_two_piles_needs_both():
    piles = pd.DataFrame(
        {
            "pile_id": ["1", "1A"],
            "position_id": "1",
            "area": "A",
            "current": True,
            "counted": True,
            "replaces": [None, None],
            "state": ["accepted", "criteria met"],
        }
    )
    assert states.position_states(piles)["accepted"].tolist() == [False]


def chain(*rows):
    """Piles (number, position, state, replaces), and the states of their positions."""
    piles = pd.DataFrame(rows, columns=["pile_id", "position_id", "state", "replaces"])
    piles = piles.astype({"pile_id": "str", "replaces": "str"})
    piles = piles.assign(area="A", current=True, counted=piles["state"].ne("test pile"))
    known = np.array([words.STATE_ORDER.get(word, -1) for word in piles["state"]])
    done = states.Served.of(FrameColumns(piles)).replaced(known)
    piles["state"] = piles["state"].mask(done, "replaced")
    return piles["state"].tolist(), states.position_states(piles).set_index("position_id")


def test_a_chain_of_replacements_ends_with_its_last_pile():
    found, positions = chain(
        ("1", "1", "engineer review", None),
        ("1A", "1", "engineer review", "1"),
        ("1B", "1", "accepted", "1A"),
    )
    assert found == ["replaced", "replaced", "accepted"]
    assert positions.loc["1", "accepted"]


def test_a_replacement_at_another_position_satisfies_the_position_it_replaces():
    _, positions = chain(("1", "1", "engineer review", None), ("2", "2", "accepted", "1"))
    assert positions["accepted"].tolist() == [True, True]


def test_a_pile_that_is_not_for_production_does_not_satisfy_a_position():
    piles = pd.DataFrame({"pile_id": ["1"], "position_id": "1", "area": "A", "current": True})
    piles = piles.assign(counted=False, replaces=None, state="accepted")
    assert states.position_states(piles)["accepted"].tolist() == [False]


def test_a_position_without_a_pile_is_never_better_than_not_started():
    assert state([], pile_id=None, stage="cut off") == "not started"


def test_a_job_without_a_pile_has_no_stage_and_no_state():
    frame = run_frame({}).iloc[:0].assign(ended_on=pd.Series(dtype="datetime64[us]"))
    runs = FrameColumns(frame.assign(cut_off_mm=0))
    after = states.work_after_runs(runs, placements(), surveys(), NO_RECORDS)
    later = states.work_days(placements(), surveys(), grouted())
    assert present(states.stages_reached(_read(frame), NO_RECORDS, later, after)) == {}
    assert after.frame("work", "done_on").empty
    _, positions = two([], [], set())
    none = positions.iloc[:0].assign(pile_id="", counted=True, replaces=None)
    assert states.position_states(none).empty


def due(on, reached, **criterion):
    base = {"criterion_status": "set", "due": "installed", "due_after_days": 2}
    order = np.array([words.STAGE_ORDER[stage] for stage, _ in reached])
    reached_on = np.array([day for _, day in reached], dtype="datetime64[us]")
    days = first_days(1, np.zeros(len(reached), dtype=int), order, reached_on)
    settings = RowColumns([{**base, **criterion}, {}])
    return bool(with_due(settings, np.array([0]), days, np.datetime64(on, "us")).is_due[0])


def test_evidence_falls_due_the_delay_after_the_stage_and_not_before():
    installed = [("installing", "2026-03-01"), ("installed", "2026-03-02")]
    assert not due("2026-03-03", installed)
    assert due("2026-03-04", installed)


def test_evidence_is_not_due_while_the_stage_is_not_reached():
    assert not due("2026-03-31", [("installing", "2026-03-01")])


def test_a_later_stage_makes_earlier_evidence_due():
    assert due("2026-03-31", [("cut off", "2026-03-05")])


def test_a_criterion_of_an_unknown_type_and_one_without_a_day_are_never_due():
    assert not due("2026-03-31", [])
    days = np.array([["2026-03-01"] * len(words.STAGES)], dtype="datetime64[us]")
    settings = RowColumns([{"criterion_status": "set", "due": "installed"}, {}])
    unknown = with_due(settings, np.array([1]), days, np.datetime64("2026-03-31", "us"))
    assert (unknown.is_due[0], unknown.is_set[0], len(unknown.due_at)) == (False, False, 0)


def test_the_first_day_at_a_stage_is_that_of_the_earliest_record_at_it_or_past_it():
    order = np.array([words.STAGE_ORDER[one] for one in ("installed", "installed", "cut off")])
    days = np.array(["2026-03-07", "2026-03-06", "2026-03-05"], dtype="datetime64[us]")
    found = first_days(2, np.array([0, 0, 0]), order, days)
    assert str(found[0, words.STAGE_ORDER["installed"]])[:10] == "2026-03-05"
    assert np.isnat(found[0, words.STAGE_ORDER["surveyed"]])
    assert np.isnat(found[1]).all()
    assert first_days(0, order[:0], order[:0], days[:0]).shape == (0, len(words.STAGES))


def test_a_record_without_a_day_or_of_no_pile_of_the_list_is_no_first_day():
    order = np.full(3, words.STAGE_ORDER["installing"])
    days = np.array(["2026-03-07", "NaT", "2026-03-01"], dtype="datetime64[us]")
    found = first_days(2, np.array([0, 1, -1]), order, days)
    assert str(found[0, words.STAGE_ORDER["installing"]])[:10] == "2026-03-07"
    assert at_work(found).tolist() == [True, False]
    assert at_work(first_days(0, order[:0], order[:0], days[:0])).tolist() == []


def test_a_pile_that_was_only_set_out_never_was_at_work():
    order = np.array([words.STAGE_ORDER["set out"], words.STAGE_ORDER["grouted"]])
    days = np.array(["2026-03-01", "2026-03-09"], dtype="datetime64[us]")
    assert at_work(first_days(2, np.array([0, 1]), order, days)).tolist() == [False, True]


def placements(*rows):
    frame = pd.DataFrame(rows, columns=["pile_id", "placed_on", "run_on"])
    frame = frame.astype(
        {"pile_id": "str", "placed_on": "datetime64[us]", "run_on": "datetime64[us]"}
    )
    return FrameColumns(frame.assign(from_mm=0.0, to_mm=0.0))


def surveys(*rows):
    frame = pd.DataFrame(rows, columns=["pile_id", "surveyed_on"])
    frame = frame.astype({"pile_id": "str", "surveyed_on": "datetime64[us]"})
    return FrameColumns(frame.assign(counts=True))


def grouted(*piles):
    frame = pd.DataFrame({"pile_id": piles, "grouted": True})
    return FrameColumns(frame.astype({"pile_id": "str"}))


def days(found):
    rows = found.frame("stage", "done_on").itertuples()
    return {(row.pile_id, row.stage): str(row.done_on)[:10] for row in rows}


def test_grouted_is_the_day_of_the_last_placement_and_the_runs_day_when_it_names_none():
    placed = placements(("P1", "2026-03-03", "2026-03-02"), ("P1", None, "2026-03-05"))
    found = states.work_days(placed, surveys(), grouted("P1"))
    assert days(found) == {("P1", "grouted"): "2026-03-05"}


def test_a_pile_of_a_grouted_type_is_not_surveyed_before_it_is_grouted():
    placed = placements(("P1", "2026-03-09", "2026-03-02"))
    found = states.work_days(
        placed, surveys(("P1", "2026-03-04"), ("P2", "2026-03-04"), ("P3", "2026-03-04")),
        grouted("P1", "P2"),
    )  # fmt: skip
    assert days(found) == {
        ("P1", "grouted"): "2026-03-09",
        ("P1", "surveyed"): "2026-03-09",
        ("P3", "surveyed"): "2026-03-04",
    }


def test_grout_and_survey_count_once_the_pile_is_installed():
    later = states.work_days(placements(), surveys(("P1", "2026-03-01")), grouted())
    frame = run_frame({"run_on": pd.Timestamp("2026-03-02")}).assign(ended_on=pd.NaT)
    reached = states.stages_reached(_read(frame), NO_RECORDS, later, NO_WORK)
    assert present(reached) == {"P1": "surveyed"}
    assert states.present_stage(reached, DAY)[1] == np.datetime64("2026-03-02")
    begun = run_frame({"stop_reason": None}).assign(ended_on=pd.NaT)
    reached = states.stages_reached(_read(begun), NO_RECORDS, later, NO_WORK)
    assert present(reached) == {"P1": "installing"}
