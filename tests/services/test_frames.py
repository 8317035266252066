"""Every frame that crosses rooms has the columns that are declared of it, each in its form."""

from __future__ import annotations

from functools import cached_property
from typing import get_type_hints

import numpy as np
import pandas as pd
import pytest

from core import services
from core.frames import FRAMES, Column, Frame
from core.frames.assessment import OF_ASSESSMENT
from core.frames.services import OF_SERVICES
from core.records import KIND
from tests.services.small import empty_project, log, small_project, take_in

MIDNIGHT = np.timedelta64(0, "us")
# What nobody can ask of a job without a row: it is about one pile, stamp, heat or entry.
OF_ONE = ("search.", "recall.", "trace.", "string.", "pile_history.", "what_if.", "changes",
          "import.")  # fmt: skip
NONE_IN_THE_SAMPLE = ("steel.files",)
WITHOUT_A_RECORD = ("steel.coverage.area", "steel.coverage.supplier", "scenario_options.factors")
SERVICES = {
    "assessment": services.Assessment,
    "grouting": services.Grouting,
    "compared": services.Comparison,
    "steel": services.Steel,
    "search": services.SearchResult,
    "recall": services.QuarantineEffect,
    "trace": services.Trace,
    "string": services.StringLayout,
    "pile_history": services.PileHistory,
    "what_if": services.WhatIf,
    "scenario_options": services.ScenarioOptions,
    "import": services.ImportReport,
}
ALIKE = {  # handed on as another service has them
    "grouting.specimens": "specimens",
    "steel.pieces": "pieces",
    "steel.heats": "heats",
    "search.trace": "steel.trace",
    "search.certificates": "steel.certificates",
    "search.stock": "steel.stock",
    "search.remnants": "steel.remnants",
}


def of_assessment(assessment) -> dict[str, pd.DataFrame]:
    """Every declared frame of an assessment by name."""
    measured, steel = assessment.measured, assessment.measured.steel
    of = {
        "evidence": assessment.evidence(),
        "reached": measured.reached.frame("stage", "stage_on"),
        "after": measured.after.frame("work", "done_on"),
    }
    for name in OF_ASSESSMENT:
        for room in (assessment, measured, steel):
            if name not in of and isinstance(getattr(room, name, None), pd.DataFrame):
                of[name] = getattr(room, name)
    return of


def of_services(assessment) -> dict[str, pd.DataFrame]:
    """Every declared frame that a service makes of a whole job, by name."""
    piles, items, folder = assessment.piles, assessment.attention, assessment.folder
    grout, beside, held = (
        of(assessment) for of in (services.grouting, services.compared, services.steel_of)
    )
    lacking = services.missing(held)
    trace_boxes, lines = services.trace_boxes(held.trace, 100)
    return {
        **named("grouting", grout),
        **named("compared", beside),
        **{f"compared.bands.{along}": band for along, band in beside.bands.items()},
        **named("steel", held),
        **{
            f"steel.{name}": lacking[name]
            for name in ("lots", "uncertified", "doubtful", "remnants")
        },
        **{f"steel.coverage.{by}": services.coverage(held, by) for by in ("area", "supplier")},
        "steel.trace_boxes": trace_boxes,
        "steel.lines": lines,
        "steel.stamps": services.stamps_on_register(folder),
        "outstanding.responsible": services.items_by_responsible(items),
        "outstanding.subjects": services.items_by_subject(items),
        "outstanding.waiting": services.waits_for_engineer(piles, items),
        "history": services.history(folder),
        "layouts": services.stored_layouts(folder),
        **named("scenario_options", services.scenario_options(assessment)),
    }


def of_one(assessment) -> dict[str, pd.DataFrame]:
    """Every declared frame about one pile, stamp, heat or entry."""
    piles, held = assessment.piles, services.steel_of(assessment)
    trace = held.trace[held.trace["latest"]]
    grouted = piles[piles["grouted"].eq(True) & piles["pile_id"].isin(trace["pile_id"])].iloc[0]
    missing_by_responsible = services.missing_by_responsible(assessment)["piles"].explode()
    broken = trace["gap_text"].notna() & trace["pile_id"].isin(missing_by_responsible)
    of_pile = services.Match("pile", trace.loc[broken, "pile_id"].iloc[0])
    sought = services.search(held, of_pile)
    alike = services.missing(held)["doubtful"].iloc[0]
    heat = services.Match("heat", alike["looks_like"], alike["mill"])
    left = held.stock.loc[held.stock["not_placed"] > 0, "stamp"]
    stamp = left[left.isin(trace["stamp"])].iloc[0]
    return {
        **named("string", services.string_layout(assessment, grouted)),
        **named("search", sought),
        "search.concerns": services.concerns(assessment, held, of_pile, sought),
        "search.similar_heats": services.similar_heats_of(held, heat),
        **named("recall", services.quarantine_effect(assessment, heat.text, heat.mill)),
        **named("trace", services.trace(assessment, "stamp", stamp)),
        **named("pile_history", services.pile_history(assessment, grouted)),
        **named("what_if", services.what_if(assessment.folder, ["loads x 1.3"])),
        "changes": services.entry_changes(assessment.folder, 2),
    }


def of_import(parent) -> dict[str, pd.DataFrame]:
    """Every declared frame of an import, of files that lack something, differ or are at fault."""
    folder, good = small_project(parent, log()), log()
    imports = (
        ("other.csv", good.replace("2.7,6.4", "2.7,6.3")),  # another value
        ("log_1.csv", "\n".join(good.splitlines()[:-1])),  # a row less
        ("log_2.csv", f"Log of rig 1\n{log('102').replace('2.0', 'two')}"),  # title, no number
        ("log_3.csv", log("1033")),  # a number near another
        ("log_4.csv", log("103").replace("\n", ",dry\n").replace(",dry", ",Weather", 1)),
    )
    found: dict[str, pd.DataFrame] = {}
    for file in imports:
        for name, frame in named("import", take_in(folder, file)).items():
            if name not in found or found[name].empty:
                found[name] = frame
    return found


def named(service: str, made) -> dict[str, pd.DataFrame]:
    """The frames of what a service returns that are declared under its name."""
    names = [*OF_SERVICES, *ALIKE]
    own = {
        name: name.removeprefix(f"{service}.") for name in names if name.startswith(f"{service}.")
    }
    return {name: getattr(made, field) for name, field in own.items() if hasattr(made, field)}


def faults(frame: pd.DataFrame, declared: Frame) -> list[str]:
    """Where a frame is not as it is declared."""
    wanted = {column.name: column for column in declared.columns}
    found = [f"{name} is not declared" for name in frame if name not in wanted]
    found += [f"{name} is missing" for name in wanted if name not in frame]
    found += [
        f"{name} is no {column.form}: {frame[name].dtype}"
        for name, column in wanted.items()
        if name in frame and not fits(frame[name], column)
    ]
    return found


def fits(values: pd.Series, column: Column) -> bool:
    """Whether a column's type is that of its form; objects are looked at one by one."""
    dtype, form = values.dtype, column.form
    if form in ("date", "timestamp"):
        days = values.to_numpy() if dtype == "datetime64[us]" else None
        known = days[~np.isnat(days)] if days is not None else None
        return known is not None and (
            form == "timestamp" or bool(np.all(known - known.astype("datetime64[D]") == MIDNIGHT))
        )
    if form == "integer":
        return pd.api.types.is_integer_dtype(dtype)
    if form == "number":
        return pd.api.types.is_numeric_dtype(dtype) and not pd.api.types.is_bool_dtype(dtype)
    kinds = {"text": str, "texts": tuple, "flag": (bool, np.bool_)}[form]
    if pd.api.types.is_object_dtype(dtype):
        return all(one is None or isinstance(one, kinds) for one in values)
    return pd.api.types.is_bool_dtype(dtype) if form == "flag" else dtype == "str"


@pytest.fixture(scope="module")
def of_sample(sample_assessment, tmp_path_factory):
    """The frames of the sample, and of an import."""
    made = [of(sample_assessment) for of in (of_assessment, of_services, of_one)]
    made.append(of_import(tmp_path_factory.mktemp("import")))
    return {name: frame for frames in made for name, frame in frames.items()}


@pytest.fixture(scope="module")
def of_nothing(tmp_path_factory):
    """The frames of a job with settings and nothing else."""
    assessment = services.assess(empty_project(tmp_path_factory.mktemp("nothing")))
    return {**of_assessment(assessment), **of_services(assessment)}


@pytest.mark.parametrize("service", SERVICES)
def test_every_frame_that_a_service_returns_is_declared(service):
    made = SERVICES[service]
    found = dict(get_type_hints(made))
    for name, one in vars(made).items():
        if isinstance(one, cached_property):
            found[name] = get_type_hints(one.func)["return"]
    names = [f"{service}.{name}" for name, form in found.items() if form is pd.DataFrame]
    assert names
    declared = {ALIKE.get(name, name.removeprefix("assessment.")) for name in names}
    assert declared <= set(FRAMES)


# Functions that hand on one frame, and its declaration; texts for people are none.
OF_FUNCTIONS = {
    "concerns": "search.concerns", "coverage": "steel.coverage.area", "entry_changes": "changes",
    "filtered_items_of": "attention", "history": "history", "lifts_of_pile": "lifts",
    "items_by_responsible": "outstanding.responsible", "missing": "steel.lots",
    "items_by_subject": "outstanding.subjects", "quarantine_of": "steel.story",
    "similar_heats_of": "search.similar_heats", "stamps_on_register": "steel.stamps",
    "stored_layouts": "layouts", "string_placed": "trace", "trace_boxes": "steel.trace_boxes",
    "waits_for_engineer": "outstanding.waiting",
}  # fmt: skip
FOR_PEOPLE = {
    "data_dictionary", "explain", "items_in_words", "margin_texts", "measured_texts",
    "missing_by_responsible", "published", "published_tables", "read_stamps",
}  # fmt: skip


def hands_on_frames(service) -> bool:
    """Whether a function returns frames, or a class of services has one among its fields."""
    if isinstance(service, type):
        fields = getattr(service, "__dataclass_fields__", {}).values()
        return any("DataFrame" in str(one.type) for one in fields)
    return "DataFrame" in str(getattr(service, "__annotations__", {}).get("return"))


def test_no_service_hands_on_a_frame_that_is_not_declared():
    found = {name for name in services.__all__ if hands_on_frames(getattr(services, name))}
    classes = {made.__name__ for made in SERVICES.values()}
    assert found <= classes | set(OF_FUNCTIONS) | FOR_PEOPLE
    assert set(OF_FUNCTIONS.values()) <= set(FRAMES)
    assert set(OF_FUNCTIONS) | FOR_PEOPLE <= set(services.__all__)


@pytest.mark.parametrize("name", FRAMES)
def test_a_frame_of_the_sample_is_as_it_is_declared(of_sample, name):
    assert faults(of_sample[name], FRAMES[name]) == []
    assert bool(len(of_sample[name])) is (name not in NONE_IN_THE_SAMPLE)


@pytest.mark.parametrize("name", [name for name in FRAMES if not name.startswith(OF_ONE)])
def test_a_frame_without_a_row_is_as_it_is_declared(of_nothing, name):
    assert faults(of_nothing[name], FRAMES[name]) == []
    assert not len(of_nothing[name]) or name in WITHOUT_A_RECORD


@pytest.mark.parametrize("name", ALIKE)
def test_a_frame_that_is_handed_on_is_as_the_other_service_declares_it(of_sample, name):
    assert faults(of_sample[name], FRAMES[ALIKE[name]]) == []


def test_a_column_that_nobody_declared_is_caught(of_sample):
    planted = of_sample["runs"].assign(depth_of_stop=1.0)
    assert faults(planted, FRAMES["runs"]) == ["depth_of_stop is not declared"]


def test_a_column_that_is_lost_is_caught(of_sample):
    assert faults(of_sample["runs"].drop(columns="why"), FRAMES["runs"]) == ["why is missing"]


@pytest.mark.parametrize(
    ("column", "values", "caught"),
    [
        ("toe_mm", 3.5, "toe_mm is no integer: float64"),
        ("cut_off_mm", True, "cut_off_mm is no integer: bool"),
        ("closed", 1.0, "closed is no flag: float64"),
        ("rig", 1, "rig is no text: int64"),
        ("ground_level_m", "12", "ground_level_m is no number: str"),
        ("run_on", pd.Timestamp("2026-03-02 10:00"), "run_on is no date: datetime64[us]"),
        ("started_at", "10:00", "started_at is no timestamp: str"),
    ],
)
def test_a_column_in_another_form_is_caught(of_sample, column, values, caught):
    planted = of_sample["runs"].assign(**{column: values})
    assert faults(planted, FRAMES["runs"]) == [caught]


def test_an_object_of_another_form_is_caught():
    column = Column("item", "text", "what it is")
    assert fits(pd.Series(["a", None], dtype=object), column)
    assert not fits(pd.Series(["a", 1.5], dtype=object), column)


@pytest.mark.parametrize("frame", FRAMES.values(), ids=lambda frame: frame.name)
def test_every_column_says_what_it_is_and_its_form_is_that_of_its_name(frame):
    assert frame.description
    assert frame.name not in KIND  # one name is one entry of the dictionary
    for column in frame.columns:
        assert column.meaning.strip("."), column.name
        assert not column.unit or f"[{column.unit}]" not in column.meaning, column.name
        assert not column.unit or column.form in ("number", "integer"), column.name
        assert not column.name.endswith("_on") or column.form == "date", column.name
        assert not column.name.endswith("_at") or column.form in ("timestamp", "text"), column.name
