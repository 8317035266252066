"""The Import page filled in as a person does, on the small invented project."""

from __future__ import annotations

from core import services
from tests.services import small

FOREMAN, ENGINEER = "Bo Invented", "Ada Invented"
SCHEDULE = ("schedule.csv", small.SCHEDULE)
INSTRUMENTS = ("instruments.csv", small.INSTRUMENTS)
LOG = ("log.csv", small.log())
FAULTY_LOG = ("log.csv", small.log().replace("0.9,3.0", "0.9,3x0"))  # its fourth line


def drop(app, *files: tuple[str, str]):
    """Drop files on the page."""
    app.file_uploader[0].set_value([(name, text.encode(), "text/csv") for name, text in files])
    return app.run()


def start(open_app, folder, *files: tuple[str, str], by: str = FOREMAN):
    """The Import page with somebody chosen and files dropped."""
    app = open_app(folder, "import_files")
    app.selectbox(key="import_by").select(by).run()
    return drop(app, *files) if files else app


def run_import(app):
    """Press the button and wait for the end of the import."""
    app.button(key="import_run").click().run()
    for _ in range(600):
        if app.session_state["_import"].job is None:
            return app
        app.run()
    raise AssertionError("the import did not end")


def entries_of(folder) -> int:
    """Number of entries."""
    return len(services.history(folder))


def imported(folder) -> None:
    """The schedule, the instrument and a log, imported by the foreman."""
    files = [(name, text.encode()) for name, text in (SCHEDULE, INSTRUMENTS, LOG)]
    assert not services.import_contents(folder, files, by=FOREMAN).refused


def torque_at(folder, depth_mm: int) -> list[float]:
    """The current value at one depth of pile 101."""
    profile = services.assess(folder).measured.profile
    return profile.loc[profile["depth_mm"].eq(depth_mm), "torque_read_nm"].tolist()
