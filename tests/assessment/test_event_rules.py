"""Installation events against how far below them the toe is."""

import pytest

from core.criteria.columns import RowColumns
from core.records import EVENT, JUDGED_EVENTS
from core.subjects.torque import event_rules
from core.subjects.torque.event_rules import Events
from tests.assessment.one_case import criterion, decided

ALWAYS = [event for event in JUDGED_EVENTS if event.judged == "always"]
BY_DISTANCE = [event for event in JUDGED_EVENTS if event.judged != "always"]
CASE = {"toe_mm": 6000.0, "event_distance_mm": 1050.0, "readings": 20, "refusal": "not met"}
CASE |= {"being_driven": False}
CASE |= {event.column: float("nan") for event in JUDGED_EVENTS}
CASE |= {event.text_column: None for event in JUDGED_EVENTS}


def judged(rule, **changed):
    return decided(rule, {**CASE, **changed})


def at(event, depth_mm, **changed):
    own = {event.column: depth_mm, event.text_column: f'"{event.word}"'}
    return judged(event_rules.event_rule(event), **own, **changed)


@pytest.mark.parametrize("event", BY_DISTANCE, ids=lambda event: event.word)
def test_an_event_is_noted_once_the_toe_is_far_enough_below_it(event):
    assert at(event, 4949)["result"] == "noted"
    assert at(event, 4950)["result"] == "noted"
    assert at(event, 4951)["result"] == "not met"
    assert at(event, 6300)["result"] == "not met"  # deeper than the recorded toe
    found = at(event, 5400)
    assert (found["measured"], found["limit_value"]) == (600, 1050)
    assert found["note"] == f'"{event.word}"'


@pytest.mark.parametrize("event", BY_DISTANCE, ids=lambda event: event.word)
def test_without_a_toe_an_event_is_not_met_and_not_yet_due_while_the_pile_is_driven(event):
    found = at(event, 3000, toe_mm=float("nan"))
    assert found["result"] == "not met"
    assert found["note"].endswith("the toe depth is not recorded")
    assert at(event, 3000, toe_mm=float("nan"), being_driven=True)["result"] == "not yet due"


@pytest.mark.parametrize("event", ALWAYS, ids=lambda event: event.word)
@pytest.mark.parametrize("driven", [False, True])
def test_failure_damage_and_refusal_are_not_met_at_any_depth(event, driven):
    assert at(event, 300, being_driven=driven)["result"] == "not met"


def test_refusal_is_noted_where_the_clause_names_it():
    assert at(EVENT["refusal"], 5900, refusal="noted")["result"] == "noted"
    assert at(EVENT["shaft damage"], 5900, refusal="noted")["result"] == "not met"


def test_an_event_that_did_not_happen_gives_no_finding():
    assert judged(event_rules.event_rule(EVENT["spin-out"]))["result"] is None


def test_a_record_without_an_event_is_met_and_one_without_readings_is_no_evidence():
    assert judged(Events.no_event)["result"] == "met"
    assert judged(Events.no_event, readings=0)["result"] == "no evidence"
    assert judged(Events.no_event, spin_out_mm=300.0)["result"] is None


def asked(word):
    return RowColumns([{"pile_id": "P1"}]), criterion({"criterion_status": word})


def test_texts_to_read_are_one_noted_finding_per_run():
    texts = [("1", "soft"), ("1", "soft"), ("1", "roots"), ("2", "gas")]
    read = RowColumns([{"pile_id": "P1", "run_no": run, "text": text} for run, text in texts])
    found = event_rules.texts_to_read_findings(read, *asked("set"))
    assert found.text("note").tolist() == ['run 1: "soft"; "roots"', 'run 2: "gas"']
    assert set(found.text("result")) == {"noted"}
    assert len(event_rules.texts_to_read_findings(read, *asked("not required"))) == 0
    assert len(event_rules.texts_to_read_findings(RowColumns([]), *asked("set"))) == 0
