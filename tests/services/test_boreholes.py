"""Boreholes: taken in, read back equal, refused out of order, and used on the worksheet alone."""

import pandas as pd
import pytest

from core import services
from core.assessment.snapshot import current_rows
from core.ledger import Ledger
from tests.services.small import log, small_project, take_in

HEAD = (
    "Borehole,Easting (m),Northing (m),Ground level (m),Water level (m),From (m),To (m),Soil,"
    "Unit weight (kN/m3),su (kPa),phi (deg)\n"
)
SAND = ["BH-1,103,204,5.0,3.0,0,1.0,crust,18,70,", "BH-1,103,204,5.0,3.0,1.0,9.0,sand,20,,35"]
CLAY = ["BH-1,103,204,5.0,3.0,0,9.0,clay,18,60,"]


def with_borehole(parent, rows):
    folder = small_project(parent, log())
    report = take_in(folder, ("boreholes.csv", HEAD + "\n".join(rows) + "\n"))
    assert not report.refused, report.problems
    return folder


def bearing(folder, pile="101"):
    steps = services.worksheet(services.assess(folder), pile).steps
    return {step.title: step for step in steps if step.subject.startswith("bearing")}


def test_layers_are_read_back_equal(tmp_path):
    folder = with_borehole(tmp_path, SAND)
    with Ledger(folder).read() as reader:
        layers = current_rows(reader, "borehole_layer", reader.last_entry()).frame()
        holes = current_rows(reader, "borehole", reader.last_entry()).frame()
    kept = layers[["from_mm", "to_mm", "soil", "unit_weight_kn_m3", "friction_deg"]]
    assert kept.astype(object).where(kept.notna(), None).to_numpy().tolist() == [
        [0, 1000, "crust", 18.0, None],
        [1000, 9000, "sand", 20.0, 35.0],
    ]
    assert holes[["borehole_id", "water_level_m"]].to_numpy().tolist() == [["BH-1", 3.0]]


def test_a_borehole_in_feet_and_pounds_is_the_same(tmp_path):
    rows = "Boring,East (ft),North (ft),Ground level (ft),Top (ft),Bottom (ft),Description,cu (psf)"
    folder = small_project(tmp_path, log())
    report = take_in(folder, ("b.csv", f"{rows}\nB-1,330,655,17,0,8,clay,1250\n"))
    assert not report.refused, report.problems
    with Ledger(folder).read() as reader:
        (layer,) = current_rows(reader, "borehole_layer", reader.last_entry()).frame().itertuples()
    assert layer.to_mm == 2438
    assert layer.undrained_strength_kpa == pytest.approx(59.85, abs=0.01)  # 1,250 psf


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (["BH-1,103,204,5,3,2,1,clay,18,60,"], "A layer ends below its top"),
        (
            ["BH-1,103,204,5,3,0,2,clay,18,60,", "BH-1,103,204,5,3,1,3,sand,20,,35"],
            "begins above the end of the layer before it",
        ),
    ],
)
def test_layers_out_of_order_are_refused(tmp_path, rows, words):
    folder = small_project(tmp_path)
    report = take_in(folder, ("boreholes.csv", HEAD + "\n".join(rows) + "\n"))
    assert report.refused
    assert words in report.problems["problem"].item()


def test_bearing_in_sand_by_hand(tmp_path):
    # Toe 3.0 m, one helix of 350 mm at the toe; 1.0 m · 18 + 2.0 m · 20 = 58 kPa, less
    # 9.81 · (3.0 - 2.0) = 48.19 kPa; Nq of 35° is 33.296: 1.6045 MPa on 96,211 - 6,207 = 90,004
    # mm²: 144.4 kN.
    steps = bearing(with_borehole(tmp_path, SAND))
    name = "helix 1 from the top, 350 mm"
    assert steps[f"Overburden at {name}"].value == pytest.approx(58.0)
    assert steps[f"Effective overburden at {name}"].value == pytest.approx(48.19)
    assert steps[f"Ultimate pressure at {name}"].value == pytest.approx(1.6045, abs=5e-4)
    whole = steps["Resistance by individual bearing"]
    assert (whole.value, whole.unit) == (pytest.approx(144.4, abs=0.05), "kN")
    assert whole.note.startswith("borehole BH-1, 5.0 m away")  # 3 m east and 4 m north of 101


def test_bearing_in_clay_needs_no_stress(tmp_path):
    # 9 · 60 kPa on 90,004 mm²: 48.6 kN.
    steps = bearing(with_borehole(tmp_path, CLAY))
    assert steps["Resistance by individual bearing"].value == pytest.approx(48.6, abs=0.01)
    assert "Resistance by cylindrical shear" not in steps  # one helix makes no cylinder


def test_two_helices_in_clay_move_as_a_cylinder_when_they_are_close(tmp_path):
    # Helices of 350 mm at the toe and 300 mm above, 0.4 m apart: each for itself
    # 540 kPa · (90,004 + 64,479) mm² = 83.4 kN; cylinder π · 0.325 m · 0.4 m · 60 kPa = 24.5 kN and
    # 48.6 kN at the toe: 73.1 kN.
    folder = with_borehole(tmp_path, CLAY)
    settings = (folder / "project.toml").read_text(encoding="utf-8")
    two = settings.replace(
        "helix_mm = [350]", "helix_mm = [350, 300]\ntop_helix_above_toe_mm = 400"
    )
    (folder / "project.toml").write_text(two, encoding="utf-8")
    steps = bearing(folder)
    assert steps["Resistance by individual bearing"].value == pytest.approx(83.42, abs=0.01)
    assert steps["Resistance by cylindrical shear"].value == pytest.approx(73_100, abs=20)
    assert steps["The smaller of the two"].value == pytest.approx(73.1, abs=0.02)


def test_a_helix_below_the_borehole_has_no_bearing_and_says_why(tmp_path):
    shallow = [SAND[0], SAND[1].replace("9.0,sand", "2.0,sand")]
    whole = bearing(with_borehole(tmp_path, shallow))["Resistance by individual bearing"]
    assert pd.isna(whole.value)
    assert "gives no layer at 3.00 m" in whole.note


def test_no_state_rests_on_the_ground(tmp_path):
    bare = services.assess(small_project(tmp_path / "bare", log()))
    held = services.assess(with_borehole(tmp_path / "held", SAND))
    assert held.counts == bare.counts
    assert held.findings["kind"].tolist() == bare.findings["kind"].tolist()


def test_helices_in_two_layers_bear_each_for_itself(sample_assessment):
    # B04-2 stands in BH-1: its upper helix in silt, its lower one in sand, so each bears alone:
    # 0.225 MPa · 90,004 mm² + 1.9427 MPa · 64,479 mm² = 20.25 + 125.27 = 145.52 kN.
    steps = services.worksheet(sample_assessment, "B04-2").steps
    alone = next(step for step in steps if step.title == "Resistance by individual bearing")
    assert alone.value == pytest.approx(145.52, abs=0.01)
    assert alone.note.startswith("borehole BH-1, 21.6 m away")
