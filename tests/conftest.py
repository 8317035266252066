"""What holds for every test: where browser tests are required, a skipped test is a failure."""

from __future__ import annotations

import os

import pytest

BROWSER_TESTS = "PILEWRIGHT_BROWSER_TESTS"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport():
    report = yield
    required = os.environ.get(BROWSER_TESTS) == "required"
    skipped = report.skipped and not hasattr(report, "wasxfail")
    if required and skipped:
        report.outcome = "failed"
        report.longrepr = f"{BROWSER_TESTS}=required, and this test was skipped: {report.longrepr}"
    return report
