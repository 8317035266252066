"""What is planted in grout, survey and steel, confirmed from the raw files alone."""

from __future__ import annotations

import pytest

from tests.sample import raw, works


def planted(kind):
    """Subjects of planted.csv with a finding of ``kind``."""
    rows = raw.planted()
    return set(rows.loc[rows["kind"].eq(kind), "subject"])


@pytest.fixture(scope="module")
def lifts():
    return works.lifts()


def test_every_grouted_pile_has_three_to_five_lifts_and_one_is_silent(lifts):
    counts = lifts.groupby("pile").size()
    assert counts.between(3, 5).all()
    driven = {pile for pile in raw.readings()["Pile"] if pile.startswith("P-")}
    assert driven - set(counts.index) == planted("grout recorded") - {"P-123"} == {"P-135"}


def test_one_lift_takes_less_than_its_void_although_its_pile_takes_enough(lifts):
    ratio = lifts["net"] / lifts["void"]
    assert set(lifts.loc[ratio < 1.0, "pile"]) == planted("grout take in a lift") - {"P-123"}
    own = lifts[lifts["pile"].eq("P-105")].sort_values("below")
    running = own["net"].cumsum() / own["void"].cumsum()
    assert (running > 1.10).all()
    # By hand, 7'-0" to 14'-0": (pi/4 x 150^2 - 44.5^2) mm2 x 2133.6 mm = 33.48 L.
    assert own["void"].iloc[1] == pytest.approx(33.48, abs=0.01)


def test_one_pile_takes_too_little_in_all_and_one_too_much(lifts):
    totals = lifts[lifts["net"].notna()].groupby("pile")[["net", "void"]].sum()
    ratio = totals["net"] / totals["void"]
    whole = ratio.drop("P-123")
    assert set(whole[whole < 1.10].index) == planted("grout take") - {"P-123"} == {"P-116"}
    assert set(whole[whole > 2.00].index) == planted("grout take above the alarm")


def test_waste_is_blank_in_one_lift_alone(lifts):
    assert set(lifts.loc[lifts["net"].isna(), "pile"]) == {"P-123"}


def test_one_batch_is_too_thin_and_one_column_fell_without_a_top_up():
    lines = works.placements()
    thin = lines.loc[lines["density"].notna() & ~lines["density"].between(1850, 1930), "pile"]
    assert set(thin) == planted("grout density")
    fallen = lines["drop"].gt(100)
    assert set(lines.loc[fallen & lines["topped"].eq(0), "pile"]) == planted(
        "grout level after placing"
    )
    assert set(lines.loc[fallen & lines["topped"].gt(0), "pile"]) == {"P-124"}


def test_strings_hold_a_lead_twice_a_lot_too_often_and_a_stamp_of_no_delivery():
    strings = works.strings()
    leads = strings[strings["stamp"].str.fullmatch(r"L[BPWF]-\d+")]
    twice = leads[leads.duplicated("stamp", keep=False)]
    assert set(twice["pile"]) == planted("stamp used twice")
    assert strings["stamp"].eq("XF-A").sum() == 6
    assert set(strings.loc[strings["stamp"].eq("XB-Q"), "pile"]) == planted(
        "component not on the register"
    )


def test_every_string_but_one_reaches_from_cut_off_level_to_the_toe():
    strings = works.strings().groupby("pile")["mm"].sum()
    toes = raw.readings().groupby("Pile")["toe_mm"].max()
    above_mm = {"B": 1200, "P": 300, "W": 424, "F": 300}
    above = strings.index.str[0].map(above_mm).to_numpy()
    spare = strings - above - toes.reindex(strings.index)
    short = set(spare.index[spare < -100])
    assert short == planted("length reconciliation")
    assert spare.drop(list(short)).max() < 2134 + 50


def test_an_anchor_looks_out_of_place_and_is_not_and_another_the_other_way_round():
    found = works.anchors()
    assert len(found) >= 8
    assert set(found.index[found["is"] > 75]) == {"W-06"} <= planted("offset in plan")
    assert found.loc["W-06", "looks"] < 25
    assert found.loc["W-04", "looks"] > 400
    assert found.loc["W-04", "is"] < 40
