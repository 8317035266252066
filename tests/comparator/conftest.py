"""The frozen ledger, unpacked once for the tests that only read it, and the criteria of its day."""

import pytest

from core import services
from core.assessment import earlier_sign_offs, evaluation
from core.subjects import registry
from tests.comparator import frozen

FROZEN_EDITION = 2  # of the finding kinds when the ledger was frozen


@pytest.fixture(scope="package", autouse=True)
def criteria_of_then():
    """Only criteria that the frozen version had are asked for; a newer one changes nothing."""
    known = {kind.id for kind in registry.FINDING_KINDS if kind.since <= FROZEN_EDITION}
    rules = tuple(rule for rule in registry.RULES if rule.kind.id in known)
    asked = {rule.criterion for rule in rules}
    keys = tuple(key for key in registry.CRITERIA if key in asked)
    makers = tuple(maker for maker in registry.MAKERS if known & {one.id for one in maker.kinds})
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(evaluation, "CRITERIA", keys)
        patch.setattr(evaluation, "RULES", rules)
        patch.setattr(evaluation, "MAKERS", makers)
        patch.setattr(earlier_sign_offs, "CRITERIA", keys)
        yield


@pytest.fixture(scope="package")
def frozen_folder(tmp_path_factory):
    return frozen.unpacked(tmp_path_factory.mktemp("frozen"))


@pytest.fixture(scope="package")
def frozen_now(frozen_folder, criteria_of_then):
    return services.assess(frozen_folder)
