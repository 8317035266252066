"""Every word that the program shows is described once, and states can be told apart."""

from __future__ import annotations

import re

import pytest

from core import words
from core.words import BLOCKS, FINDING_KINDS, OWNERS, RESULT_STATE, STAGES, STATES

LISTS = {"states": STATES, "stages": STAGES, "finding kinds": FINDING_KINDS}


@pytest.mark.parametrize("listed", LISTS.values(), ids=LISTS)
def test_every_word_stands_once_and_says_what_it_means(listed):
    spelled = [entry.word.casefold() for entry in listed]
    assert len(set(spelled)) == len(spelled)
    assert [entry.word for entry in listed if not entry.meaning.strip().endswith(".")] == []
    assert [entry.word for entry in listed if entry.word != entry.word.strip()] == []


@pytest.mark.parametrize("sign", ["colour", "letter", "shape"])
def test_no_two_states_share_a_sign(sign):
    signs = [getattr(state, sign).casefold() for state in STATES]
    assert all(signs)
    assert len(set(signs)) == len(signs)


def test_state_colours_are_hexadecimal_and_letters_single():
    assert [s.word for s in STATES if not re.fullmatch(r"#[0-9A-F]{6}", s.colour)] == []
    assert [s.word for s in STATES if not re.fullmatch(r"[A-Z]", s.letter)] == []


def test_every_finding_kind_says_what_it_blocks_who_clears_it_and_how():
    for kind in FINDING_KINDS:
        assert kind.blocks, kind.word
        assert set(kind.blocks) <= set(BLOCKS), kind.word
        assert kind.owner in OWNERS, kind.word
        assert kind.clears.strip(), kind.word


def test_every_result_asks_for_a_known_state_or_none():
    asked = {state for state in RESULT_STATE.values() if state is not None}
    assert asked <= set(words.STATE)
    assert set(words.OPEN_RESULTS) <= set(RESULT_STATE)
    assert set(words.SATISFIED) <= set(words.STATE)


def test_cautions_say_that_the_engineer_and_the_code_govern():
    assert len(set(words.CAUTIONS)) == len(words.CAUTIONS)
    assert any("engineer of record" in caution for caution in words.CAUTIONS)
