"""Helices in the layers of the nearest borehole: which one, how deep, what bears, and why not."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core import records
from core.formulas import bearing as formulas
from core.records.current_rows import CurrentRows
from core.subjects.bearing import selection
from core.subjects.bearing.measures import Inputs, tables
from core.subjects.columns import Book
from tests.subjects.given import Given

NAN = np.nan
PLACE = {"entry_no": 1, "sheet": None, "row_no": 1}
PILE = {
    "pile_id": "P1",
    "pile_type": "T1",
    "element": "helical pile",
    "section": "S1",
    "helix_set": "one",
    "shape": "square",
    "easting_m": 0.0,
    "northing_m": 0.0,
    "ground_level_m": NAN,
    "batter_deg": NAN,
    "outside_diameter_mm": 100.0,
    "top_helix_above_toe_mm": 0.0,
    "shaft_kn": NAN,
    "coupling_kn": NAN,
    "helix_plates_kn": NAN,
    "resistance_kn": NAN,
    "own_clause": "",
}
TEXTS = ("pile_id", "pile_type", "element", "section", "helix_set", "shape", "own_clause", "sheet")
HELICES = {"one": (400.0,), "two": (400.0, 300.0)}
CLAY = {"borehole_id": "B1", "from_mm": 0, "to_mm": 9000, "soil": "clay",
        "undrained_strength_kpa": 50.0}  # fmt: skip
SAND = {"borehole_id": "B1", "from_mm": 0, "to_mm": 9000, "soil": "sand", "friction_deg": 30.0,
        "unit_weight_kn_m3": 20.0}  # fmt: skip
HOLE = {"borehole_id": "B1", "easting_m": 3.0, "northing_m": 4.0, "ground_level_m": 5.0}
NET = np.pi / 4 * 400**2 - 100**2
SHALLOW = np.pi / 4 * 300**2 - 100**2


def of_kind(kind, *rows):
    """Rows of a record kind, each with a place in the ledger of its own."""
    if not rows:
        return CurrentRows.none(records.KIND[kind])
    placed = pd.DataFrame([{**PLACE, "entry_no": at, **row} for at, row in enumerate(rows, 1)])
    typed = records.typed(placed, records.KIND[kind].columns)
    return CurrentRows.of_frame(typed.assign(**placed[list(PLACE)].astype({"sheet": "str"})))


def inputs_of(*piles, layers=(CLAY,), holes=(HOLE,), runs=None, traced=False):
    """Piles with one run each down to 3 m unless ``runs`` are given."""
    frame = pd.DataFrame([{**PILE, **PLACE, **row} for row in piles or [{}]])
    own = [{"pile_id": name, "toe_mm": 3000} for name in frame["pile_id"]]
    given = [{"run_no": "1", "run_on": "2026-03-01", **row} for row in (runs or own)]
    rows = CurrentRows.of_frame(frame.astype(dict.fromkeys(TEXTS, "str")))
    return Inputs(
        piles=rows,
        resistances=Given(rows, traced=traced),
        runs=of_kind("run", *given),
        boreholes=of_kind("borehole", *holes),
        layers=of_kind("borehole_layer", *layers),
        helix_mm=HELICES,
    )


def table_of(*piles, traced=False, **given):
    """The tables of ``inputs_of``."""
    return tables(inputs_of(*piles, traced=traced, **given), traced)


def bearing_of(*piles, **given):
    """Individual bearing [kN] of each pile, and why there is none."""
    pile, _ = table_of(*piles, **given)
    return pile.individual_bearing_kn.values.tolist(), pile.why_not.array().tolist()


def test_the_nearest_borehole_with_layers_is_taken():
    near = {**HOLE, "borehole_id": "B0", "easting_m": 0.0}  # nearer, and nothing is known of it
    far = {**HOLE, "borehole_id": "B2", "easting_m": 30.0}
    layers = [CLAY, {**CLAY, "borehole_id": "B2", "undrained_strength_kpa": 10.0}]
    pile, _ = table_of({}, {"pile_id": "P2", "easting_m": 29.0}, layers=layers,
                       holes=[near, HOLE, far])  # fmt: skip
    assert [pile.borehole(row) for row in (0, 1)] == [
        "borehole B1, 5.0 m away in plan", "borehole B2, 4.1 m away in plan"
    ]  # fmt: skip
    assert pile.individual_bearing_kn.values == pytest.approx(
        [9 * 0.05 * NET / 1e3, 9 * 0.01 * NET / 1e3]
    )


def test_of_equally_near_boreholes_the_first_is_taken():
    other = {**HOLE, "borehole_id": "B2", "easting_m": -3.0}
    held = of_kind("borehole", HOLE, other)
    place, away = selection.nearest(np.array([0.0, NAN]), np.array([0.0, 0.0]), held)
    assert place.tolist() == [0, -1]
    assert away.tolist() == pytest.approx([5000, NAN], nan_ok=True)


def test_helices_below_the_top_one_are_three_diameters_of_the_lower_apart():
    assert selection.heights((400.0, 300.0), 2000.0) == [(300.0, 2000.0), (400.0, 800.0)]
    assert selection.heights((400.0, 300.0), 500.0) == [(300.0, 500.0), (400.0, 0.0)]
    assert selection.heights((), 500.0) == []


def test_a_depth_lies_in_the_layer_that_begins_above_it_and_ends_below():
    layers = of_kind(
        "borehole_layer",
        {**CLAY, "to_mm": 1000},
        {**SAND, "from_mm": 1000, "to_mm": 2000},
        {**CLAY, "from_mm": 3000, "to_mm": 4000},
        {**CLAY, "borehole_id": "B2", "from_mm": 500},
    )
    of = np.array([0, 0, 0, 1])
    depth = np.array([0.5, 1.0, 2.0, 2.5, 3.5, 4.0, NAN, 0.2])
    found = selection.in_ground(np.array([0] * 7 + [1]), depth, layers, of)
    assert found.layer.tolist() == [0, 1, -1, -1, 2, -1, -1, -1]
    above = found.above[found.point == 4].tolist()
    assert (above, found.thickness_m[found.point == 4].tolist()) == ([0, 1, 2], [1.0, 1.0, 0.5])
    assert found.above[found.point == 1].tolist() == [0]  # none of the layer that begins there


def test_stress_and_friction_in_sand_by_hand():
    # 3 m of 20 kN/m³ less 1 m of water: 60 - 9.81 = 50.19 kPa; Nq of 30° is 18.401.
    (whole,), _ = bearing_of(layers=[SAND], holes=[{**HOLE, "water_level_m": 3.0}])
    assert formulas.bearing_factor(30) == pytest.approx(18.401, abs=5e-4)
    assert whole == pytest.approx(50.19e-6 * 18.4011 * NET, rel=1e-5)
    (dry,), _ = bearing_of(layers=[SAND])
    assert dry == pytest.approx(60e-6 * 18.4011 * NET, rel=1e-5)


def test_depths_count_from_the_ground_of_the_borehole_and_along_a_batter_vertically():
    pile, _ = table_of(
        {"ground_level_m": 4.0},
        {"pile_id": "P2", "batter_deg": 60.0},
        {"pile_id": "P3", "ground_level_m": 4.0},
        runs=[
            {"pile_id": "P1", "toe_mm": 3000},
            {"pile_id": "P2", "toe_mm": 3000},
            {"pile_id": "P3", "toe_mm": 3000, "ground_level_m": 9.0},
            {"pile_id": "P3", "run_no": "2", "ground_level_m": 7.0},  # the last one's ground
        ],
    )
    assert pile.helices.below.depth_m.values == pytest.approx([4.0, 1.5, 1.0])


def test_several_piles_at_once_have_the_numbers_of_each_alone():
    piles = (
        {"pile_id": "P1", "helix_set": "two", "top_helix_above_toe_mm": 1000.0},
        {"pile_id": "P2", "easting_m": NAN},
        {"pile_id": "P3", "helix_set": "two", "top_helix_above_toe_mm": 1000.0, "shape": "round"},
        {"pile_id": None},
        {"pile_id": "P4"},
    )
    layers = [{**CLAY, "to_mm": 2500}, {**SAND, "from_mm": 2500}]
    layers[0]["unit_weight_kn_m3"] = 18.0
    together, _ = table_of(*piles, layers=layers)
    for name in ("individual_bearing_kn", "cylindrical_shear_n", "lesser_bearing_kn"):
        alone = [getattr(table_of(one, layers=layers)[0], name).values[0] for one in piles]
        assert getattr(together, name).values.tolist() == pytest.approx(alone, nan_ok=True)


def test_two_helices_in_clay_as_a_cylinder_by_hand():
    # Each for itself 450 kPa on both; cylinder π · 0.35 m · 1.0 m · 40 kPa, the weaker clay, and
    # the lowest helix.
    layers = [{**CLAY, "to_mm": 2500, "undrained_strength_kpa": 40.0}, {**CLAY, "from_mm": 2500}]
    two = {"helix_set": "two", "top_helix_above_toe_mm": 1000.0}
    pile, _ = table_of(two, {"pile_id": "P2"}, layers=layers)
    alone = (9 * 0.05 * NET + 9 * 0.04 * SHALLOW) / 1e3
    cylinder = np.pi * 350 * 1000 * 0.04 + 9 * 0.05 * NET
    assert pile.individual_bearing_kn.values[0] == pytest.approx(alone)
    assert pile.cylindrical_shear_n.values.tolist() == pytest.approx([cylinder, NAN], nan_ok=True)
    assert pile.lesser_bearing_kn.values[0] == pytest.approx(min(alone, cylinder / 1e3))


@pytest.mark.parametrize(
    ("given", "why"),
    [
        ({"runs": [{"pile_id": "P1", "toe_mm": None}]}, "the toe depth is not recorded"),
        ({"layers": [{**CLAY, "to_mm": 2000}]}, "the borehole gives no layer at 3.00 m"),
        ({"layers": [{**CLAY, "undrained_strength_kpa": None}]},
         "the layer clay has neither strength nor friction"),
        ({"layers": [{**SAND, "unit_weight_kn_m3": None}]}, "a layer above has no unit weight"),
    ],
)  # fmt: skip
def test_a_pile_without_bearing_says_why(given, why):
    assert bearing_of(**given) == (
        [pytest.approx(NAN, nan_ok=True)], [f"borehole B1, 5.0 m away in plan: {why}"]
    )  # fmt: skip
    pile, _ = table_of(**given, traced=True)
    step = pile.steps(Book(str))[-1]
    assert (step.title, step.note.endswith(why)) == ("Resistance by individual bearing", True)


def test_a_pile_without_run_borehole_or_place_has_no_steps():
    for other in ({"runs": [{"pile_id": "P9"}]}, {"layers": ()}, {"holes": ()}):
        pile, resistance = table_of({"shaft_kn": 500.0}, **other, traced=True)
        assert pile.steps(Book(str)) == []
        has_run = "runs" not in other
        assert len(resistance.steps(Book(str))) == has_run
    pile, _ = table_of({"easting_m": NAN}, traced=True)
    assert pile.steps(Book(str)) == []


def test_every_column_of_no_piles_is_empty():
    nobody = CurrentRows.of_frame(
        pd.DataFrame([{**PILE, **PLACE}]).astype(dict.fromkeys(TEXTS, "str"))
    ).where(np.zeros(1, dtype=bool))
    found = tables(
        Inputs(
            nobody,
            Given(nobody),
            of_kind("run"),
            of_kind("borehole"),
            of_kind("borehole_layer"),
            HELICES,
        )
    )
    for table in (*found, found[0].helices.below):
        assert all(len(values) == 0 for _, values in table.columns())


def test_the_steps_give_every_number_that_a_bearing_rests_on():
    pile, _ = table_of({"ground_level_m": 4.0}, layers=[SAND],
                       holes=[{**HOLE, "water_level_m": 3.0}], traced=True)  # fmt: skip
    steps = pile.steps(Book(str))
    assert [step.title for step in steps] == [
        f"{one} at helix 1 from the top, 400 mm" if one else other
        for one, other in (
            ("Depth along the axis", ""),
            ("Vertical depth", ""),
            ("Depth below the ground of the borehole", ""),
            ("", "Outside cross-section of the shaft"),
            ("Net area", ""),
            ("Overburden", ""),
            ("Depth below the water", ""),
            ("Effective overburden", ""),
            ("Bearing factor", ""),
            ("Ultimate pressure", ""),
            ("", "Resistance by individual bearing"),
        )
    ]
    assert {step.subject for step in steps} == {"bearing, for information"}
    stress = next(step for step in steps if step.title.startswith("Overburden"))
    assert [(one.symbol, one.value, one.origin.record) for one in stress.inputs] == [
        ("γ₁", 20.0, "borehole_layer"), ("t₁", 4.0, "borehole_layer")
    ]  # fmt: skip
    assert steps[-1].note == "borehole B1, 5.0 m away in plan; 1 kN = 1,000 N"


def test_bearing_rests_on_run_borehole_and_layers():
    layers = [{**SAND, "to_mm": 1000}, {**SAND, "from_mm": 1000}, {**SAND, "from_mm": 9000,
                                                                  "to_mm": 9500}]  # fmt: skip
    pile, _ = table_of({}, {"pile_id": "P2", "easting_m": NAN}, layers=layers)
    links = pile.evidence("individual_bearing_kn")
    behind = {
        (int(owner), one.record, int(entry))
        for one in links
        for owner, entry in zip(one.owner, one.entry_no, strict=True)
    }
    assert behind == {
        (0, "run", 1), (1, "run", 2), (0, "borehole", 1), (0, "borehole_layer", 1),
        (0, "borehole_layer", 2),
    }  # fmt: skip


def test_the_least_of_the_six_names_what_governs_and_what_is_not_known():
    given = {"shaft_kn": 520.0, "resistance_kn": 40.0, "own_clause": "the project's own"}
    _, resistance = table_of(given, {"pile_id": "P2"}, layers=(), traced=True)
    assert resistance.min_kn.values.tolist() == pytest.approx([40.0, NAN], nan_ok=True)
    (step,) = resistance.steps(Book(str))
    assert [(one.symbol, one.description, one.value) for one in step.inputs] == [
        ("P₁", "correlation with torque", 40.0), ("P₂", "shaft", 520.0)
    ]  # fmt: skip
    assert step.note == (
        "governed by: correlation with torque; not known: bearing of the helices, load test, "
        "coupling, helix plates; the project's own"
    )
    assert resistance.steps(Book(str), 1) == []


STRENGTHS = st.one_of(st.none(), st.floats(1, 200))


@settings(deadline=None)
@given(st.lists(st.tuples(STRENGTHS, STRENGTHS, STRENGTHS), min_size=1, max_size=4), st.data())
def test_a_gap_in_the_ground_never_gives_a_bearing_that_was_unknown(ground, data):
    layers = [
        {"borehole_id": "B1", "from_mm": 1000 * at, "to_mm": 1000 * (at + 1), "soil": f"layer {at}",
         "undrained_strength_kpa": clay, "friction_deg": sand and 20 + sand / 10,
         "unit_weight_kn_m3": weight and 10 + weight / 20}
        for at, (clay, sand, weight) in enumerate(ground)
    ]  # fmt: skip
    pile = {"helix_set": "two", "top_helix_above_toe_mm": 1000.0}
    (whole,), _ = bearing_of(pile, layers=layers)
    at = data.draw(st.integers(0, len(layers) - 1))
    name = data.draw(st.sampled_from(["friction_deg", "unit_weight_kn_m3"]))
    layers[at][name] = None
    (less,), (why,) = bearing_of(pile, layers=layers)
    assert np.isnan(less) or less == whole
    assert np.isnan(less) == bool(why)
