"""A project folder with a made-up assessment, and the app opened on it."""

from __future__ import annotations

import shutil
import sys
from functools import cache

import pytest
import streamlit as st
from playwright.sync_api import sync_playwright
from streamlit.components.v2 import manifest_scanner
from streamlit.testing.v1 import AppTest
from streamlit.util import calc_hash

from core import services
from tests.dashboard.browsing import APP, ARGUMENTS, CHROMIUM, ROOT, Visit, serving
from tests.dashboard.stub import stub_assessment
from tests.services import small

PATHS = {"import_files": "import"}  # of pages whose path is not their file's name


@pytest.fixture(scope="session", autouse=True)
def packages_scanned_once():
    """Whenever an app is opened, its tester looks for components in every installed package."""
    with pytest.MonkeyPatch.context() as patched:
        scan = cache(manifest_scanner.scan_component_manifests)
        patched.setattr(manifest_scanner, "scan_component_manifests", scan)
        yield


@pytest.fixture
def empty_project(tmp_path):
    """A new project with the sample's settings and no entry in its ledger."""
    folder = tmp_path / "project"
    services.new_project(folder)
    shutil.copyfile(ROOT / "sample_project" / "project.toml", folder / "project.toml")
    return folder


@pytest.fixture
def site(tmp_path):
    """A new project with nothing in its ledger."""
    return small.empty_project(tmp_path)


@pytest.fixture
def stub_project(empty_project, monkeypatch):
    """The same, judged as the made-up assessment says."""
    monkeypatch.setattr(services, "assess", lambda folder, as_of=None: stub_assessment(folder))
    return empty_project


@pytest.fixture
def open_app(monkeypatch):
    """Opens the app on a folder, at a page and an address, and runs that page alone, once.

    Before the first run AppTest finds a page by the hash of its path in the address; it takes the
    file's name for that path, which the page of imports has not.
    """

    def opened(folder, page=None, **address):
        st.cache_resource.clear()
        monkeypatch.setattr(sys, "argv", ["app.py", *([str(folder)] if folder else [])])
        app = AppTest.from_file(APP, default_timeout=30)
        for name, value in address.items():
            app.query_params[name] = value
        if page not in (None, "overview"):
            app.switch_page(f"screens/{page}.py")
            app._page_hash = calc_hash(PATHS.get(page, page))
        return app.run()

    return opened


@pytest.fixture(scope="module")
def sample(own_sample):
    """The sample project of one file of tests, built from its raw files."""
    return own_sample


@pytest.fixture(scope="module")
def root(sample):
    """The address at which the sample project is served; a file may serve its own."""
    with serving(sample, sample.parent / "server.log") as address:
        yield address


@pytest.fixture(scope="module")
def browser():
    """A browser for the tests of one file."""
    with sync_playwright() as engine:
        browser = engine.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def context_of(browser):
    """The browser's context of a size and options; a file's visits share it with what it cached."""

    @cache
    def made(width, height, **options):
        return browser.new_context(viewport={"width": width, "height": height}, **options)

    return made


@pytest.fixture
def visit(context_of, root):
    """Opens a visit to ``root``; at the end nothing may have gone wrong on any."""
    visits = []

    def opened(width=1440, height=900, **options):
        visits.append(Visit(context_of(width, height, **options), root))
        return visits[-1]

    yield opened
    exceptions = [one.page.locator("[data-testid=stException]").count() for one in visits]
    for one in visits:
        one.page.close()
    assert [fault for one in visits for fault in one.faults] == []
    assert exceptions == [0] * len(visits)
    assert [address for one in visits for address in one.outside] == []
