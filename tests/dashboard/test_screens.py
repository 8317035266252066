"""Every screen opens on a small project, and says plainly what it cannot show."""

from __future__ import annotations

import re

import numpy as np
import pytest

from core import services
from core.errors import StoreBusy, StoreDamaged, StoreTooNew
from dashboard.app import PAGES
from tests.dashboard.test_pile_sections import rows_under

# Pages that ask services for more than the made-up assessment has are opened on real jobs, in
# files of their own.
OF_SERVICES = {"grout", "steel", "import_files"}
OF_ASSESSMENT = [page for page in PAGES if page not in OF_SERVICES]


def words_of(app) -> str:
    """All text of a page, however it is set."""
    parts = [e.value for kind in ("markdown", "subheader", "warning", "error", "info", "caption")
             for e in app.get(kind)]  # fmt: skip
    parts += [e.proto.body for e in app.get("html")]
    parts += [f"{m.label} {m.value}" for m in app.metric]
    return "\n".join(str(part) for part in parts)


@pytest.mark.parametrize("page", OF_ASSESSMENT)
def test_each_screen_opens_without_exception(open_app, stub_project, page):
    app = open_app(stub_project, page, piles="P-2")
    assert not app.exception
    assert "Data as of entry 7. Assessed on 3 Oct 2026." in words_of(app)
    assert "nothing here is an approval" in words_of(app)


def test_overview_counts_positions_and_shows_the_three_kinds_of_good_apart(open_app, stub_project):
    page = words_of(open_app(stub_project))
    assert "Positions accepted 2 of 12" in page
    assert "Engineer review 2 piles" in page
    for word in ("criteria met", "accepted with concession", "accepted"):
        assert f"<span>{word}</span>" in page


def test_rows_by_area_add_up_though_a_pile_has_none(open_app, stub_project, monkeypatch):
    assess = services.assess

    def homeless(*asked):
        assessment = assess(*asked)
        assessment.piles.loc[assessment.piles["pile_id"].eq("P-2"), "area"] = None
        assessment.positions.loc[0, "area"] = None
        return assessment

    monkeypatch.setattr(services, "assess", homeless)
    app = open_app(stub_project)
    assert not app.exception
    rows = [row[1:] for row in rows_under(app, "Accepted")]
    *areas, total = [[float(cell.replace(",", "")) for cell in row] for row in rows]
    assert [sum(column) for column in zip(*areas, strict=True)] == total
    assert [row[0] for row in rows_under(app, "Accepted")][-2:] == ["no area", "all areas"]
    assert total[0] == 12
    assert areas[-1][0] == 1


def test_settings_that_are_not_recorded_are_said(open_app, stub_project, monkeypatch):
    from dataclasses import replace

    assess = services.assess
    monkeypatch.setattr(
        services, "assess", lambda *asked: replace(assess(*asked), settings_recorded=False)
    )
    assert "differs from the settings last recorded" in words_of(open_app(stub_project))


def test_the_pile_in_the_address_is_shown_with_its_state_and_reason(open_app, stub_project):
    page = words_of(open_app(stub_project, "pile", piles="P-2"))
    assert '<div class="pw-big-pile">P-2</div>' in page
    assert "<span>engineer review</span>" in page
    assert "Reasons: **required torque**" in page
    assert "7.50 kN·m" in page
    assert "<b>Required torque</b>: 8.00 kN·m, printed" in page
    assert "printed on the schedule 8.00 kN·m; for the load in compression 8.00 kN·m" in page


def test_words_from_files_are_escaped(open_app, stub_project):
    page = words_of(open_app(stub_project, "pile", piles="P-2"))
    assert "mean of &lt;3&gt; readings &amp; more" in page
    assert "mean of <3>" not in page


def test_units_in_the_address_are_shown(open_app, stub_project):
    page = words_of(open_app(stub_project, "pile", piles="P-2", units="US"))
    assert "5,532 ft·lbf" in page  # 7500 N·m


def test_a_choice_survives_a_change_of_page_and_goes_to_the_address(open_app, stub_project):
    app = open_app(stub_project, "site_plan", piles="P-2,P-3", area="BW")
    app.switch_page("screens/pile.py").run()
    assert '<div class="pw-big-pile">P-3</div>' in words_of(app)
    assert app.query_params["piles"] == "P-2,P-3"
    assert app.query_params["area"] == "BW"


def test_the_box_with_pile_numbers_chooses_the_pile(open_app, stub_project):
    app = open_app(stub_project, "pile")
    assert "No pile selected" in words_of(app)
    app.selectbox(key="choice_pile").select("P-5").run()
    assert app.query_params["piles"] == "P-5"
    assert '<div class="pw-big-pile">P-5</div>' in words_of(app)


def test_next_and_previous_follow_the_list(open_app, stub_project):
    app = open_app(stub_project, "pile", piles="P-2")
    app.button(key="step_Next").click().run()
    assert app.query_params["piles"] == "P-3"
    app.button(key="step_Previous").click().run().button(key="step_Previous").click().run()
    assert app.query_params["piles"] == "P-1"
    assert app.button(key="step_Previous").disabled


def test_filters_come_from_the_address_and_dim_the_others(open_app, stub_project):
    app = open_app(stub_project, "site_plan", area="TW")
    assert app.multiselect(key="area").value == ["TW"]
    assert "6 of 12 piles pass the filters" in words_of(app)


def test_a_replaced_pile_names_the_pile_in_its_place(open_app, stub_project, monkeypatch):
    assess = services.assess

    def replaced(*asked):
        assessment = assess(*asked)
        assessment.piles["replaces"] = (
            assessment.piles["pile_id"].shift().where(assessment.piles["pile_id"] == "P-3")
        )
        return assessment

    monkeypatch.setattr(services, "assess", replaced)
    assert "replaced by P-3" in words_of(open_app(stub_project, "pile", piles="P-2"))
    assert "replaces P-2" in words_of(open_app(stub_project, "pile", piles="P-3"))


def test_source_rows_are_shown_as_ranges(open_app, stub_project):
    page = words_of(open_app(stub_project, "pile", piles="P-2"))
    assert "<td>log of P-2.csv</td>" in page
    assert "<td>4–6, 9</td>" in page


def test_a_position_without_a_pile_can_be_looked_at(open_app, stub_project):
    app = open_app(stub_project, "pile", piles="P-12")
    assert not app.exception
    assert "No rule applies yet" in words_of(app)


def test_a_pile_on_no_schedule_says_only_what_is_known(open_app, stub_project, monkeypatch):
    assess = services.assess

    def unscheduled(*asked):
        assessment = assess(*asked)
        assessment.piles[["area", "pile_type", "easting_m", "window_mm"]] = np.nan
        return assessment

    monkeypatch.setattr(services, "assess", unscheduled)
    for page in OF_ASSESSMENT:
        app = open_app(stub_project, page, piles="P-2")
        assert not app.exception
        assert not re.search(r"\bnan\b", words_of(app))


def test_an_unknown_pile_in_the_address_is_said(open_app, stub_project):
    app = open_app(stub_project, "pile", piles="P-2,P-99")
    page = words_of(app)
    assert "The link asks for “piles=P-99”, which this project does not have" in page
    assert '<div class="pw-big-pile">P-2</div>' in page
    assert app.query_params["piles"] == "P-2"


def test_an_as_of_that_is_neither_entry_nor_day_is_said(open_app, stub_project):
    page = words_of(open_app(stub_project, as_of="last week"))
    assert "neither an entry number nor a day" in page


@pytest.mark.parametrize("page", [page for page in PAGES if page != "import_files"])
def test_an_empty_project_says_what_to_bring_in(open_app, empty_project, page):
    app = open_app(empty_project, page)
    assert not app.exception
    assert "This project has no piles yet" in words_of(app)
    assert "differs from the settings" not in words_of(app)  # nothing is recorded to differ from


def test_an_entry_that_does_not_exist_leaves_a_way_back(open_app, empty_project):
    app = open_app(empty_project, as_of="9999")
    assert "There is no entry 9999" in words_of(app)
    app.button(key="back_to_now").click().run()
    assert "This project has no piles yet" in words_of(app)
    assert "as_of" not in app.query_params


@pytest.mark.parametrize("page", PAGES)
def test_a_missing_folder_is_a_plain_page(open_app, tmp_path, page):
    app = open_app(tmp_path / "nowhere", page)
    assert not app.exception
    assert "is not a folder" in words_of(app)
    assert "There is no project here" in words_of(app)
    assert "pilewright new FOLDER" in words_of(app)


def test_no_folder_named_is_a_plain_page(open_app):
    assert "No project folder given" in words_of(open_app(None))


def test_faults_of_the_settings_are_listed(open_app, empty_project):
    (empty_project / "project.toml").write_text('[project]\nname = "x"\ntime_zone = "Mars"\n')
    page = words_of(open_app(empty_project))
    assert "has faults" in page
    assert "The settings have faults" in page
    assert "IANA time zone" in page


@pytest.mark.parametrize(
    ("error", "title", "remedy"),
    [
        (StoreBusy, "The project is being written to", "Wait, then load this page again"),
        (StoreTooNew, "a newer version of the program", "Install that version"),
        (StoreDamaged, "The ledger cannot be read", "Make a new folder from the last backup"),
    ],
)
def test_a_ledger_that_cannot_be_read_says_what_to_do(
    open_app, stub_project, monkeypatch, error, title, remedy
):
    def refuse(*asked):
        raise error("The ledger is held by somebody else.")

    monkeypatch.setattr(services, "assess", refuse)
    app = open_app(stub_project)
    assert not app.exception
    assert "The ledger is held by somebody else." in words_of(app)
    assert title in words_of(app)
    assert remedy in words_of(app)


def test_a_sign_off_is_written_once_and_a_refusal_is_shown(open_app, stub_project, monkeypatch):
    written = []

    def accept(folder, piles, by, note):
        if not note:
            raise flow_error("A sign-off needs a note.")
        written.append((piles, by, note))

    from core.errors import WrongUse as flow_error  # noqa: N813

    monkeypatch.setattr(services, "accept", accept)
    app = open_app(stub_project, "pile", piles="P-7")  # criteria met
    app.button[-1].click().run()
    assert "Select who accepts" in words_of(app)
    app.selectbox[-1].select("Erin Sample")
    app.button[-1].click().run()
    assert "A sign-off needs a note." in words_of(app)
    app.text_area[0].input("Log looked at.")
    app.button[-1].click().run()
    assert written == [(["P-7"], "Erin Sample", "Log looked at.")]
