"""Import: files are dropped, previewed, corrected and imported; a refusal is a sentence."""

from __future__ import annotations

import threading

import pytest

from core import services
from core.errors import StoreBusy
from dashboard.screens.import_state import number_pair
from tests.dashboard.importing import (
    ENGINEER,
    FAULTY_LOG,
    FOREMAN,
    INSTRUMENTS,
    LOG,
    SCHEDULE,
    drop,
    entries_of,
    imported,
    run_import,
    start,
    torque_at,
)
from tests.dashboard.test_screens import words_of
from tests.readers.workbooks import noted_book


def test_an_empty_project_can_be_filled_from_here(open_app, site):
    app = start(open_app, site, SCHEDULE)
    assert app.button(key="import_run").label == "Import 3 rows from 1 file"
    assert entries_of(site) == 0  # nothing is written before the button
    run_import(app)
    assert not app.exception
    assert "Imported. Entries written: 2. Rows: 3 new." in [e.value for e in app.success]
    assert services.assess(site).current_positions == 3
    app.switch_page("screens/overview.py").run()
    assert "This project has no piles yet" not in words_of(app)


def test_hidden_parts_and_notes_of_a_workbook_are_shown_before_the_import(open_app, site):
    app = start(open_app, site, SCHEDULE, INSTRUMENTS)
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    app.file_uploader[0].set_value([("rig.xlsx", noted_book(LOG[1]), kind)])
    app.run()
    assert not app.exception
    (shown,) = [one.value for one in app.dataframe if "Notice" in one.value.columns]
    assert "Note on cell A3: “reading doubtful”." in shown["Notice"].tolist()
    assert shown["Notice"].str.startswith("Hidden column B (").any()


def test_files_stay_while_another_page_is_looked_at(open_app, site):
    app = start(open_app, site, SCHEDULE, INSTRUMENTS)
    app.switch_page("screens/overview.py").run()
    app.switch_page("screens/import_files.py").run()
    assert app.multiselect(key="import_files").value == [SCHEDULE[0], INSTRUMENTS[0]]
    assert app.selectbox(key="import_by").value == FOREMAN


def test_a_file_can_be_removed_again(open_app, site):
    app = start(open_app, site, SCHEDULE, INSTRUMENTS)
    app.multiselect(key="import_files").set_value([INSTRUMENTS[0]]).run()
    assert app.button(key="import_run").label == "Import 1 row from 1 file"


def test_what_was_not_changed_is_not_read_again(open_app, site, monkeypatch):
    app = start(open_app, site, SCHEDULE)
    read = []
    monkeypatch.setattr(services, "import_contents", lambda *given, **named: read.append(given))
    monkeypatch.setattr(services, "preview_of", lambda *given, **named: read.append(given))
    app.selectbox(key="import_date_order").select("").run()
    assert not app.exception
    assert read == []


def test_problems_stop_the_import_until_their_rows_are_skipped(open_app, site):
    app = start(open_app, site, SCHEDULE, INSTRUMENTS, FAULTY_LOG)
    assert "Problems: 1" in words_of(app)
    for cell in ("log.csv", "4", "Torque (kN·m)", "3x0"):
        assert f"<td>{cell}</td>" in words_of(app)
    assert app.button(key="import_run").disabled
    assert "skip those rows" in words_of(app)
    skip = app.toggle(key="import_skip_bad_rows")
    assert not skip.value
    skip.set_value(True).run()
    run_import(app)
    assert not app.exception
    assert "skipped" in app.success[0].value
    assert entries_of(site) == 4


def test_nobody_imports_files_without_a_name(open_app, site):
    app = drop(open_app(site, "import_files"), SCHEDULE)
    assert app.button(key="import_run").disabled
    assert "Choose your name under Imported by" in words_of(app)


def test_the_same_files_again_bring_nothing_new(open_app, site):
    app = run_import(start(open_app, site, SCHEDULE))
    drop(app, SCHEDULE)
    assert app.button(key="import_run").disabled
    assert "every row of these files is in the ledger already" in words_of(app)


def conflicts_of(app):
    """The table that shows conflicts side by side."""
    return next(d.value for d in app.dataframe if "Current value" in d.value.columns)


def test_replacing_an_earlier_version_warns_of_the_conflicts_that_it_overrides(open_app, site):
    imported(site)
    lines = LOG[1].splitlines(keepends=True)
    shorter = (LOG[0], "".join(lines[:4] + lines[5:]))
    other = ("office copy.csv", LOG[1].replace("0.9,3.0", "0.9,3.3"))
    app = start(open_app, site, shorter, other)
    app.button(key="import_settle_current").click().run()
    assert not app.warning
    app.toggle(key="import_replace").set_value(True).run()
    (warning,) = app.warning
    assert warning.value == (
        "Replaced too, whatever was decided: 1 row with another current value."
    )


@pytest.mark.parametrize(
    ("column", "pair", "shown"),
    [
        ("pressure_kpa", ("9052.81632593006", "9032.132054050555"), ("9,052.82", "9,032.13")),
        ("pressure_kpa", ("20.0001", "20.0002"), ("20.0001", "20.0002")),
        ("depth_mm", ("1200", "900"), ("1,200", "900")),
        ("torque_nm", ("present", "removed"), ("present", "removed")),
        ("heat", ("00731", "0731"), ("00731", "0731")),
        ("pressure_kpa", ("", "5.25"), ("", "5.25")),
    ],
)
def test_values_side_by_side_have_as_many_decimals_as_tell_them_apart(column, pair, shown):
    assert number_pair(column, *pair) == shown


@pytest.mark.parametrize(("choice", "kept"), [("file", 3300), ("current", 3000)])
def test_a_conflict_is_shown_side_by_side_and_decided(open_app, site, choice, kept):
    imported(site)
    other = ("office copy.csv", LOG[1].replace("0.9,3.0", "0.9,3.3"))
    app = start(open_app, site, other, by=ENGINEER)
    row = conflicts_of(app).iloc[0]
    assert (row["This file"], row["Current value"]) == ("3,300", "3,000")
    assert (row["Unit"], row["Current value by"]) == ("N·m", FOREMAN)
    assert (row["From file"], row["From row"]) == (LOG[0], 4)
    assert app.button(key="import_run").disabled
    app.button(key=f"import_settle_{choice}").click().run()
    assert not app.button(key="import_run").disabled
    run_import(app)
    assert not app.exception
    assert torque_at(site, 900) == [kept]


def test_rows_missing_from_a_newer_version_are_listed_and_removed_on_request(open_app, site):
    imported(site)
    lines = LOG[1].splitlines(keepends=True)
    app = start(open_app, site, (LOG[0], "".join(lines[:3] + lines[4:])))
    assert "Rows of the earlier version that are missing now: 1" in words_of(app)
    assert app.button(key="import_run").disabled  # nothing else is new
    app.toggle(key="import_replace").set_value(True).run()
    run_import(app)
    assert torque_at(site, 900) == []
    assert torque_at(site, 1200) == [4000]


def test_a_cancelled_import_writes_nothing(open_app, site, monkeypatch):
    began, run_program = threading.Event(), threading.Event()
    import_contents = services.import_contents

    def slow(*given, progress=lambda step: None, **named):
        def waiting(step):
            began.set()
            run_program.wait(30)
            progress(step)

        asked = named.get("choice")
        steps = progress if asked.dry_run else waiting
        return import_contents(*given, progress=steps, **named)

    monkeypatch.setattr(services, "import_contents", slow)
    app = start(open_app, site, SCHEDULE)
    app.button(key="import_run").click().run()
    assert began.wait(30)
    app.button(key="import_cancel").click().run()
    run_program.set()
    while app.session_state["_import"].job is not None:
        app.run()
    assert [e.value for e in app.error] == ["Cancelled; nothing was written."]
    assert entries_of(site) == 0
    assert app.multiselect(key="import_files").value == [SCHEDULE[0]]


def test_a_ledger_that_is_busy_is_said_in_a_sentence(open_app, site, monkeypatch):
    def busy(*given, **named):
        raise StoreBusy("Somebody else holds the ledger.")

    monkeypatch.setattr(services, "import_contents", busy)
    app = start(open_app, site, SCHEDULE)
    assert not app.exception
    assert [e.value for e in app.error] == ["Somebody else holds the ledger."]


def test_history_lists_every_entry_newest_first_in_the_zone_of_the_job(open_app, site):
    imported(site)
    app = open_app(site, "import_files")
    app.segmented_control(key="import_part").set_value("History").run()
    entries = app.dataframe[0].value
    assert entries["Entry"].tolist() == [4, 3, 2, 1]
    assert entries["File"].tolist()[:3] == [LOG[0], INSTRUMENTS[0], SCHEDULE[0]]
    assert entries["Rows"].tolist()[0] == "run 1, torque reading 10"
    assert set(entries["Status"]) == {"current"}
    utc = services.history(site)["entered_at"].max()
    assert entries["When"].iloc[0] != f"{utc:%Y-%m-%d %H:%M}"  # Oslo is never on UTC
    assert "Europe/Oslo" in words_of(app)


def test_a_project_without_people_says_what_to_do(open_app, site, monkeypatch):
    from dashboard.data import importing

    monkeypatch.setattr(importing, "people", lambda where: [])
    app = open_app(site, "import_files")
    assert "registers nobody" in words_of(app)


BARE = "Pile,Run,Date,Rig,Depth (m),Pressure (bar),Void\n101,1,2026-03-02,Rig 1,0.3,20,no\n"


def test_questions_about_headings_are_answered_here_and_remembered_for_the_sender(open_app, site):
    imported(site)
    app = start(open_app, site, ("bare.csv", BARE.replace("101,", "102,")))
    assert "Questions about headings" in [e.value for e in app.subheader]
    assert "Columns not read: 1" in [e.label for e in app.expander]
    assert app.button(key="import_run").disabled
    app.multiselect(key="import_not_read").set_value(["Void"]).run()
    app.selectbox(key="import_pressure_kind").select("line").run()
    app.text_input(key="import_pressure_return").set_value("8").run()
    assert any("such as 8 bar" in e.value for e in app.error)
    assert app.button(key="import_run").disabled
    app.text_input(key="import_pressure_return").set_value("8 bar").run()
    app.session_state["_import"].sender = "Rig 1"  # a new name is typed in the browser's test
    app.run()
    assert "remembered for Rig 1" in words_of(app)
    run_import(app)
    assert not app.exception
    assert services.stored_layouts(site)["sender"].tolist() == ["Rig 1"]
    readings = services.assess(site).measured.profile
    (row,) = readings[readings["pile_id"].eq("102")].to_dict("records")
    assert (row["pressure_kind"], row["return_pressure_kpa"]) == ("line", 800.0)


def test_a_differential_pressure_asks_for_no_return(open_app, site):
    app = start(open_app, site, ("bare.csv", BARE.replace(",Void", "").replace(",no", "")))
    app.selectbox(key="import_pressure_kind").select("differential").run()
    assert not app.exception
    assert "import_pressure_return" not in [box.key for box in app.text_input]
    assert "does not state" not in words_of(app)
