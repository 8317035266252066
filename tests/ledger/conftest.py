"""An empty ledger in a folder of its own, in memory where the machine has such a place."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest

from core.ledger import Ledger
from tests.ledger.invented import FIRST, SECOND, schedule, take

_MEMORY = Path("/dev/shm")


@pytest.fixture
def folder():
    with tempfile.TemporaryDirectory(dir=_MEMORY if _MEMORY.is_dir() else None) as name:
        yield Path(name)


@pytest.fixture
def ledger(folder):
    return Ledger.create(folder)


@pytest.fixture
def issued(ledger):
    """A schedule in two revisions, the second without P10."""
    take(ledger, "schedule", schedule("A", FIRST, "P2", "P10", "P1"), "a.csv")
    take(ledger, "schedule", schedule("B", SECOND, "P1", "P2"), "b.csv")
    return ledger
