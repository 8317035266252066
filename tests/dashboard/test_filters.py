"""Choices and their address: what goes out comes back, and a strange address does no harm."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core import words
from dashboard import theme
from dashboard.filters import MOST_PILES, Choices, from_address, natural, to_address

NAMES = st.lists(st.text(min_size=1, max_size=8), unique=True, max_size=5).map(tuple)


@given(piles=NAMES, area=NAMES, units=st.sampled_from(["", "SI", "US"]))
def test_choices_survive_the_address_whatever_their_letters(piles, area, units):
    choices = Choices(piles=piles, area=area, units=units)
    assert from_address(to_address(choices)) == choices


def test_what_is_not_chosen_is_not_in_the_address():
    assert to_address(Choices(piles=("P-1", "P-2"))) == {"piles": "P-1,P-2"}


def test_the_last_pile_chosen_is_the_pile():
    assert from_address({"piles": "P-1,P-2"}).pile == "P-2"
    assert from_address({}).pile is None


def test_an_address_holds_at_most_a_hundred_piles():
    piles = from_address({"piles": ",".join(str(n) for n in range(150))}).piles
    assert len(piles) == MOST_PILES
    assert piles[-1] == "149"


@pytest.mark.parametrize("units", ["metric", "<b>", "si "])
def test_unknown_units_are_left_out(units):
    assert from_address({"units": units}).units == ""


def test_numbers_inside_names_sort_as_numbers():
    assert sorted(["P-10", "P-2", "P-2A", "B1"], key=natural) == ["B1", "P-2", "P-2A", "P-10"]


def test_every_state_has_its_own_shape_and_every_result_a_sign():
    paths = [theme.SHAPES[state.shape].path for state in words.STATES]
    symbols = [theme.state_symbol(state.word) for state in words.STATES]
    assert len(set(paths)) == len(set(symbols)) == len(words.STATES)
    assert set(theme.RESULT_SIGNS) == set(words.RESULTS)
