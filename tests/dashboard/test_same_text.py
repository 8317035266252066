"""A job kept in SI and the same job kept in US units read the same on every screen."""

from __future__ import annotations

from functools import cache

import numpy as np
import pandas as pd
import pytest

from core import services, units
from tests.dashboard.test_screens import words_of
from tests.services.small import (
    CERTIFICATES,
    INSTRUMENTS,
    LOG_HEAD,
    SCHEDULE,
    SETTINGS,
    UNCERTAIN,
    started,
)

FOOT, KIP = units.factor("ft", "m"), units.factor("kip", "kN")
KIP_FOOT = FOOT * KIP
ASSESS = services.assess
PILES = [str(number) for number in range(101, 113)]
SAFETY = """
[[safety_factors]]
direction = "compression"
nature = "sustained"
value = 2.0
clause = "invented"
"""
BEFORE = "[criteria.all.required_torque]"
HEAD = SCHEDULE.splitlines()[0] + ",Design compression (kN),Nature of load,Load basis"


def settings() -> str:
    return SETTINGS.replace(BEFORE, f"{UNCERTAIN.lstrip()}{SAFETY.lstrip()}{BEFORE}", 1)


def files(us: bool) -> list[tuple[str, str]]:
    """Schedule, instrument, certificate and one log, every number in one system's units.

    Depths are those of a 1 ft log, in whole millimetres in both.
    """
    rng = np.random.default_rng(20260302)
    length, torque, load = (FOOT, KIP_FOOT, KIP) if us else (1.0, 1.0, 1.0)
    schedule, log = [HEAD], []
    for place, pile in enumerate(PILES):
        required, design = rng.uniform(4.5, 6.0), rng.uniform(90, 140)
        minimum = int(rng.integers(1500, 2700))
        schedule.append(
            f"{pile},A,2026-02-01,for construction,A,T1,{100 + 3 * place}.0,200.0,compression,"
            f"{required / torque!r},{minimum / 1000 / length!r},{design / load!r},sustained,service"
        )
        toe = round(10 * FOOT, 3)
        for number in range(1, 11):
            depth, read = round(number * FOOT, 3), 0.8 + 0.55 * number + rng.uniform(0, 0.4)
            log.append(
                f"{pile},1,2026-03-02,Rig 1,TI-1,{toe / length!r},torque and depth reached,"
                f"{depth / length!r},{read / torque!r}"
            )
    points = CERTIFICATES.replace(",0.5\n", f",{0.5 / torque!r}\n")
    points = points.replace(",12.0\n", f",{12.0 / torque!r}\n")
    written = {
        "schedule.csv": "\n".join(schedule) + "\n",
        "instruments.csv": INSTRUMENTS,
        "certificates.csv": points,
        "log.csv": LOG_HEAD + "\n".join(log) + "\n",
    }
    return [(name, customary(text) if us else text) for name, text in written.items()]


def customary(text: str) -> str:
    """A file with its headings in US units; coordinates stay in metres."""
    head, rest = text.split("\n", 1)
    for metric, other in (("(kN·m)", "(kip-ft)"), ("embedment (m)", "embedment (ft)"),
                          ("depth (m)", "depth (ft)"), ("Depth (m)", "Depth (ft)"),
                          ("(kN)", "(kip)")):  # fmt: skip
        head = head.replace(metric, other)
    return f"{head}\n{rest}"


@pytest.fixture(scope="module")
def both(tmp_path_factory):
    """The job kept in SI and the job kept in US units."""
    folders = []
    for us in (False, True):
        folders.append(
            started(tmp_path_factory.mktemp("us" if us else "si"), settings(), *files(us))
        )
    return folders


@pytest.fixture(autouse=True)
def judged_once(monkeypatch):
    """Each job is judged once for all screens; nothing writes to it."""
    monkeypatch.setattr(services, "assess", assessed)


@cache
def assessed(folder, as_of=None):
    """The assessment of one job."""
    return ASSESS(folder, as_of)


def test_the_files_differ_and_the_numbers_agree(both):
    assert "(kip-ft)" in files(True)[3][1]
    assert files(True)[3][1].splitlines()[1] != files(False)[3][1].splitlines()[1]
    metric, other = (services.assess(folder) for folder in both)
    assert metric.piles["final_torque_nm"].notna().all()
    numbers = metric.piles.select_dtypes("float64").columns
    pd.testing.assert_frame_equal(
        metric.piles[numbers], other.piles[numbers], check_exact=False, rtol=1e-9, atol=0
    )
    results = ["subject", "kind", "result", "note", "clause"]
    pd.testing.assert_frame_equal(metric.findings[results], other.findings[results])
    assert set(metric.findings["result"]) >= {"met", "not met"}


@pytest.mark.parametrize("system", ["SI", "US"])
@pytest.mark.parametrize(
    ("page", "asked"),
    [("overview", {}), ("torque", {"ask": "barely"}), ("outstanding", {}),
     *(("pile", {"piles": pile, "worked": "yes"}) for pile in PILES[:3])],
)  # fmt: skip
def test_every_screen_says_the_same(both, open_app, system, page, asked):
    said = []
    for folder in both:
        app = open_app(folder, page, units=system, **asked)
        assert not app.exception
        tables = [printed(frame.value).to_csv() for frame in app.dataframe]
        said.append([words_of(app), *tables])
    assert said[0] == said[1]
    assert page != "torque" or len(said[0]) > 1


def printed(table: pd.DataFrame) -> pd.DataFrame:
    """A list as the browser prints it: numbers to the decimals of its columns, three at most."""
    return table.round(3)


def test_the_worksheet_says_the_same(both):
    for pile in PILES[:3]:
        one, other = (services.worksheet(services.assess(folder), pile).steps for folder in both)
        assert [(step.title, step.note) for step in one] == [(s.title, s.note) for s in other]
        assert [s.value for s in one] == pytest.approx(
            [s.value for s in other], rel=1e-9, nan_ok=True
        )


def test_the_object_agrees(both):
    metric, other = (
        services.assessment_object(services.assess(folder))["piles"] for folder in both
    )
    for one, two in zip(metric, other, strict=True):
        for name, measure in one["measures"].items():
            told = two["measures"][name]["value"]
            if isinstance(told, float):
                assert measure["value"] == pytest.approx(told, rel=1e-9), name
            else:
                assert measure["value"] == told, name
