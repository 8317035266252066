"""What is written beside a reading is read as an event of the closed list, or as other text."""

import pandas as pd
import pytest

from core.records import JUDGED_EVENTS, OTHER_TEXT, events_in
from core.subjects.registry import FINDING_KIND
from core.subjects.torque.events import texts_to_read
from tests.formulas.frames import pile_frame, profile, reading_frame, run_frame, torque_of

SPELLINGS = {  # trade practice, no source
    "coupling failure": (
        "coupling broke", "Coupling failure", "coupling bolt sheared, replaced", "broken coupling",
        "bolts sheared", "weld cracked", "coupling failed at 2.1 m",
    ),
    "shaft damage": (
        "shaft twisted", "shaft bent", "lead cracked", "extension bent", "twisted off",
        "helix plate broken", "bent shaft",
    ),
    "refusal": ("refusal", "Refused", "driven to refusal", "practical refusal on rock"),
    "spin-out": (
        "spin-out", "spinout", "spun out", "SPIN OUT", "spinning", "spin_out", "Spin–out",
        "no advance spin-out", "no obstruction, spin-out at 4 m", "spun out, crowd increased",
    ),
    "obstruction": ("obstruction", "boulder", "hit boulder at 2.1m", "obstructed"),
    "reverse rotation": ("reversed", "backed out", "backed off 0.5 m", "unscrewed"),
    "loss of crowd": ("loss of crowd", "lost crowd", "no crowd", "lost down pressure"),
    "extension added": (
        "coupling", "extension added", "ext 2", "ext. 3 added", "added section", "new section",
        "coupling 1 fitted", "Added 7 ft extension", "2nd extension",
    ),
    "disc": ("disc", "disk 2", "displacement plate"),
    "weld": ("weld", "welded"),
    "gauge change": ("gauge change", "changed gauge", "gauge set changed", "low gear"),
    "break": ("break", "lunch", "pause 10 min", "End of shift, resumed next morning"),
    OTHER_TEXT: (
        "no spin-out", "no sign of spin-out", "spin-out: none", "spin-out? no", "near refusal",
        "didn't spin out", "no obstruction or spin-out", "no crowd loss",
        "reduced speed to avoid spin-out", "shaft not damaged", "backed off crowd", "soft layer",
        "pile at bent 12", "damaged hose", "Stoß", "spin speed 12 rpm", "no coupling failure",
    ),
}  # fmt: skip


@pytest.mark.parametrize(
    ("text", "word"), [(text, word) for word, texts in SPELLINGS.items() for text in texts]
)
def test_a_usual_spelling_is_read_as_its_event_and_a_denied_one_as_other_text(text, word):
    assert events_in(text) == (word,)


@pytest.mark.parametrize("text", ["", "-", "none", "n/a", "nil", "OK", "No events"])
def test_a_text_that_says_nothing_names_no_event(text):
    assert events_in(text) == ()


def test_one_text_may_name_several_events_and_a_neutral_one_hides_nothing():
    assert events_in("coupling, spun out") == ("spin-out", "extension added")
    assert events_in("coupling, lunch break") == ("extension added", "break")
    assert events_in("coupling not broken") == ("extension added", OTHER_TEXT)
    assert events_in("extension added, shaft wobbling") == ("extension added", OTHER_TEXT)


def test_every_judged_event_has_a_finding_kind():
    assert [one.word for one in JUDGED_EVENTS if one.word not in FINDING_KIND] == []


def happened(depths, texts, piles=None, runs=None):
    readings = reading_frame(depths).assign(event=pd.array(texts, dtype="str"))
    return profile(readings, run_frame({}) if runs is None else runs, piles)[1]


def test_the_deepest_event_of_a_kind_counts_and_spin_out_voids_torque_below_itself():
    found = happened([1000, 2000, 3000], ["spin-out", "spun out", None])
    assert found["spin_out_mm"] == 2000
    assert found["spin_out_text"] == '"spin-out"; "spun out"'
    assert found["event_distance_mm"] == 3 * 350
    assert found["event_void_to_mm"] == 2000 + 3 * 350


@pytest.mark.parametrize(("depth", "counting"), [(300, [3000]), (2000, [3300])])
def test_the_deeper_of_disturbed_ground_and_spin_out_decides_from_where_torque_counts(
    depth, counting
):
    # The ground is disturbed to 1800 + 3 × 350 mm, spin-out voids to its depth + 3 × 350 mm.
    first = reading_frame([300, 1800]).assign(event=None)
    again = reading_frame([depth, 2850 - 1, 3000, 3300], run_no="2").assign(event=None)
    readings = pd.concat([first, again])
    readings["event"] = pd.array(["backed off" if at == 2 else None for at in range(6)])
    runs = run_frame({"toe_mm": 1800}, {"run_no": "2", "run_on": "2026-03-02", "toe_mm": 3300})
    frame, _ = profile(readings.astype({"event": "str"}), runs)
    assert frame.loc[frame["counts"], "depth_mm"].tolist()[: len(counting)] == counting


@pytest.mark.parametrize("text", ["coupling", "obstruction", "refusal", None])
def test_no_other_event_voids_torque(text):
    assert pd.isna(happened([2000], [text])["event_void_to_mm"])


def test_without_the_multiple_nothing_is_void():
    found = happened([1000], ["spin-out"], pile_frame(event_multiple=float("nan")))
    assert pd.isna(found["event_void_to_mm"])


def texts(event, remarks):
    readings = reading_frame([1000]).assign(event=pd.array([event], dtype="str"))
    recorded = torque_of(readings, run_frame({"remarks": remarks})).recorded_texts
    return texts_to_read(recorded).frame()["text"].tolist()


def test_a_person_reads_other_text_beside_readings_and_remarks_that_name_an_event():
    assert texts("soft layer", None) == ["soft layer"]
    assert texts("coupling", "Obstruction at 2.1 m") == ["Obstruction at 2.1 m"]


@pytest.mark.parametrize(
    "remarks", ["No obstructions", "End of shift", "Hose failed, gauge set changed", "fine day"]
)
def test_honest_remarks_are_nobodys_task(remarks):
    assert texts("spin-out", remarks) == []
