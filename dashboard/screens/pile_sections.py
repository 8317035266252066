"""Sections of the Pile page: events, numbers, string, grout, survey, worksheet and history."""

from __future__ import annotations

from html import escape

import pandas as pd
import streamlit as st

from core import records, units
from core.words import CAUTIONS
from dashboard import page, state, theme
from dashboard.charts.grout import lifts_of_pile
from dashboard.charts.steel import Axis, string_drawing
from dashboard.charts.survey import Limit, survey_sketch
from dashboard.data import pile, views
from dashboard.literal import literal, literals


def events(view: views.View, subject: str, system: str) -> None:
    """Draw events and remarks, as written and as recognised, and, folded, the readings."""
    texts = pile.recorded(view, subject)
    readings = pile.readings(view, subject)
    if texts.empty and readings.empty:
        return
    st.subheader("Events and remarks", anchor="events")
    if texts.empty:
        st.markdown("None recorded.")
    else:
        page.table(_texts(texts, system), ("Depth",))
    if len(readings):
        with st.expander(f"Every reading ({len(readings):,})"):
            page.table(_readings(readings, system), ("Depth", "Torque"))


def _texts(texts: pd.DataFrame, system: str) -> pd.DataFrame:
    beside = texts["depth_mm"].notna()
    depth = texts["depth_mm"].astype(float).map(lambda mm: units.text(mm, "depth_mm", system))
    return pd.DataFrame(
        {
            "Run": texts["run_no"],
            "Depth": depth.where(beside, "remarks"),
            "Recorded text": texts["text"],
            "Recognised as": texts["event_words"],
        }
    )


def _readings(readings: pd.DataFrame, system: str) -> pd.DataFrame:
    torque = readings["torque_nm"].map(lambda nm: units.text(nm, "torque_nm", system))
    outside = readings["range"] + " range"
    counts = readings["counts"].map({True: "yes", False: "no"})
    depth = readings["depth_mm"].astype(float)
    return pd.DataFrame(
        {
            "Run": readings["run_no"],
            "Depth": depth.map(lambda mm: units.text(mm, "depth_mm", system)),
            "Torque": torque.where(readings["torque_nm"].notna(), outside),
            "Counted": counts,
            "Recorded text": readings["event"].fillna(""),
        }
    )


def numbers(view: views.View, row: pd.Series, system: str) -> None:
    """Draw the measures of torque and the torque-derived resistance with its caution."""
    st.subheader("Numbers")
    if pd.notna(row["window_mm"]):
        length = pile.final_window(view, row["pile_type"], system)
        st.markdown(
            f"Final torque is the {literal(row['window_rule'])} over the final window, the last "
            f"{literal(length)} above the toe."
        )
    rows = _measures(row, "torque", system)
    half = (len(rows) + 1) // 2
    sides = st.container(key="beside_numbers").columns(2, gap="large")
    for side, part in zip(sides, (rows[:half], rows[half:]), strict=True):
        if len(part):
            with side:
                page.table(part, ("Value",))
    _required(row, system)
    _resistance(view, row, system)


def _required(row: pd.Series, system: str) -> None:
    """The required torque that governs, beside the printed one and that of each load."""
    if pd.isna(row["required_by"]):
        return
    parts = [("printed on the schedule", "printed_torque_nm")]
    parts += [
        (f"for the load in {direction}", f"{direction}_torque_nm")
        for direction in ("compression", "tension")
    ]
    sources = [
        f"{word} {units.text(row[name], 'required_torque_nm', system)}"
        for word, name in parts
        if pd.notna(row[name])
    ]
    value = units.text(row["required_torque_nm"], "required_torque_nm", system)
    by = row["required_by"].replace("its clause", str(row["printed_governs"]))
    st.html(
        f'<div class="pw-table"><b>Required torque</b>: {escape(value)}, {escape(by)}'
        f"<br><small>{escape('; '.join(sources))}</small></div>"
    )


def numbers_table(row: pd.Series, subject: str, system: str) -> None:
    """Draw the measures of one subject; nothing when the pile has no value of any."""
    rows = _measures(row, subject, system)
    if len(rows):
        page.table(rows, ("Value",))


def _measures(row: pd.Series, subject: str, system: str) -> pd.DataFrame:
    """One row per measure of ``subject``; none when the pile has no value of any."""
    kept = [m for m in records.MEASURES if m.subject == subject and m.name != "resistance_kn"]
    if row[[measure.name for measure in kept]].isna().all():
        kept = []
    return pd.DataFrame(
        {
            "Measure": [measure.word[0].upper() + measure.word[1:] for measure in kept],
            "Value": [_value(row, measure, system) for measure in kept],
        }
    )


def _value(row: pd.Series, measure: records.Measure, system: str) -> str:
    value = row[measure.name]
    if pd.isna(value) and measure.name.startswith("design_"):
        return "–"  # a blank load is no load
    if pd.isna(value) and row["runs"] > 0 and measure.subject == "torque":
        return "not recorded"  # readings exist; the findings say what is missing
    return units.text(value, measure.name, system)


def _resistance(view: views.View, row: pd.Series, system: str) -> None:
    value = row["resistance_kn"]
    if pd.isna(value):
        return
    text = escape(units.text(value, "resistance_kn", system))
    rating = pile.rating_results(view, row["subject"])
    if row["over_structural"]:
        limit = escape(units.text(row["structural_kn"], "structural_kn", system))
        part = f"limited by the {row['structural_by']}: {limit}"
        text = f'<s class="pw-struck">{text}</s> {part}'
    elif "not met" in rating:
        text = f'<s class="pw-struck">{text}</s> torque exceeded the rating of the string'
    elif "met" not in rating:
        text += " (compliance with the torque rating not shown: do not use alone)"
    factor = escape(units.text(row["torque_factor_per_m"], "torque_factor_per_m", system))
    source = escape(row["torque_factor_source"])
    st.html(
        f'<div class="pw-table"><b>Torque-derived resistance</b>, ultimate, '
        f"in {row['factor_direction']}: {text}"
        f"<br><small>final torque × torque factor Kt {factor}; source of Kt: {source}</small></div>"
    )
    page.cautions(CAUTIONS[1:2])


LEGEND = (
    "Along the axis to scale, across it × 3. The position of the top helix is from the settings; "
    "those below are drawn three diameters apart (trade practice)."
)


def has_string(view: views.View, subject: str) -> bool:
    """Whether a string is recorded."""
    return not pile.string_placed(view, subject).empty


def string(view: views.View, row: pd.Series, system: str) -> None:
    """Draw the string, its components and the gaps in their traceability."""
    subject = row["subject"]
    st.subheader("String", anchor="string")
    left, right = st.container(key="beside_string").columns([1, 1.2], gap="large")
    with left:
        _drawing(view, row, system)
    with right:
        _string_table(pile.string_placed(view, subject), system)
        numbers_table(row, "steel", system)
        if earlier := pile.earlier_strings(view, subject):
            st.caption(f"Also recorded, not drawn: the string of run {literals(earlier)}.")


def _drawing(view: views.View, row: pd.Series, system: str) -> None:
    held = pile.string_layout(view, row["subject"], row)
    if pd.isna(held.toe_mm) or pd.isna(held.batter_deg):
        st.markdown("Not drawn: the depth of the toe or the batter is not recorded.")
        return
    axis = Axis(
        batter_deg=held.batter_deg,
        azimuth_deg=held.azimuth_deg,
        shaft_mm=held.shaft_mm,
        first_disc_mm=held.first_disc_mm,
        disc_mm=held.disc_mm,
        cut_off_level_mm=held.cut_off_level_mm,
        cut_mm=held.cut_mm,
    )
    figure = views.cached_figure(
        "string",
        (view.key, row["subject"], system),
        lambda: string_drawing(held.parts, held.helices, held.column, axis, system),
    )
    page.fixed_chart(figure, "string", f"String of pile {row['subject']} from head to toe")
    st.caption(LEGEND)


def _string_table(rows: pd.DataFrame, system: str) -> None:
    length = rows["length_mm"].map(lambda value: units.text(_plain(value), "length_mm", system))
    repeated = rows["place"].duplicated()
    shown = pd.DataFrame(
        {
            "Place": rows["place"].astype(str).where(~repeated, ""),
            "Kind": _cell(rows["component"].fillna("not on the register"), rows["piece"]),
            "Stamp": rows["stamp"].where(~repeated, ""),
            "Length": length.where(~repeated, ""),
            "Heat": _cell(rows["heat"].fillna(""), rows["mill"]),
            "Certificate": _cell(rows["certificate"].fillna(""), _paper(rows)),
            "Gap in traceability": rows["gap_text"].fillna(""),
        }
    )
    page.table(shown, ("Place", "Length"), ("Kind", "Heat", "Certificate"))


def _plain(value: object) -> float:
    return float("nan") if pd.isna(value) else float(value)


def _cell(first: pd.Series, second: pd.Series) -> pd.Series:
    """Two texts in one cell, the second small."""
    small = "<small>" + second.fillna("").astype(str).map(escape) + "</small>"
    return first.map(escape) + small.where(second.fillna("").ne(""), "")


def _paper(rows: pd.DataFrame) -> pd.Series:
    kind = ("type " + rows["certificate_type"]).fillna("")
    return kind + (", page " + rows["page"]).fillna("")


CAUTION = (
    "A lift's volume is not the take at that depth: grout is fed at the top and drawn down, so a "
    "loss or a neck may be anywhere above.",
)
VOLUMES = {
    "batched_l": "Batched",
    "left_l": "Left",
    "spilled_l": "Spilled",
    "returned_l": "Returned",
    "net_l": "Net",
    "void_l": "Void",
}


def has_grout(view: views.View, subject: str) -> bool:
    """Whether grout or a sample of it is recorded."""
    lifts, specimens = pile.lifts(view, subject), pile.specimens(view, subject)
    return not (lifts.empty and specimens.empty)


def grout(view: views.View, row: pd.Series, system: str) -> None:
    """Draw lifts, volumes and samples."""
    subject = row["subject"]
    st.subheader("Grout", anchor="grout")
    lifts = pile.lifts(view, subject)
    left, right = st.container(key="beside_grout").columns([1.35, 1], gap="large")
    with left:
        if lifts.empty:
            st.markdown("No placement is recorded.")
        else:
            _take(view, subject, lifts, system)
    with right:
        numbers_table(row, "grout", system)
        _strengths(pile.specimens(view, subject), system)
    if not lifts.empty:
        _lifts(lifts, system)
        page.cautions(CAUTION)


def _take(view: views.View, subject: str, lifts: pd.DataFrame, system: str) -> None:
    limits = pile.take_limits(view, subject)
    figure = views.cached_figure(
        "lifts", (view.key, subject, system), lambda: lifts_of_pile(lifts, limits, system)
    )
    st.plotly_chart(
        figure,
        key="lifts",
        config=page.PLAIN,
        alt=f"Net grout against void of pile {subject} by lift, with take ratios",
    )


def _lifts(lifts: pd.DataFrame, system: str) -> None:
    way = lifts[["from_mm", "to_mm"]].map(lambda depth: units.text(depth, "to_mm", system))
    shown = pd.DataFrame(
        {
            "Lift": lifts["lift_no"].replace("", "gap"),
            "Run": lifts["run_no"].fillna(""),
            "Toe depth from": way["from_mm"],
            "to": way["to_mm"],
        }
    )
    for column, word in VOLUMES.items():
        shown[word] = page.texts(lifts, column, system)
    shown["Take"] = page.texts(lifts, "take_ratio", system)
    shown["Cumulative"] = page.texts(lifts, "cumulative_ratio", system)
    shown["Measured by"] = lifts["how_measured"].fillna("")
    shown["Resolution"] = page.texts(lifts, "resolution_l", system)
    shown["Batches"] = lifts["batches"].fillna("")
    shown["Placed"] = theme.days(lifts["placed_on"])
    shown["Missing"] = lifts["missing"]
    numbers = ("Toe depth from", "to", *VOLUMES.values(), "Take", "Cumulative", "Resolution")
    page.table(shown.loc[:, shown.ne("").any()], tuple(n for n in numbers if shown[n].ne("").any()))


def _strengths(specimens: pd.DataFrame, system: str) -> None:
    st.markdown("**Sample groups**")
    if specimens.empty:
        st.markdown("No sample group represents this pile.")
        return
    strength = page.texts(specimens, "strength_mpa", system)
    due = "due " + theme.days(specimens["due_on"])
    shown = pd.DataFrame(
        {
            "Group": specimens["sample_group_id"],
            "Specimen": specimens["specimen_id"],
            "Age": page.texts(specimens, "age_days", system),
            "Strength": strength.where(specimens["strength_mpa"].notna(), due),
            "Batch": specimens["batch_id"].fillna(""),
            "Piles": specimens["piles"].map("{:,}".format),
        }
    )
    page.table(shown, ("Age", "Strength", "Piles"))


def has_survey(view: views.View, subject: str) -> bool:
    """Whether a survey is recorded."""
    return not pile.surveys(view, subject).empty


def survey(view: views.View, row: pd.Series, system: str) -> None:
    """Draw the as-built place against the design, with the numbers beside."""
    subject = row["subject"]
    surveys = pile.surveys(view, subject)
    st.subheader("Survey", anchor="survey")
    left, right = st.container(key="beside_survey").columns([1, 1.2], gap="large")
    with left:
        _sketch(view, row, surveys, system)
    with right:
        numbers_table(row, "survey", system)
        _surveys(surveys, system)


def _sketch(view: views.View, row: pd.Series, surveys: pd.DataFrame, system: str) -> None:
    limit = Limit(*pile.offset_limit(view, row["pile_type"]))
    leans = row["azimuth_deg"] if row["batter_deg"] > 0 else float("nan")
    figure = views.cached_figure(
        "survey",
        (view.key, row["subject"], system),
        lambda: survey_sketch(surveys, limit, leans, system),
    )
    page.fixed_chart(figure, "survey", f"Pile {row['subject']} as built, against its design")
    point = "design point"
    if pd.notna(row["instruction"]):
        point = f"point of instruction {row['instruction']}"
    st.caption(f"Both at cut-off level, along the axis; the cross is the {literal(point)}.")


def _surveys(surveys: pd.DataFrame, system: str) -> None:
    shown = pd.DataFrame(
        {
            "Survey": surveys["survey_stage"],
            "Date": theme.days(surveys["surveyed_on"]),
            "Offset": page.texts(surveys, "plan_offset_mm", system),
            "Axis": page.texts(surveys, "axis_angle_deg", system),
            "Head level": page.texts(surveys, "head_level_difference_mm", system),
            "Surveyor": surveys["surveyor"].fillna("not recorded"),
            "Reviewed by": surveys["reviewed_by"].fillna("not reviewed"),
            "Assessed": surveys["is_assessed"].map({True: "yes", False: ""}),
        }
    )
    page.table(shown, ("Offset", "Axis", "Head level"))


def worksheet_ways(row: pd.Series) -> list[str]:
    """The sections that this part draws: none for a position without a pile."""
    return [] if pd.isna(row["pile_id"]) else ["Worksheet"]


def worksheet(view: views.View, row: pd.Series, system: str) -> None:
    """Draw the switch, and under it a table of steps per subject."""
    if not worksheet_ways(row):
        return
    st.subheader("Worksheet", anchor="worksheet")
    if not st.toggle("Show how each number is calculated", **state.bound("worksheet")):
        return
    steps = pile.worksheet(view, row["pile_id"])
    if not steps:
        st.markdown("The records of this pile give no values yet.")
        return
    st.markdown(
        "Inputs are in the units shown, each with the file, sheet and row it was read from. "
        "*Above* is the result of an earlier step."
    )
    for subject in dict.fromkeys(step.subject for step in steps):
        st.markdown(f"**{literal(subject.capitalize())}**")
        _steps_table([step for step in steps if step.subject == subject], system)


def _steps_table(steps: list, system: str) -> None:
    rows = pd.DataFrame(
        {
            "Quantity": [escape(step.title) for step in steps],
            "Equation and inputs": [_worked(step) for step in steps],
            "Result": [_result(step, system) for step in steps],
            "Source": [f"<small>{escape(step.source)}</small>" for step in steps],
        }
    )
    page.table(rows, marked=tuple(rows.columns))


def _worked(step) -> str:
    """The equation, and under it each number with what it is and where it comes from."""
    lines = [f'<div class="pw-equation">{escape(step.equation)}</div>'] if step.equation else []
    lines += [
        f"<div><b>{escape(number)}</b> <small>{escape(origin)}</small></div>"
        for number, origin in step.inputs
    ]
    return "".join(lines)


def _result(step, system: str) -> str:
    lines = [f'<b class="pw-result">{escape(step.result)}</b>']
    if step.measure and pd.notna(step.value):
        shown = units.text(step.value, step.measure, system)
        lines.append(f'<small class="pw-result">shown as {escape(shown)}</small>')
    if step.note:
        lines.append(f"<small>{escape(step.note)}</small>")
    return "".join(lines)


def history(view: views.View, row: pd.Series, system: str) -> None:
    """Draw the history, the newest day first."""
    st.subheader("History", anchor="history")
    rows = pile.history(view, row["subject"], system, row)
    if rows.empty:
        st.markdown("No entry concerns this pile.")
        return
    repeated = rows["day"].eq(rows["day"].shift())
    what = rows["what"].map(escape)
    shown = pd.DataFrame(
        {
            "Date": rows["day"]
            .where(~repeated, "")
            .mask(rows["day"].eq("") & ~repeated, "no date"),
            "What": what.where(rows["current"], "<s>" + what + "</s>"),
            "Entered by": rows["person"],
            "File": rows["file"],
            "Entry": rows["entry_no"],
        }
    )
    page.table(shown, ("Entry",), ("What",))
