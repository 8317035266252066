"""References on the Import screen: an unknown parent is a problem, a doubtful pile a question."""

from __future__ import annotations

import pytest

from core import services
from dashboard.literal import literal
from tests.dashboard.importing import FOREMAN, SCHEDULE, run_import, start
from tests.dashboard.test_screens import words_of
from tests.services.references import ORPHANS
from tests.services.small import log


@pytest.mark.parametrize("kind", ORPHANS)
def test_a_row_whose_parent_is_unknown_is_a_problem_on_the_screen(open_app, site, kind):
    orphan = ORPHANS[kind]
    app = start(open_app, site, SCHEDULE, ("orphans.csv", orphan.text))
    assert not app.exception
    for cell in ("orphans.csv", "3", orphan.column, orphan.value):
        assert f"<td>{cell}</td>" in words_of(app)
    assert app.button(key="import_run").disabled
    app.toggle(key="import_skip_bad_rows").set_value(True).run()
    assert not app.exception
    assert not app.button(key="import_run").disabled


@pytest.mark.parametrize(("answer", "pile"), [(0, "102"), (1, "10.2")])
def test_a_doubtful_pile_number_is_asked_and_answered_on_the_screen(open_app, site, answer, pile):
    files = [SCHEDULE, ("log_1.csv", log("101")), ("log_3.csv", log("103"))]
    contents = [(name, text.encode()) for name, text in files]
    assert not services.import_contents(site, contents, by=FOREMAN).refused
    app = start(open_app, site, ("log_2.csv", log("10.2")))
    assert not app.exception
    assert app.button(key="import_run").disabled
    assert "Pile numbers to confirm: 1 number" in words_of(app)
    question = app.radio(key="import_pile_number_10.2")
    asked = "10.2 (log_2.csv, row 2, 10 rows): did you mean 102?"
    assert question.label == literal(asked)
    question.set_value(["102", "10.2"][answer]).run()
    assert app.radio(key="import_pile_number_10.2").value == ["102", "10.2"][answer]
    run_import(app)
    assert not app.exception
    piles = services.assess(site).piles
    assert pile in set(piles.loc[piles["runs"] > 0, "pile_id"])
