"""A stamp read again: a person corrects a misread heat, and the ledger keeps what was written."""

import pytest

from core import services
from core.errors import Refused, WrongUse
from tests.services.small import ledger, state
from tests.services.steel_job import PIECES, steel_job


@pytest.fixture
def job(tmp_path):
    """The lot's heat is written with the letter O where its certificate has a zero."""
    return steel_job(tmp_path, pieces=PIECES.replace("9K0001", "9KO001"))


def test_a_misread_heat_stops_the_chain_until_a_person_corrects_it(job):
    assert state(services.assess(job)) == "record incomplete"
    entry = services.correct_heat(
        job, "9KO001", "", "9K0001", "Bo Invented", "seen on the stamp, photo 4"
    )
    after = services.assess(job)
    assert state(after) == "criteria met"
    assert list(services.trace(after, "heat", "9K0001").placed["stamp"]) == ["E-7"]
    changes = services.entry_changes(job, entry)
    assert changes[["key", "column", "before", "after"]].values.tolist() == [
        ["E-7 / DN-1 / whole", "heat", "9KO001", "9K0001"]
    ]
    told = services.history(job).iloc[-1]
    assert (told["person"], told["act"]) == ("Bo Invented", "stamp read again")
    assert told["note"] == (
        "heat 9KO001 read again as 9K0001, one character apart: seen on the stamp, photo 4"
    )
    assert state(services.assess(job, entry - 1)) == "record incomplete"


@pytest.mark.parametrize(
    ("asked", "told", "error"),
    [
        ({"becomes": "9K0002"}, "names heat 9K0002. Nearest known: 9K0001", WrongUse),
        ({"becomes": "9KO001"}, "No other piece and no certificate", WrongUse),
        ({"heat": "9KOOO1"}, "No piece is recorded with heat 9KOOO1", Refused),
        ({"reason": ""}, "who read the stamp again", WrongUse),
        ({"by": "Nobody"}, "not among the people", WrongUse),
    ],
)
def test_nothing_is_corrected_without_a_known_heat_a_person_and_a_reason(job, asked, told, error):
    words = {"heat": "9KO001", "mill": "", "becomes": "9K0001", "by": "Bo Invented",
             "reason": "seen"} | asked  # fmt: skip
    before = ledger(job)
    with pytest.raises(error, match=told):
        services.correct_heat(job, **words)
    assert ledger(job) == before
