"""Choices and their address: what goes out comes back, and a strange address does no harm."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core import words
from dashboard import theme
from dashboard.state import MAX_PILES, OLD_NAMES, from_address, natural, to_address
from tests.dashboard.test_screens import words_of

WRITTEN = st.text(min_size=1, max_size=8).filter(lambda text: text.strip() == text)
NAMES = st.lists(WRITTEN, unique=True, min_size=1, max_size=5)


@given(piles=NAMES, area=NAMES, units=st.sampled_from(["SI", "US"]), query=WRITTEN)
def test_choices_survive_the_address_whatever_their_letters(piles, area, units, query):
    held = {"piles": piles, "area": area, "units": units, "query": query, "overdue": True}
    held |= {"run_from": date(2026, 9, 1), "axis": "level", "list": "below", "worksheet": True}
    address = {name: to_address(name, value) for name, value in held.items()}
    assert from_address(address) == (held, [])


def test_what_is_not_chosen_is_not_in_the_address():
    for name, value in (("area", []), ("units", None), ("overdue", False), ("piles", ())):
        assert to_address(name, value) == []


def test_an_address_holds_at_most_a_hundred_piles():
    piles = from_address({"piles": [",".join(str(n) for n in range(150))]})[0]["piles"]
    assert len(piles) == MAX_PILES
    assert piles[-1] == "149"


@pytest.mark.parametrize(
    ("name", "text"),
    [("units", "metric"), ("units", "<b>"), ("run_from", "yesterday"), ("overdue", "perhaps")],
)
def test_what_means_nothing_is_left_out_and_named(name, text):
    assert from_address({name: [text]}) == ({}, [f"{name}={text}"])


@pytest.mark.parametrize("old", OLD_NAMES)
def test_an_older_name_is_read_as_the_new_one(old):
    text = "true" if OLD_NAMES[old] == "worksheet" else "P-1"
    new = from_address({OLD_NAMES[old]: [text]})
    assert new[0]
    assert from_address({old: [text]}) == new


def test_an_older_link_shows_the_same_view_and_gets_the_new_words(open_app, stub_project):
    old = {"along": "level_m", "ask": "below", "area": "BW,TW", "piles": "P-2"}
    app = open_app(stub_project, "torque", **old)
    assert app.segmented_control(key="axis").value == "level"
    assert app.segmented_control(key="choice_list").value == "below"
    assert app.multiselect(key="area").value == ["BW", "TW"]
    new = {"axis": "level", "list": "below", "area": ["BW", "TW"], "piles": "P-2"}
    assert app.query_params == new
    assert "which this project does not have" not in words_of(app)
    assert app.run().query_params == new


def test_codes_of_an_older_link_are_read_as_words(open_app, stub_project):
    app = open_app(
        stub_project, "outstanding", responsible="DES", blocks="A,C", kind="required torque"
    )
    assert app.multiselect(key="responsible").value == ["designer or engineer of record"]
    words = ["acceptance of the pile", "concrete over the head"]
    assert app.multiselect(key="blocks").value == words
    assert app.multiselect(key="finding").value == ["required torque"]
    earlier = open_app(stub_project, "outstanding", finding=["fresh neighbour", "mean_torque"])
    words = ["installed near fresh grout", "required torque"]
    assert earlier.multiselect(key="finding").value == words


def test_unknown_values_of_a_link_are_dropped_with_a_word_once(open_app, stub_project):
    app = open_app(stub_project, "site_plan", area=["BW", "moon"], state="happy", units="metric")
    page = words_of(app)
    for text in ("area=moon", "state=happy", "units=metric"):
        assert f"“{text}”" in page
    assert app.multiselect(key="area").value == ["BW"]
    assert app.query_params == {"area": "BW"}
    assert "which this project does not have" not in words_of(app.run())


def test_every_choice_stays_from_page_to_page_and_in_the_address(open_app, stub_project):
    chosen = {"area": "BW", "units": "US", "axis": "level", "run_from": "2026-09-01"}
    app = open_app(stub_project, "torque", piles="P-2", **chosen)
    for page in ("pile", "outstanding", "site_plan", "overview", "torque"):
        app.switch_page(f"screens/{page}.py").run()
        assert not app.exception
        assert app.query_params == {"piles": "P-2", **chosen}, page
    assert app.segmented_control(key="axis").value == "level"
    assert app.segmented_control(key="units").value == "US"


def test_a_choice_changed_elsewhere_is_not_undone_by_an_older_address(open_app, stub_project):
    app = open_app(stub_project, "pile", piles="P-8", area="BW")
    app.button(key="compare").click().run()  # P-8 is of another area
    assert app.query_params["area"] == "TW"
    assert app.multiselect(key="area").value == ["TW"]


def test_numbers_inside_names_sort_as_numbers():
    assert sorted(["P-10", "P-2", "P-2A", "B1"], key=natural) == ["B1", "P-2", "P-2A", "P-10"]


def test_every_state_has_its_own_shape_and_every_result_a_sign():
    paths = [theme.SHAPES[state.shape].path for state in words.STATES]
    symbols = [theme.state_symbol(state.word) for state in words.STATES]
    assert len(set(paths)) == len(set(symbols)) == len(words.STATES)
    assert set(theme.RESULT_SIGNS) == set(words.RESULTS)


def test_days_are_written_as_on_paper():
    assert theme.day(date(2026, 10, 3)) == "3 Oct 2026"
