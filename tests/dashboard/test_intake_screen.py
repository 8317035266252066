"""Intake: files are dropped, looked at, put right and taken in; a refusal is a sentence."""

from __future__ import annotations

import threading

import pytest

from core import services
from core.errors import StoreBusy
from tests.dashboard.taking_in import (
    ENGINEER,
    FAULTY_LOG,
    FOREMAN,
    INSTRUMENTS,
    LOG,
    SCHEDULE,
    drop,
    entries_of,
    start,
    take_in,
    taken_in,
    torque_at,
)
from tests.dashboard.test_screens import words_of
from tests.readers.workbooks import noted_book


def test_an_empty_project_can_be_filled_from_here(open_app, site):
    app = start(open_app, site, SCHEDULE)
    assert app.button(key="intake_take_in").label == "Take in 3 rows from 1 file as one act"
    assert entries_of(site) == 0  # nothing is written before the button
    take_in(app)
    assert not app.exception
    assert "Taken in. Entries written: 2. Rows: 3 new." in [e.value for e in app.success]
    assert services.assess(site).live == 3
    app.switch_page("screens/overview.py").run()
    assert "This project has no piles yet" not in words_of(app)


def test_hidden_parts_and_notes_of_a_workbook_are_shown_before_the_import(open_app, site):
    app = start(open_app, site, SCHEDULE, INSTRUMENTS)
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    app.file_uploader[0].set_value([("rig.xlsx", noted_book(LOG[1]), kind)])
    app.run()
    assert not app.exception
    (shown,) = [one.value for one in app.dataframe if "Remark" in one.value.columns]
    assert "Note on cell A3: “reading doubtful”." in shown["Remark"].tolist()
    assert shown["Remark"].str.startswith("Hidden column B (").any()


def test_files_stay_on_the_desk_while_another_page_is_looked_at(open_app, site):
    app = start(open_app, site, SCHEDULE, INSTRUMENTS)
    app.switch_page("screens/overview.py").run()
    app.switch_page("screens/intake.py").run()
    assert app.multiselect(key="intake_files").value == [SCHEDULE[0], INSTRUMENTS[0]]
    assert app.selectbox(key="intake_by").value == FOREMAN


def test_a_file_can_be_taken_away_again(open_app, site):
    app = start(open_app, site, SCHEDULE, INSTRUMENTS)
    app.multiselect(key="intake_files").set_value([INSTRUMENTS[0]]).run()
    assert app.button(key="intake_take_in").label == "Take in 1 row from 1 file as one act"


def test_what_was_not_changed_is_not_read_again(open_app, site, monkeypatch):
    app = start(open_app, site, SCHEDULE)
    read = []
    monkeypatch.setattr(services, "import_contents", lambda *given, **named: read.append(given))
    monkeypatch.setattr(services, "look_at", lambda *given, **named: read.append(given))
    app.selectbox(key="intake_date_order").select("").run()
    assert not app.exception
    assert read == []


def test_problems_stop_the_act_until_their_rows_are_left_out(open_app, site):
    app = start(open_app, site, SCHEDULE, INSTRUMENTS, FAULTY_LOG)
    assert "Problems: 1" in words_of(app)
    for cell in ("log.csv", "4", "Torque (kN·m)", "3x0"):
        assert f"<td>{cell}</td>" in words_of(app)
    assert app.button(key="intake_take_in").disabled
    assert "leave those rows out" in words_of(app)
    left_out = app.toggle(key="intake_skip_bad_rows")
    assert not left_out.value
    left_out.set_value(True).run()
    take_in(app)
    assert not app.exception
    assert "left out" in app.success[0].value
    assert entries_of(site) == 4


def test_nobody_takes_files_in_without_a_name(open_app, site):
    app = drop(open_app(site, "intake"), SCHEDULE)
    assert app.button(key="intake_take_in").disabled
    assert "Choose who takes the files in" in words_of(app)


def test_the_same_files_again_bring_nothing_new(open_app, site):
    app = take_in(start(open_app, site, SCHEDULE))
    drop(app, SCHEDULE)
    assert app.button(key="intake_take_in").disabled
    assert "the ledger holds every row of these files already" in words_of(app)


def conflicts_of(app):
    """The table that shows conflicts side by side."""
    return next(d.value for d in app.dataframe if "Stands now" in d.value.columns)


@pytest.mark.parametrize(("choice", "kept"), [("file", 3300), ("current", 3000)])
def test_a_conflict_is_shown_side_by_side_and_decided(open_app, site, choice, kept):
    taken_in(site)
    other = ("office copy.csv", LOG[1].replace("0.9,3.0", "0.9,3.3"))
    app = start(open_app, site, other, by=ENGINEER)
    row = conflicts_of(app).iloc[0]
    assert (float(row["This file says"]), float(row["Stands now"])) == (3300, 3000)
    assert (row["Unit"], row["Said by"], row["In"], row["Its row"]) == ("N·m", FOREMAN, LOG[0], 4)
    assert app.button(key="intake_take_in").disabled
    app.button(key=f"intake_settle_{choice}").click().run()
    assert not app.button(key="intake_take_in").disabled
    take_in(app)
    assert not app.exception
    assert torque_at(site, 900) == [kept]


def test_rows_missing_from_a_newer_version_are_listed_and_removed_on_request(open_app, site):
    taken_in(site)
    lines = LOG[1].splitlines(keepends=True)
    app = start(open_app, site, (LOG[0], "".join(lines[:3] + lines[4:])))
    assert "Rows of the earlier version that are missing now: 1" in words_of(app)
    assert app.button(key="intake_take_in").disabled  # nothing else is new
    app.toggle(key="intake_replace").set_value(True).run()
    take_in(app)
    assert torque_at(site, 900) == []
    assert torque_at(site, 1200) == [4000]


def test_a_cancelled_act_writes_nothing(open_app, site, monkeypatch):
    began, go_on = threading.Event(), threading.Event()
    import_contents = services.import_contents

    def slow(*given, progress=lambda step: None, **named):
        def waiting(step):
            began.set()
            go_on.wait(30)
            progress(step)

        asked = named.get("choice")
        steps = progress if asked.dry_run else waiting
        return import_contents(*given, progress=steps, **named)

    monkeypatch.setattr(services, "import_contents", slow)
    app = start(open_app, site, SCHEDULE)
    app.button(key="intake_take_in").click().run()
    assert began.wait(30)
    app.button(key="intake_cancel").click().run()
    go_on.set()
    while app.session_state["_intake"].job is not None:
        app.run()
    assert [e.value for e in app.error] == ["Cancelled; nothing was written."]
    assert entries_of(site) == 0
    assert app.multiselect(key="intake_files").value == [SCHEDULE[0]]


def test_a_ledger_that_is_busy_is_said_in_a_sentence(open_app, site, monkeypatch):
    def busy(*given, **named):
        raise StoreBusy("Somebody else holds the ledger.")

    monkeypatch.setattr(services, "import_contents", busy)
    app = start(open_app, site, SCHEDULE)
    assert not app.exception
    assert [e.value for e in app.error] == ["Somebody else holds the ledger."]


def test_history_lists_every_entry_newest_first_in_the_zone_of_the_job(open_app, site):
    taken_in(site)
    app = open_app(site, "intake")
    app.segmented_control(key="intake_part").set_value("History").run()
    entries = app.dataframe[0].value
    assert entries["Entry"].tolist() == [4, 3, 2, 1]
    assert entries["File"].tolist()[:3] == [LOG[0], INSTRUMENTS[0], SCHEDULE[0]]
    assert entries["Rows"].tolist()[0] == "run 1, torque reading 10"
    assert set(entries["Stands"]) == {"stands"}
    utc = services.history(site)["entered_at"].max()
    assert entries["When"].iloc[0] != f"{utc:%Y-%m-%d %H:%M}"  # Oslo is never on UTC
    assert "Europe/Oslo" in words_of(app)


def test_a_project_without_people_says_what_to_do(open_app, site, monkeypatch):
    from dashboard.data import intake

    monkeypatch.setattr(intake, "people", lambda where: [])
    app = open_app(site, "intake")
    assert "registers nobody" in words_of(app)


BARE = "Pile,Run,Date,Rig,Depth (m),Pressure (bar),Void\n101,1,2026-03-02,Rig 1,0.3,20,no\n"


def test_questions_about_headings_are_answered_here_and_remembered_for_the_sender(open_app, site):
    taken_in(site)
    app = start(open_app, site, ("bare.csv", BARE.replace("101,", "102,")))
    assert "Questions about headings" in [e.value for e in app.subheader]
    assert "Columns not read: 1" in [e.label for e in app.expander]
    assert app.button(key="intake_take_in").disabled
    app.multiselect(key="intake_not_read").set_value(["Void"]).run()
    app.selectbox(key="intake_pressure_kind").select("line").run()
    app.text_input(key="intake_pressure_return").set_value("8").run()
    assert any("such as 8 bar" in e.value for e in app.error)
    assert app.button(key="intake_take_in").disabled
    app.text_input(key="intake_pressure_return").set_value("8 bar").run()
    app.session_state["_intake"].sender = "Rig 1"  # a new name is typed in the browser's test
    app.run()
    assert "remembered for Rig 1" in words_of(app)
    take_in(app)
    assert not app.exception
    assert services.remembered_layouts(site)["sender"].tolist() == ["Rig 1"]
    readings = services.assess(site).measured.profile
    (row,) = readings[readings["pile_id"].eq("102")].to_dict("records")
    assert (row["pressure_kind"], row["return_pressure_kpa"]) == ("line", 800.0)


def test_a_differential_pressure_asks_for_no_return(open_app, site):
    app = start(open_app, site, ("bare.csv", BARE.replace(",Void", "").replace(",no", "")))
    app.selectbox(key="intake_pressure_kind").select("differential").run()
    assert not app.exception
    assert "intake_pressure_return" not in [box.key for box in app.text_input]
    assert "does not state" not in words_of(app)
