"""Events, remarks and readings of one pile on its screen, and open runs on the Overview."""

from __future__ import annotations

from tests.dashboard.test_pile_sections import rows_under
from tests.services.small import small_project
from tests.services.test_events import log


def test_events_and_remarks_are_shown_as_written_and_as_read(open_app, tmp_path):
    crew = log([("2.1", "coupling"), ("3.0", "Spun <b>out</b>")], remarks="fine day")
    app = open_app(small_project(tmp_path, crew), "pile", piles="101")
    assert not app.exception
    shown = rows_under(app, "Recognised as")
    assert shown == [
        ["1", "2.10 m", "coupling", "extension added"],
        ["1", "3.00 m", "Spun &lt;b&gt;out&lt;/b&gt;", "spin-out"],
        ["1", "remarks", "fine day", ""],
    ]
    readings = rows_under(app, "Counted")
    assert len(readings) == 12
    assert readings[9][1:] == ["3.00 m", "6.60 kN·m", "no", "Spun &lt;b&gt;out&lt;/b&gt;"]


def test_a_pile_without_a_text_says_so(open_app, tmp_path):
    app = open_app(small_project(tmp_path, log()), "pile", piles="101")
    assert "None recorded." in [one.value for one in app.markdown]


def test_open_runs_are_counted_apart_on_the_overview(open_app, tmp_path):
    folder = small_project(tmp_path, log(toe="", stop=""))
    app = open_app(folder, "overview")
    assert any(one.value.startswith("**Runs not closed: 1** (101)") for one in app.markdown)
    assert not app.exception
