"""The Torque screen: its questions, its filters and their address, what it says when it cannot."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from core import services
from tests.dashboard.stub import measured_otherwise
from tests.dashboard.test_screens import words_of


@pytest.fixture
def altered(stub_project, monkeypatch):
    """The stub project with its assessment changed in place by a function."""

    def changed(alter):
        assess = services.assess

        def altered_assess(*asked):
            assessment = assess(*asked)
            return alter(assessment) or assessment

        monkeypatch.setattr(services, "assess", altered_assess)
        return stub_project

    return changed


def listed(app) -> list[str]:
    """Numbers of the piles in the list, in its order."""
    return app.dataframe[0].value["pile"].tolist() if len(app.dataframe) else []


def torques(*values):
    """Gives the piles of area BW these final torques, against 8 kN·m required."""

    def alter(assessment):
        piles, found = assessment.piles, assessment.findings
        piles.loc[: len(values) - 1, "final_torque_lower_bound_nm"] = values
        torque = piles.set_index("pile_id")["final_torque_lower_bound_nm"]
        own = found["kind"].eq("required torque")
        measured = found["pile_id"].map(torque)
        result = np.select([measured >= 8000, measured < 8000], ["met", "not met"], "no evidence")
        found.loc[own, "result"] = result[own]

    return alter


def test_piles_below_required_come_with_the_furthest_below_first(open_app, altered):
    project = altered(torques(9000.0, 7900.0, 8000.0, 7000.0, np.nan))
    app = open_app(project, "torque", list="below", area="BW")
    assert listed(app) == ["P-4", "P-2"]
    row = app.dataframe[0].value.iloc[0]
    assert row["margin [kN·m]"] == pytest.approx(-1.0)
    assert row["required torque"] == "✕ not met"
    assert "1 more without evidence" in words_of(app)


def test_what_is_not_yet_due_is_told_apart_from_want_of_evidence(open_app, altered):
    def alter(assessment):
        found = assessment.findings
        own = found["kind"].eq("required torque")
        results = {"P-1": "no evidence", "P-2": "not yet due", "P-3": "not yet due"}
        found.loc[own, "result"] = found["pile_id"].map(results).fillna("met")[own]

    page = words_of(open_app(altered(alter), "torque", list="below", area="BW"))
    assert "1 more without evidence. 2 more not yet due." in page


def test_a_replaced_pile_is_in_no_list_and_no_count(open_app, altered):
    def alter(assessment):
        assessment.piles["state"] = "criteria met"
        assessment.piles.loc[1, "state"] = "replaced"
        read = assessment.measured.profile["pile_id"]
        assert "P-2" in set(read)
        number.append(read.nunique())

    number = []
    app = open_app(altered(alter), "torque")
    assert "P-1" in listed(app)
    assert "P-2" not in listed(app)
    assert f"of {number[-1] - 1} piles with readings" in words_of(app)


def test_piles_that_barely_pass_come_with_the_least_ratio_first(open_app, altered):
    project = altered(torques(9000.0, 7900.0, 8000.0, 7000.0, 8500.0))
    app = open_app(project, "torque", list="barely", area="BW")
    assert listed(app)[:2] == ["P-3", "P-5"]
    assert "P-2" not in listed(app)
    assert "± uncertainty [kN·m]" not in app.dataframe[0].value


def test_the_uncertainty_of_the_torque_stands_beside_its_margin(open_app, altered):
    def alter(assessment):
        assessment.findings["uncertainty"] = 250.0

    rows = open_app(altered(alter), "torque", list="barely").dataframe[0].value
    assert rows["± uncertainty [kN·m]"].tolist() == pytest.approx([0.25] * len(rows))


def test_a_fall_at_the_end_and_the_rating_have_their_order(open_app, altered):
    def alter(assessment):
        assessment.piles["drop_share"] = [0.0, 0.1, 0.3, np.nan, 0.2, *[0.0] * 7]
        assessment.piles["max_torque_nm"] = 9000.0 + 1000.0 * np.arange(12)

    project = altered(alter)
    assert listed(open_app(project, "torque", list="falling")) == ["P-3", "P-5", "P-2"]
    app = open_app(project, "torque", list="rating", units="US")
    assert listed(app)[0] == "P-11"
    row = app.dataframe[0].value.iloc[0]
    assert row["maximum / rated"] == pytest.approx(100 * 19 / 15)
    assert row["maximum at depth [ft]"] == pytest.approx(20 * 300 / 304.8)
    assert row["weakest part"] == "shaft round 89"


def test_the_odd_profile_comes_first_when_asked_for(open_app, altered):
    def alter(assessment):
        odd = assessment.measured.profile["pile_id"].eq("P-3")
        assessment.measured.profile.loc[odd, "torque_nm"] *= 2

    app = open_app(altered(alter), "torque", list="unlike", area="BW")
    assert listed(app)[0] == "P-3"
    assert app.dataframe[0].value["outside the band"].iloc[0] == 100.0
    assert app.dataframe[0].value["outside the band"].iloc[1:].eq(0).all()


def test_an_area_and_type_are_chosen_together_and_go_to_the_address(open_app, stub_project):
    app = open_app(stub_project, "torque")
    app.selectbox(key="choice_group").select("TW · W1").run()
    assert app.query_params["area"] == "TW"
    assert app.query_params["type"] == "W1"
    assert set(app.dataframe[0].value["area and type"]) == {"TW · W1"}


def test_profiles_over_level_and_the_question_go_to_the_address(open_app, stub_project):
    app = open_app(stub_project, "torque", piles="P-2")
    app.segmented_control(key="axis").set_value("level").run()
    app.segmented_control(key="choice_list").set_value("below").run()
    app.switch_page("screens/overview.py").run().run()  # where no widget holds them
    assert (app.query_params["axis"], app.query_params["list"]) == ("level", "below")
    app.switch_page("screens/torque.py").run()
    app.segmented_control(key="axis").set_value("depth along the axis").run()
    app.switch_page("screens/overview.py").run().run()
    assert "axis" not in app.query_params
    assert not app.exception


def test_piles_without_a_level_are_counted(open_app, altered):
    def alter(assessment):
        assessment.piles.loc[:1, "ground_level_m"] = np.nan

    page = words_of(open_app(altered(alter), "torque", axis="level", area="BW"))
    assert "2 of them have no ground level or batter" in page


@pytest.mark.parametrize(
    ("run_from", "run_to", "held"),
    [("2026-09-20", "2026-09-20", True), ("2026-09-21", "", False), ("", "2026-09-19", False)],
)
def test_the_last_run_lies_between_the_days_both_included(
    open_app, stub_project, run_from, run_to, held
):
    days = {"run_from": run_from, "run_to": run_to}
    app = open_app(stub_project, "torque", **{name: day for name, day in days.items() if day})
    assert bool(listed(app)) is held
    assert ("No pile with readings passes" in words_of(app)) is not held


def test_a_chosen_pile_is_named_and_one_outside_the_filters_is_said(open_app, stub_project):
    page = words_of(open_app(stub_project, "torque", piles="P-8,P-2", area="BW"))
    assert '<div class="pw-big-pile">P-2</div>' in page
    assert "Selected, but replaced, without readings or outside the filters: P-8." in page


def test_more_profiles_than_a_browser_draws_are_left_to_band_and_median(
    open_app, stub_project, monkeypatch
):
    from tests.dashboard.stub import stub_assessment

    made = stub_assessment(stub_project, 803)
    monkeypatch.setattr(services, "assess", lambda *asked: made)
    page = words_of(open_app(stub_project, "torque", area="BW", piles="P-2"))
    assert "More than 300 profiles are not drawn one by one" in page
    assert "More than 300" not in words_of(open_app(stub_project, "torque", state="accepted"))


def test_a_project_without_readings_says_so(open_app, altered):
    project = altered(lambda made: measured_otherwise(made, profile=made.measured.profile.iloc[:0]))
    app = open_app(project, "torque")
    assert not app.exception
    assert "No torque readings are recorded yet" in words_of(app)


def test_one_pile_alone_has_its_line_and_no_band(open_app, altered):
    def alone(made):
        profile = made.measured.profile
        return measured_otherwise(made, profile=profile[profile["pile_id"].eq("P-2")])

    app = open_app(altered(alone), "torque", piles="P-2")
    assert listed(app) == ["P-2"]
    assert pd.isna(app.dataframe[0].value["outside the band"].iloc[0])


def test_the_pile_screen_leads_to_the_piles_of_its_area_and_type(open_app, stub_project):
    app = open_app(stub_project, "pile", piles="P-8")
    app.button(key="compare").click().run()
    assert app.query_params["area"] == "TW"
    assert app.query_params["type"] == "W1"
    assert app.query_params["piles"] == "P-8"
