"""Lengths, loads, required torque and resistances of piles."""

from __future__ import annotations

from functools import cached_property
from itertools import product
from typing import Any

import numpy as np

from core import records
from core.formulas import geometry
from core.formulas import piles as lengths
from core.formulas.torque import difference_share, governing_torque, required_torque, resistance
from core.records.current_rows import Array, CurrentRows, common_codes
from core.records.matching import place_of_each
from core.subjects.columns import (
    Column,
    Converted,
    Values,
    assume,
    calculate,
    choose,
    first_known,
    maximum_of,
    minimum_of,
    take,
)
from core.subjects.tables import (
    Links,
    Members,
    Table,
    Texts,
    column,
    evidence,
    measure,
    other,
    phrase,
    recorded,
    setting,
)

DIRECTIONS = ("compression", "tension")


def matched_torque_factors(rows: CurrentRows, direction: str, factors: CurrentRows) -> Array:
    """Per row the place of the torque factor that fits its case and ``direction``, else -1.

    Fits: same section, direction and grout, and the same helix set and ground or ``any``;
    an exact word goes before ``any``. Two equally exact rows give none: the case is ambiguous.
    """
    pairs = (("section", "section"), ("helix_set", "helix_set"), ("ground_class", "ground"))
    (section, of_section), (helices, of_helices), (ground, of_ground) = (
        common_codes((rows, own), (factors, theirs))[0] for own, theirs in pairs
    )
    grouted, bare = rows.is_true("grouted"), rows.has("grouted") & ~rows.is_true("grouted")
    any_helices, any_ground = factors.is_text("helix_set", "any"), factors.is_text("ground", "any")
    found, best = np.full(len(rows), -1), np.full(len(rows), -1)
    for place in np.flatnonzero(factors.is_text("direction", direction)):
        same_helices = (helices == of_helices[place]) & (helices >= 0)
        same_ground = (ground == of_ground[place]) & (ground >= 0)
        fits = (section == of_section[place]) & (section >= 0)
        fits &= grouted if factors.is_true("grouted")[place] else bare
        fits &= (same_helices | any_helices[place]) & (same_ground | any_ground[place])
        exact = np.where(fits, same_helices.astype(int) + same_ground, -1)
        found = np.where(exact > best, place, np.where(fits & (exact == best), -1, found))
        best = np.maximum(best, exact)
    return found


def safety_factor_of(rows: CurrentRows, direction: str, factors: CurrentRows) -> Array:
    """Per row the safety factor on a load of ``direction`` and the row's nature, NaN for none."""
    found = np.full(len(rows), np.nan)
    for place in np.flatnonzero(factors.is_text("direction", direction)):
        nature = factors.texts("nature")[factors.codes("nature")[place]]
        found[rows.is_text("load_nature", nature)] = factors.values("value")[place]
    return found


GREATER = "beyond the cross-check share the greater governs: the "
REQUIRED_BY = {
    "printed, by its clause": "the printed value governs by {printed_governs}",
    "printed, the greater": f"{GREATER}printed",
    "computed, the greater": f"{GREATER}computed",
    "printed": "the schedule: what is printed governs",
    "computed": "the loads: nothing is printed",
}
NO_TOE, NO_REASON = "no toe depth", "no reason for stopping"


class Run(Table):
    """One spell of work on a pile, in the order of the work.

    ``read``: whether it has readings; ``required``: whether its pile's type requires a reason for
    stopping, as an unknown type does.
    """

    subject, record, title = "lengths", "run", "of run {run_no}"
    read: Values
    required: Values
    toe_mm = recorded()
    predrilled_length_mm = recorded()
    ground_level_m = recorded()

    @column("flag", "whether nothing that ends the run is missing")
    def closed(self) -> Values:
        """By its toe and reason for stopping, or by the toe alone where no reason is required.

        The toe is never taken from the last reading. A run without a reading is closed by its
        reason; it measures nothing.
        """
        found: Values = ~(self._lacks_toe | self._lacks_reason)
        return found

    @column("flag", "whether the run has readings and is not closed")
    def open_run(self) -> Values:
        """Work that goes on, or that was not recorded to its end."""
        found: Values = ~self.closed & self.read
        return found

    @column("text", "what the run lacks to be closed")
    def lacks(self) -> Texts:
        """In words, empty for a closed run."""
        no_toe = self._no_toe & ~self.closed
        no_reason = self._lacks_reason
        return Texts.of(
            len(self),
            (no_toe & no_reason, f"{NO_TOE} and {NO_REASON}"),
            (no_toe, NO_TOE),
            (no_reason, NO_REASON),
            (np.ones(len(self), dtype=bool), ""),
        )

    @property
    def _no_toe(self) -> Values:
        return ~self.has("toe_mm")

    @property
    def _lacks_toe(self) -> Values:
        found: Values = (self.read | ~self.required) & self._no_toe
        return found

    @property
    def _lacks_reason(self) -> Values:
        found: Values = ~self.has("stop_reason") & self.required
        return found


class Lengths(Table):
    """One pile or position: how deep it reaches and how much of that counts as embedment.

    ``last_run``: the row of its last run, -1 for none.
    """

    subject, record = "lengths", "schedule"
    runs: Members[Run]
    last_run: Values
    ground_level_m = recorded()
    finished_grade_level_m = recorded()
    scour_level_m = recorded()
    batter_deg = recorded()
    failure_surface_depth_mm = recorded()
    top_helix_above_toe_mm = setting("helix_sets.{helix_set}.top_helix_above_toe_mm")

    @measure(
        evidence=lambda pile: pile.runs.links(),
        source="the toe of the last run that records one",
    )
    def toe_mm(self) -> Column:
        """The depth of the toe."""
        return self.runs.pick(self.runs.below.toe_mm, "last")

    @measure(evidence=lambda pile: pile.runs.links(), source="the toe's depth, along it")
    def installed_mm(self) -> Column:
        """The length in the ground."""
        return self.toe_mm

    @measure(evidence=lambda pile: [*pile.runs.links(), *pile.own_links()])
    def embedment_mm(self) -> Column:
        """The embedment by the measure that the criterion names; unknown where it names none."""
        beyond = calculate(lengths.embedment_beyond_surface, self)
        cover = calculate(
            lengths.cover_over_helix,
            self,
            embedment_mm=self._along_axis,
            helix_above_toe_mm=self.top_helix_above_toe_mm,
            batter_deg=self._batter,
        )
        cases = {
            "along the axis": self._along_axis,
            "vertical cover over the top helix": cover,
            "beyond a failure surface": beyond,
        }
        return choose(
            self,
            *((self.is_text("embedment_measure", by) & one.known, one)
              for by, one in cases.items()),
        )  # fmt: skip

    @evidence("runs of the pile")
    def stop_reason(self) -> list[Links]:
        """Every run of the pile."""
        return self.runs.links()

    @evidence("runs of the pile that are not closed")
    def open_run(self) -> list[Links]:
        """Those with readings."""
        return self.runs.links(self.runs.below.open_run)

    @evidence("the schedule, and the runs that were made under it")
    def schedule(self) -> list[Links]:
        """The row in force and every run of the pile."""
        return [*self.own_links(), *self.runs.links()]

    @cached_property
    def _along_axis(self) -> Column:
        """The embedment of the toe along the axis."""
        lost = self._lost_height
        upright = assume(self, 0.0, "no height is lost", "deg")
        return calculate(
            lengths.embedment_along_axis,
            self,
            title="Embedment along the axis",
            lost_height_mm=lost,
            predrilled_length_mm=first_known(
                self.runs.pick(self.runs.below.predrilled_length_mm, "maximum"),
                assume(self, 0.0, "no pre-drilled length is recorded", "mm"),
            ),
            batter_deg=choose(self, (lost.values == 0, upright), otherwise=self._batter),
        )

    @cached_property
    def _batter(self) -> Column:
        """The design batter; a pile for which the schedule gives none is upright, no anchor is."""
        upright = ~self.batter_deg.known & ~self.is_text("element", "helical anchor")
        assumed = assume(self, 0.0, "upright: the schedule gives no batter", "deg")
        return choose(self, (upright, assumed), otherwise=self.batter_deg)

    @cached_property
    def _lost_height(self) -> Column:
        """The height of the ground over a lower level of finished grade or scour.

        Without the ground's level nobody knows how far the other levels lie below it.
        """
        at_run = take(self, self.runs.below.ground_level_m, self.last_run)
        ground = first_known(at_run, self.ground_level_m)
        grade, scour = self.finished_grade_level_m, self.scour_level_m
        lower = choose(
            self, (~scour.known, grade), (~grade.known, scour), (grade <= scour, grade),
            otherwise=scour,
        )  # fmt: skip
        nothing = assume(self, 0.0, "no level lies below the ground", "mm")
        title = "Height of the ground over the lowest of finished grade and scour level"
        lost = calculate(
            geometry.head_difference, self, title=title, level_m=ground, target_level_m=lower
        ).in_unit("mm")
        return choose(self, (~lower.known, nothing), (lower < ground, lost), otherwise=nothing)


class Loads(Table):
    """One pile or position: its design loads, the torque that each needs, and what governs."""

    subject, record = "torque", "schedule"
    printed_torque_nm = recorded()
    cross_check_share = setting("required_torque.cross_check_share")
    compression_safety_factor = setting("safety_factors, compression, {load_nature}")
    tension_safety_factor = setting("safety_factors, tension, {load_nature}")
    compression_torque_factor_per_m = setting("{compression_torque_factor_key}")
    tension_torque_factor_per_m = setting("{tension_torque_factor_key}")

    @measure(source="{load_source}")
    def design_compression_kn(self) -> Column:
        """The design load in compression."""
        return self.recorded("design_compression_kn")

    @measure(source="{load_source}")
    def design_tension_kn(self) -> Column:
        """The design load in tension."""
        return self.recorded("design_tension_kn")

    @phrase("the schedule with basis and nature of its loads")
    def load_source(self) -> Texts:
        """In words; a basis or nature that the schedule does not give is left out."""
        names = ("load_basis", "load_nature")
        spans = [[*self.rows.texts(name), ""] for name in names]
        basis, nature = (
            np.where(self.rows.codes(name) < 0, len(span) - 1, self.rows.codes(name))
            for name, span in zip(names, spans, strict=True)
        )
        texts = [", ".join(filter(None, ["the schedule", *pair])) for pair in product(*spans)]
        return Texts(basis * len(spans[1]) + nature, texts)

    @column("number", "torque that the load in compression needs")
    def compression_torque_nm(self) -> Column:
        """Of a service load."""
        return self._torque("compression")

    @column("number", "torque that the load in tension needs")
    def tension_torque_nm(self) -> Column:
        """Of a service load."""
        return self._torque("tension")

    @column("number", "maximum torque that the loads need, of those that are known")
    def computed_torque_nm(self) -> Column:
        """The greater of both directions, or the one that is known; see ``computed_whole``."""
        compression, tension = self._torques
        maximum = maximum_of(
            self,
            {"torque for compression": compression, "torque for tension": tension},
            "the direction that needs more torque governs",
            "Tc = maximum of T₁ … Tₙ",
            "T",
        )
        return choose(
            self, (compression.known & tension.known, maximum),
            otherwise=first_known(compression, tension),
        )  # fmt: skip

    @column("text", "direction of the load that needs the maximum torque")
    def computed_direction(self) -> Texts:
        """Compression where both need the same."""
        compression, tension = self._torques
        greater = compression.known & np.logical_not(tension.values > compression.values)
        return Texts.of(len(self), (greater, "compression"), (tension.known, "tension"))

    @column("flag", "whether every load has its torque")
    def computed_whole(self) -> Values:
        """False where no load has one, too."""
        known = np.array([one.known for one in self._torques])
        found: Values = np.all(known | ~self._loaded, axis=0, keepdims=True)[0] & known.any(axis=0)
        return found

    @column("text", "direction whose torque factor is used for the pile")
    def factor_direction(self) -> Texts:
        """The schedule's direction, else the one that governs, else the first with a load."""
        governs, (compression, tension) = self.computed_direction.array(), self._loaded
        return Texts.of(
            len(self),
            (self.is_text("direction", "tension"), "tension"),
            (self.has("direction"), "compression"),
            (governs == "compression", "compression"),
            (governs == "tension", "tension"),
            (compression, "compression"),
            (tension, "tension"),
        )

    @column("number", "design load in the direction of the torque factor")
    def load_kn(self) -> Column:
        """Unknown without a direction."""
        return self._of_direction("design_{}_kn")

    @column("number", "safety factor on the load in the direction of the torque factor")
    def safety_factor(self) -> Column:
        """Unknown without a direction."""
        return self._of_direction("{}_safety_factor")

    @measure(source="{factor_source}")
    def torque_factor_per_m(self) -> Column:
        """The torque factor that fits the pile's case."""
        return self._of_direction("{}_torque_factor_per_m")

    @column("text", "row of the torque factor table")
    def torque_factor_id(self) -> Texts:
        """Of the direction whose torque factor is used for the pile."""
        return self._text_of_direction("{}_torque_factor_id")

    @column("text", "document that gives the torque factor")
    def torque_factor_source(self) -> Texts:
        """Of the direction whose torque factor is used for the pile."""
        return self._text_of_direction("{}_torque_factor_source")

    @measure(source="{required_because}")
    def required_torque_nm(self) -> Column:
        """What is printed, or what the loads need; where they are apart the greater of both.

        By the clause of ``printed_governs`` what is printed, also where it is less.
        """
        printed, computed = self.printed_torque_nm, self.computed_torque_nm
        shown = Converted(self.cross_check_share, 1.0) if self.traced else None
        share = Column(self, self._share, "", shown)
        greater = calculate(
            governing_torque, self, printed_nm=printed, computed_nm=computed, share=share
        )
        both = printed.known & computed.known & ~self._by_clause
        return choose(self, (both, greater), otherwise=first_known(printed, computed))

    @column("text", "whether the printed or the computed torque governs")
    def required_by(self) -> Texts:
        """Printed or computed, and where they are apart, why."""
        printed, computed = self.printed_torque_nm, self.computed_torque_nm
        apart = printed.known & computed.known & ~self._agree
        masks = (
            apart & self._by_clause,
            apart & (printed.values >= computed.values),
            apart,
            printed.known,
            computed.known,
        )
        return Texts.of(len(self), *zip(masks, REQUIRED_BY, strict=True))

    @phrase("why the required torque is the one that it is")
    def required_because(self) -> Texts:
        """``required_by`` in a sentence."""
        by = self.required_by
        return Texts(by.codes, list(REQUIRED_BY.values()))

    @column("flag", "whether the required torque is computed of some of the loads alone")
    def required_is_part(self) -> Values:
        """Meeting it proves nothing."""
        printed, computed = self.printed_torque_nm, self.computed_torque_nm
        found: Values = ~printed.known & computed.known & ~self.computed_whole
        return found

    @column("flag", "whether the printed and the computed torque differ by no more than the share")
    def printed_agrees(self) -> Values:
        """None where one of them is missing."""
        both = self.printed_torque_nm.known & self.computed_torque_nm.known
        found = self._agree.astype(object)
        found[~both] = None
        return found

    @cached_property
    def _share(self) -> Values:
        """The share up to which both agree; what conversion of units adds is no difference."""
        found: Values = self.cross_check_share.values * (1 + records.CONVERSION_NOISE)
        return found

    @cached_property
    def _agree(self) -> Values:
        printed, computed = self.printed_torque_nm.values, self.computed_torque_nm.values
        with np.errstate(invalid="ignore", divide="ignore"):
            found: Values = difference_share(printed, computed) <= self._share
        return found

    @cached_property
    def _by_clause(self) -> Values:
        """Whether a printed value governs by the clause of ``printed_governs``."""
        clause = self.has("printed_governs") & ~self.is_text("printed_governs", "")
        found: Values = clause & self.printed_torque_nm.known
        return found

    @cached_property
    def _torques(self) -> tuple[Column, Column]:
        return self.compression_torque_nm, self.tension_torque_nm

    @cached_property
    def _loaded(self) -> Values:
        """Per direction and row whether there is a load."""
        return np.array([self.numbers(f"design_{one}_kn") > 0 for one in DIRECTIONS])

    def _torque(self, direction: str) -> Column:
        """The torque that the load in ``direction`` needs; only a service load is multiplied."""
        load = self.recorded(f"design_{direction}_kn")
        service = self.is_text("load_basis", "service") & (load.values > 0)
        found = calculate(
            required_torque,
            self,
            title=f"Torque that the load in {direction} needs",
            load_n=load.where(service),
            safety_factor=getattr(self, f"{direction}_safety_factor"),
            torque_factor_per_m=getattr(self, f"{direction}_torque_factor_per_m"),
        )
        return found.where(found.known)

    def _of_direction(self, name: str) -> Column:
        """The column of ``factor_direction``."""
        compression, tension = (self._column(name.format(one)) for one in DIRECTIONS)
        chosen = self.factor_direction.array()
        return choose(self, (chosen == "tension", tension), (chosen == "compression", compression))

    def _column(self, name: str) -> Column:
        found: Column = self.recorded(name) if name.startswith("design_") else getattr(self, name)
        return found

    def _text_of_direction(self, name: str) -> Texts:
        compression, tension = (self.rows.texts(name.format(one)) for one in DIRECTIONS)
        of_compression, of_tension = (self.rows.codes(name.format(one)) for one in DIRECTIONS)
        chosen = self.factor_direction.array()
        moved = np.where(of_tension < 0, -1, of_tension + len(compression))
        codes = np.where(chosen == "tension", moved, np.where(chosen == "", -1, of_compression))
        return Texts(codes, [*compression, *tension])

    @phrase("document of the torque factor and the direction that it is for")
    def factor_source(self) -> Texts:
        """In words, for the worksheet."""
        source, direction = self.torque_factor_source, self.factor_direction
        words = [f"{one}; for {two}" for one in source.words for two in direction.words]
        known = (source.codes >= 0) & (direction.codes >= 0)
        codes = source.codes * len(direction.words) + direction.codes
        return Texts(np.where(known, codes, -1), words)


STRUCTURAL = {  # parts whose ultimate resistances project.toml gives, as findings call them
    "shaft_kn": "shaft",
    "coupling_kn": "coupling",
    "helix_plates_kn": "helix plates",
}


class Resistances(Table):
    """One pile or position: the torque that its string may bear, and what resistance is known."""

    subject, record = "torque", "schedule"
    schedule_rated_torque_nm = recorded()
    section_rated_torque_nm = setting("sections.{section}.rated_torque_nm")
    torque_factor_per_m, final_torque_nm = other("loads"), other("torque")
    component_rated_torque_nm = other("steel")
    shaft_kn = setting("sections.{section}.ultimate_kn")
    coupling_kn = setting("sections.{section}.coupling_ultimate_kn")
    helix_plates_kn = setting("helix_sets.{helix_set}.ultimate_kn")

    @measure()
    def rated_torque_nm(self) -> Column:
        """The minimum of what schedule, section and components allow, of those that are known."""
        parts = {
            "rating on the schedule": self.schedule_rated_torque_nm,
            "rating of the section, {section_document}": self.section_rated_torque_nm,
            "minimum rating of the components placed": self._of_components,
        }
        return minimum_of(
            self, parts, "the weakest part of the string governs", "R = minimum of R₁ … Rₙ", "R"
        )

    @measure()
    def resistance_kn(self) -> Column:
        """The resistance that the final torque implies, in the direction of the torque factor."""
        found = calculate(resistance, self, torque_nm=self.final_torque_nm)
        return found.where(found.known)

    @column("number", "minimum of what shaft, coupling and helix plates bear")
    def structural_kn(self) -> Column:
        """Of those that are known."""
        return minimum_of(self, self._parts, "the weakest part governs")

    @column("text", "part that gives the minimum structural resistance")
    def structural_by(self) -> Texts:
        """The first of equal ones."""
        minimum = self.structural_kn.values
        masks = [self._parts[word].values == minimum for word in self._parts]
        return Texts.of(len(self), *zip(masks, self._parts, strict=True))

    @column("flag", "whether the torque-derived resistance is above the structural one")
    def over_structural(self) -> Values:
        """False where one of them is unknown."""
        found: Values = (self.resistance_kn > self.structural_kn).true
        return found

    @phrase("document of the rating of the section")
    def section_document(self) -> Texts:
        """In words, for the worksheet."""
        texts = [text or "no document" for text in self.rows.texts("section_rated_document")]
        codes = self.rows.codes("section_rated_document")
        return Texts(np.where(codes < 0, len(texts), codes), [*texts, "no document"])

    @cached_property
    def _parts(self) -> dict[str, Column]:
        return {word: getattr(self, name) for name, word in STRUCTURAL.items()}

    @cached_property
    def _of_components(self) -> Column:
        """The minimum rating of the components placed, with its stamp."""
        found = self.component_rated_torque_nm
        return assume(self, found.values, "stamp {component_rated_stamp}", found.unit)

    @phrase("stamp of the component of the minimum rated torque")
    def component_rated_stamp(self) -> Texts:
        """As the steel has it."""
        steel: Any = self.beside["steel"]
        found: Texts = steel.component_rated_stamp
        return found


def lengths_of(
    rows: CurrentRows, runs: CurrentRows, read: Values, *, traced: bool = False
) -> Lengths:
    """The lengths of the piles in ``rows``; ``runs`` are theirs in the order of the work.

    ``read``: whether each run has readings.
    """
    pile, below = Lengths(rows, traced=traced), Run(runs, traced=traced)
    (own, theirs), numbers = common_codes((rows, "pile_id"), (runs, "pile_id"))
    owner = place_of_each(own, len(numbers))[theirs]
    pile.runs = Members(below, pile, owner)
    pile.last_run = place_of_each(theirs, len(numbers))[own]
    below.read = read
    required = rows.is_true("reason_required")
    below.required = (owner < 0) | required[owner] if len(rows) else owner < 0
    return pile
