"""The sample project, built once from its raw files for all tests that only read it."""

from pathlib import Path

import pytest

from core import flow

SAMPLE = Path(__file__).parents[2] / "sample_project"


@pytest.fixture(scope="session")
def built_sample(tmp_path_factory):
    """The sample's folder and what taking its raw files in said."""
    folder = tmp_path_factory.mktemp("sample") / "project"
    return folder, flow.build_sample(SAMPLE, folder)
