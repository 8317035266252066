"""Steps of torque: each reading of the final window through its curve, its means, what is asked."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite

import pandas as pd

from core import units
from core.compute import torque as formulas
from core.compute.measures import pressure_kinds
from core.flow.worksheet.known import Known
from core.flow.worksheet.rating import rating
from core.flow.worksheet.steps import (
    Input,
    InputValue,
    Step,
    averaged,
    lowered,
    of_reading,
    of_row,
    of_settings,
    recorded,
    result_of,
    shown_as,
    without_value,
    word_of,
    worked,
)
from core.subjects.described import described
from core.subjects.piles.factors import DIRECTIONS

SUBJECT = "torque"
PRESSURE_OF = {"differential": "differential pressure across the motor",
               "line": "line pressure at the inlet of the motor"}  # fmt: skip


def steps(known: Known) -> list[Step]:
    """Every step of torque that the pile's records allow."""
    row, profile = known.row, known.assessment.measured.profile
    inside = profile[profile["pile_id"].eq(row["pile_id"]) & profile["inside"]]
    window = inside[inside["in_window"]]
    logged = inside[(inside["standing"] | inside["superseded"]) & ~inside["of_header"]]
    converted, given = _readings(known, window.sort_values("depth_mm"))
    made = [*_toe_reading(known, window), *converted, *_greatest(known)]
    made += _window(known, window, given)
    return [
        *made,
        *_loads(known),
        *_factor(known),
        *_asked(known, made),
        *rating(known),
        *_advance(known, logged),
    ]


def _toe_reading(known: Known, window: pd.DataFrame) -> list[Step]:
    """How far above the recorded toe the last reading that counts lies."""
    counting = window[window["counts"]].sort_values("depth_mm")
    if counting.empty or pd.isna(known.row["toe_distance_mm"]):
        return []
    toe, last = known.of_runs("toe_mm", "last"), counting.iloc[-1]
    depth = of_reading(last, "depth_mm")
    says = (
        "toe at which the run's header gives a final reading"
        if last["of_header"]
        else ("depth of the last reading that counts")
    )
    puts = (
        Input("D", "depth of the toe", toe.value, "mm", toe.origin, toe.source),
        Input("z", says, depth.value, "mm", depth.origin, depth.source),
    )
    return [Step(SUBJECT, word_of("toe_distance_mm"), "d = greater of D − z and 0", puts,
                 max(toe.value - depth.value, 0.0), "mm", "difference of depths along the axis",
                 "toe_distance_mm")]  # fmt: skip


def _readings(known: Known, window: pd.DataFrame) -> tuple[list[Step], list[InputValue]]:
    """The step of each reading through its curve, and what each brings to the mean."""
    made, given = [], []
    for _, reading in window.iterrows():
        if pd.notna(reading["torque_read_nm"]) or pd.isna(reading["torque_nm"]):
            name = "torque_read_nm" if pd.notna(reading["torque_read_nm"]) else "torque_nm"
            given.append(of_reading(reading, name))
            continue
        step = _through_curve(known, reading)
        made.append(step)
        given.append(result_of(step))
    return made, given


def _through_curve(known: Known, reading: pd.Series) -> Step:
    points, kind = known.curve(reading), str(reading["curve_pressure_kind"])
    points_kpa = pressure_kinds.points_on(kind, points)
    pressure = float(reading["curve_pressure_kpa"])
    at = int((points_kpa <= pressure).sum())
    first = max(min(at, len(points) - 1) - 1, 0)
    two, two_kpa = points.iloc[first:].head(2), points_kpa[first:][:2]
    depth = units.text(reading["depth_mm"], "depth_mm", "SI")
    about = described(formulas.calibrated_torque)
    puts = [_pressure(reading, "", pressure, kind, "p", PRESSURE_OF[kind])]
    for place, (_, point) in enumerate(two.iterrows(), start=1):
        sign = lowered(place)
        says = "pressure of a point of the curve", "torque of a point of the curve"
        entered = float(two_kpa[place - 1])
        puts.append(_pressure(point, "point_", entered, kind, f"p{sign}", says[0]))
        puts.append(_of_curve(f"T{sign}", says[1], point, "point_torque_nm", "N·m"))
    value = formulas.calibrated_torque(
        pressure, two_kpa, two["point_torque_nm"].to_numpy(dtype=float)
    )
    where = ", final reading of the header," if reading["of_header"] else ""
    title = f"Torque at {depth}{where} by certificate {reading['certificate']}"
    return Step(SUBJECT, title, about.equation, tuple(puts), float(value), "N·m", about.source)


def _pressure(row: pd.Series, start: str, value: float, kind: str, symbol: str, says: str) -> Input:
    """A pressure as it goes into the curve, with its kind and how it comes about."""
    recorded_kind = row[f"{start}pressure_kind"]
    put = _of_curve(symbol, says, row, f"{start}pressure_kpa", "kPa")
    if not isinstance(recorded_kind, str) or not recorded_kind:
        return replace(put, description=f"{says} (kind not asked at import)")
    if recorded_kind == kind:
        return put
    back = units.text(row[f"{start}return_pressure_kpa"], "return_pressure_kpa", "SI")
    line = units.text(row[f"{start}pressure_kpa"], "pressure_kpa", "SI")
    return replace(put, value=value, source=f"line pressure {line} less return pressure {back}")


def _of_curve(symbol: str, says: str, row: pd.Series, name: str, unit: str) -> Input:
    of_point = name.startswith("point_")
    given = of_row(row, name, "calibration_point") if of_point else of_reading(row, name)
    return Input(symbol, says, given.value, unit, given.origin)


def _greatest(known: Known) -> list[Step]:
    """The greatest torque of all readings, through its curve when it is no reading of torque."""
    profile = known.assessment.measured.profile
    mine = profile[profile["pile_id"].eq(known.row["pile_id"]) & profile["torque_nm"].notna()]
    if mine.empty:
        return []
    top = mine.sort_values("torque_nm", kind="stable").iloc[-1]
    if pd.notna(top["torque_read_nm"]):
        read = of_reading(top, "torque_read_nm")
        return [recorded(SUBJECT, "greatest_torque_nm", read, "N·m", "the greatest reading")]
    step = _through_curve(known, top)
    title = f"{word_of('greatest_torque_nm')}, at {step.title.removeprefix('Torque at ')}"
    return [replace(step, title=title, measure="greatest_torque_nm")]


def _window(known: Known, window: pd.DataFrame, given: list[InputValue]) -> list[Step]:
    """Mean, last reading, mean without the greatest, and the drop, where they have a value."""
    row, made = known.row, []
    if pd.notna(row["last_torque_nm"]):
        source = "the deepest of the window"
        made.append(recorded(SUBJECT, "last_torque_nm", given[-1], "N·m", source))
    if pd.isna(row["final_torque_nm"]):
        return [*made, *_no_mean(known)]
    title = word_of("final_torque_nm")
    if row["window_rule"] == "plain mean":
        mean = averaged(SUBJECT, title, formulas.final_torque, "torque_nm", given)
    else:
        mean = _by_length(known, window.sort_values("depth_mm"), given)
    made.append(shown_as(mean, "final_torque_nm"))
    greatest = max(range(len(given)), key=lambda place: given[place].value)
    rest = [one for place, one in enumerate(given) if place != greatest]
    if rest:
        title = word_of("torque_without_greatest_nm")
        part = averaged(SUBJECT, title, formulas.final_torque, "torque_nm", rest)
        made.append(shown_as(part, "torque_without_greatest_nm"))
    made.append(_drop(given[greatest], given[-1]))
    return made


def _no_mean(known: Known) -> list[Step]:
    """Why a pile with a run has no final torque, in the words of its finding."""
    found = known.assessment.findings
    own = found[found["pile_id"].eq(known.row["pile_id"]) & found["kind"].eq("required torque")]
    why = own["note"].iloc[0] if len(own) and known.row["runs"] > 0 else ""
    return [without_value(SUBJECT, "final_torque_nm", formulas.final_torque, why)] if why else []


def _drop(greatest: InputValue, last: InputValue) -> Step:
    about = described(formulas.drop_at_end)
    puts = tuple(
        Input(f"T{lowered(place)}", says, one.value, "N·m", one.origin, one.source)
        for place, (says, one) in enumerate(
            (("greatest reading of the window", greatest), ("last reading", last)), start=1
        )
    )
    value = (greatest.value - last.value) / greatest.value
    title = word_of("drop_share")
    return Step(SUBJECT, title, about.equation, puts, value, "", about.source, "drop_share")


def _by_length(known: Known, window: pd.DataFrame, given: list[InputValue]) -> Step:
    """The mean weighted by the length that each reading stands for."""
    about = described(formulas.final_torques_by_length)
    puts, total, length = [], 0.0, 0.0
    lengths = known.lengths_of_window(window)
    for place, (stretch, (_, reading), one) in enumerate(
        zip(lengths, window.iterrows(), given, strict=True), start=1
    ):
        sign, depth = lowered(place), of_reading(reading, "depth_mm")
        puts.append(Input(f"T{sign}", "torque", one.value, "N·m", one.origin, one.source))
        why = "from the reading above it or the top of the window to its own depth"
        puts.append(Input(f"l{sign}", why, stretch, "mm", depth.origin))
        total, length = total + stretch * one.value, length + stretch
    title, value = word_of("final_torque_nm"), total / length
    return Step(SUBJECT, title, about.equation, tuple(puts), value, "N·m", about.source)


def _loads(known: Known) -> list[Step]:
    """The design loads of the schedule, with their basis and nature."""
    row = known.row
    named = [name for name in ("design_compression_kn", "design_tension_kn") if pd.notna(row[name])]
    kind = [row[name] for name in ("load_basis", "load_nature") if pd.notna(row[name])]
    source = ", ".join(["the schedule", *kind])
    return [recorded(SUBJECT, name, known.of_schedule(name), "kN", source) for name in named]


def _factor(known: Known) -> list[Step]:
    """The torque factor that fits the pile's case, as the settings give it."""
    row = known.row
    if pd.isna(row["torque_factor_per_m"]):
        return []
    given = _factor_of(known, "torque_factor")
    source = f"{row['torque_factor_source']}; for {row['factor_direction']}"
    return [recorded(SUBJECT, "torque_factor_per_m", given, "1/m", source)]


def _factor_of(known: Known, name: str) -> InputValue:
    """The torque factor ``name`` of the pile's row, as the settings give it."""
    row_id = known.row[f"{name}_id"]
    rows = known.assessment.project.tables.torque_factors
    converted = [f": {row.value:g} {row.unit}" for row in rows if row.unit != "1/m"
                 and row.id == row_id]  # fmt: skip
    return of_settings(
        known.row[f"{name}_per_m"], "".join([f"torque_factors, {row_id}", *converted])
    )


def _asked(known: Known, made: list[Step]) -> list[Step]:
    """What the load of each direction needs, what governs, and what the final torque implies."""
    found = _computed(known)
    if pd.notna(known.row["required_torque_nm"]):
        found = _required(known, found)
    final = next((step for step in made if step.measure == "final_torque_nm"), None)
    if final is not None and isfinite(final.value) and pd.notna(known.row["torque_factor_per_m"]):
        implied = worked(
            SUBJECT,
            word_of("resistance_kn"),
            formulas.resistance,
            torque_nm=result_of(final),
            torque_factor_per_m=_factor_of(known, "torque_factor"),
        )
        found.append(shown_as(implied, "resistance_kn", units.factor("N", "kN"), "kN"))
    return found


def _computed(known: Known) -> list[Step]:
    """The torque that the load of each direction needs, where its factors are known."""
    row, steps = known.row, []
    for direction in DIRECTIONS:
        if pd.isna(row[f"{direction}_torque_nm"]):
            continue
        load = known.of_schedule(f"design_{direction}_kn")
        step = worked(
            SUBJECT,
            f"Torque that the load in {direction} needs",
            formulas.required_torque,
            load_n=replace(load, value=load.value * units.factor("kN", "N")),
            safety_factor=of_settings(
                row[f"{direction}_safety_factor"],
                f"safety_factors, {direction}, {row['load_nature']}",
            ),
            torque_factor_per_m=_factor_of(known, f"{direction}_torque_factor"),
        )
        steps.append(step)
    return steps


def _required(known: Known, computed: list[Step]) -> list[Step]:
    """``computed`` and the required torque, printed or computed, with why it governs."""
    row = known.row
    title, measure = word_of("required_torque_nm"), "required_torque_nm"
    greatest = max(computed, key=lambda step: step.value, default=None)
    if pd.isna(row["printed_torque_nm"]) and greatest is not None and len(computed) == 1:
        return [shown_as(greatest, measure)]
    puts = []
    if pd.notna(row["printed_torque_nm"]):
        given = known.of_schedule("printed_torque_nm")
        says = "required torque printed on the schedule"
        puts.append(Input("Tp", says, given.value, "N·m", given.origin))
    if greatest is not None:
        puts.append(Input("Tc", "greatest torque that the loads need", greatest.value, "N·m",
                        source=result_of(greatest).source))  # fmt: skip
    equation = described(formulas.governing_torque).equation if len(puts) > 1 else ""
    if pd.notna(row["printed_agrees"]):
        puts.append(Input("s", "share up to which they agree", row["cross_check_share"], "",
                        source="project.toml: required_torque.cross_check_share"))  # fmt: skip
    step = Step(SUBJECT, title, equation, tuple(puts), row[measure], "N·m", _why(row), measure)
    return [*computed, step]


def _why(row: pd.Series) -> str:
    """Which of the printed and the computed value governs, and why."""
    return {
        "printed": "the schedule: what is printed governs",
        "computed": "the loads: nothing is printed",
        "printed, by its clause": f"the printed value governs by {row['printed_governs']}",
        "printed, the greater": "beyond the cross-check share the greater governs: the printed",
        "computed, the greater": "beyond the cross-check share the greater governs: the computed",
    }[row["required_by"]]


def _advance(known: Known, window: pd.DataFrame) -> list[Step]:
    """Advance per turn over pitch: the least of the window, else the run's own."""
    if pd.isna(known.row["advance_share"]):
        return []
    advance = window["advance_mm_per_turn"].astype(float)
    if len(advance) and advance.notna().all():
        least = window.iloc[int(advance.to_numpy().argmin())]
        given = of_reading(least, "advance_mm_per_turn")
    else:
        given = known.of_runs("advance_mm_per_turn", "last")
    step = worked(
        SUBJECT,
        word_of("advance_share"),
        formulas.advance_ratio,
        advance_mm=given,
        turns=InputValue(1.0, source="the advance is of one turn"),
        pitch_mm=known.of_type("pitch_mm"),
    )
    return [shown_as(step, "advance_share")]
