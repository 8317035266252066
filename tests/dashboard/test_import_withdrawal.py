"""Withdrawing an entry on the History tab: the form asks, and a second button writes."""

from __future__ import annotations

import pytest
from streamlit.testing.v1 import AppTest

from core import services
from tests.dashboard.importing import ENGINEER, entries_of, imported


def drawn(folder, number):
    """The part of the page that withdraws one entry."""
    from pathlib import Path

    from dashboard.data import importing
    from dashboard.screens import import_history

    entries = importing.history(Path(folder)).set_index("entry_no", drop=False)
    import_history._withdraw(Path(folder), entries.loc[number])


@pytest.fixture
def app(site):
    imported(site)
    number = entries_of(site)  # the log is the last
    return AppTest.from_function(drawn, args=(str(site), number), default_timeout=30).run()


def asked(app, by=ENGINEER, note="wrong pile (invented)"):
    """The form filled in and sent, as Enter in the note does."""
    if by:
        app.selectbox[0].select(by)
    app.text_input[0].input(note)
    sent = next(button for button in app.button if button.label.startswith("Withdraw entry"))
    return sent.click().run()


def answered(app, label):
    return next(one for one in app.button if one.label.startswith(label)).click().run()


def test_sending_the_form_writes_nothing_and_names_the_entry_and_its_rows(app, site):
    before = entries_of(site)
    asked(app)
    assert entries_of(site) == before
    (warning,) = app.warning
    assert f"Withdraw entry {before} (log.csv" in warning.value
    assert "No longer counted: run 1, torque reading 10." in warning.value


def test_the_second_button_withdraws(app, site):
    number = entries_of(site)
    answered(asked(app), "Confirm withdrawal")
    assert entries_of(site) == number + 1
    assert services.assess(site).measured.profile.empty
    assert not app.warning


def test_cancel_withdraws_nothing_and_asks_no_more(app, site):
    number = entries_of(site)
    answered(asked(app), "Cancel")
    assert entries_of(site) == number
    assert not app.warning


@pytest.mark.parametrize(
    ("given", "told"), [({"by": None}, "Choose who withdraws"), ({"note": " "}, "needs a reason")]
)
def test_without_a_person_or_a_note_nothing_is_asked(app, given, told):
    asked(app, **given)
    assert told in app.error[0].value
    assert not app.warning
