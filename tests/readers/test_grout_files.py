"""What a file of placements or specimens can break by itself."""

import pytest

from tests.readers.files import kinds, said, taken

PLACED = "Pile,Run,Lift,Batch,From (m),To (m),Batched (L),Left (L),Spilled (L),Returned (L),"
PLACED += "Start,End\n"
GOOD = ("101,1,1,B1,0,1.5,40,2,1,0,2026-03-04 08:00,2026-03-04 08:10",)
TESTED = "Specimen,Sample group,Taken,Age (d),Tested,Strength (MPa)\n"


def placements(*rows):
    return taken(PLACED + "\n".join(rows) + "\n")


def lifts(result):
    return list(result.frames["grout_placement"]["lift_no"])


def test_lifts_that_go_down_the_pile_are_taken():
    more = "101,1,2,B1,1.5,3,40,2,1,0,,", "101,1,3,B2,3.2,4,40,,,,,", "101,2,1,B2,0,1,40,,,,,"
    result = placements(*GOOD, *more)
    assert kinds(result) == []
    assert lifts(result) == ["1", "2", "3", "1"]


def test_a_lift_that_goes_up_is_refused():
    result = placements("101,1,1,B1,3,1.5,40,,,,,")
    assert kinds(result) == [("depths out of order", 2)]
    assert "from 3 up to 1.5" in said(result)


def test_a_lift_that_begins_above_the_end_of_the_one_before_names_both():
    result = placements(*GOOD, "101,1,2,B1,1.2,3,40,,,,,")
    assert kinds(result) == [("lifts out of order", 3)]
    assert "begins at 1.2, above the end of lift 1 at 1.5 (row 2)" in said(result)
    assert lifts(result) == ["1"]


@pytest.mark.parametrize(
    "again",
    [
        "101,1,1,B2,0.5,1.5,10,,,,,",  # another batch of the same lift
        "101,1,T,B2,1.5,1.5,10,,,,,",  # a top-up
        "101,1,T,B2,0,0,10,,,,,",  # a top-up from the ground
        "101,1,R,B2,0,1.5,10,,,,,",  # grouted again over the same depths
    ],
)
def test_batches_top_ups_and_grouting_again_are_taken(again):
    assert kinds(placements(*GOOD, again)) == []


def test_more_wasted_than_batched_is_refused_and_exactly_all_is_not():
    assert kinds(placements("101,1,1,B1,0,1.5,40,20,10,10,,")) == []
    result = placements("101,1,1,B1,0,1.5,40,20,10,10.5,,")
    assert kinds(result) == [("more wasted than batched", 2)]
    assert "Left (L) 20, Spilled (L) 10, Returned (L) 10.5" in said(result)


def test_a_placement_that_ends_before_it_begins_is_refused():
    result = placements("101,1,1,B1,0,1.5,40,,,,2026-03-04 08:10,2026-03-04 08:00")
    assert kinds(result) == [("times out of order", 2)]
    assert "The placement ends at" in said(result)


def test_a_specimen_is_tested_on_the_day_it_was_taken_or_later():
    rows = "S1,G1,2026-03-04,28,2026-03-04,1\nS2,G1,2026-03-04,28,2026-03-03,1\n"
    result = taken(TESTED + rows)
    assert kinds(result) == [("dates out of order", 3)]
    assert "Specimen S2 is tested on 2026-03-03" in said(result)


def test_a_strength_needs_the_day_of_its_test():
    result = taken(TESTED + "S1,G1,2026-03-04,28,,\nS2,G1,2026-03-04,28,,38\n")
    assert kinds(result) == [("missing value", 3)]
    assert "has a strength but no day of the test" in said(result)
