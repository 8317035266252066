"""The frozen ledger, unpacked once for the tests that only read it."""

import pytest

from core import flow
from tests.comparator import frozen


@pytest.fixture(scope="session")
def frozen_folder(tmp_path_factory):
    return frozen.unpacked(tmp_path_factory.mktemp("frozen"))


@pytest.fixture(scope="session")
def frozen_now(frozen_folder):
    return flow.assess(frozen_folder)
