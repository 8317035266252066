"""An empty ledger in a folder of its own, in memory where the machine has such a place."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest

from core.store import Ledger

_MEMORY = Path("/dev/shm")


@pytest.fixture
def folder():
    with tempfile.TemporaryDirectory(dir=_MEMORY if _MEMORY.is_dir() else None) as name:
        yield Path(name)


@pytest.fixture
def ledger(folder):
    return Ledger.create(folder)
