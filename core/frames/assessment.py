"""Frames of an assessment and of what is measured for it."""

from __future__ import annotations

from core import units
from core.criteria.base import Table as SettingsTable
from core.frames.declaring import (
    ORDER,
    PLACE,
    Column,
    Columns,
    Form,
    Frames,
    number,
    of_kind,
    of_table,
    own,
    without,
)
from core.records import KIND
from core.settings.frames import OF_TYPE
from core.settings.tables import ComponentKind, HelixSet, PileType, Section
from core.subjects.grout.lifts import Lift, Placement
from core.subjects.grout.measures import Pile as GroutOfPile
from core.subjects.grout.samples import Specimen
from core.subjects.piles.measures import DIRECTIONS, Lengths, Loads, Resistances
from core.subjects.piles.measures import Run as RunOfPile
from core.subjects.piles.selection import OF_LAST_RUN, OF_SCHEDULE
from core.subjects.registry import CRITERION, PARAMETERS
from core.subjects.steel.components import Component, Lot, Parent, PlaceAgain
from core.subjects.steel.measures import Pile as SteelOfPile
from core.subjects.steel.pieces import LIMITS, RESULTS, PiecePlaced
from core.subjects.steel.quality import CHECKED, QUALITIES
from core.subjects.survey.measures import Pile as SurveyOfPile
from core.subjects.survey.measures import Survey
from core.subjects.torque.measures import Pile as TorqueOfPile
from core.subjects.torque.readings import Reading
from core.subjects.torque.uncertainty import PileUncertainty, ReadingUncertainty

_MODELS: dict[str, type[SettingsTable]] = {
    "types": PileType,
    "sections": Section,
    "helix_sets": HelixSet,
}
_FORMS: dict[str, Form] = {"str": "text", "float64": "number"}


def _of_settings() -> Columns:
    """What the type of a pile gives: its section, its helices, and parameters of criteria."""
    found = dict(own("text", reason_status="whether a reason for stopping is required"))
    for name, (table, field) in OF_TYPE.items():
        model = _MODELS[table]
        given = model.model_fields.get(field)
        meaning = given.description if given else getattr(model, field).__doc__
        flag = given is not None and given.annotation is bool
        form: Form = "flag" if flag else "number" if units.suffix_of(name) else "text"
        found[name] = Column(name, form, meaning or "", f"{table}.{field}")
    for key, field, name, dtype in PARAMETERS:
        meaning = CRITERION[key].model_fields[field].description
        found[name] = Column(name, _FORMS[dtype], meaning or "", f"criteria.{key}.{field}")
    return found


def _of_component_kind() -> Columns:
    """What the kind of a component tells and asks of it."""
    columns: dict[str, tuple[str, Form]] = {
        "stamp_is": ("stamp_is", "text"),
        "traceability": ("traceability", "text"),
        "certificate_type_asked": ("certificate_type", "text"),
        "zinc_lot_asked": ("zinc_lot", "flag"),
        "zinc_um_asked": ("zinc_um", "number"),
        "origin_asked": ("origin", "text"),
    }
    fields = ComponentKind.model_fields
    found = dict(own("text", component="what components of the kind are called"))
    for name, (field, form) in columns.items():
        meaning = fields[field].description or ""
        if form == "number":  # its name does not end in the unit
            meaning += f" [{units.unit_word(field)}]"
        found[name] = Column(name, form, meaning, f"component_kinds.{field}")
    return found


def _of_grade() -> Columns:
    """What the grade of a piece asks of each result on its certificate."""
    found = {}
    for limit, result in zip(LIMITS, RESULTS, strict=True):
        which = "minimum" if limit.startswith("min") else "maximum"
        of = KIND["heat_on_certificate"].column(result).meaning
        meaning = f"{which} {of[0].lower()}{of[1:].rstrip('.')} that its grade allows"
        found[limit] = Column(limit, "number", meaning, "steel_grades")
    return found


def _of_factors() -> Columns:
    """Safety factor and torque factor that fit the load of each direction."""
    found: dict[str, Column] = {}
    for one in DIRECTIONS:
        safety, factor = f"{one}_safety_factor", f"{one}_torque_factor_per_m"
        found[safety] = Column(
            safety, "number", f"safety factor on the load in {one}", "safety_factors.value"
        )
        found[factor] = Column(
            factor, "number", f"torque factor that fits the pile in {one}", "torque_factors.value"
        )
        for field, word in (("id", "row"), ("source", "document")):
            name = f"{one}_torque_factor_{field}"
            meaning = f"{word} of the torque factor in {one}"
            found[name] = Column(name, "text", meaning, f"torque_factors.{field}")
    return found


def _pieces(names: tuple[str, ...]) -> Columns:
    """Marks of a piece of steel that the piles count."""
    return {
        name: Column(name, "flag", f"one of the {SteelOfPile.declared[name].meaning}")
        for name in names
    }


_OF_RUN = {**of_kind("run", "run_on"), **ORDER}
# Texts that only the worksheet shows, behind a number.
_BEHIND_STEPS = ("load_source", "required_because", "factor_source", "section_document")

_PILES: Columns = {
    **of_kind("schedule", **OF_SCHEDULE),
    **of_kind("pile"),
    **PLACE,
    **own(
        "number",
        easting_m="easting at cut-off level, by instruction or by the schedule",
        northing_m="northing at cut-off level, by instruction or by the schedule",
        run_ground_level_m="level of the ground at the pile by its last run",
    ),
    **own("integer", runs="runs of the pile"),
    **own(
        "flag",
        in_latest="whether the newest revision of its structure names the position",
        current="whether the position needs support",
        counted="whether it is a production pile",
        reason_required="whether a reason for stopping is required",
        being_driven="whether its last run has no toe yet and no work came after it",
    ),
    **_of_settings(),
    **of_kind("run", *OF_LAST_RUN, **OF_LAST_RUN),
    **number(of_kind("run", "predrilled_length_mm", "first_disc_depth_mm")),
    **_of_factors(),
    **without({**of_table(Lengths), **of_table(Loads), **of_table(Resistances)}, *_BEHIND_STEPS),
    **of_table(TorqueOfPile),
    **of_table(PileUncertainty),
    **of_table(SurveyOfPile),
    **of_table(GroutOfPile),
    **of_table(SteelOfPile),
    **own("text", stage="stage of the pile, or of its position while no pile serves it"),
    **own("date", stage_on="day on which that stage was reached"),
}
_STATE: Columns = {
    **own(
        "text",
        state="state that findings, stage and sign-offs give",
        signed_by="who signed the pile last",
        sign_off_note="what there is to know of that sign-off",
    ),
    **own("date", signed_on="day of that sign-off"),
}

_PROFILE: Columns = {
    **without(of_kind("torque_reading"), "turning_speed_rpm"),
    **of_kind("run", "rig", "run_on", "started_at", "ended_at"),
    **ORDER,
    **PLACE,
    **of_table(Reading, "torque_nm", "torque_lower_bound_nm", "ceiling_torque_nm"),
    **of_table(ReadingUncertainty, "torque_uncertainty_nm"),
    **of_table(Lengths, "toe_mm"),
    **number(of_kind("run", "predrilled_length_mm")),
    **own("date", read_on="day of the reading on the site"),
    **own("number", curve_pressure_kpa="pressure that goes into the calibration curve"),
    **own(
        "text",
        event_words="events that the text names",
        certificate="calibration certificate whose curve is used",
        range="where the reading lies on its curve: in, above, below or none",
        curve_pressure_kind="kind of pressure in which reading and curve are compared",
        no_torque_because="why the reading has no torque",
        not_counted_because="why a current reading is not assessed",
    ),
    **own(
        "flag",
        of_header="whether it is the final reading of a run's header",
        in_force="whether a certificate of the instrument was in force on that day",
        kinds_differ="whether reading and curve are of different kinds of pressure",
        superseded="whether it gave way to a lower reading at the toe",
        current="whether it is of the last run over its depth, and neither missed nor superseded",
        counts="whether its torque is held against a limit",
        inside="whether its depth is in the final window",
        in_window="whether it stands in the final window",
    ),
}
_RECORDED: Columns = {
    **of_kind("torque_reading", "pile_id", "run_no", "depth_mm"),
    **ORDER,
    **own("text", text="what was written beside a reading, or as a remark of a run"),
    **own("text", event_words="events that the text names"),
    **PLACE,
}
_RUNS: Columns = {
    **of_kind("run"),
    **PLACE,
    **ORDER,
    **own("number", hours_since_last_run="hours from the end of the pile's run before"),
    **own("date", ended_on="day on which the run ended, on the site"),
    **of_table(RunOfPile),
}
_LIFTS: Columns = {
    **of_kind("grout_placement", "pile_id", "run_no", "lift_no"),
    **ORDER,
    **PLACE,
    **without(of_table(Lift), "reach_mm", "begun_mm"),
    **of_kind("grout_placement", "batched_l", "left_l", "spilled_l", "returned_l"),
}
_PLACED: Columns = {
    **of_kind("grout_placement"),
    **_OF_RUN,
    **PLACE,
    **of_table(Placement),
}

_STRINGS: Columns = {
    **of_kind("component_placed"),
    **_OF_RUN,
    **PLACE,
    **of_table(PiecePlaced, "deliveries", "delivery_named", "on_register", "latest"),
    **own("text", all_deliveries="numbers of these deliveries"),
    **of_kind(
        "component", "component_kind", "lot", "length_mm", "section", "helix_set",
        "rated_torque_nm", "rated_torque_document", "zinc_lot", "zinc_um", "delivered_on",
        "supplier",
    ),
    **of_kind("lot", "used_from_on", "used_to_on"),
    **_of_component_kind(),
}  # fmt: skip
_CHAIN: Columns = {
    **_STRINGS,
    **of_kind("piece", "piece", "mill", "heat", "certificate"),
    **of_kind("certificate", "certificate_type", "standard", "grade"),
    **of_kind("heat_on_certificate", "page", "melted_in", *RESULTS),
    **_of_grade(),
    **of_table(
        PiecePlaced, "possible_heats", "counts", "mill_count", "on_file", "listed", "grade_set",
        "quarantined",
    ),
    **own(
        "text",
        all_heats="numbers of these heats",
        mills="names of these mills",
        quarantine_note="who put its heat in quarantine, when and why",
        **{"gap_text": PiecePlaced.declared["gap_text"].meaning},
    ),
    **own(
        "flag",
        named="whether the piece names its certificate",
        short="whether it falls short of what its kind asks of its trace",
    ),
    **_pieces(("off_register", "untraced", "uncertified", "unlisted", "low_type")),
    **_pieces(("with_certificate_asked", "with_certificate_named", "with_type_asked")),
    **_pieces(("with_results_asked", *CHECKED, *QUALITIES)),
}  # fmt: skip
_REGISTER: Columns = {
    **of_kind("component"),
    **PLACE,
    **_of_component_kind(),
    **of_kind("lot", "used_from_on", "used_to_on"),
    **of_table(Component),
    **of_kind("piece", "piece", "mill", "heat", "certificate"),
}

_FINDINGS: Columns = {
    **own(
        "text",
        subject_kind="what the subject is: a pile, a position, an instrument, a heat …",
        subject="what the finding is about",
        pile_id="number of the pile; none where the finding is not about a pile",
        finding="identifier of the kind of finding",
        kind="kind of finding, as screens show it",
        run="run that it is about; empty for the whole subject",
        part="lift, batch, depth or stamp that it is about; empty for the whole subject",
        result="result, from not met to met",
        sense="side of the limit on which the measured value should lie",
        unit_column="column whose ending is the unit of measured value and limit",
        clause="clause of the contract that asks for it",
        note="more about it in words",
        measure="measure or record kind whose rows it rests on",
        parameter="parameter of project.toml that is missing for it",
        item="what several findings have in common that are one outstanding item",
    ),
    **own(
        "number",
        measured="measured value, in the unit of unit_column",
        limit_value="limit, or what the measured value is compared with, in the same unit",
        margin="how far the measured value lies on the right side of the limit",
        uncertainty="expanded uncertainty of the measured value",
    ),
    **own("date", due_on="day on which its evidence falls due"),
}
_ATTENTION: Columns = {
    **{
        name: _FINDINGS[name]
        for name in ("kind", "subject", "subject_kind", "result", "measured", "limit_value",
                     "sense", "unit_column", "clause", "note")
    },
    **own(
        "text",
        area="area of the subject, or areas of the piles that share the item",
        blocks="letters of what it blocks",
        responsible="code of who is responsible",
        closed_by="what closes it",
    ),
    **own("texts", piles="piles that it concerns"),
    **own("date", due="day on which its evidence fell or falls due"),
    **own("integer", age_days="days since it is outstanding"),
}  # fmt: skip

OF_ASSESSMENT: Frames = {
    "piles": ("one pile, or one live position that no pile serves", {**_PILES, **_STATE}),
    "positions": (
        "one position",
        {
            **{name: _PILES[name] for name in ("position_id", "area", "current")},
            **own("text", state="worst state of the piles that it needs"),
            **own("flag", accepted="whether every pile that it needs is accepted"),
        },
    ),
    "findings": ("one finding", _FINDINGS),
    "attention": ("one outstanding item", _ATTENTION),
    "seen": (
        "one pile that somebody signed",
        {**of_kind("pile", "pile_id"), **of_kind("sign_off", "seen", "digest")},
    ),
    "evidence": (
        "one row of a file behind one finding",
        {
            **own("integer", finding="place of the finding among the findings"),
            **own(
                "text",
                subject="what the finding is about",
                kind="kind of finding, as screens show it",
                record="record kind of the row",
                file="name of the file; empty for a form",
            ),
            **PLACE,
            **own("integer", row="row of the sheet, where the file is known"),
        },
    ),
    "profile": ("one reading of torque", _PROFILE),
    "recorded": ("one event beside a reading, or one remark of a run", _RECORDED),
    "runs": ("one run", _RUNS),
    "reached": ("one stage of one pile", of_kind("stage_record", "pile_id", "stage", "stage_on")),
    "after": (
        "one kind of work that shows that a pile's last run ended",
        {
            **of_kind("pile", "pile_id"),
            **own("text", work="work that came after the last run"),
            **own("date", done_on="first day of that work"),
        },
    ),
    "surveys": (
        "one as-built survey of one pile",
        {**of_table(Survey), **of_kind("survey"), **PLACE},
    ),
    "lifts": ("one lift of grout", _LIFTS),
    "placed": ("what one batch gave to one lift", _PLACED),
    "batches": ("one batch of grout", {**of_kind("grout_batch"), **PLACE}),
    "specimens": (
        "one specimen of grout",
        {**of_kind("grout_specimen"), **PLACE, **of_table(Specimen)},
    ),
    "sampled": (
        "one pile that one sample group represents",
        {**of_kind("sample_group_member"), **PLACE},
    ),
    "strings": ("one component placed", _STRINGS),
    "trace": ("one piece of steel placed, from the toe up", _CHAIN),
    "delivered": ("one component delivered", {**of_kind("component"), **PLACE}),
    "register": ("one piece of steel delivered", _REGISTER),
    "again": (
        "one place of a stamp that is in another place, too",
        {
            **of_kind("component_placed", "pile_id", "place", "stamp", "delivery_id"),
            **of_table(PlaceAgain),
        },
    ),
    "lots": ("one stamp of a lot", {**of_kind("component", "stamp"), **of_table(Lot)}),
    "cut": (
        "one stamp that others are cut from",
        {**of_kind("component", "cut_from"), **of_table(Parent)},
    ),
    "pieces": ("one piece of steel recorded", {**of_kind("piece"), **PLACE}),
    "heats": ("one heat on one certificate", {**of_kind("heat_on_certificate"), **PLACE}),
}
