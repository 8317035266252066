"""A project folder with a made-up assessment, and the app opened on it."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from core import flow
from tests.dashboard.stub import stub_assessment

ROOT = Path(__file__).parents[2]
APP = ROOT / "dashboard" / "app.py"


@pytest.fixture
def empty_project(tmp_path):
    """A new project with the sample's settings and no entry in its ledger."""
    folder = tmp_path / "project"
    flow.new_project(folder)
    shutil.copyfile(ROOT / "sample_project" / "project.toml", folder / "project.toml")
    return folder


@pytest.fixture
def stub_project(empty_project, monkeypatch):
    """The same, judged as the made-up assessment says."""
    monkeypatch.setattr(flow, "assess", lambda folder, as_of=None: stub_assessment(folder))
    return empty_project


@pytest.fixture
def open_app(monkeypatch):
    """Opens the app on a folder, at a page and an address, and runs it once."""

    def opened(folder, page=None, **address):
        st.cache_resource.clear()
        monkeypatch.setattr(sys, "argv", ["app.py", *([str(folder)] if folder else [])])
        app = AppTest.from_file(APP, default_timeout=30)
        for name, value in address.items():
            app.query_params[name] = value
        app.run()
        if page:
            app.switch_page(f"screens/{page}.py").run()
        return app

    return opened
