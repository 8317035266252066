"""What holds for every test: nothing is skipped where it is required, and one sample for all."""

from __future__ import annotations

import gc
import os
import pickle
import shutil
import sys
from pathlib import Path

import pytest
from filelock import FileLock

from core import services

BROWSER_TESTS = "PILEWRIGHT_BROWSER_TESTS"
SAMPLE = Path(__file__).parents[1] / "sample_project"
# Files of tests that take longest, besides those that drive a browser.
LONGEST = (
    "tests/sample/test_raw_edits.py",
    "tests/comparator/",
    "tests/services/test_sample.py",
    "tests/readers/mess/",
)


@pytest.fixture(scope="session")
def built_sample(tmp_path_factory, worker_id):
    """The sample's folder and what taking its raw files in said; built once, for reading alone."""
    shared = tmp_path_factory.getbasetemp()
    shared = shared if worker_id == "master" else shared.parent
    folder, told = shared / "sample" / "project", shared / "sample.report"
    with FileLock(shared / "sample.lock"):
        if not told.is_file():
            told.write_bytes(pickle.dumps(services.build_sample(SAMPLE, folder)))
    return folder, pickle.loads(told.read_bytes())


@pytest.fixture(scope="session")
def sample_assessment(built_sample):
    """The assessment of the sample, which nobody writes to."""
    return services.assess(built_sample[0])


@pytest.fixture(scope="module")
def own_sample(built_sample, tmp_path_factory):
    """A copy of the sample for the tests of one file to write to."""
    folder = tmp_path_factory.mktemp("sample") / "project"
    shutil.copytree(built_sample[0], folder)
    return folder


def pytest_collection_modifyitems(items):
    """Files that take longest go first, so that no processor waits for one of them at the end.

    A browser's tests wait as much as they work, so they go before all.
    """

    def place(item) -> int:
        if item.get_closest_marker("browser"):
            return 0
        return 1 if item.nodeid.startswith(LONGEST) else 2

    items.sort(key=place)


def pytest_unconfigure():
    """Projects that others were copied from are removed, in every process of the tests."""
    small = sys.modules.get("tests.services.small")
    if small is not None:
        small.MADE.cleanup()


def pytest_collection_finish():
    """What was imported until now stays; looking it through for garbage again costs a tenth."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport():
    report = yield
    required = os.environ.get(BROWSER_TESTS) == "required"
    skipped = report.skipped and not hasattr(report, "wasxfail")
    if required and skipped:
        report.outcome = "failed"
        report.longrepr = f"{BROWSER_TESTS}=required, and this test was skipped: {report.longrepr}"
    return report
