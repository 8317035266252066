"""Static bearing of every helix in the nearest borehole, and the six resistances side by side.

For information: no state rests on them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from core import units
from core.formulas import bearing, steel
from core.formulas import piles as lengths
from core.formulas.bearing import below_water, depth_in_borehole, effective_overburden, overburden
from core.records.current_rows import Array, CurrentRows
from core.records.matching import row_of
from core.subjects.bearing import selection
from core.subjects.columns import (
    Book,
    Column,
    assume,
    calculate,
    choose,
    minimum_of,
    take,
    withhold_by,
)
from core.subjects.steps import Step
from core.subjects.tables import (
    Links,
    Members,
    Table,
    Texts,
    column,
    measure,
    other,
    recorded,
    setting,
)

NC = 9.0  # of a deep circular plate in clay, shown in the step that takes it
WATER_KN_M3 = 9.81  # unit weight of fresh water, shown in the step that takes it
SIX = (
    "IBC 1810.3.3.1.9: the ultimate load of a helical pile is the minimum of six; of the six the "
    "first words are read, the list is from memory."
)
NO_WEIGHT = "a layer above has no unit weight"


@dataclass(frozen=True)
class Inputs:
    """What static bearing works from.

    ``piles``: one row per pile with its place, batter, type settings and ``own_clause``, what the
    project itself requires; ``resistances``: a table of the same rows with ``resistance_kn``, the
    one that torque implies; ``runs``: in the order of the work; ``helix_mm``: diameters from the
    toe up, by helix set.
    """

    piles: CurrentRows
    resistances: Table
    runs: CurrentRows
    boreholes: CurrentRows
    layers: CurrentRows
    helix_mm: Mapping[str, Sequence[float]]


class Run(Table):
    """One run of a pile."""

    subject, record = "bearing, for information", "run"
    toe_mm, ground_level_m = recorded(), recorded()


class Borehole(Table):
    """One borehole."""

    subject, record = "bearing, for information", "borehole"
    ground_level_m, water_level_m = recorded(), recorded()


class Layer(Table):
    """One layer of ground in one borehole."""

    subject, record = "bearing, for information", "borehole_layer"
    undrained_strength_kpa, friction_deg = recorded(), recorded()


class LayerAbove(Table):
    """The part of one layer that lies above one helix."""

    subject, record = "bearing, for information", "borehole_layer"
    unit_weight_kn_m3, thickness_m = recorded(), recorded()


class Helix(Table):
    """One helix of a pile, in the borehole nearest to that pile; the top one first."""

    subject, title = "bearing, for information", "at {name}"
    pile: Pile
    home: Array  # row of its pile
    layer: Layer
    at_layer: Array  # row of the layer that holds it, -1 for none
    above: Members[LayerAbove]

    helix_mm = setting("helix_sets.{helix_set}.helix_mm")
    top_helix_above_toe_mm = setting("helix_sets.{helix_set}.top_helix_above_toe_mm")

    def of_pile(self, found: Column) -> Column:
        """A column of piles, for the pile of each helix."""
        return take(self, found, self.home)

    def of_layer(self, found: Column) -> Column:
        """A column of layers, for the layer that holds each helix."""
        return take(self, found, self.at_layer)

    def is_clay(self) -> Array:
        """Whether the layer is taken by its undrained strength."""
        return self.strength_kpa.known

    @property
    def strength_kpa(self) -> Column:
        """Undrained strength of the layer that holds each helix."""
        return self.of_layer(self.layer.undrained_strength_kpa)

    @measure("depth along the axis")
    def along_mm(self) -> Column:
        """The toe less the height above it; helices below the top one are spaced by their set."""
        spaced = "above the toe: three diameters of the lower helix apart, down to the toe"
        height = choose(
            self,
            (self.numbers("number") == 1, self.top_helix_above_toe_mm),
            otherwise=assume(self, self.numbers("height_mm"), spaced, "mm"),
        )
        return calculate(
            lengths.helix_depth, self,
            toe_mm=self.of_pile(self.pile.toe_mm), helix_above_toe_mm=height,
        )  # fmt: skip

    @measure("depth below the ground of the borehole")
    def depth_m(self) -> Column:
        """The ground at the pile counts as high as that of the borehole where it is not known."""
        upright = calculate(
            lengths.vertical_length, self, "Vertical depth at {name}",
            length_mm=self.along_mm, batter_deg=self.of_pile(self.pile.design_batter_deg),
        ).in_unit("m")  # fmt: skip
        level = self.of_pile(self.pile.level_m)
        lower = calculate(
            depth_in_borehole, self, depth_m=upright, ground_level_m=level,
            borehole_level_m=self.of_pile(self.pile.borehole_level_m),
        )  # fmt: skip
        return choose(self, (level.known, lower), otherwise=upright)

    @measure("overburden")
    def overburden_kpa(self) -> Column:
        """Total vertical stress."""
        below = self.above.below
        return self.above.sum_of_products(
            overburden,
            unit_weight_kn_m3=below.unit_weight_kn_m3,
            thickness_m=below.thickness_m,
        )

    @measure("effective overburden")
    def effective_kpa(self) -> Column:
        """Less the water, where the borehole met some."""
        water = self.of_pile(self.pile.water_level_m)
        wet = calculate(
            below_water, self, "Depth below the water at {name}", depth_m=self.depth_m,
            ground_level_m=self.of_pile(self.pile.borehole_level_m), water_level_m=water,
        )  # fmt: skip
        dry = assume(self, 0.0, "no water was met", "m")
        return calculate(
            effective_overburden, self,
            total_kpa=self.overburden_kpa,
            water_kn_m3=assume(self, WATER_KN_M3, "fresh water", "kN/m**3"),
            below_water_m=choose(self, (~water.known, dry), otherwise=wet),
        )  # fmt: skip

    @measure(
        "ultimate pressure",
        note=lambda helix, row: helix.filled(
            f"{{soil}}, {helix.depth_m.values[row]:.2f} m below the ground of the borehole", row
        ),
    )
    def pressure_mpa(self) -> Column:
        """By undrained strength in clay, by stress and friction in sand."""
        clay, none = self.is_clay(), assume(self, 0.0, "undrained: Nq does not count")
        factor = calculate(
            bearing.bearing_factor, self, "Bearing factor at {name}",
            friction_deg=self.of_layer(self.layer.friction_deg),
        )  # fmt: skip
        unstressed = assume(self, 0.0, "undrained: the overburden does not count", "kPa")
        frictional = assume(self, 0.0, "taken by its friction", "kPa")
        return calculate(
            bearing.bearing_pressure, self,
            cohesion_mpa=choose(self, (clay, self.strength_kpa), otherwise=frictional),
            overburden_mpa=choose(self, (clay, unstressed), otherwise=self.effective_kpa),
            cohesion_factor=assume(self, NC, "deep circular plate in clay, from memory"),
            overburden_factor=choose(self, (clay, none), otherwise=factor),
        )  # fmt: skip

    @measure("net area")
    def net_area_mm2(self) -> Column:
        """Without the shaft."""
        shaft = self.of_pile(self.pile.shaft_area_mm2)
        return calculate(bearing.helix_area_net, self, shaft_area_mm2=shaft)


def _of_ground(pile: Pile) -> list[Links]:
    """The runs of the pile, the nearest borehole, and the layers above and around the helices."""
    helices, at = pile.helices.below, pile.at_borehole
    holding, held = np.flatnonzero(helices.at_layer >= 0), np.flatnonzero(at >= 0)
    above = helices.above
    return [
        *pile.runs.links(),
        *pile.boreholes.links(held, at[held]),
        *helices.layer.links(helices.home[holding], helices.at_layer[holding]),
        *above.below.links(helices.home[above.owner], above.rows),
    ]


class Pile(Table):
    """One pile with its helices in the nearest borehole."""

    subject, record = "bearing, for information", "schedule"
    boreholes: Borehole
    at_borehole: Array  # row of the nearest one, -1 for none
    away_mm: Array
    runs: Members[Run]
    last_run: Members[Run]
    helices: Members[Helix]

    batter_deg, ground_level_m = recorded(), recorded()
    outside_diameter_mm = setting("sections.{section}.outside_diameter_mm")

    @property
    def toe_mm(self) -> Column:
        """The toe of the last run that records one."""
        return self.runs.pick(self.runs.below.toe_mm, "last")

    @property
    def level_m(self) -> Column:
        """Level of the ground at the pile: of its last run, else the schedule's."""
        found = self.last_run.pick(self.last_run.below.ground_level_m, "last")
        return choose(self, (found.known, found), otherwise=self.ground_level_m)

    @property
    def borehole_level_m(self) -> Column:
        """Level of the ground at the borehole."""
        return take(self, self.boreholes.ground_level_m, self.at_borehole)

    @property
    def water_level_m(self) -> Column:
        """Level of the water in the borehole, unknown where none was met."""
        return take(self, self.boreholes.water_level_m, self.at_borehole)

    @property
    def design_batter_deg(self) -> Column:
        """Upright where the schedule gives no batter, but for an anchor."""
        upright = assume(self, 0.0, "upright: the schedule gives no batter", "degree")
        bare = ~self.batter_deg.known & ~self.is_text("element", "helical anchor")
        return choose(self, (bare, upright), otherwise=self.batter_deg)

    @measure("outside cross-section of the shaft")
    def shaft_area_mm2(self) -> Column:
        """Of a square bar or a round tube."""
        return choose(
            self,
            (self.is_text("shape", "square"),
             calculate(steel.square_area, self, side_mm=self.outside_diameter_mm)),
            otherwise=calculate(steel.tube_area, self),
        )  # fmt: skip

    def borehole(self, row: int) -> str:
        """The nearest borehole in words."""
        codes, texts = self.boreholes.rows.codes("borehole_id"), self.boreholes.rows.texts
        number = texts("borehole_id")[codes[self.at_borehole[row]]]
        return (
            f"borehole {number}, {self.away_mm[row] * units.factor('mm', 'm'):.1f} m away in plan"
        )

    @column("text", "why the helices of a pile have no bearing in the borehole beside it")
    def why_not(self) -> Texts:
        """In words, with the borehole."""
        asked = np.flatnonzero((self.at_borehole >= 0) & (self.runs.number > 0))
        reasons = {int(row): self._why_not(int(row)) for row in asked}
        words = {row: f"{self.borehole(row)}: {why}" for row, why in reasons.items() if why}
        codes = np.full(len(self), -1)
        codes[list(words)] = np.arange(len(words))
        return Texts(codes, list(words.values()))

    def _why_not(self, row: int) -> str:
        if np.isnan(self.toe_mm.values[row]):
            return "the toe depth is not recorded"
        helices = self.helices.below
        own = self.helices.of(row)
        at, layers = helices.at_layer[own], helices.layer
        if not len(own):
            return "the helices are not known"
        if (at < 0).any():
            depth = helices.depth_m.values[own[at < 0][0]]
            return "" if np.isnan(depth) else f"the borehole gives no layer at {depth:.2f} m"
        bare = ~layers.undrained_strength_kpa.known[at] & ~layers.friction_deg.known[at]
        if bare.any():
            soil = layers.rows.texts("soil")[layers.rows.codes("soil")[at[bare][0]]]
            return f"the layer {soil} has neither strength nor friction"
        unweighted = ~helices.is_clay()[own] & ~helices.overburden_kpa.known[own]
        return NO_WEIGHT if unweighted.any() else ""

    @measure(
        "resistance by individual bearing",
        evidence=_of_ground,
        note=lambda pile, row: "" if pile.why_not.codes[row] >= 0 else pile.borehole(row),
    )
    def individual_bearing_kn(self) -> Column:
        """Every helix bears for itself."""
        below = self.helices.below
        whole = self.helices.sum_of_products(
            bearing.individual_bearing,
            area_mm2=below.net_area_mm2,
            pressure_mpa=below.pressure_mpa,
        )
        return withhold_by(whole.where(self.helices.number > 0), self.why_not)

    @property
    def cylinder(self) -> Array:
        """Whether several helices lie in clay, all of them, and may move as a cylinder."""
        found: Array = (
            (self.helices.number > 1)
            & self.helices.every(self.helices.below.is_clay())
            & self.individual_bearing_kn.known
        )
        return found

    @measure("bearing of the lowest helix", evidence=_of_ground)
    def lowest_helix_n(self) -> Column:
        """The end of the cylinder."""
        below = self.helices.below
        return self.helices.where(_last(self.helices)).sum_of_products(
            bearing.individual_bearing,
            area_mm2=below.net_area_mm2,
            pressure_mpa=below.pressure_mpa,
        )

    @measure("resistance by cylindrical shear", evidence=_of_ground)
    def cylindrical_shear_n(self) -> Column:
        """Closely spaced helices that move with the clay between them."""
        helices, below = self.helices, self.helices.below
        total = helices.reduce(np.add, below.helix_mm.values, np.nan)
        with np.errstate(invalid="ignore", divide="ignore"):
            mean = assume(self, total / helices.number, "mean of the helices, settings", "mm")
        along = below.along_mm.values
        span = helices.reduce(np.fmax, along, np.nan) - helices.reduce(np.fmin, along, np.nan)
        found = calculate(
            bearing.cylindrical_shear, self,
            diameter_mm=mean,
            length_mm=assume(self, span, "between the helices above", "mm"),
            shear_mpa=helices.pick(below.strength_kpa, "minimum"),
            end_n=self.lowest_helix_n,
        )  # fmt: skip
        return found.where(self.cylinder)

    @measure("the smaller of the two", evidence=_of_ground)
    def lesser_bearing_kn(self) -> Column:
        """Of individual bearing and cylindrical shear."""
        found = calculate(
            bearing.governing_bearing, self,
            individual_n=self.individual_bearing_kn, cylinder_n=self.cylindrical_shear_n,
        )  # fmt: skip
        return found.where(self.cylinder)

    def steps(self, book: Book, row: int = 0) -> list[Step]:
        """Depth and bearing of every helix, alone and as a cylinder, and the lesser."""
        for helix in self.helices.of(row):
            book.value(self.helices.below.depth_m, int(helix))
        for one in (self.individual_bearing_kn, self.cylindrical_shear_n, self.lesser_bearing_kn):
            book.value(one, row)
        return book.steps


class Resistance(Table):
    """The six resistances that limit one helical pile, side by side."""

    subject, record = "resistance, for information", "schedule"
    individual_bearing_kn, resistance_kn = other("bearing"), other("resistances")
    shaft_kn = setting("sections.{section}.ultimate_kn")
    coupling_kn = setting("sections.{section}.coupling_ultimate_kn")
    helix_plates_kn = setting("helix_sets.{helix_set}.ultimate_kn")
    has_run: Array

    def six(self) -> dict[str, Column]:
        """The six by their words; a load test gives none yet."""
        return {
            "bearing of the helices": self.individual_bearing_kn,
            "correlation with torque": self.resistance_kn,
            "load test": assume(self, np.nan, "no load test", "kN"),
            "shaft": self.shaft_kn,
            "coupling": self.coupling_kn,
            "helix plates": self.helix_plates_kn,
        }

    def governs(self, row: int) -> str:
        """Which of the six governs, what is not known, and what the project itself requires."""
        values = {word: one.values[row] for word, one in self.six().items()}
        known = {word: value for word, value in values.items() if not np.isnan(value)}
        found = [f"governed by: {min(known, key=known.__getitem__)}"]
        unknown = [word for word in values if word not in known]
        found += ["not known: " + ", ".join(unknown)] if unknown else []
        return "; ".join(filter(None, [*found, self.filled("{own_clause}", row)]))

    @measure("minimum of the six resistances", note=lambda table, row: table.governs(row))
    def min_kn(self) -> Column:
        """Of those that are known, once the pile has a run."""
        equation = "Pu = minimum of P₁ … Pₙ"
        found = minimum_of(self, self.six(), SIX, equation, "P")
        return found.where(self.has_run & found.known)

    def steps(self, book: Book, row: int = 0) -> list[Step]:
        """The minimum with all that are known."""
        book.value(self.min_kn, row)
        return book.steps


def tables(inputs: Inputs, traced: bool = False) -> tuple[Pile, Resistance]:
    """The tables of piles: static bearing with its helices, and the six resistances."""
    rows, held = inputs.piles, selection.with_layers(inputs.boreholes, inputs.layers)
    pile = Pile(rows, traced=traced)
    pile.boreholes = Borehole(held, traced=traced)
    pile.at_borehole, pile.away_mm = selection.nearest(
        pile.numbers("easting_m"), pile.numbers("northing_m"), held
    )
    pile.runs = Members(
        Run(inputs.runs, traced=traced),
        pile,
        row_of(inputs.runs, rows, "pile_id"),
    )
    pile.last_run = pile.runs.where(_last(pile.runs))
    pile.helices = _helices(pile, inputs)
    resistance = Resistance(rows, traced=traced, bearing=pile, resistances=inputs.resistances)
    resistance.has_run = pile.runs.number > 0
    return pile, resistance


def _last(members: Members[Any]) -> Array:
    """Which rows below are the last of their row above."""
    found = np.zeros(len(members.below), dtype=bool)
    ends = np.append(members.starts[1:], len(members.rows)) - 1
    found[members.rows[ends[: len(members.starts)]]] = True
    return found


def _helices(pile: Pile, inputs: Inputs) -> Members[Helix]:
    """The helices of every pile that has a run, beside a borehole, in its layers."""
    codes, sets = pile.rows.codes("helix_set"), pile.rows.texts("helix_set")
    top = pile.numbers("top_helix_above_toe_mm")
    beside = (pile.at_borehole >= 0) & ~np.isnan(pile.toe_mm.values) & (codes >= 0)
    placed = [
        (row, number, *one)
        for row in np.flatnonzero(beside).tolist()
        for number, one in enumerate(
            selection.heights(inputs.helix_mm.get(sets[codes[row]], ()), top[row]), start=1
        )
    ]
    home, number, diameter, height = np.array(placed, dtype=float).reshape(-1, 4).T
    home = home.astype(np.int64)
    names = [f"helix {one[1]} from the top, {one[2]:.0f} mm" for one in placed]
    rows = pile.rows.take(home).with_text("name", np.arange(len(names)), names)
    rows = rows.with_number("number", number).with_number("height_mm", height)
    helix = Helix(rows.with_number("helix_mm", diameter), traced=pile.traced)
    helix.pile, helix.home = pile, home
    of = row_of(inputs.layers, pile.boreholes.rows, "borehole_id")
    found = selection.in_ground(pile.at_borehole[home], helix.depth_m.values, inputs.layers, of)
    helix.layer, helix.at_layer = Layer(inputs.layers, traced=pile.traced), found.layer
    soil = inputs.layers.take(found.layer).only(["soil"])
    helix.rows = helix.rows.beside(soil, ["soil"])
    above = inputs.layers.take(found.above).with_number("thickness_m", found.thickness_m)
    helix.above = Members(LayerAbove(above, traced=pile.traced), helix, found.point)
    return Members(helix, pile, home)
