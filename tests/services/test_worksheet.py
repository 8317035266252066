"""The worksheet: every step equals its measure, and three piles of the sample done by hand."""

import json

import pandas as pd
import pytest

from core import records, services
from core.errors import WrongUse
from core.subjects.steps import number_text

# Offsets are kept to a thousandth of a millimetre, one after the other.
ROUNDED = {"offset_east_mm", "offset_north_mm", "plan_offset_mm", "head_level_difference_mm"}
PILES = ["B04-2", "P-116", "W-06", "B53-1", "B14-1", "P-105", "B06-1", "P-149", "P-112A", "W-18"]


@pytest.fixture(scope="module")
def assessment(sample_assessment):
    return sample_assessment


def by_title(assessment, pile):
    """The steps of a pile by their title."""
    return {step.title: step for step in services.worksheet(assessment, pile).steps}


def value(assessment, pile, title):
    return by_title(assessment, pile)[title].value


@pytest.mark.parametrize("pile", PILES)
def test_every_step_is_the_measure_that_it_says(assessment, pile):
    row = assessment.piles.set_index("pile_id").loc[pile]
    steps = [step for step in services.worksheet(assessment, pile).steps if step.measure]
    assert steps
    for step in steps:
        near = 2e-3 if step.measure in ROUNDED else 1e-9 * abs(row[step.measure])
        assert step.value == pytest.approx(row[step.measure], abs=near, nan_ok=True), step.title


@pytest.mark.parametrize("pile", [*PILES, "P-117", "P-122", "P-123", "B17-2"])
def test_every_number_of_a_pile_has_its_step(assessment, pile):
    row = assessment.piles.set_index("pile_id").loc[pile]
    known = {measure.name for measure in records.MEASURES if pd.notna(row[measure.name])}
    steps = [step.measure for step in services.worksheet(assessment, pile).steps]
    assert known <= set(steps)
    assert len(known & set(steps)) == len([name for name in steps if name in known])


@pytest.mark.parametrize("pile", ["B04-2", "P-116", "W-06"])
def test_every_recorded_number_leads_to_a_file_and_a_row(assessment, pile):
    sheet = services.worksheet(assessment, pile)
    for step in sheet.steps:
        for put in step.inputs:
            assert put.origin is not None or put.source, (step.title, put.symbol)
            assert ", row " in sheet.place(put) or put.source


def test_a_pile_short_of_torque_by_hand(assessment):
    # 81, 78 and 81 bar on points 75 bar 7.76 and 90 bar 9.35 kN·m:
    # 7.76 + 6/15 · 1.59 = 8.396; 7.76 + 3/15 · 1.59 = 8.078; mean of 8.396, 8.078, 8.396 is 8.290.
    readings = [
        step.value
        for title, step in by_title(assessment, "B04-2").items()
        if title.startswith("Torque at ")
    ]
    assert readings == pytest.approx([8396, 8078, 8396])
    assert value(assessment, "B04-2", "Final torque") == pytest.approx(8290)
    assert value(assessment, "B04-2", "Required torque") == 8700
    # 2 · 100 kN / 23 = 8.696 kN·m; 23 · 8.290 = 190.67 kN.
    asked = "Torque that the load in compression needs"
    assert value(assessment, "B04-2", asked) == pytest.approx(8695.65, abs=0.01)
    assert value(assessment, "B04-2", "Torque-derived resistance") == pytest.approx(190.67)


def test_a_grouted_pile_by_hand(assessment):
    # Disc 150 mm, square 44.5 mm: 17,671.46 - 1,980.25 = 15,691.21 mm², 15.6912 L/m. The first
    # disc enters at 1.194 m; lifts end at 2.134, 4.267 and 5.791 m: 0.940, 2.133 and 1.524 m.
    steps = by_title(assessment, "P-116")
    lifts = [f"lift {number} of run 1" for number in (1, 2, 3)]
    voids = [steps[f"Void of {lift}"].value for lift in lifts]
    assert voids == pytest.approx([14.750, 33.469, 23.913], abs=5e-4)
    assert [steps[f"Net grout of {lift}"].value for lift in lifts] == [15.5, 35.0, 25.5]
    takes = [steps[f"Take ratio of {lift}"].value for lift in lifts]
    assert takes == pytest.approx([1.051, 1.046, 1.066], abs=5e-4)
    ends = [f"Cumulative take ratio at the end of {lift}" for lift in lifts]
    assert [steps[end].value for end in ends] == pytest.approx([1.051, 1.047, 1.054], abs=5e-4)
    # String: 3 · 2,134 - 305 - 305 = 5,792 mm against a toe of 5,791 mm.
    assert steps["Length of the string in the ground"].value == 5792
    assert steps["String length less toe depth"].value == 1


def test_a_battered_anchor_by_hand(assessment):
    # Surveyed 0.12 m above cut-off on an axis of 45.14° towards 10.89°: 0.12 · tan 45.14° = 120.59
    # mm along it, 22.78 east and 118.42 north; east -2 + 22.78 = 20.78, together 120.23 mm.
    # Cover: (10,500 - 1,000) · cos 45° = 6,718 mm.
    steps = by_title(assessment, "W-06")
    assert steps["Plan offset, east"].value == pytest.approx(20.78, abs=0.005)
    assert steps["Plan offset, north"].value == pytest.approx(118.42, abs=0.005)
    assert steps["Plan offset at cut-off level"].value == pytest.approx(120.23, abs=0.005)
    angle = steps["Angle between as-built and design axis"].value
    assert angle == pytest.approx(0.645, abs=5e-4)
    assert steps["Embedment"].value == pytest.approx(6717.5, abs=0.1)


def test_the_uncertainty_of_a_final_torque_by_hand(assessment):
    # Gauge 1 % of 250 bar: 250/√3 = 144.34 kPa; read to 1 bar: 100/√12 = 28.87 kPa; between 75 bar
    # 7.76 and 90 bar 9.35 kN·m the curve gives 1.06 N·m/kPa; 2·√(1.06²·(144.34² + 28.87²) + 45²)
    # = 324.8 N·m for each of the three readings, and for their mean.
    steps = by_title(assessment, "B04-2")
    assert steps["Standard uncertainty of the gauge of GS-11"].value == pytest.approx(
        144.34, abs=0.005
    )
    assert steps["Standard uncertainty of the step of reading of GS-11"].value == pytest.approx(
        28.87, abs=0.005
    )
    whole = steps["Expanded uncertainty of the final torque"]
    assert whole.value == pytest.approx(324.8, abs=0.05)
    found = assessment.findings
    own = found[found["pile_id"].eq("B04-2") & found["kind"].eq("required torque")]
    assert own["uncertainty"].item() == pytest.approx(whole.value, rel=1e-12)


def test_the_least_of_six_names_what_governs_what_is_unknown_and_the_projects_clause(assessment):
    # Bearing 145.52 kN by hand in test_boreholes, 190.67 kN by torque, 520, 430 and 560 kN by the
    # settings; a service load of 100 kN times 2 asks for 200 kN.
    step = by_title(assessment, "B04-2")["Minimum of the six resistances"]
    assert step.value == pytest.approx(145.52, abs=0.005)
    assert [put.value for put in step.inputs][2:] == [520, 430, 560]
    assert step.note.startswith("governed by: bearing of the helices; not known: load test; ")
    assert "required torque by invented specification §7.1" in step.note
    assert "safety factor 2 by IBC 1810.3.3.1.9 (Pa = 0.5 Pu) asks for 200.0 kN" in step.note


@pytest.mark.parametrize("pile", PILES)
def test_the_uncertainty_of_the_sheet_is_that_of_the_finding(assessment, pile):
    row = assessment.piles.set_index("pile_id").loc[pile]
    step = by_title(assessment, pile).get("Expanded uncertainty of the final torque")
    expanded = float("nan") if step is None else step.value
    assert expanded == pytest.approx(row["final_uncertainty_nm"], nan_ok=True)


def test_a_number_without_value_says_why(assessment):
    steps = by_title(assessment, "B06-1")
    assert pd.isna(steps["Final torque"].value)
    assert steps["Final torque"].note


def test_the_object_is_json_with_units_and_places(assessment):
    told = json.loads(
        json.dumps(services.worksheet_object(services.worksheet(assessment, "B04-2")))
    )
    final = next(step for step in told["steps"] if step["measure"] == "final_torque_nm")
    assert final["result"] == {"value": pytest.approx(8290), "unit": "N·m"}
    reading = next(step for step in told["steps"] if step["title"].startswith("Torque at 6.30 m"))
    assert reading["inputs"][0] == {
        "symbol": "p", "description": "differential pressure across the motor", "value": 8100.0,
        "unit": "kPa", "file": "log_rig1_2026-09-15.csv", "sheet": None, "row": 70, "from": None,
    }  # fmt: skip


def test_an_unknown_pile_is_refused(assessment):
    with pytest.raises(WrongUse, match="holds no pile X-1"):
        services.worksheet(assessment, "X-1")


@pytest.mark.parametrize(
    ("number", "unit", "text"),
    [(8396.0, "N·m", "8,396"), (0.00366123, "", "0.00366123"), (1175.02078, "m", "1,175.0208"),
     (float("nan"), "mm", "no value"), (0.0, "mm", "0"), (-19.995812, "mm", "-19.9958")],
)  # fmt: skip
def test_numbers_keep_six_digits(number, unit, text):
    assert number_text(number, unit) == text
