"""Findings in codes: joined under common codes, chosen, and as a frame."""

import numpy as np

from core import words
from core.criteria.findings import FINDING_COLUMNS, Findings, no_findings, other_findings
from core.criteria.outcomes import RESULT
from core.subjects.registry import FINDING

STAMP, LOT = FINDING["stamp_used_twice"], FINDING["lot_quantity_exceeded"]
OF_PILES = other_findings(["P2", "P1"], STAMP, "not met", ["a", "b"], part="stamp 7")
OF_LOTS = other_findings(
    ["X-1", "P1"], LOT, np.array([RESULT["met"], RESULT["noted"]]), "b", subject_kind="lot",
    sense="at most", unit_column="length_mm",
    measured=np.array([5.0, 7.0]), limit_value=np.array([5.0, np.nan]),
)  # fmt: skip


def test_joined_findings_have_common_codes_and_the_same_words():
    found = Findings.joined([OF_PILES, no_findings(), OF_LOTS])
    assert found.text("subject").tolist() == ["P2", "P1", "X-1", "P1"]
    assert found.codes("subject").tolist() == [0, 1, 2, 1]
    assert found.text("pile_id").tolist() == ["P2", "P1", None, None]
    assert found.text("note").tolist() == ["a", "b", "b", "b"]
    assert found.text("kind").tolist() == [STAMP.word, STAMP.word, LOT.word, LOT.word]
    assert found.text("part").tolist() == ["stamp 7", "stamp 7", "", ""]


def test_findings_are_chosen_without_a_frame_and_keep_their_codes():
    found = Findings.joined([OF_PILES, OF_LOTS])
    assert found.of_pile("P1").text("finding").tolist() == [STAMP.id]
    assert len(found.of_pile("P9")) == 0
    assert found.is_text("result", *words.OPEN_RESULTS).tolist() == [True, True, False, True]
    assert found.where(found.is_text("result", "noted")).text("subject").tolist() == ["P1"]
    assert found.take(np.array([3, 0])).text("subject_kind").tolist() == ["lot", "pile"]
    assert not found.is_text("note", "never written").any()


def test_the_margin_is_on_the_right_side_of_the_limit_and_missing_without_one():
    margin = Findings.joined([OF_PILES, OF_LOTS]).values("margin")
    assert np.array_equal(margin, [np.nan, np.nan, 0.0, np.nan], equal_nan=True)
    assert not np.signbit(margin[2])


def test_the_frame_has_every_column_and_is_made_once():
    found = Findings.joined([OF_PILES, OF_LOTS])
    frame = found.frame()
    assert frame is found.frame()
    assert tuple(frame.columns) == FINDING_COLUMNS == tuple(no_findings().frame().columns)
    assert frame["pile_id"].isna().tolist() == [False, False, True, True]
    assert frame["unit_column"].tolist() == ["", "", "length_mm", "length_mm"]
    assert frame.dtypes["due_on"] == no_findings().frame().dtypes["due_on"] == "datetime64[us]"


def test_findings_of_nothing_are_none():
    assert len(other_findings([], STAMP, "met")) == len(Findings.joined([])) == 0
    assert len(Findings.joined([no_findings(), no_findings()])) == 0
