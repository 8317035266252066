"""Outstanding: the list, its counts, what the filters leave, and many items without waiting."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd
import pytest

from core import services
from tests.dashboard.stub import stub_assessment
from tests.dashboard.test_screens import words_of

DESIGNER = "designer or engineer of record"


def listed(app) -> pd.DataFrame:
    """The list as it is drawn."""
    return app.dataframe[0].value


def test_the_list_says_numbers_limit_owner_and_age(open_app, stub_project):
    app = open_app(stub_project, "outstanding")
    assert not app.exception
    first = listed(app).iloc[0]
    assert first["About"] == "pile P-2"
    assert first["Measured against limit"] == "7.50 kN·m, minimum 8.00 kN·m"
    assert first["Responsible"] == "designer or engineer of record"
    assert first["Blocks"] == "acceptance of the pile, concrete over the head"
    assert (first["Due date"], first["Age [days]"]) == (date(2026, 9, 20), 13)
    page = words_of(app)
    assert "Items in this list 2 of 2" in page
    assert "Awaiting engineer, whole job 2 piles" in page
    assert "nothing here is an approval" in page


def test_filters_of_the_address_leave_part_of_the_list(open_app, stub_project):
    app = open_app(
        stub_project, "outstanding", blocks="concrete over the head", responsible=DESIGNER
    )
    assert listed(app)["About"].tolist() == ["pile P-2"]
    assert app.multiselect(key="blocks").value == ["concrete over the head"]
    assert "Items in this list 1 of 2" in words_of(app)
    app.multiselect(key="responsible").set_value(["contractor's quality control"]).run()
    assert "No outstanding item passes the filters" in words_of(app)


def test_what_waits_for_the_engineer_follows_the_area_alone(open_app, stub_project):
    page = words_of(open_app(stub_project, "outstanding", area="BW", responsible=DESIGNER))
    assert "Awaiting engineer, BW 1 pile" in page


def test_a_value_that_waits_for_a_decision_is_not_overdue(open_app, stub_project):
    page = words_of(open_app(stub_project, "outstanding"))
    assert "Overdue 1\n" in page
    assert listed(open_app(stub_project, "outstanding", overdue="true"))["About"].tolist() == [
        "instrument GS-12"
    ]


def test_each_pile_stands_in_one_line_with_its_state(open_app, stub_project):
    lines = open_app(stub_project, "outstanding").dataframe[1].value.set_index("About")
    assert lines.loc["pile P-2", "State"] == "engineer review"
    assert pd.isna(lines.loc["instrument GS-12", "State"])
    assert lines.loc["pile P-2", "Responsible"] == DESIGNER


def test_a_question_sets_the_filters_and_everything_clears_them(open_app, stub_project):
    app = open_app(stub_project, "outstanding", area="BW", overdue="true")
    assert app.toggle(key="overdue").value
    app.button(key="stops_work").click().run()
    assert app.query_params["blocks"] == ["acceptance of the pile", "concrete over the head"]
    assert "overdue" not in app.query_params
    app.button(key="all_items").click().run()
    assert "blocks" not in app.query_params
    assert "area" not in app.query_params
    assert len(listed(app)) == 2


def test_the_chosen_piles_items_are_told_in_full(open_app, stub_project):
    page = words_of(open_app(stub_project, "outstanding", piles="P-2", units="US"))
    assert "5,532 ft·lbf, minimum 5,900 ft·lbf (clause Invented 4.2)" in page
    assert "Responsible: designer or engineer of record. Closed by a deeper run." in page
    assert "due 20 Sep 2026, 13 days old" in page
    other = words_of(open_app(stub_project, "outstanding", piles="P-3"))
    assert "No item of this list is about pile P-3" in other


def test_an_item_that_several_piles_share_is_shown_for_each_of_them(
    open_app, stub_project, monkeypatch
):
    def assess(folder, as_of=None):
        assessment = stub_assessment(folder)
        items = assessment.attention.iloc[:1].copy()
        shared = items.assign(subject="type B1, 100 kN", subject_kind="case", area="BW, TW")
        shared["piles"] = [("P-2", "P-3")]
        return replace(assessment, attention=shared)

    monkeypatch.setattr(services, "assess", assess)
    app = open_app(stub_project, "outstanding", piles="P-3", area="TW")
    assert not app.exception
    assert listed(app)["About"].tolist() == ["piles of type B1, 100 kN"]
    assert app.multiselect(key="area").options == ["BW", "TW"]
    assert "No item of this list is about pile" not in words_of(app)


def test_nothing_outstanding_is_said(open_app, stub_project, monkeypatch):
    assess = services.assess

    def settled(*asked):
        assessment = assess(*asked)
        return replace(assessment, attention=assessment.attention.iloc[:0])

    monkeypatch.setattr(services, "assess", settled)
    for page, words in (("outstanding", "Nothing is outstanding"), ("overview", "Nothing is")):
        app = open_app(stub_project, page)
        assert not app.exception
        assert words in words_of(app)


@pytest.fixture
def many(stub_project, monkeypatch):
    """The same project with 5,000 items."""

    def assess(folder, as_of=None):
        assessment = stub_assessment(folder)
        items = pd.concat([assessment.attention] * 2500, ignore_index=True)
        ages = pd.array(np.arange(len(items)) % 90, dtype="Int64")
        return replace(assessment, attention=items.assign(age_days=ages))

    monkeypatch.setattr(services, "assess", assess)
    return stub_project


def test_five_thousand_items_are_all_listed(open_app, many):
    assert len(listed(open_app(many, "outstanding"))) == 5000


def test_the_overview_keeps_to_the_first_lines(open_app, many):
    app = open_app(many, "overview")
    assert len(listed(app)) == 8
