"""One word for what a piece of steel lacks, by the faults that the rules find."""

import pandas as pd
import pytest

from core.subjects.steel.register import with_gaps

SOUND = {"on_register": True, "traceability": "piece"}
FAULTS = dict.fromkeys(("untraced", "uncertified", "unlisted", "low_type"), False)


def gap(**changed):
    """The gap of one piece whose chain is whole but for what is changed."""
    return with_gaps(pd.DataFrame([{**SOUND, **FAULTS, **changed}])).iloc[0]["gap"]


def test_a_whole_chain_lacks_nothing():
    assert gap() == ""


@pytest.mark.parametrize(
    ("fault", "word"),
    [
        ({"on_register": False}, "delivery"),
        ({"traceability": None}, "kind"),
        ({"untraced": True}, "heat"),
        ({"uncertified": True}, "certificate"),
        ({"unlisted": True}, "certificate"),
        ({"low_type": True}, "type"),
    ],
)
def test_each_fault_has_its_word(fault, word):
    assert gap(**fault) == word


def test_the_first_fault_from_the_pile_is_the_one_told():
    assert gap(on_register=False, traceability=None, untraced=True) == "delivery"
    assert gap(traceability=None, untraced=True) == "kind"
    assert gap(uncertified=True, low_type=True) == "certificate"
