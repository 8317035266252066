"""Layouts: when one can be used, which sheet it fits, and what it makes of the sheet."""

import pytest

from core.errors import WrongUse
from core.readers import Origin, ReadOptions, StoredLayout, layout_faults, layout_of
from tests.readers.mess.books import (
    book,
    by,
    good,
    notices,
    pile_layout,
    pile_sheet,
    problems,
    readings_layout,
    sheet,
    taken,
    words,
)

COLUMNS = {
    "pile_id": Origin(header="No"),
    "depth_mm": Origin(header="Depth", unit="m"),
    "torque_read_nm": Origin(header="Torque", unit="kN·m"),
}
TABLE = (["No", "Depth", "Torque"], ["7", 0.3, 5], ["7", 0.6, 6])


def faults(**changes):
    return " ".join(layout_faults(readings_layout({**COLUMNS, **changes})))


def test_a_usable_layout_has_no_fault():
    assert layout_faults(readings_layout(COLUMNS)) == []
    assert layout_faults(pile_layout()) == []


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"depth_mm": Origin(header="Depth")}, "Give the unit"),
        ({"depth_mm": Origin(header="Depth", unit="gal")}, "no known unit"),
        ({"pile_id": Origin()}, "Give one origin"),
        ({"pile_id": Origin(header="No", tab=True)}, "Give one origin"),
        ({"colour": Origin(header="Colour")}, "no column"),
    ],
)
def test_a_column_without_one_place_or_a_known_unit_is_a_fault(changes, told):
    assert told in faults(**changes)


def test_what_a_record_needs_and_what_is_filled_down_must_be_mapped():
    without = {name: COLUMNS[name] for name in ("pile_id", "torque_read_nm")}
    assert "needs also: depth" in " ".join(layout_faults(readings_layout(without)))
    assert layout_faults(readings_layout(COLUMNS, fill_down=("gear",)))
    assert layout_faults(readings_layout(COLUMNS, header_rows=(3, 2)))
    assert layout_faults(readings_layout(COLUMNS, kinds=("schedule", "torque_reading")))


@pytest.mark.parametrize("text", ["", "[]", '{"kinds": ["run"]}', '{"kinds": [], "x": 1}'])
def test_a_text_that_is_no_layout_is_wrong_use(text):
    with pytest.raises(WrongUse, match="cannot be used"):
        layout_of(text)


def test_a_layout_survives_being_remembered():
    layout = pile_layout(fill_down=("rig",), number_prefix="W-")
    assert layout_of(layout.model_dump_json()) == layout


def test_a_layout_whose_headers_stand_elsewhere_does_not_fit():
    layout = readings_layout(COLUMNS)
    assert good(taken(sheet(*TABLE), by(layout)))["depth_mm"] == [300, 600]
    moved = taken(sheet(["Title"], *TABLE), by(layout))
    assert (moved.layouts, moved.frames) == ((), {})
    renamed = taken(sheet(["No", "Deep", "Torque"], ["7", 0.3, 5]), by(layout))
    assert (renamed.layouts, renamed.frames) == ((), {})


def test_values_come_from_a_tab_a_cell_and_one_text():
    columns = dict(pile_layout().columns) | {"gear": Origin(text="low")}
    result = taken(book({"Pile 7": pile_sheet(rig="Rig 5")}), by(pile_layout(columns=columns)))
    assert set(good(result)["pile_id"]) == {"7"}
    assert set(good(result)["gear"]) == {"low"}
    assert good(result, "run")["rig"] == ["Rig 5"]
    assert [str(day)[:10] for day in good(result, "run")["run_on"]] == ["2026-03-25"]


def test_text_before_a_value_is_left_out_and_a_prefix_is_put_in_front():
    rows = [["No", "Depth", "Torque"], ["No. 7", 0.3, 5], ["no. 8", 0.3, 6]]
    columns = {**COLUMNS, "pile_id": Origin(header="No", before="No.")}
    result = taken(sheet(*rows), by(readings_layout(columns, number_prefix="W-")))
    assert good(result)["pile_id"] == ["W-7", "W-8"]


def test_rows_under_the_table_and_rows_of_totals_are_passed_over_with_a_remark():
    rows = [*TABLE, ["Sum", 0.6, 11], ["7", 0.9, 7], [], ["7", 1.2, 8]]
    short = readings_layout(COLUMNS, ends="blank row", passed_over=("sum",))
    result = taken(sheet(*rows), by(short))
    assert good(result)["depth_mm"] == [300, 600, 900]
    assert "Row 4 (Sum) is no record" in notices(result)
    assert "Under the table, row 7 was passed over" in notices(result)
    whole = readings_layout(COLUMNS, passed_over=("sum",))
    assert good(taken(sheet(*rows), by(whole)))["depth_mm"] == [300, 600, 900, 1200]


def test_sheets_that_a_layout_leaves_out_are_said():
    content = book({"Log": TABLE, "Prices": [["Item", "Price"], ["a", 1]]})
    result = taken(content, by(readings_layout(COLUMNS, left_out_sheets=("prices",))))
    assert len(good(result)["row_no"]) == 2
    assert "Sheet Prices is left out" in notices(result)
    kept = taken(content, by(readings_layout(COLUMNS)))
    assert kept.problems["sheet"].tolist() == ["Prices"]


def test_of_one_senders_layouts_the_newest_that_fits_is_used():
    in_feet = {**COLUMNS, "depth_mm": Origin(header="Depth", unit="ft")}
    result = taken(sheet(*TABLE), by(readings_layout(COLUMNS), readings_layout(in_feet)))
    assert result.layouts == ("sheet 2",)
    assert good(result)["depth_mm"] == [91, 183]


def test_two_senders_who_mean_different_things_by_one_header_are_asked():
    in_feet = {**COLUMNS, "depth_mm": Origin(header="Depth", unit="ft")}
    known = [
        StoredLayout(sender=sender, name="log", layout=readings_layout(columns))
        for sender, columns in (("Crew 1", COLUMNS), ("Crew 2", in_feet))
    ]
    result = taken(sheet(*TABLE), ReadOptions(layouts=tuple(known)))
    assert problems(result)[0][0] == "two layouts fit"
    assert "Select the sender of the file" in words(result)
    assert result.frames == {}
    agreeing = known[0], known[0].model_copy(update={"sender": "Crew 2"})
    assert good(taken(sheet(*TABLE), ReadOptions(layouts=agreeing)))["depth_mm"] == [300, 600]
