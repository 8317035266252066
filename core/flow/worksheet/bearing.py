"""Steps of static bearing in the nearest borehole: for information, no state rests on it."""

from __future__ import annotations

from dataclasses import replace
from math import nan

import numpy as np
import pandas as pd

from core import units
from core.compute import bearing as formulas
from core.flow.worksheet.ground import SUBJECT, Helix, helices, is_clay, nearest, stress
from core.flow.worksheet.grout import shaft_step
from core.flow.worksheet.known import Known
from core.flow.worksheet.pile import batter_of
from core.flow.worksheet.steps import (
    Input,
    InputValue,
    Step,
    assumed,
    lowered,
    of_row,
    of_settings,
    result_of,
    worked,
)
from core.subjects.described import described

ALONE = "Resistance by individual bearing"
NC = 9.0  # of a deep circular plate in clay, shown in the step that takes it
MPA = units.factor("kPa", "MPa")
KN = units.factor("N", "kN")


def steps(known: Known) -> list[Step]:
    """Bearing of every helix in the nearest borehole, alone and as a cylinder, and the lesser."""
    found = nearest(known)
    if found is None or known.runs.empty or pd.isna(known.row["pile_type"]):
        return []
    borehole, layers = found
    away = borehole["away_mm"] * units.factor("mm", "m")
    note = f"borehole {borehole['borehole_id']}, {away:.1f} m away in plan"
    placed = helices(known, borehole, layers, batter_of(known).value)
    if isinstance(placed, str):
        return [_nothing(f"{note}: {placed}")]
    shaft = replace(shaft_step(known), subject=SUBJECT)
    made, areas, pressures = [shaft], [], []
    for number, helix in enumerate(placed, start=1):
        name = f"helix {number} from the top, {helix.helix_mm:.0f} mm"
        clay = is_clay(helix.layer)
        stresses = [] if clay else stress(borehole, layers, helix.depth_m, name)
        if not clay and not stresses:
            return [_nothing(f"{note}: a layer above has no unit weight")]
        part = _helix(known, helix, name, shaft, stresses)
        made += part
        pressures.append(part[-2])
        areas.append(part[-1])
    alone = _alone(areas, pressures, note)
    made.append(alone)
    return [*made, *_cylinder(placed, areas[-1], pressures[-1], alone)]


def _nothing(why: str) -> Step:
    about = described(formulas.individual_bearing)
    return Step(SUBJECT, ALONE, about.equation, (), nan, "kN",
                about.source, note=why)  # fmt: skip


def _helix(known: Known, helix: Helix, name: str, shaft: Step, stresses: list[Step]) -> list[Step]:
    """Stress and bearing factor where it is not in clay, pressure and net area of one helix."""
    layer = helix.layer
    depth = f"{layer['soil']}, {helix.depth_m:.2f} m below the ground of the borehole"
    made = list(stresses)
    stressed = assumed(0.0, "undrained: the overburden does not count")
    factor = assumed(0.0, "undrained: Nq does not count")
    cohesion = assumed(0.0, f"{depth}: taken by its friction")
    if is_clay(layer):
        cohesion = _in_mpa(of_row(layer, "undrained_strength_kpa", "borehole_layer"))
    else:
        nq = worked(SUBJECT, f"Bearing factor at {name}", formulas.bearing_factor,
                    friction_deg=of_row(layer, "friction_deg", "borehole_layer"))  # fmt: skip
        made.append(nq)
        stressed, factor = _in_mpa(result_of(stresses[-1])), result_of(nq)
    pressure = worked(
        SUBJECT, f"Ultimate pressure at {name}", formulas.bearing_pressure,
        cohesion_mpa=cohesion, overburden_mpa=stressed,
        cohesion_factor=assumed(NC, "deep circular plate in clay, from memory"),
        overburden_factor=factor,
    )  # fmt: skip
    name_of_set = known.pile_type.helix_set
    helices = known.assessment.project.tables.helix_sets[name_of_set]
    key = f"helix_sets.{name_of_set}.{helices.as_entered('helix_mm')}"
    area = worked(
        SUBJECT, f"Net area of {name}", formulas.helix_area_net,
        helix_mm=of_settings(helix.helix_mm, key), shaft_area_mm2=result_of(shaft),
    )  # fmt: skip
    return [*made, replace(pressure, note=depth), area]


def _in_mpa(given: InputValue) -> InputValue:
    return replace(given, value=given.value * MPA)


def _alone(areas: list[Step], pressures: list[Step], note: str) -> Step:
    about = described(formulas.individual_bearing)
    puts = []
    for place, (area, pressure) in enumerate(zip(areas, pressures, strict=True), start=1):
        sign = lowered(place)
        puts.append(Input(f"A{sign}", "net area", area.value, "mm²", source=result_of(area).source))
        puts.append(Input(f"q{sign}", "ultimate pressure", pressure.value, "MPa",
                        source=result_of(pressure).source))  # fmt: skip
    areas_mm2, pressures_mpa = (
        np.array([step.value for step in made]) for made in (areas, pressures)
    )
    value = float(formulas.individual_bearing(areas_mm2, pressures_mpa))
    return Step(SUBJECT, ALONE, about.equation, tuple(puts),
                value * KN, "kN", about.source, note=note)  # fmt: skip


def _cylinder(placed: list[Helix], area: Step, pressure: Step, alone: Step) -> list[Step]:
    """Cylindrical shear and the lesser, where every helix lies in clay."""
    if len(placed) < 2 or not all(is_clay(helix.layer) for helix in placed):
        return []
    end = worked(SUBJECT, "Bearing of the lowest helix", formulas.individual_bearing,
                 area_mm2=result_of(area), pressure_mpa=result_of(pressure))  # fmt: skip
    strengths = [float(helix.layer["undrained_strength_kpa"]) for helix in placed]
    lowest = placed[strengths.index(min(strengths))]
    diameters = [helix.helix_mm for helix in placed]
    shear = worked(
        SUBJECT, "Resistance by cylindrical shear", formulas.cylindrical_shear,
        diameter_mm=assumed(sum(diameters) / len(diameters), "mean of the helices, settings"),
        length_mm=assumed(placed[-1].along_mm - placed[0].along_mm, "between the helices above"),
        shear_mpa=_in_mpa(of_row(lowest.layer, "undrained_strength_kpa", "borehole_layer")),
        end_n=result_of(end),
    )  # fmt: skip
    newtons = replace(result_of(alone), value=alone.value / KN)
    governs = worked(SUBJECT, "The lesser of the two", formulas.governing_bearing,
                     individual_n=newtons, cylinder_n=result_of(shear))  # fmt: skip
    return [end, shear, replace(governs, value=governs.value * KN, unit="kN")]
