"""What if on the Overview: a scenario is put into words, run, and ended."""

from __future__ import annotations

from tests.dashboard.test_screens import words_of
from tests.services.small import log, small_project


def test_a_scenario_lists_the_piles_that_move_and_selects_them(open_app, tmp_path):
    app = open_app(small_project(tmp_path, log()))
    app.selectbox(key="scenario_kind").select("loads").run()
    app.number_input(key="scenario_loads").set_value(1.3).run()
    app.button(key="run_scenario").click().run()
    assert not app.exception
    page = words_of(app)
    assert "Scenario: **loads x 1.3**. **1 pile changes its state.**" in page
    assert "minimum 6.50 kN·m" in page
    assert "schedule revision at the run" not in page
    app.button(key="select_moved").click().run()
    assert app.query_params["piles"] == "101"
    app.button(key="end_scenario").click().run()
    assert "scenario" not in app.query_params
    assert "Scenario:" not in words_of(app)


def test_each_kind_makes_a_sentence_that_is_understood(open_app, tmp_path):
    app = open_app(small_project(tmp_path, log()))
    for kind in ("gauge error", "torque factor", "schedule revision"):
        app.selectbox(key="scenario_kind").select(kind).run()
        app.button(key="run_scenario").click().run()
        assert not app.exception
        assert "0 piles change their state" in words_of(app), kind


def test_a_scenario_that_makes_no_sense_is_refused(open_app, tmp_path):
    app = open_app(small_project(tmp_path, log()), scenario="more rain")
    assert "is not recognised" in words_of(app)


def test_settings_changed_since_the_last_entry_count_here_too(open_app, tmp_path):
    folder = small_project(tmp_path, log())
    settings = (folder / "project.toml").read_text(encoding="utf-8")
    (folder / "project.toml").write_text(settings.replace('"TF1"', '"TF2"'), encoding="utf-8")
    page = words_of(open_app(folder, scenario="torque factor TF2 = 18 1/m"))
    assert "1 pile changes its state" in page


def test_a_project_without_readings_offers_no_gauge(open_app, tmp_path):
    app = open_app(small_project(tmp_path))
    kinds = app.selectbox(key="scenario_kind").options
    assert kinds == ["torque factor", "loads", "schedule revision"]


def test_a_torque_factor_is_entered_in_the_units_of_the_screen(open_app, tmp_path):
    app = open_app(small_project(tmp_path, log()), units="US")
    app.selectbox(key="scenario_kind").select("torque factor").run()
    value = app.number_input(key="scenario_value_TF1_US")
    assert (value.label, value.value) == ("Kt [1/ft]", 7.01)  # 23 1/m
    value.set_value(5.48).run()  # 17.98 1/m
    app.button(key="run_scenario").click().run()
    page = words_of(app)
    assert "Scenario: **torque factor TF1 = 5.48 1/ft**. **1 pile changes its state.**" in page
    assert "not met (4,647 ft·lbf, minimum 4,718 ft·lbf)" in page  # 6.3 and 5.0 · 23/17.98 kN·m
