"""Every word that the program shows is described once, and states can be told apart."""

from __future__ import annotations

import re

import pytest

from core import words
from core.criteria.earlier_names import EARLIER_WORDS
from core.criteria.kinds import BLOCKS, EDITION, RESPONSIBLE
from core.subjects.registry import FINDING_KINDS
from core.words import RESULT_STATE, STAGES, STATES

LISTS = {"states": STATES, "stages": STAGES, "finding kinds": FINDING_KINDS}

# Kinds by which sign-offs that name no edition were judged. Never add to this list.
FIRST_KINDS = """
    advance per turn; angle of the axis; batch age at placement; calibrated range; calibration
    in force; chemistry of the steel; component not on the register; component placed before
    delivery; covered without survey; criterion not set; disturbed ground; drop at the end;
    embedment; fresh neighbour; grade of the steel; grout density; grout flow; grout level after
    placing; grout recorded; grout sampling; grout strength; grout take; grout take above the
    alarm; grout take in a lift; head level; heat in quarantine; heat not on the certificate
    named; heat traced; length reconciliation; lot over-used; mill certificate; no torque factor
    for this case; offset in plan; origin of the steel; penetration after a stop; pile not on
    any schedule; placement without a run; position missing from the latest revision; rated
    torque; reading gap above the final window; reading gap in the final window; readings
    without a run; reason for stopping; remnant not tracked; required torque; required torque
    cross-check; revision worked to; schedule revision at the run; sign-off changed since; stamp
    used twice; string recorded; survey recorded; torque at the last reading; torque without the
    greatest reading; turned after initial set; type of mill certificate; wrong component for
    the type; zinc recorded; zinc thickness
    """
FIRST_EDITION = set(re.split(r"; ", " ".join(FIRST_KINDS.split())))


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
        assert kind.responsible in RESPONSIBLE, kind.word
        assert kind.closed_by.strip(), kind.word


def test_a_finding_kind_newer_than_the_first_sign_offs_gives_its_edition():
    """An earlier sign-off was not judged by it; without ``since`` it would drop them all."""
    first = {kind.id for kind in FINDING_KINDS if kind.since == 1}
    assert first == {EARLIER_WORDS[word] for word in FIRST_EDITION}, "give since= as a number"
    assert [kind.word for kind in FINDING_KINDS if not 1 <= kind.since <= EDITION] == []


def test_the_words_of_earlier_sign_offs_lead_to_the_kinds_of_their_editions():
    """The table is complete: a kind is stored by its id since the third edition."""
    earlier = {kind.id for kind in FINDING_KINDS if kind.since <= 2}
    assert set(EARLIER_WORDS.values()) == earlier
    assert len(EARLIER_WORDS) == len(earlier)
    ids = {kind.id for kind in FINDING_KINDS}
    assert {word: kind for word, kind in EARLIER_WORDS.items() if word in ids - {kind}} == {}


def test_every_result_asks_for_a_known_state_or_none():
    asked = {state for state in RESULT_STATE.values() if state is not None}
    assert asked <= set(words.STATE)
    assert set(words.OPEN_RESULTS) <= set(RESULT_STATE)
    assert set(words.ACCEPTED_STATES) <= set(words.STATE)


def test_cautions_say_that_the_engineer_and_the_code_govern():
    assert len(set(words.CAUTIONS)) == len(words.CAUTIONS)
    assert any("engineer of record" in caution for caution in words.CAUTIONS)
