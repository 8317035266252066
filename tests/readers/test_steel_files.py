"""Components and strings: what one file can break by itself."""

from __future__ import annotations

from tests.readers.files import kinds, said, taken

HEAD = "Stamp,Kind,Quantity,Length (m)\n"
PLACED = "Pile,Run,Place in string,Stamp\n"


def test_a_component_kind_is_found_whatever_its_letter_case():
    result = taken(HEAD + "L-1,Lead,1,2.1\n")
    assert list(result.frames["component"]["component_kind"]) == ["lead"]


def test_an_unknown_component_kind_names_the_known_ones():
    result = taken(HEAD + "L-1,leed,1,2.1\nL-2,lead,1,2.1\n")
    assert kinds(result) == [("unknown word", 2)]
    assert "Add it under component_kinds in project.toml" in said(result)
    assert "lead, extension" in said(result)


def test_a_stamp_of_one_piece_stands_for_one_component():
    result = taken(HEAD + "L-1,lead,2,2.1\nE-7,extension,4,1.5\nL-3,lead,1,2.1\nL-4,lead,,2.1\n")
    assert kinds(result) == [("impossible value", 2)]
    assert "Stamp L-1 is given for 2 components" in said(result)
    assert list(result.frames["component"]["stamp"]) == ["E-7", "L-3", "L-4"]


def test_a_gap_in_a_string_is_remarked_and_stops_nothing():
    result = taken(PLACED + "101,1,1,L-1\n101,1,3,E-7\n102,1,2,E-7\n103,1,1,L-4\n103,1,2,E-7\n")
    assert kinds(result) == []
    assert len(result.frames["component_placed"]) == 5
    notices = result.notices[result.notices["notice"].str.contains("place")]
    assert list(zip(notices["row"], notices["notice"], strict=True)) == [
        (3, "Pile 101: place 2 of the string is not in this file."),
        (4, "Pile 102: place 1 of the string is not in this file."),
    ]


def test_stamps_and_heats_are_kept_as_written():
    result = taken("Stamp,Piece,Mill,Heat\nL-O1,shaft,Mill X,7Q18O3\n")
    piece = result.frames["piece"].iloc[0]
    assert (piece["stamp"], piece["heat"]) == ("L-O1", "7Q18O3")
