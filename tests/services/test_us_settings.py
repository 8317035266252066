"""A job set up in US units is judged like its twin of the same values in SI."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd
import pytest

from core import services
from core.criteria.base import Table
from core.criteria.quantities import fields_by_key
from tests.services.small import state
from tests.services.us_job import SI_SETTINGS, US_SETTINGS, si_project, us_project

METRIC = re.compile(
    r"[0-9] ?(mm|cm|m|km|µm|kPa|MPa|Pa|bar|N|kN|MN|N·m|kN·m|kg|kg/m3|L|m3|1/m)\b|\"1/m\""
)
BARE_KEYS = [
    name
    for table in (*Table.__subclasses__(), *(two for one in Table.__subclasses__()
                                             for two in one.__subclasses__()))
    for fields in fields_by_key(table).values()
    for name in fields
]  # fmt: skip
NUMBERS = ["measured", "limit_value", "margin", "uncertainty"]
WORDS = [
    "subject_kind", "subject", "pile_id", "kind", "result", "sense", "unit_column", "clause",
    "note", "measure", "parameter", "item",
]  # fmt: skip


@pytest.fixture(scope="module")
def us(tmp_path_factory):
    return services.assess(us_project(tmp_path_factory.mktemp("us")))


@pytest.fixture(scope="module")
def si(tmp_path_factory):
    return services.assess(si_project(tmp_path_factory.mktemp("si")))


def test_the_settings_of_the_us_job_hold_no_metric_unit_and_those_of_its_twin_no_quantity():
    assert METRIC.findall(US_SETTINGS) == []
    assert [name for name in BARE_KEYS if re.search(rf"^{name} =", US_SETTINGS, re.M)] == []
    assert re.findall(r'= "[-0-9.]+ [^"]+"$', SI_SETTINGS, re.M) == []
    assert "window_mm = 914" in SI_SETTINGS


def test_piles_have_the_same_states(us, si):
    columns = ["pile_id", "position_id", "stage", "state"]
    pd.testing.assert_frame_equal(us.piles[columns], si.piles[columns])
    assert set(us.piles["state"]) == {"criteria met", "engineer review"}


def test_findings_are_the_same_but_for_the_noise_of_conversion(us, si):
    pd.testing.assert_frame_equal(us.findings[WORDS], si.findings[WORDS])
    for name in NUMBERS:
        ours, twin = us.findings[name].to_numpy(float), si.findings[name].to_numpy(float)
        np.testing.assert_allclose(ours, twin, rtol=1e-9, atol=1e-6, err_msg=name)


def test_outstanding_items_are_the_same(us, si):
    columns = ["kind", "subject", "result", "blocks", "pile_id", "note", "due_on"]
    columns = [name for name in columns if name in us.attention.columns]
    assert {"kind", "subject", "result"} <= set(columns)
    pd.testing.assert_frame_equal(us.attention[columns], si.attention[columns])


@pytest.mark.parametrize(
    ("pile", "kind"),
    [
        ("101", "rated torque"),  # a reading of 8000 ft·lbf
        ("101", "embedment"),  # 10 ft
        ("101", "required torque cross-check"),  # 14 kip × 2 / (7 1/ft) is 4000 ft·lbf
        ("102", "required torque"),  # 4000 ft·lbf on average
        ("101", "grout lifts to the toe"),  # 1 ft from the first disc to the first lift
        ("101", "grout density"),  # 115 lb/ft3
        ("101", "grout flow"),  # 10 s
        ("101", "grout strength"),  # 5000 psi
        ("101", "grout level after placing"),  # 4 in
        ("101", "length reconciliation"),  # 12 ft less 1.25 ft and 0.5 ft against 10 ft
        ("101", "offset in plan"),  # 0.25 ft
        ("101", "angle of the axis"),  # 2 deg
        ("101", "head level"),  # 0.1 ft above
        ("101", "grade of the steel"),  # 65 ksi
        ("101", "zinc thickness"),  # 3 mil
        ("105", "required torque"),  # a last reading 6 in above the toe
    ],
)
def test_a_value_exactly_on_its_limit_is_met_in_us_units(us, pile, kind):
    found = us.findings[us.findings["pile_id"].eq(pile) & us.findings["kind"].eq(kind)]
    assert found["result"].tolist() == ["met"]


@pytest.mark.parametrize(
    ("pile", "kind"),
    [
        ("103", "required torque"),  # 3967 ft·lbf on average
        ("102", "grade of the steel"),  # 64.9 ksi
        ("102", "zinc thickness"),  # 2.9 mil
        ("105", "embedment"),  # 9.5 ft
    ],
)
def test_a_value_beyond_its_limit_is_not_met_in_us_units(us, pile, kind):
    found = us.findings[us.findings["pile_id"].eq(pile) & us.findings["kind"].eq(kind)]
    assert found["result"].tolist() == ["not met"]


@pytest.mark.parametrize(
    ("then", "now"),
    [
        (US_SETTINGS, SI_SETTINGS.replace('system = "SI"', 'system = "US"')),
        (SI_SETTINGS, US_SETTINGS.replace('system = "US"', 'system = "SI"')),
    ],
)
def test_a_sign_off_under_one_way_of_writing_stays_in_force_under_the_other(tmp_path, then, now):
    project = us_project(tmp_path)
    settings = project / "project.toml"
    settings.write_text(then, encoding="utf-8")
    services.accept(project, ["101"], by="Ada Invented", note="checked")
    settings.write_text(now, encoding="utf-8")
    assert state(services.assess(project)) == "accepted"
    services.record_settings(project, "Ada Invented")
    after = services.assess(project)
    assert state(after) == "accepted"
    assert not after.findings["kind"].eq("sign-off changed since").any()


def test_the_worksheet_shows_a_setting_in_the_unit_that_it_was_written_in(us, si):
    def origins(assessment):
        steps = services.worksheet(assessment, "101").steps
        return {put.source for step in steps for put in step.inputs if "project.toml" in put.source}

    assert {
        "project.toml: sections.round 89.outside_diameter = 3.5 in",
        "project.toml: sections.round 89.rated_torque = 8000 ft·lbf",
        "project.toml: types.T1.disc = 8 in",
        "project.toml: torque_factors, TG1: 7 1/ft",
        "project.toml: torque_uncertainty, TI-1: full_scale = 9000 ft·lbf",
    } - origins(us) == set()
    assert {
        "project.toml: sections.round 89.outside_diameter_mm",
        "project.toml: torque_uncertainty, TI-1",
    } - origins(si) == set()
