"""Every frame that crosses rooms has the columns that are declared of it, each in its form."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from core import flow
from core.flow.frames import FRAMES, Column, Frame
from core.records import KIND
from tests.flow.small import empty_project

MIDNIGHT = np.timedelta64(0, "us")


def produced(assessment) -> dict[str, pd.DataFrame]:
    """Every declared frame of an assessment by name."""
    measured, steel = assessment.measured, assessment.measured.steel
    of = {
        "evidence": assessment.evidence(),
        "reached": measured.reached.frame("stage", "stage_on"),
        "after": measured.after.frame("work", "done_on"),
    }
    for room in (assessment, measured, steel):
        of |= {name: getattr(room, name) for name in FRAMES if name not in of and has(room, name)}
    return of


def has(room, name: str) -> bool:
    return isinstance(getattr(room, name, None), pd.DataFrame)


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
    if form in ("date", "moment"):
        days = values.to_numpy() if dtype == "datetime64[us]" else None
        known = days[~np.isnat(days)] if days is not None else None
        return known is not None and (
            form == "moment" or bool(np.all(known - known.astype("datetime64[D]") == MIDNIGHT))
        )
    if form == "whole":
        return pd.api.types.is_integer_dtype(dtype)
    if form == "number":
        return pd.api.types.is_numeric_dtype(dtype) and not pd.api.types.is_bool_dtype(dtype)
    kinds = {"text": str, "texts": tuple, "flag": (bool, np.bool_)}[form]
    if pd.api.types.is_object_dtype(dtype):
        return all(one is None or isinstance(one, kinds) for one in values)
    return pd.api.types.is_bool_dtype(dtype) if form == "flag" else dtype == "str"


@pytest.fixture(scope="module")
def of_sample(sample_assessment):
    """The frames of the sample."""
    return produced(sample_assessment)


@pytest.fixture(scope="module")
def of_nothing(tmp_path_factory):
    """The frames of a job with settings and nothing else."""
    return produced(flow.assess(empty_project(tmp_path_factory.mktemp("nothing"))))


@pytest.mark.parametrize("name", FRAMES)
def test_a_frame_of_the_sample_is_as_it_is_declared(of_sample, name):
    assert faults(of_sample[name], FRAMES[name]) == []
    assert len(of_sample[name])


@pytest.mark.parametrize("name", FRAMES)
def test_a_frame_without_a_row_is_as_it_is_declared(of_nothing, name):
    assert faults(of_nothing[name], FRAMES[name]) == []
    assert not len(of_nothing[name])


def test_a_column_that_nobody_declared_is_caught(of_sample):
    planted = of_sample["runs"].assign(depth_of_stop=1.0)
    assert faults(planted, FRAMES["runs"]) == ["depth_of_stop is not declared"]


def test_a_column_that_is_lost_is_caught(of_sample):
    assert faults(of_sample["runs"].drop(columns="why"), FRAMES["runs"]) == ["why is missing"]


@pytest.mark.parametrize(
    ("column", "values", "caught"),
    [
        ("toe_mm", 3.5, "toe_mm is no whole: float64"),
        ("cut_off_mm", True, "cut_off_mm is no whole: bool"),
        ("closed", 1.0, "closed is no flag: float64"),
        ("rig", 1, "rig is no text: int64"),
        ("ground_level_m", "12", "ground_level_m is no number: str"),
        ("run_on", pd.Timestamp("2026-03-02 10:00"), "run_on is no date: datetime64[us]"),
        ("started_at", "10:00", "started_at is no moment: str"),
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
    assert frame.row_is
    assert frame.name not in KIND  # one name is one entry of the dictionary
    for column in frame.columns:
        assert column.meaning.strip("."), column.name
        assert not column.unit or column.form in ("number", "whole"), column.name
        assert not column.name.endswith("_on") or column.form == "date", column.name
        assert not column.name.endswith("_at") or column.form in ("moment", "text"), column.name
