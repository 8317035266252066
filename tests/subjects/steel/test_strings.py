"""Strings of piles: lengths against the toe, the minimum rated torque, stamps twice, lots."""

import numpy as np
import pytest

from core.subjects.columns import Book
from tests.subjects.steel.rows import COMPONENTS, PIECES, PLACED, RUNS, piles, steel

LAST = {"run_no": "2", "run_order": 2}


def pile(*runs, names=("P1",), **rows):
    """The pile table of a small job."""
    return piles(steel(**rows), *runs, names=names)


def test_the_string_in_the_ground_is_what_is_placed_less_cut_off_and_stick_up():
    found = pile()
    # 2100 + 1500 placed, 200 cut off, 400 above the ground: 3000 in the ground, toe at 3000.
    assert found.placed_length_mm.values == [3600]
    assert found.string_length_mm.values == [3000]
    assert found.length_difference_mm.values == [0]


def test_the_difference_has_no_sign_and_takes_the_last_toe_that_is_recorded():
    found = pile({**RUNS[0], "toe_mm": 3010}, {**RUNS[0], "toe_mm": None})
    assert found.length_difference_mm.values == [10]
    assert pile({**RUNS[0], "toe_mm": 2990}).length_difference_mm.values == [10]


def test_cut_off_and_stick_up_are_those_of_the_last_run_alone():
    found = pile(RUNS[0], {**RUNS[0], "cut_off_mm": None})
    assert np.isnan(found.cut_off_mm.values).all()
    assert found.stick_up_mm.values == [400]
    assert np.isnan(found.string_length_mm.values).all()


def test_a_used_length_goes_before_the_delivered_one_and_one_unknown_length_is_no_sum():
    placed = (PLACED[0], {**PLACED[1], "used_length_mm": 1100})
    assert pile(placed=placed).placed_length_mm.values == [3200]
    bare = ({**COMPONENTS[0], "length_mm": None}, COMPONENTS[1])
    assert np.isnan(pile(component=bare).placed_length_mm.values).all()


def test_the_last_run_with_a_string_counts_and_an_earlier_one_does_not():
    found = pile(RUNS[0], RUNS[0], placed=(*PLACED, {**LAST, "place": 1, "stamp": "L-1"}))
    assert found.components.tolist() == [1]
    assert found.string_run.array().tolist() == ["2"]


def test_the_first_missing_place_the_loose_bolts_and_the_lead_are_told():
    placed = ({"place": 1, "stamp": "L-1"}, {"place": 3, "stamp": "E-7", "bolts": "not fitted"})
    lead = ({**COMPONENTS[0], "section": "round 89"}, COMPONENTS[1])
    found = pile(placed=placed, component=lead)
    assert found.missing_place.tolist() == [2]
    assert found.loose_bolts.tolist() == [3]
    assert found.lead_section.array().tolist() == ["round 89"]
    assert found.lead_stamp.array().tolist() == ["L-1"]
    assert np.isnan(pile().missing_place).all()
    assert pile(placed=placed[1:]).lead_stamp.array().tolist() == [""]


def test_the_least_rated_torque_is_of_every_run_and_names_its_stamp():
    weak = {**COMPONENTS[1], "rated_torque_nm": 9000.0}
    found = pile(RUNS[0], RUNS[0], component=(COMPONENTS[0], weak),
                 placed=(*PLACED, {**LAST, "place": 1, "stamp": "L-1"}))  # fmt: skip
    assert found.component_rated_torque_nm.values == [9000]
    assert found.component_rated_stamp.array().tolist() == ["E-7"]
    assert found.component_undocumented.array().tolist() == ["E-7"]
    assert [one.record for one in found.evidence("component_rated_torque_nm")] == ["component"]


def test_a_pile_without_a_run_or_a_string_has_no_counts():
    found = pile(names=("P1", "P2"))
    assert found.components.tolist() == pytest.approx([2, np.nan], nan_ok=True)
    assert found.pieces.tolist() == pytest.approx([3, np.nan], nan_ok=True)


def test_pieces_at_fault_are_counted_and_the_first_three_named():
    many = tuple({**PIECES[0], "piece": f"part {n}", "heat": None} for n in range(5))
    found = pile(piece=(*many, *PIECES[1:]))
    assert found.untraced.tolist() == [5]
    no_heat = ": no heat is recorded for this piece"
    named = "; ".join(f"L-1 part {n}{no_heat}" for n in range(3))
    assert found.untraced_note.array().tolist() == [f"{named}; and 2 more"]
    assert found.off_register_note.array().tolist() == [""]


def test_the_worksheet_prints_every_length_with_its_own_row():
    tables = steel(traced=True, placed=(PLACED[0], {**PLACED[1], "used_length_mm": 1500}))
    book = Book(str)
    steps = {step.measure: step for step in piles(tables).steps(book) if step.measure}
    length = steps["placed_length_mm"]
    assert [one.value for one in length.inputs] == [2100, 1500]
    assert [one.origin.record for one in length.inputs] == ["component", "component_placed"]
    assert "lead section L-1" in length.inputs[0].description
    assert steps["string_length_mm"].value == 3000
    toe = steps["length_difference_mm"].inputs[1]
    assert (toe.value, toe.origin.record) == (3000, "run")
    assert steps["cut_off_mm"].inputs[0].origin.record == "run"


def test_evidence_is_the_string_its_deliveries_and_its_papers():
    found = pile()
    records = {name: sorted({one.record for one in found.evidence(name) if len(one.at)})
               for name in ("string", "length_difference_mm", "steel", "quarantine")}  # fmt: skip
    assert records["string"] == ["component", "component_placed", "run"]
    assert records["length_difference_mm"] == records["string"]
    assert records["steel"] == ["certificate", "component", "component_placed",
                                "heat_on_certificate", "piece"]  # fmt: skip
    assert records["quarantine"] == []


def test_a_stamp_of_one_component_in_two_piles_is_found_and_a_lot_is_not():
    twice = tuple({**row, "pile_id": name, "run_order": at} for at, name in
                  enumerate(("P1", "P2"), start=1) for row in PLACED)  # fmt: skip
    again = steel(placed=twice).again
    assert again.rows.frame()["stamp"].tolist() == ["L-1", "L-1"]
    assert again.other_pile.array().tolist() == ["P2", "P1"]
    assert again.other_place.tolist() == [1, 1]


def test_the_use_of_a_lot_is_counted_over_its_deliveries():
    more = {**COMPONENTS[1], "delivery_id": "DN-2", "quantity": None, "left_over": 2}
    lots = steel(component=(*COMPONENTS, more)).lots
    told = [getattr(lots, name).tolist() for name in ("delivered", "placed", "left_over", "used")]
    assert told == [[5], [1], [2], [3]]
    assert sorted({one.record for one in lots.evidence("lot")}) == ["component", "component_placed"]


def test_what_is_cut_from_a_component_is_told_with_its_length_in_the_ground():
    cut = {"stamp": "L-1a", "delivery_id": "DN-1", "component_kind": "lead", "length_mm": 500,
           "cut_from": "L-1"}  # fmt: skip
    tables = steel(component=(*COMPONENTS, cut), placed=PLACED[:1])
    parents = tables.parents(piles(tables).runs.below.rows)
    told = [getattr(parents, name).tolist() for name in
            ("remnants_mm", "delivered_mm", "ground_mm", "parent_known")]  # fmt: skip
    assert told == [[500], [2100], [1900], [True]]  # 200 is cut off the only place
    assert parents.remnants.array().tolist() == ["L-1a"]


def test_every_column_of_no_pile_is_empty():
    found = pile(names=())
    for name, values in found.columns():
        assert len(values) == 0, name
