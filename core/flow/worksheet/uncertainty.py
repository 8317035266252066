"""Steps of how well the final torque is known: of each reading of the window, and of their mean."""

from __future__ import annotations

import pandas as pd

from core import units
from core.compute import measurement
from core.compute import torque as formulas
from core.compute.measures import pressure_kinds
from core.flow.worksheet.known import Known
from core.flow.worksheet.steps import (
    Input,
    InputValue,
    Step,
    lowered,
    of_settings,
    result_of,
    worked,
)

SUBJECT = "uncertainty of torque"
TITLE = "Expanded uncertainty of the final torque"


def steps(known: Known) -> list[Step]:
    """Every step behind the uncertainty printed beside the margin of the required torque."""
    profile = known.assessment.measured.profile
    window = profile[profile["pile_id"].eq(known.row["pile_id"]) & profile["in_window"]]
    if pd.isna(known.row["final_uncertainty_nm"]) or window.empty:
        return []
    made: list[Step] = []
    of_readings = []
    for _, reading in window.sort_values("depth_mm").iterrows():
        made += [one for one in _reading(known, reading) if one not in made]
        of_readings.append(made[-1])
    return [*made, _mean(known, window.sort_values("depth_mm"), of_readings)]


def _reading(known: Known, reading: pd.Series) -> list[Step]:
    """Gauge, step of reading and curve put together for one reading; one step for a dial."""
    instrument = reading["instrument_id"]
    project = known.assessment.project
    values = project.torque_uncertainties().set_index("instrument_id")
    rows = project.tables.torque_uncertainty
    table = next(row for row in rows if row.instrument == instrument)

    def of(name: str) -> InputValue:
        field = "accuracy_class_percent" if name == "class_share" else name
        entered = f": {table.as_entered(field)}" if table.is_quantity(field) else ""
        key = f"torque_uncertainty, {instrument}{entered}"
        return of_settings(values.loc[instrument, name], key)

    depth = units.text(reading["depth_mm"], "depth_mm", "SI")
    title = f"Expanded uncertainty of the torque at {depth}"
    common = {"calibration_nm": of("calibration_nm"), "coverage": of("coverage")}
    if pd.notna(reading["torque_read_nm"]):
        names = ("class_share", "full_scale_nm", "resolution_nm")
        shown = {name: of(name) for name in names}
        return [worked(SUBJECT, title, measurement.of_torque_shown, **shown, **common)]
    gauge = worked(
        SUBJECT, f"Standard uncertainty of gauge {instrument}", measurement.of_gauge,
        class_share=of("class_share"), full_scale_kpa=of("full_scale_kpa"),
    )  # fmt: skip
    step = worked(
        SUBJECT, f"Standard uncertainty of reading {instrument}", measurement.of_resolution,
        resolution_kpa=of("resolution_kpa"),
    )  # fmt: skip
    expanded = worked(
        SUBJECT, title, measurement.of_torque, torque_per_pressure=_slope(known, reading),
        gauge_kpa=result_of(gauge), resolution_kpa=result_of(step), **common,
    )  # fmt: skip
    return [gauge, step, expanded]


def _slope(known: Known, reading: pd.Series) -> InputValue:
    points = known.curve(reading)
    slope = formulas.torque_per_pressure(
        float(reading["curve_pressure_kpa"]),
        pressure_kinds.points_on(str(reading["curve_pressure_kind"]), points),
        points["point_torque_nm"].to_numpy(dtype=float),
    )
    return InputValue(float(slope), source="(T₂ − T₁)/(p₂ − p₁) of the reading's curve, above")


def _mean(known: Known, window: pd.DataFrame, of_readings: list[Step]) -> Step:
    """The mean of what the readings have, with the weights of the mean of torque."""
    weighted = known.row["window_rule"] != "plain mean"
    lengths = known.lengths_of_window(window) if weighted else [1.0] * len(of_readings)
    puts: list[Input] = []
    for place, (step, length) in enumerate(zip(of_readings, lengths, strict=True), start=1):
        sign = lowered(place)
        puts.append(Input(f"U{sign}", "expanded uncertainty", step.value, "N·m",
                        source=result_of(step).source))  # fmt: skip
        if weighted:
            puts.append(Input(f"l{sign}", "length that the reading stands for", length, "mm",
                            source="above: final torque"))  # fmt: skip
    total = sum(step.value * length for step, length in zip(of_readings, lengths, strict=True))
    equation = "U = (l₁·U₁ + … + lₙ·Uₙ)/(l₁ + … + lₙ)" if weighted else "U = (U₁ + … + Uₙ)/n"
    source = "JCGM 100:2008, 5.2.2, note 1: parts that err alike add, they do not average out."
    return Step(SUBJECT, TITLE, equation, tuple(puts), total / sum(lengths), "N·m", source,
                note=f"{_share(known)}")  # fmt: skip


def _share(known: Known) -> str:
    share = known.row["final_uncertainty_nm"] / known.row["floor_final_torque_nm"]
    return f"{share:.1%} of the final torque; printed as ± beside its margin"
