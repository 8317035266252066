"""Rows whose parent is unknown on the Import screen: a problem in its place, never a crash."""

from __future__ import annotations

import pytest

from tests.dashboard.taking_in import SCHEDULE, start
from tests.dashboard.test_screens import words_of
from tests.flow.references import ORPHANS


@pytest.mark.parametrize("kind", ORPHANS)
def test_a_row_whose_parent_is_unknown_is_a_problem_on_the_screen(open_app, site, kind):
    orphan = ORPHANS[kind]
    app = start(open_app, site, SCHEDULE, ("orphans.csv", orphan.text))
    assert not app.exception
    for cell in ("orphans.csv", "3", orphan.column, orphan.value):
        assert f"<td>{cell}</td>" in words_of(app)
    assert app.button(key="intake_take_in").disabled
    app.toggle(key="intake_take_good_rows").set_value(True).run()
    assert not app.exception
    assert not app.button(key="intake_take_in").disabled
