"""Deciding on the Steel screen: heats quarantined and released, stamps corrected, files added."""

import pytest

from core import services
from tests.dashboard.test_screens import words_of
from tests.services.small import state
from tests.services.steel_job import PIECES, steel_job
from tests.services.test_certificate_files import pdf

HEAT = {"query": "9K0001"}


@pytest.fixture
def job(tmp_path):
    return steel_job(tmp_path)


def fill(app, label, by, reason):
    """Fill and send the form with the button ``label``."""
    app.selectbox[-1].set_value(by)
    app.text_area[-1].set_value(reason)
    next(button for button in app.button if button.label == label).click()
    return app.run()


def test_a_heat_is_quarantined_with_its_piles_counted_before_and_released_again(open_app, job):
    app = open_app(job, "steel", **HEAT)
    assert "which a quarantine moves to engineer review: 1." in words_of(app).replace("*", "")
    app = fill(app, "Quarantine heat", "Bo Invented", "mill calls it back")
    assert not app.exception
    page = words_of(app)
    assert "Bo Invented: mill calls it back" in page
    assert "heat in quarantine" in page
    assert state(services.assess(job)) == "engineer review"
    app = fill(app, "Release heat", "Ada Invented", "retested")
    assert "Release heat: 9K0001" in app.success[0].value
    assert state(services.assess(job)) == "criteria met"


def test_without_a_name_or_a_reason_nothing_is_written(open_app, job):
    app = open_app(job, "steel", **HEAT)
    app = fill(app, "Quarantine heat", None, "mill calls it back")
    assert "Select who decides. Nothing was written." in words_of(app)
    app = fill(app, "Quarantine heat", "Bo Invented", " ")
    assert "needs a reason" in words_of(app)
    assert services.steel_of(services.assess(job)).story.empty


def test_only_those_with_the_right_are_offered_to_lift(open_app, job):
    services.put_in_quarantine(job, "9K0001", "Bo Invented", "called back")
    assert open_app(job, "steel", **HEAT).selectbox[-1].options == ["Ada Invented"]


def test_as_of_an_earlier_entry_nothing_can_be_decided(open_app, job):
    entry = services.assess(job).entry
    app = open_app(job, "steel", as_of=str(entry), **HEAT)
    assert "Clear As of first" in words_of(app).replace("*", "")
    assert [button.label for button in app.button if "heat" in button.label] == []


def test_a_stamp_read_again_leads_to_the_heat_that_it_says(open_app, tmp_path):
    job = steel_job(tmp_path, pieces=PIECES.replace("9K0001", "9KO001"))
    app = open_app(job, "steel", query="9KO001")
    app.selectbox[0].set_value("9K0001")
    app.selectbox[1].set_value("Bo Invented")
    app.text_area[0].set_value("photo 4")
    next(button for button in app.button if button.label == "Correct pieces").click()
    app.run()
    assert not app.exception
    page = words_of(app)
    assert "Corrected: 9KO001 is now 9K0001" in app.success[0].value
    assert "Heat 9K0001 of Mill X" in page


def test_a_certificate_shows_its_file_by_page(open_app, job):
    services.attach_certificate(job, "MC-5", "MC-5.pdf", pdf(3), "Bo Invented")
    app = open_app(job, "steel", query="MC-5")
    assert not app.exception
    assert "Files of this certificate" in words_of(app)
    assert app.number_input(key="certificate_page").max == 3
    app.number_input(key="certificate_page").set_value(2).run()
    assert not app.exception
    assert not app.error


def test_the_whole_job_lists_coverage_by_supplier_too(open_app, tmp_path):
    notes = "Delivery note,Date delivered,Supplier\nDN-1,2026-02-20,Invented supplier\n"
    page = words_of(open_app(steel_job(tmp_path, notes=notes), "steel"))
    assert "all suppliers" in page
    assert "Invented supplier" in page
