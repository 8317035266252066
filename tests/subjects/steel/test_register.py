"""The register against the ground: stock, lots, stamps used twice, remnants, coverage."""

import pandas as pd

from core import records
from core.subjects.steel import register


def components(*rows):
    base = {"delivery_id": "DN-1", "component_kind": "extension"}
    frame = pd.DataFrame([{**base, **row} for row in rows])
    return records.typed(frame, records.KIND["component"].columns)


def trace(*rows):
    """Pieces in the ground, of a lot's extension unless said otherwise."""
    base = {"run_no": "1", "run_order": 1, "latest": True, "delivery_id": "DN-1", "area": "A"}
    base |= {"on_register": True, "stamp_is": "lot", "length_mm": 1500, "gap": "", "stamp": "E-7"}
    base |= {"possible_heats": 1, "counts": True, "piece": "whole"}
    return pd.DataFrame([{**base, **row} for row in rows])


THREE = [{"pile_id": "P1", "place": n} for n in (1, 2, 3)]


def test_what_is_not_placed_is_delivered_less_placed_and_scrapped():
    held = components({"stamp": "E-7", "quantity": 9, "left_over": 5, "scrapped": 1})
    row = register.stock(held, trace(*THREE)).iloc[0]
    assert (row["placed"], row["not_placed"]) == (3, 5)


def test_more_placed_than_delivered_is_below_none():
    held = components({"stamp": "E-7", "quantity": 2})
    assert register.stock(held, trace(*THREE))["not_placed"].tolist() == [-1]


def test_two_pieces_of_one_component_are_placed_once():
    rows = [{"pile_id": "P1", "place": 1, "piece": name} for name in ("shaft", "helix")]
    row = register.stock(components({"stamp": "E-7", "quantity": 2}), trace(*rows)).iloc[0]
    assert (row["placed"], row["not_placed"]) == (1, 1)


def test_strings_of_earlier_runs_are_not_placed():
    rows = [{**row, "latest": False} for row in THREE]
    row = register.stock(components({"stamp": "E-7", "quantity": 3}), trace(*rows)).iloc[0]
    assert (row["placed"], row["not_placed"]) == (0, 3)


def test_a_lot_used_beyond_its_delivery_says_how_many_are_too_many():
    held = components({"stamp": "E-7", "quantity": 4, "left_over": 1, "scrapped": 2})
    found = register.exceeded_lots(register.stock(held, trace(*THREE)), trace(*THREE))
    assert found[["stamp", "too_many"]].to_numpy().tolist() == [["E-7", 2]]


def test_a_lot_used_up_exactly_is_not_over_used():
    held = components({"stamp": "E-7", "quantity": 4, "left_over": 1})
    assert register.exceeded_lots(register.stock(held, trace(*THREE)), trace(*THREE)).empty


def test_a_lot_of_several_deliveries_is_counted_over_all_of_them():
    held = components(
        {"stamp": "E-7", "quantity": 1}, {"stamp": "E-7", "quantity": 1, "delivery_id": "DN-2"}
    )
    placed = trace(*({**row, "on_register": False} for row in THREE))
    found = register.exceeded_lots(register.stock(held, placed), placed)
    assert found["too_many"].tolist() == [1]


def test_a_stamp_of_one_component_in_two_piles_is_found_and_a_lot_is_not():
    rows = [{"pile_id": pile, "place": 1} for pile in ("P1", "P2")]
    single = [{**row, "stamp": "L-1", "stamp_is": "piece"} for row in rows]
    found = register.duplicate_stamps(trace(*rows, *single))
    assert found["stamp"].tolist() == ["L-1", "L-1"]
    assert register.duplicate_stamps(trace(*rows, single[0])).empty


def test_two_pieces_of_one_component_are_not_a_stamp_used_twice():
    rows = [{"pile_id": "P1", "place": 1, "stamp_is": "piece", "piece": n} for n in ("a", "b")]
    assert register.duplicate_stamps(trace(*rows)).empty


def test_a_remnant_says_what_it_was_cut_from_and_where_it_stands():
    held = components(
        {"stamp": "E-1"},
        {"stamp": "E-1a", "cut_from": "E-1"},
        {"stamp": "E-1b", "cut_from": "E-9"},
    )
    found = register.remnants(held, trace({"pile_id": "P1", "place": 1, "stamp": "E-1a"}))
    assert found["stamp"].tolist() == ["E-1a", "E-1b"]
    assert found["pile_id"].fillna("").tolist() == ["P1", ""]
    assert found["parent_known"].tolist() == [True, False]


def test_coverage_counts_pieces_and_lengths_of_whole_components():
    rows = [
        {"pile_id": "P1", "place": 1, "piece": "shaft"},
        {"pile_id": "P1", "place": 1, "piece": "helix", "gap": "heat"},
        {"pile_id": "P2", "place": 1, "area": "B", "length_mm": 500},
        {"pile_id": "P3", "place": 1, "area": None, "latest": False},
    ]
    found = register.coverage(trace(*rows)).set_index("area")
    assert found.index.tolist() == ["A", "B", ""]
    assert found["pieces_share"].tolist() == [0.5, 1.0, 2 / 3]
    assert found["traced_mm"].tolist() == [0, 500, 500]
    assert found.loc["", "length_share"] == 0.25


def test_coverage_without_an_area_says_so_and_nothing_placed_has_no_share():
    found = register.coverage(trace({"pile_id": "P1", "place": 1, "area": None}))
    assert found["area"].tolist() == ["not known", ""]
    nothing = register.coverage(trace({"pile_id": "P1", "place": 1, "latest": False}))
    assert nothing["pieces"].tolist() == [0]
    assert nothing["pieces_share"].isna().all()
