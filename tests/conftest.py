"""What holds for every test: nothing is skipped where it is required, and one sample for all."""

from __future__ import annotations

import os
import pickle
import shutil
from pathlib import Path

import pytest
from filelock import FileLock

from core import flow

BROWSER_TESTS = "PILEWRIGHT_BROWSER_TESTS"
SAMPLE = Path(__file__).parents[1] / "sample_project"
LONGEST = "tests/dashboard/test_browser.py", "tests/dashboard/test_intake_browser.py"


@pytest.fixture(scope="session")
def built_sample(tmp_path_factory, worker_id):
    """The sample's folder and what taking its raw files in said; built once, for reading alone."""
    shared = tmp_path_factory.getbasetemp()
    shared = shared if worker_id == "master" else shared.parent
    folder, told = shared / "sample" / "project", shared / "sample.report"
    with FileLock(shared / "sample.lock"):
        if not told.is_file():
            told.write_bytes(pickle.dumps(flow.build_sample(SAMPLE, folder)))
    return folder, pickle.loads(told.read_bytes())


@pytest.fixture(scope="module")
def own_sample(built_sample, tmp_path_factory):
    """A copy of the sample for the tests of one file to write to."""
    folder = tmp_path_factory.mktemp("sample") / "project"
    shutil.copytree(built_sample[0], folder)
    return folder


def pytest_collection_modifyitems(items):
    """Files that take longest go first, so that no processor waits for one of them at the end."""
    items.sort(key=lambda item: not item.nodeid.startswith(LONGEST))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport():
    report = yield
    required = os.environ.get(BROWSER_TESTS) == "required"
    skipped = report.skipped and not hasattr(report, "wasxfail")
    if required and skipped:
        report.outcome = "failed"
        report.longrepr = f"{BROWSER_TESTS}=required, and this test was skipped: {report.longrepr}"
    return report
