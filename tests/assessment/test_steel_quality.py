"""Marks of pieces: results against their grade and chemistry, zinc, origin, the day of delivery."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.subjects.steel.rows import CERTIFICATES, COMPONENTS, HEATS, KINDS, steel

GRADED = tuple({**row, "standard": "standard 1", "grade": "INV-T2"} for row in CERTIFICATES)
GRADE = {"standard": "Standard  1", "grade": "inv-t2", "min_yield_mpa": 450.0,
         "min_tensile_mpa": 540.0, "max_carbon_percent": 0.22}  # fmt: skip


def marks(lead=None, kind=None, grades=(GRADE,), **results):
    """Marks of the shaft of the lead; ``results``: what its certificate states of its heat."""
    given = {"yield_mpa": 450.0, "tensile_mpa": 560.0, "carbon_percent": 0.2} | results
    heats = ({**HEATS[0], **given}, *HEATS[1:])
    tables = steel(
        certificate=GRADED,
        heat_on_certificate=heats,
        steel_grades=grades,
        component=({**COMPONENTS[0], **(lead or {})}, COMPONENTS[1]),
        component_kinds=({**KINDS[0], **(kind or {})}, KINDS[1]),
    )
    return tables.pieces, {name: bool(mask[1]) for name, mask in tables.pieces.marks.items()}


def told(pieces, name):
    """What is wrong with the shaft of the lead."""
    return pieces.words(name, np.array([1])).array().tolist()


@pytest.mark.parametrize(
    ("yield_mpa", "low", "lacking"),
    [(451.0, False, False), (450.0, False, False), (449.0, True, False), (None, False, True)],
)
def test_a_strength_reaches_its_grade_exactly_on_the_limit_and_a_missing_one_does_not(
    yield_mpa, low, lacking
):
    pieces, found = marks(yield_mpa=yield_mpa)
    assert (found["below_grade"], found["unproven"], found["with_grade"]) == (low, lacking, True)
    if low:
        assert told(pieces, "below_grade") == [
            "L-1 shaft: heat H1 on certificate MC-5: yield strength below its grade"
        ]
    if lacking:
        assert told(pieces, "unproven") == [
            "L-1 shaft: heat H1 on certificate MC-5 gives no yield strength"
        ]


@pytest.mark.parametrize(
    ("share", "over", "lacking"),
    [(0.2, False, False), (0.22, False, False), (0.23, True, False), (None, False, True)],
)
def test_a_share_is_within_its_limit_exactly_on_it_and_a_missing_one_is_not_given(
    share, over, lacking
):
    pieces, found = marks(carbon_percent=share)
    assert (found["over_chemistry"], found["no_chemistry"]) == (over, lacking)
    assert found["with_chemistry"]
    if over:
        assert told(pieces, "over_chemistry") == [
            "L-1 shaft: heat H1 on certificate MC-5: carbon 0.23 %, at most 0.22 %"
        ]
    if lacking:
        assert told(pieces, "no_chemistry")[0].endswith("gives no carbon")


def test_a_grade_that_the_project_does_not_set_proves_nothing():
    pieces, found = marks(grades=())
    assert found["unproven"]
    assert not found["below_grade"]
    assert told(pieces, "unproven")[0].endswith(
        "grade INV-T2 of standard 1 is not among steel_grades in project.toml"
    )


@pytest.mark.parametrize(
    ("zinc", "lot", "marked"),
    [
        (86.0, "Z-1", {"with_zinc", "with_thickness"}),
        (85.0, "Z-1", {"with_zinc", "with_thickness"}),
        (84.0, "Z-1", {"with_zinc", "with_thickness", "thin_zinc"}),
        (None, "Z-1", {"with_zinc", "no_zinc"}),
        (86.0, None, {"with_zinc", "with_thickness", "no_zinc"}),
    ],
)
def test_zinc_is_told_once_a_component(zinc, lot, marked):
    asked = {"zinc_um_asked": 85.0, "zinc_lot_asked": True}
    pieces, second = marks(lead={"zinc_um": zinc, "zinc_lot": lot}, kind=asked)
    names = ("with_zinc", "with_thickness", "no_zinc", "thin_zinc")
    assert {name for name in names if pieces.marks[name][0]} == marked
    assert not any(second[name] for name in names)  # another piece of the same component


@pytest.mark.parametrize(
    ("melted", "foreign"), [("norway ", False), ("Elsewhere", True), (None, True), ("Nor", True)]
)
def test_steel_is_of_a_country_that_the_contract_names_or_it_is_not_shown(melted, foreign):
    pieces, found = marks(kind={"origin_asked": "Sweden, Norway"}, melted_in=melted)
    assert (found["with_origin"], found["foreign"]) == (True, foreign)
    if melted is None:
        assert told(pieces, "foreign") == ["L-1 shaft: heat H1: no certificate states where melted"]


@pytest.mark.parametrize(
    ("day", "early", "known"),
    [("2026-03-01", False, True), ("2026-03-02", False, True), ("2026-03-03", True, True),
     (None, False, False)],
)  # fmt: skip
def test_a_component_is_placed_on_the_day_of_its_delivery_or_later(day, early, known):
    pieces, found = marks(lead={"delivered_on": day})
    assert (found["early"], found["with_day"]) == (early, known)
    if early:
        assert told(pieces, "early") == [
            "L-1 shaft: delivered on 2026-03-03, the run is of 2026-03-02"
        ]


NUMBER = st.one_of(st.none(), st.integers(300, 700).map(float))


@settings(deadline=None, max_examples=25)
@given(NUMBER, NUMBER, st.one_of(st.none(), st.integers(0, 100).map(lambda one: one / 100)))
def test_a_missing_result_is_never_a_proof(yield_mpa, tensile_mpa, carbon):
    _, found = marks(yield_mpa=yield_mpa, tensile_mpa=tensile_mpa, carbon_percent=carbon)
    proven = not found["below_grade"] and not found["unproven"]
    assert proven == ((yield_mpa or 0) >= 450 and (tensile_mpa or 0) >= 540)
    within = not found["over_chemistry"] and not found["no_chemistry"]
    assert within == (carbon is not None and carbon <= 0.22)


def test_of_no_piece_there_are_marks_without_a_row():
    pieces = steel(placed=()).pieces
    assert {len(mask) for mask in pieces.marks.values()} == {0}
    assert all(len(pieces.words(name, np.array([], dtype=int))) == 0 for name in pieces.judged
               if not name.startswith("with"))  # fmt: skip
