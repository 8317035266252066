"""The sections of the Pile screen on one pile that has grout and steel, from its files."""

from __future__ import annotations

import re

import pytest

from tests.services.whole_job import whole_project


def rows_under(app, heading: str) -> list[list[str]]:
    """Cells of the table that has ``heading`` among its headings, row by row."""
    (table,) = [
        one.proto.body for one in app.get("html") if f"<th>{heading}</th>" in one.proto.body
    ]
    rows = re.findall("<tr>(.*?)</tr>", table, re.DOTALL)
    cells = [re.findall("<td>(.*?)</td>", row, re.DOTALL) for row in rows]
    return [row for row in cells if row]


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    return whole_project(tmp_path_factory.mktemp("whole"))


@pytest.fixture
def pile(open_app, job):
    """The screen on pile 101 of the whole job."""
    app = open_app(job, "pile", piles="101")
    assert not app.exception
    return app


def test_a_pile_with_grout_and_steel_shows_its_sections_under_each_other(pile):
    headings = [one.value for one in pile.subheader]
    assert [word for word in headings if word in ("String", "Grout", "History")] == [
        "String",
        "Grout",
        "History",
    ]


def test_every_component_is_named_once_from_the_head_down(pile):
    named = [(row[0], row[2], row[3]) for row in rows_under(pile, "Gap in traceability")]
    assert named == [("2", "E-7", "1.50 m"), ("1", "L-1", "2.10 m"), ("", "", "")]


def test_the_lifts_stand_in_the_order_of_the_work(pile):
    assert [row[0] for row in rows_under(pile, "Batched")] == ["1", "2", "3"]


def test_the_worksheet_opens_with_its_switch_and_stays_in_the_address(open_app, job):
    app = open_app(job, "pile", piles="101")
    assert "Equation and inputs" not in "".join(one.proto.body for one in app.get("html"))
    app.toggle(key="worksheet").set_value(True).run()
    assert not app.exception
    app.switch_page("screens/overview.py").run().run()  # where no widget holds it
    assert app.query_params["worksheet"] == "true"
    app.switch_page("screens/pile.py").run()
    steps = _steps(app)
    titles = [row[0] for row in steps]
    assert "Final torque" in titles
    assert "Void of lift 1 of run 1" in titles
    final = steps[titles.index("Final torque")]
    assert "T = (T₁ + … + Tₙ)/n" in final[1]
    assert "row " in steps[titles.index("Net grout of lift 1 of run 1")][1]
    assert "shown as" in final[2]


def _steps(app):
    """Rows of every table of the worksheet."""
    bodies = [one.proto.body for one in app.get("html")]
    sheets = [body for body in bodies if "Equation and inputs" in body]
    rows = [row for body in sheets for row in re.findall("<tr>(.*?)</tr>", body, re.DOTALL)]
    cells = [re.findall("<td>(.*?)</td>", row, re.DOTALL) for row in rows]
    return [row for row in cells if row]
