"""Every page in a real browser on a job whose texts ask the browser to call out: it never does."""

from __future__ import annotations

import urllib.request
from urllib.parse import quote

import pytest

from dashboard.asgi import HEADERS
from tests.dashboard import hostile
from tests.dashboard.browsing import DRAWN, IN_A_BROWSER, PATHS, serving
from tests.dashboard.test_import_browser import UPLOADER, drop
from tests.services import small

pytestmark = IN_A_BROWSER
WAIT = {**DRAWN, PATHS["pile"]: ".js-plotly-plot"}
MAY_MEAN = "[data-testid=stButtonGroup] >> text=Mill X"
# Whatever on the page, in shadow roots and drawings as well, loads or leads to where it must not.
CALLS_OUT = """(host) => {
  const found = []
  const look = (root) => {
    for (const node of root.querySelectorAll("*")) {
      if (node.shadowRoot) look(node.shadowRoot)
      for (const name of ["src", "href", "xlink:href", "action", "data", "poster", "srcset"]) {
        const value = node.getAttribute(name)
        if (value === null || value.startsWith("data:") || value.startsWith("blob:")) continue
        const url = new URL(value, location.href)
        if (url.host === host || /leak/.test(url.pathname)) found.push(node.outerHTML.slice(0, 300))
      }
      if (node.getAttribute("style")?.includes(host)) found.push(node.outerHTML.slice(0, 300))
    }
  }
  look(document)
  for (const node of document.querySelectorAll(".katex, a[href='leak']")) found.push(node.outerHTML)
  return found
}"""
SHOWN = """() => {
  const texts = []
  const look = (root) => {
    for (const node of root.querySelectorAll("*")) {
      if (node.shadowRoot) look(node.shadowRoot)
      if (node.children.length === 0 || node.tagName === "P") texts.push(node.textContent)
    }
  }
  look(document.body)
  return texts.join("\\n").replaceAll("\\u2060", "")
}"""
OPEN_ALL = """() => {
  for (const one of document.querySelectorAll("[data-testid=stExpander] summary"))
    if (!one.parentElement.open) one.click()
}"""


@pytest.fixture(scope="module")
def listener():
    with hostile.listening() as (host, asked):
        yield host, asked


@pytest.fixture(scope="module")
def words(listener):
    return hostile.Words(listener[0])


@pytest.fixture(scope="module")
def job(words, tmp_path_factory):
    return hostile.project(tmp_path_factory.mktemp("hostile"), words)


@pytest.fixture(scope="module")
def root(job):
    with serving(job, job.parent / "server.log") as address:
        yield address


@pytest.fixture
def harmless(listener):
    """Looks a page over; at the end nothing may have been asked of the listener."""
    host, asked = listener

    def looked_over(here):
        here.page.evaluate(OPEN_ALL)
        here.settle()
        assert here.page.evaluate(CALLS_OUT, host) == []
        return here.page.evaluate(SHOWN)

    yield looked_over
    assert asked == []


def shows(here, harmless, *texts):
    """Wait until all ``texts`` are on the page as written: words of a table come after the rest."""
    missing = list(texts)
    for _ in range(40):
        shown = harmless(here)
        missing = [text for text in texts if text not in shown]
        if not missing:
            break
        here.page.wait_for_timeout(250)
    assert missing == []


def paths(words):
    pile = quote(words("101"), safe="")
    second = quote(words("102"), safe="")
    heat = quote(words("7Q1803"), safe="")
    both = f"{second},{pile}"
    return {
        "overview": ("/", ()),
        "site plan": (f"/site_plan?piles={both}", (words("101"),)),
        "torque": (f"/torque?piles={both}", (words("101"), words("102"))),
        "grout": (f"/grout?piles={both}", (words("101"),)),
        "steel": ("/steel", ()),
        "heat": (f"/steel?query={heat}", (words("7Q1803"), words("MC-5"))),
        "held heat": (f"/steel?query={quote(words('9K0001'), safe='')}", (words("called back"),)),
        "certificate": (f"/steel?query={quote(words('MC-5'), safe='')}", (words("MC-5"),)),
        "outstanding": (f"/outstanding?piles={pile}", (words("101"),)),
        "pile": (f"/pile?piles={pile}", (words("101"), words("L-1"), words("sees all"))),
        "several piles": (f"/pile?piles={both}", (words("101"), words("102"))),
        "events": (f"/pile?piles={second}", (words("102"), words("seen"), words("noted"))),
    }


VISITS = ["overview", "site plan", "torque", "grout", "steel", "heat", "held heat", "certificate",
          "outstanding", "pile", "several piles", "events"]  # fmt: skip


def test_every_page_is_visited(words):
    visited = {path.partition("?")[0] for path, _ in paths(words).values()}
    assert set(paths(words)) == set(VISITS)
    assert visited | {PATHS["import_files"]} == set(PATHS.values())  # which has tests of its own


@pytest.mark.parametrize("page", VISITS)
def test_a_page_shows_hostile_text_as_written_and_calls_nobody(visit, words, harmless, page):
    path, texts = paths(words)[page]
    here = visit().open(path, MAY_MEAN if page == "heat" else WAIT[path.partition("?")[0]])
    if page == "heat":  # of two mills: one is chosen among what the heat may mean
        here.until_run(here.page.get_by_test_id("stButtonGroup").last.locator("button").first.click)
    shows(here, harmless, *texts)
    if page in ("pile", "events"):
        assert here.chosen() == texts[0]


def test_a_hover_shows_a_hostile_pile_as_written(visit, words, harmless):
    here = visit().open(f"/torque?piles={quote(words('101'), safe='')}", WAIT["/torque"])
    here.page.locator(".js-plotly-plot").scroll_into_view_if_needed()
    here.settle()
    spot = here.page.evaluate("""() => {
      const plot = document.querySelector(".js-plotly-plot"), layout = plot._fullLayout
      const trace = plot._fullData.find((one) => one.meta === "chosen")
      const box = plot.getBoundingClientRect(), n = Math.floor(trace.x.length / 2)
      return [box.x + layout.xaxis._offset + layout.xaxis.d2p(trace.x[n]),
              box.y + layout.yaxis._offset + layout.yaxis.d2p(trace.y[n])]
    }""")
    here.page.mouse.move(*spot, steps=4)
    here.page.locator(".hovertext").first.wait_for()
    assert words("101") in here.page.locator(".hovertext").first.text_content()
    harmless(here)


@pytest.mark.parametrize("part", ["History", "Layouts", "Stamps"])
def test_what_was_imported_is_shown_as_written(visit, harmless, part):
    here = visit().open("/import", UPLOADER)
    here.page.get_by_text(part, exact=True).first.click()
    here.settle()
    harmless(here)


def test_a_hostile_file_is_previewed_as_written(visit, words, harmless, tmp_path):
    here = visit().open("/import", UPLOADER)
    here.choose("Imported by", words("Bo Invented"))
    heading = words.into("Pile,Rig", "Rig")
    log = small.log(words("104")).replace(",1.0", f",{words('1x')}")
    known = small.write(tmp_path, hostile.file_name("log"), log)
    unknown = small.write(tmp_path, hostile.file_name("sheet"), f"{heading}\n{words('a')},b\n")
    drop(here, known, unknown)
    cut_off = words("1x")[:20]
    shows(here, harmless, known.name, unknown.name, cut_off, words("Rig"), words("a"))


def test_the_tables_own_download_is_hidden_and_ours_are_not(visit):
    here = visit().open("/outstanding", WAIT["/outstanding"])
    here.page.evaluate(OPEN_ALL)
    here.settle()
    tables = here.page.get_by_test_id("stDataFrame")
    tables.first.scroll_into_view_if_needed()
    tables.first.hover()
    here.page.get_by_role("button", name="Search").first.wait_for()
    own = here.page.locator("[data-testid=stElementToolbar] button[aria-label^='Download as CSV']")
    assert own.count() > 0
    assert not any(button.is_visible() for button in own.all())
    ours = here.page.get_by_test_id("stDownloadButton")
    assert ours.count() > 0
    assert all(button.is_visible() for button in ours.all())


def test_a_picture_of_another_host_is_blocked_though_it_is_on_the_page(visit, listener):
    host, asked = listener
    here = visit().open("/", WAIT["/"])
    blocked = here.page.evaluate(
        """(address) => new Promise((resolve) => {
          document.addEventListener("securitypolicyviolation", (e) => resolve(e.blockedURI))
          const picture = new Image()
          picture.src = address
          document.body.append(picture)
        })""",
        f"http://{host}/injected.png",
    )
    assert blocked == f"http://{host}/injected.png"
    assert asked == []
    assert len(here.faults) == 1
    assert "Content Security Policy" in here.faults.pop()
    here.outside.clear()


def test_every_kind_of_answer_carries_the_headers(visit, root, words):
    here = visit()
    answers = {}
    here.page.on("response", lambda answer: answers.update({answer.url: answer}))
    here.open(f"/steel?query={quote(words('MC-5'), safe='')}", WAIT["/steel"])
    with here.page.expect_download() as waiting:
        here.page.get_by_role("button", name="Save MC-5").first.click()
    kept = waiting.value.url
    for address in (f"{root}/_stcore/health", f"{root}/nothing/here.js", kept):
        with urllib.request.urlopen(address) as answer:
            assert {name: answer.headers[name] for name in HEADERS} == HEADERS, address
    kinds = {answer.headers["content-type"].partition(";")[0] for answer in answers.values()}
    assert {"text/html", "text/css", "application/json"} <= kinds
    for answer in answers.values():
        if answer.url.startswith(root):
            assert {name: answer.headers[name.lower()] for name in HEADERS} == HEADERS, answer.url


def test_an_older_address_leads_to_the_page_of_today_with_what_was_chosen(visit):
    here = visit().open("/intake?units=US", UPLOADER)
    assert here.page.url.endswith("/import?units=US")
