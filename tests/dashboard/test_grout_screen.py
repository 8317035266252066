"""The Grout screen: its parts and lists, caps and clicks, what it says when it cannot."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from core import services
from tests.dashboard.stub import measured_otherwise, otherwise
from tests.dashboard.test_screens import words_of
from tests.services import grout_job

THIN = (("1", "B1", 0.5, 1.5, 36, 3, 1, 2), ("2", "B1", 1.5, 2.5, 23, 0, 1, 2),
        ("3", "B2", 2.5, 3.0, 18, 2, 0, 0))  # fmt: skip


@pytest.fixture(scope="module")
def judged(tmp_path_factory):
    """Piles 101 and 102 are grouted, 102 with a thin second lift; 103 is not in the ground yet."""
    second = [("log 102.csv", grout_job.run_log("102"))]
    second += [("placements 102.csv", grout_job.placed("102", THIN))]
    folder = tmp_path_factory.mktemp("grout")
    made = grout_job.grouted_project(folder, *grout_job.whole_files(), *second)
    return made, services.assess(made)


@pytest.fixture
def grouted(judged, monkeypatch):
    """The job judged, its assessment changed by a function if one is given."""

    def changed(alter=lambda made: made):
        monkeypatch.setattr(services, "assess", lambda *asked: alter(judged[1]))
        return judged[0]

    return changed


def found(*rows):
    """Changes the findings of grout to rows of pile, kind, result, margin."""

    def alter(made):
        frame = pd.DataFrame(rows, columns=["pile_id", "kind", "result", "margin"])
        frame = frame.assign(subject=frame["pile_id"], subject_kind="pile", note="lift 2 of run 1")
        other = made.findings[~made.findings["kind"].str.startswith("grout")]
        return otherwise(made, findings=pd.concat([frame, other], ignore_index=True))

    return alter


def listed(app) -> pd.DataFrame:
    """The list of the part that is shown."""
    return app.dataframe[0].value


BELOW = found(
    ("102", "grout take in a lift", "not met", -0.21),
    ("101", "grout take in a lift", "met", 0.19),
    ("101", "grout take", "met", 0.09),
    ("102", "grout take", "met", 0.05),
    ("102", "grout take above the alarm", "met", 0.9),
)


def test_the_thinnest_pile_comes_first_with_its_lift_and_what_a_step_is_worth(open_app, grouted):
    rows = listed(open_app(grouted(BELOW), "grout"))
    assert rows["pile"].tolist() == ["102", "101"]
    thin = rows.iloc[0]
    assert thin["smallest margin"] == pytest.approx(-0.21)
    assert thin["take of the lift"] == "✕ not met"
    assert (thin["toe from [m]"], thin["toe to [m]"]) == (1.5, 2.5)
    assert thin["net of the lift [L]"] == 20  # 23 - 0 - 1 - 2
    assert thin["minimum take of a lift"] == pytest.approx(20 / 25.2088, abs=1e-4)


@pytest.mark.parametrize(
    ("name", "piles"),
    [("all", ["102", "101"]), ("below", ["102"]), ("barely", ["101"]), ("unlike", [])],
)
def test_each_list_has_its_piles(open_app, grouted, name, piles):
    app = open_app(grouted(BELOW), "grout", list=name)
    assert (listed(app)["pile"].tolist() if len(app.dataframe) else []) == piles
    assert bool(piles) or "**None.**" in words_of(app)


def test_a_take_above_the_alarm_and_one_not_known_are_found(open_app, grouted):
    high = found(("101", "grout take above the alarm", "noted", -0.5))
    app = open_app(grouted(high), "grout", list="alarm")
    assert listed(app)["pile"].tolist() == ["101"]

    def unknown(made):
        lost = made.piles["pile_id"].eq("102")
        piles = made.piles.assign(take_ratio=made.piles["take_ratio"].mask(lost))
        piles.loc[lost, "grout_missing"] = "what was left is not recorded"
        return otherwise(made, piles=piles)

    rows = listed(open_app(grouted(unknown), "grout", list="unknown"))
    assert rows["pile"].tolist() == ["102"]
    assert rows["reason not known"].tolist() == ["what was left is not recorded"]


def test_without_any_ratio_there_is_no_figure_and_the_list_says_why(open_app, grouted):
    def unknown(made):
        ratios = ["take_ratio", "min_lift_ratio", "min_cumulative_ratio"]
        piles = made.piles.assign(**dict.fromkeys(ratios, np.nan), area=None, pile_type=None)
        lost = ["take_ratio", "cumulative_ratio"]
        lifts = made.measured.lifts.assign(**dict.fromkeys(lost, np.nan))
        return otherwise(measured_otherwise(made, lifts=lifts), piles=piles)

    app = open_app(grouted(unknown), "grout")
    assert not app.exception
    assert "**No take ratio of these piles is known.**" in words_of(app)
    assert listed(app)["area and type"].tolist() == ["no area · no type"] * 2


def test_the_group_is_added_up_and_the_caution_stands_beside_the_figure(open_app, grouted):
    page = words_of(open_app(grouted(), "grout"))
    # 76 L of pile 101 and 30 + 20 + 16 L of pile 102, each over 63.022 L of void.
    assert "142.0 L" in page
    assert "126.0 L" in page
    assert "A lift&#x27;s volume is not the take at that depth" in page
    assert "3 of 3 grouted piles pass the filters, 2 with grout placed" in page


def test_volumes_are_shown_in_us_gallons(open_app, grouted):
    app = open_app(grouted(), "grout", units="US")
    assert "37.5 US gal" in words_of(app)  # 142 L / 3.785 412 L
    assert listed(app)["net of the lift [US gal]"].iloc[0] == pytest.approx(20 / 3.785412, abs=1e-4)


def test_the_part_and_the_view_go_to_the_address(open_app, grouted):
    app = open_app(grouted(), "grout", piles="102")
    app.segmented_control(key="x-axis").set_value("net grout against void").run()
    app.segmented_control(key="part").set_value("Strength").run()
    app.switch_page("screens/overview.py").run().run()  # where no widget holds them
    held = (app.query_params["x-axis"], app.query_params["part"])
    assert held == ("net grout against void", "Strength")
    assert not app.exception


def test_the_chosen_piles_come_with_their_sample_groups_and_those_without_one(open_app, grouted):
    app = open_app(grouted(), "grout", part="Strength", piles="101,102")
    rows = listed(app)
    assert rows["group"].tolist() == ["G1"]
    assert rows["selected"].tolist() == ["●"]
    assert rows["minimum at 7 days [MPa]"].tolist() == [24.5]
    assert rows["minimum at 28 days [MPa]"].tolist() == [38.5]
    assert "**In no sample group:** 102" in words_of(app)


def test_a_group_that_waits_says_for_how_many_results_and_until_when(open_app, grouted):
    def waiting(made):
        specimens = made.measured.specimens
        strength = specimens["strength_mpa"].mask(specimens["age_days"].eq(28))
        day = pd.Timestamp("2026-04-02").date()
        later = replace(made, snapshot=replace(made.snapshot, on=day))
        return measured_otherwise(later, specimens=specimens.assign(strength_mpa=strength))

    rows = listed(open_app(grouted(waiting), "grout", part="Strength"))
    assert rows["results outstanding"].tolist() == ["2 of 3, due 30 Mar 2026, 3 days overdue"]
    assert np.isnan(rows["minimum at 28 days [MPa]"].iloc[0])


def test_a_group_shows_the_worst_strength_result_of_its_piles(open_app, grouted):
    low = found(("101", "grout strength", "not met", -2.0), ("102", "grout strength", "met", 1.0))
    both = pd.DataFrame({"sample_group_id": "G1", "pile_id": ["102", "101"]})
    altered = grouted(lambda made: measured_otherwise(low(made), sampled=both))
    app = open_app(altered, "grout", part="Strength")
    assert listed(app)["strength of its piles"].tolist() == ["✕ not met"]


def test_batches_name_the_piles_they_touch_beside_what_is_asked(open_app, grouted):
    app = open_app(grouted(), "grout", part="Batches")
    rows = listed(app).set_index("batch")
    assert rows.loc["B1", "piles"] == "101, 102"
    assert rows.loc["B1", "density [kg/m³]"] == 1890
    assert rows.loc["B1", "maximum age when placed [h]"] == pytest.approx(28 / 60)  # 08:00 to 08:28
    page = words_of(app)
    assert "density minimum 1,850 kg/m³ and maximum 1,950 kg/m³ (clause 7.3)" in page
    assert "age at placement maximum 1.5 h (clause 7.5)" in page


def test_days_without_a_sample_are_said(open_app, grouted):
    app = open_app(grouted(), "grout", part="Sampling by day")
    assert listed(app)["sample groups taken"].tolist() == ["G1"]
    assert listed(app)["piles in no group"].tolist() == [1]
    assert "Days with placements, no sample 0" in words_of(app)
    assert "maximum 2 piles per group, minimum 3 specimens each" in words_of(app)
    app = open_app(
        grouted(lambda made: measured_otherwise(made, specimens=made.measured.specimens.iloc[:0])),
        "grout",
        part="Sampling by day",
    )
    assert listed(app)["sample groups taken"].tolist() == ["none"]
    assert "Days with placements, no sample 1" in words_of(app)


def test_a_cap_chooses_its_piles(open_app, grouted):
    def capped(made):
        return otherwise(made, piles=made.piles.assign(cap=["B4", "B5", "B4"]))

    app = open_app(grouted(capped), "grout")
    app.selectbox(key="choice_cap").select("B4").run()
    assert app.query_params["piles"] == "101,103"
    assert app.selectbox(key="choice_cap").value == "B4"


def test_a_pile_outside_the_filters_is_said(open_app, grouted):
    page = words_of(open_app(grouted(), "grout", piles="101", run_from="2026-03-03"))
    assert "Selected, but outside the filters: 101." in page
    assert "No grout placement of these piles is recorded yet" in page


def test_a_job_without_grouted_types_says_so_and_nothing_else(open_app, grouted):
    def other(made):
        piles = made.piles.assign(grouted=False)
        measured = made.measured
        bare = measured_otherwise(
            made, lifts=measured.lifts.iloc[:0], placed=measured.placed.iloc[:0]
        )
        return otherwise(bare, piles=piles)

    app = open_app(grouted(other), "grout")
    assert not app.exception
    assert "**No pile of this job is grouted.**" in words_of(app)
    assert not app.dataframe
    assert not app.caption


@pytest.mark.parametrize("part", ["Take", "Strength", "Batches", "Sampling by day"])
def test_grouted_piles_without_a_placement_say_so_in_every_part(open_app, grouted, part):
    empty = ("lifts", "specimens", "sampled", "batches", "placed")

    def bare(made):
        none = made.piles.filter(regex="ratio|grout_missing|thin|net_grout|void_l|^lifts").columns
        piles = made.piles.assign(**dict.fromkeys(none, np.nan))
        frames = {name: getattr(made.measured, name).iloc[:0] for name in empty}
        return otherwise(measured_otherwise(made, **frames), piles=piles)

    app = open_app(grouted(bare), "grout", part=part)
    assert not app.exception
    assert "recorded yet" in words_of(app)
    assert not app.dataframe
