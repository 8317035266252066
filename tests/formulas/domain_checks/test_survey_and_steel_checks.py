"""Checks of tolerances, sections, corrosion, zinc and certificates."""

import numpy as np
import pandas as pd
import pytest

from core import units
from core.criteria.outcomes import at_most
from core.formulas import geometry, sections
from core.settings.published import published
from core.subjects.survey.rules import HeadLevel, PlanOffset
from tests.assessment.test_survey_rules import decided
from tests.subjects.steel.rows import CERTIFICATES, steel

INCH = units.factor("inch", "mm")


def test_c46_plan_offset():
    # Limits, read: SPERW Table B1.4, 75 mm; IBC 1810.3.1.3, 3 in. √(45² + 62²) = 76.61 mm.
    offset = geometry.plan_offset(45, -62)
    assert offset == pytest.approx(76.61, abs=0.01)
    assert (
        decided(PlanOffset.plan_offset, plan_offset_mm=offset, max_mm=75.0)["result"] == "not met"
    )
    assert (
        decided(PlanOffset.plan_offset, plan_offset_mm=offset, max_mm=76.2)["result"] == "not met"
    )


def test_c47_exactly_on_the_limit_of_plumb_is_within():
    # Source: SPERW Table B1.4, read: 1 in 75. 60 mm in 4.5 m is exactly that.
    slope, limit = pd.Series([60 / 4500]), pd.Series([1 / 75])
    assert slope.item() == pytest.approx(0.013333, abs=1e-6)
    assert at_most(slope, limit).all()


@pytest.mark.parametrize(
    ("difference", "result"), [(24, "met"), (26, "not met"), (-50, "met"), (-51, "not met")]
)
def test_c48_head_level(difference, result):
    # FHWA guide specification, from memory: 25 mm above and 50 mm below.
    assert (
        decided(HeadLevel.head_level, head_level_difference_mm=float(difference))["result"]
        == result
    )


@pytest.mark.parametrize(
    ("outside", "wall", "area", "moment"),
    [(2.875, 0.257, 2.114, 1.828), (2.839, 0.221, 1.818, 1.568)],
    ids=["c49 new", "c50 corroded"],
)
def test_c49_c50_sections_of_a_tube(outside, wall, area, moment):
    # Trade table, prints 2.11 in² and 1.83 in⁴ when new, 1.82 and 1.57 corroded.
    found = sections.tube_section(outside * INCH, wall * INCH) / INCH**2
    assert found == pytest.approx(area, abs=0.005)
    found = sections.tube_second_moment(outside * INCH, wall * INCH) / INCH**4
    assert found == pytest.approx(moment, abs=0.005)


@pytest.mark.parametrize(("coating", "loss"), [("bare", 914.61), ("zinc-coated", 317.89)])
def test_c51_corrosion_over_fifty_years(coating, loss):
    # Source: AC358, 3.9, from memory; results in print agree (0.036 and 0.0125 in).
    row = published("corrosion_by_coating").set_index("coating").loc[coating]
    found = sections.scheduled_loss(50, row["first_year_um"], row["exponent"])
    assert found == pytest.approx(loss, abs=0.1)


def test_c52_corrosion_between_the_rows_of_a_table():
    # Trade practice after EN 1993-5 Table 4-1: 0.60 mm at 50 and 0.90 mm at 75 years.
    table = published("corrosion_by_ground").query("ground == 'undisturbed natural soil'")
    points = table["years"].to_numpy(), table["loss_mm"].to_numpy()
    assert sections.loss_from_table(60, *points) == pytest.approx(0.72, abs=0.001)
    assert np.isnan(sections.loss_from_table(101, *points))


@pytest.mark.parametrize(
    ("category", "thickness_mm", "zinc_um"),
    [
        ("pipe and tubing", 7, 75),
        ("plate", 19, 100),
        ("structural shapes", 10, 100),
        ("plate", 4, 75),
    ],
)
def test_c54_zinc_of_shapes(category, thickness_mm, zinc_um):
    # Source: galvanizers' association, page on the 2024 revision of ASTM A123, Table 1.
    table = published("zinc_of_shapes").fillna({"below_mm": np.inf})
    row = table.query("category == @category and from_mm <= @thickness_mm < below_mm")
    assert row["average_um"].item() == zinc_um


def test_c55_zinc_of_fasteners():
    # Source: copy of ASTM A153/A153M-16, Table 1, class C: 53 and 43 µm.
    row = published("zinc_of_hardware").set_index("class").loc["C"]
    assert (row["average_um"], row["individual_um"]) == (53, 43)


@pytest.mark.parametrize(("supplied", "low"), [("2.2", True), ("3.2", False)])
def test_c57_type_of_certificate(supplied, low):
    # EN 10204: 3.2 holds what 3.1 holds and more; 2.2 is no specific inspection.
    papers = {"certificate": "MC-5", "certificate_type": supplied}, CERTIFICATES[1]
    pieces = steel(certificate=papers).pieces
    assert pieces.faults["low_type"][1] == low
    assert (pieces.stop[1] >= 0) == low
