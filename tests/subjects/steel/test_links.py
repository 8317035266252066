"""The chain as boxes and lines, single and folded."""

import pandas as pd

from core.subjects.steel.register import LEVELS, trace_boxes


def trace(*rows):
    base = {"pile_id": "P1", "area": "A", "component": "lead", "stamp": "L-1", "mill": "Mill X"}
    base |= {"heat": "H1", "certificate": "MC-1", "on_register": True, "on_file": True}
    frame = pd.DataFrame([{**base, "listed": True, **row} for row in rows])
    return frame.astype({"heat": "str", "certificate": "str"})


def many():
    """Thirty piles, each with a lead of its own, of two heats of one mill."""
    return trace(*(
        {"pile_id": f"P{n}", "area": "AB"[n % 2], "stamp": f"L-{n}", "heat": f"H{n % 2}"}
        for n in range(30)
    ))  # fmt: skip


def test_each_thing_is_one_box_and_each_step_one_line():
    found, lines = trace_boxes(trace({}, {"heat": "H2"}), 40)
    assert found["box"].tolist() == ["P1", "lead L-1", "H1 Mill X", "H2 Mill X", "MC-1"]
    assert len(lines) == 1 + 2 + 2
    assert not found["broken"].any()


def test_a_chain_that_stops_is_broken_where_it_does():
    rows = [{"heat": None, "certificate": None, "on_file": False, "listed": False}]
    found, lines = trace_boxes(trace(*rows), 40)
    broken = found.set_index("level")["broken"]
    assert broken.to_dict() == {
        "pile": False, "component": False, "heat": True, "certificate": True,
    }  # fmt: skip
    assert lines["broken"].tolist() == [False, True, True]


def test_a_certificate_that_does_not_list_the_heat_is_shown_and_broken():
    found, _ = trace_boxes(trace({"listed": False}), 40)
    assert found.iloc[-1][["box", "broken"]].tolist() == ["MC-1", True]


def test_many_boxes_are_folded_with_their_counts():
    found, lines = trace_boxes(many(), 40)
    told = found.set_index("box")["count"].to_dict()
    assert told == {"area A": 15, "area B": 15, "lead": 30, "Mill X": 2, "MC-1": 1}
    assert len(lines) == 2 + 1 + 1


def test_exactly_as_many_boxes_as_fit_stay_single():
    assert len(trace_boxes(many(), 63)[0]) == 30 + 30 + 2 + 1
    assert len(trace_boxes(many(), 62)[0]) == 5


def test_when_folding_does_not_help_each_level_is_one_box():
    found, _ = trace_boxes(many(), 4)
    assert found["level"].tolist() == list(LEVELS)
    assert found["count"].tolist() == [30, 30, 2, 1]
