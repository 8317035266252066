"""A file looked at: what is understood is shown in samples, what is guessed is never applied."""

from core.readers import Origin
from tests.readers.mess.books import (
    READINGS,
    book,
    by,
    looked,
    pile_layout,
    pile_sheet,
    readings_layout,
    sheet,
    taken,
)


def merge(worksheet):
    worksheet.merge_cells("B2:C2")


MERGED = (
    ["Log (invented)"],
    ["Pile", "At the toe", None],
    [None, "Depth (m)", "Torque (kN·m)"],
    ["7", 0.3, 5],
)


def test_headers_over_merged_cells_are_joined_and_their_rows_guessed():
    seen = looked(sheet(*MERGED, change=merge)).sheets[0]
    assert seen.header_rows[1] == 3
    assert seen.headers["B"].endswith("Depth (m)")
    rows = looked(book({"Pile 7": pile_sheet()})).sheets[0]
    assert rows.header_rows == (4, 5)
    assert rows.headers == {"A": "Depth (ft)", "B": "Differential pressure (psi)", "C": "Remarks"}


def test_what_is_guessed_of_a_sheet_is_never_applied():
    content = book({"Pile 7": pile_sheet()})
    seen = looked(content).sheets[0]
    assert seen.suggestions["pile_id"] == {"tab": True, "before": "Pile "}
    assert seen.suggestions["depth_mm"] == {"header": "Depth (ft)", "unit": "ft"}
    assert seen.suggestions["rig"]["cell"] == "B2"
    assert set(seen.suggested_kinds) == {"run", "torque_reading"}
    assert not seen.ready
    assert seen.recognised.empty
    assert taken(content).frames == {}


def test_a_word_that_is_near_a_known_one_is_a_guess_only():
    content = sheet(
        ["Pile", "Run", "Depht (m)", "Differential pressure (bar)"], ["7", "1", 0.3, 25]
    )
    seen = looked(content).sheets[0]
    assert seen.suggestions["depth_mm"] == {"header": "Depht (m)", "unit": "m"}
    assert not seen.ready
    assert taken(content).frames == {}


def test_three_values_of_each_column_are_shown_as_written_and_as_stored():
    rows = [["7", "1", text, 20 + at] for at, text in enumerate(("1'-6\"", "2'", "3' 3\"", "4'"))]
    content = sheet(["Pile", "Run", "Depth (ft)", "Differential pressure (bar)"], *rows)
    seen = looked(content).sheets[0]
    depth = seen.recognised.set_index("column").loc["depth_mm"]
    assert depth[["sample_1", "sample_2", "sample_3"]].tolist() == [
        "1'-6\" → 457 mm",
        "2' → 610 mm",
        "3' 3\" → 991 mm",
    ]
    assert (depth["header"], depth["unit"]) == ("Depth (ft)", "ft")


def test_a_value_that_cannot_be_read_is_shown_as_not_read():
    seen = looked(sheet(READINGS, ["7", "1", "deep", 25])).sheets[0]
    assert seen.recognised.set_index("column").loc["depth_mm", "sample_1"] == "deep → not read"


def test_a_layout_makes_a_sheet_ready_and_is_named():
    seen = looked(book({"Pile 7": pile_sheet()}), by(pile_layout())).sheets[0]
    assert (seen.ready, seen.layout, seen.sender, seen.rows) == (True, "sheet 1", "Crew 2", 3)
    assert seen.recognised.set_index("column").loc["depth_mm", "sample_1"] == "1 → 305 mm"


def test_the_preview_has_the_sheets_own_rows_and_letters():
    seen = looked(book({"Pile 7": pile_sheet(depths=100)})).sheets[0]
    assert len(seen.preview) == 40
    assert seen.preview.loc[2, "B"] == "Rig 2"
    assert 3 not in seen.preview.index  # a blank row


def test_a_look_at_a_layout_still_being_drawn_takes_nothing_in():
    columns = {"pile_id": Origin(header="No"), "depth_mm": Origin(header="D", unit="m")}
    seen = looked(sheet(["No", "D"], ["7", 0.3]), by(readings_layout(columns))).sheets[0]
    assert not seen.ready
