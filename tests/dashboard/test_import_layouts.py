"""Sheets not recognised: laid out by hand, conventions said, papers kept."""

from __future__ import annotations

from core import services
from tests.dashboard.importing import SCHEDULE, entries_of, run_import, start, torque_at
from tests.dashboard.test_screens import words_of
from tests.services import small

ODD_LOG = (
    "odd.csv",
    small.log().replace(small.LOG_HEAD, "Mark,No,Am,Bagger,Uhr,Ende,Warum,Tiefe,Kraft\n"),
)


def labelled(trace_boxes, label: str):
    """The widget with a label; a suggestion's mark beside it does not matter."""
    return next(box for box in trace_boxes if box.label.removesuffix(" ✱") == label)


def test_headers_nobody_knows_are_laid_out_by_hand_and_remembered(open_app, site):
    app = start(open_app, site, SCHEDULE, ODD_LOG)
    assert "Sheets not recognised: 1" in words_of(app)
    labelled(app.multiselect, "Record kind").set_value(["run", "torque_reading"]).run()
    places = {"pile": "Mark", "date": "Am", "depth": "Tiefe", "torque": "Kraft"}
    for word, header in places.items():
        labelled(app.selectbox, f"Where {word} is").set_value(f"header {header}").run()
    app.button(key="import_try").click().run()
    assert "Give the unit of depth." in "\n".join(e.value for e in app.error)
    labelled(app.selectbox, "Unit of depth").set_value("m").run()
    labelled(app.selectbox, "Unit of torque").set_value("knm").run()
    assert "changed since the last preview" in words_of(app)
    app.button(key="import_try").click().run()
    assert "0.3 → 300 mm" in words_of(app)
    assert entries_of(site) == 0
    app.session_state["_import"].sender = "Crew Plover"  # a new name is typed in the browser's test
    app.run()
    app.text_input(key="import_layout_name").set_value("log in German").run()
    app.button(key="import_remember").click().run()
    assert not app.exception
    assert "is remembered for Crew Plover" in app.success[0].value
    assert services.stored_layouts(site)["mapping_name"].tolist() == ["log in German"]
    run_import(app)
    assert torque_at(site, 900) == [3000]
    app.segmented_control(key="import_part").set_value("Layouts").run()
    assert "<td>log in German</td>" in words_of(app)


def test_the_order_of_dates_is_said_where_a_problem_asks_for_it(open_app, site):
    app = start(open_app, site, SCHEDULE, ("log.csv", small.log(day="03/02/2026")))
    assert app.button(key="import_run").disabled
    app.selectbox(key="import_date_order").select("month day year").run()
    run_import(app)
    runs = services.assess(site).piles.set_index("position_id")["run_on"]
    assert f"{runs['101']:%Y-%m-%d}" == "2026-03-02"


def test_a_picture_is_kept_and_said_not_to_be_read(open_app, site):
    app = start(open_app, site, SCHEDULE)
    picture = b"\x89PNG\r\n\x1a\n" + bytes(64)
    app.file_uploader[0].set_value([("hole.png", picture, "image/png")]).run()
    assert "kept, not read" in app.dataframe[0].value["Record"].tolist()
    run_import(app)
    assert not app.exception
    sha = services.history(site).set_index("source")["sha256"]["hole.png"]
    assert services.attachment(site, sha) == picture
