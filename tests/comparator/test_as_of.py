"""What is said of the frozen ledger as of every one of its entries."""

import pytest

from core import services
from tests.comparator import answers, frozen

ENTRIES = sorted(frozen.expected()["as_of"], key=int)
PARTS = [ENTRIES[place : place + 13] for place in range(0, len(ENTRIES), 13)]


@pytest.mark.parametrize(
    "entries", PARTS, ids=lambda entries: f"entries {entries[0]} to {entries[-1]}"
)
def test_the_same_is_said_as_of_every_entry(entries, frozen_folder):
    said = {
        entry: answers.at_entry(services.assess(frozen_folder, int(entry))) for entry in entries
    }
    faults = frozen.faults_as_of(said)
    assert not faults, "\n".join(faults)
