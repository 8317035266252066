"""Stamps read by a pattern: the whole stamp, named groups, and no pattern that never ends."""

import re
import time

import pandas as pd
import pytest

from core.records import pattern_fault
from core.subjects.steel import components as measures

PATTERN = r"(?P<material>[A-Z])(?P<year>\d{2})-(?P<heat>[0-9A-Z]{6})(?:/(?P<number>\d+))?"


def texts(*stamps):
    return pd.Series(stamps, dtype="str")


def test_every_fact_of_a_stamp_stands_under_its_name():
    read = measures.read(texts("T26-7Q1803/12", "T26-7Q1803", "T26-7Q18", "xT26-7Q1803"), PATTERN)
    assert read["reads"].tolist() == [True, True, False, False]
    assert read.iloc[0].drop("reads").to_dict() == {
        "material": "T", "year": "26", "heat": "7Q1803", "number": "12",
    }  # fmt: skip
    assert read["number"].isna().tolist() == [False, True, True, True]
    assert read.iloc[2].drop("reads").isna().all()


def test_a_pattern_of_two_ways_of_stamping_reads_both():
    read = measures.read(texts("L-12", "X/A"), r"L-(?P<number>\d+)|X/(?P<lot>[A-Z])")
    assert read["reads"].all()
    assert read["lot"].fillna("").tolist() == ["", "A"]


def test_no_stamps_give_no_rows_with_their_columns():
    assert list(measures.read(texts(), PATTERN)) == ["reads", "material", "year", "heat", "number"]


@pytest.mark.parametrize(
    ("pattern", "fault"),
    [
        ("(?P<a>x", "missing )"),
        ("(?P<a>x(?=y))", "invalid perl operator"),
        ("(x)(?P<a>y)", "unnamed groups"),
        ("abc", "names no group"),
        ("(?P<stamp>x)", "cannot be called stamp"),
    ],
)
def test_a_pattern_that_cannot_be_read_says_why(pattern, fault):
    assert fault in pattern_fault(pattern)
    with pytest.raises(ValueError, match=re.escape(pattern_fault(pattern))):
        measures.read(texts("x"), pattern)


def test_a_pattern_that_would_keep_others_busy_ends_at_once():
    begun = time.monotonic()
    assert not measures.read(texts("a" * 5000 + "b"), "(?P<x>(?:a+)+)").iloc[0]["reads"]
    assert time.monotonic() - begun < 5


def test_a_heat_that_the_stamp_says_otherwise_differs_look_alikes_do_not():
    said = texts("7Q1803", "7Q1803", "7Q1803", "7Q1803", None)
    recorded = texts("7Q1803", "7Q18O3, 9K1", "7Q1804", None, "7Q1803")
    assert measures.differing(said, recorded).tolist() == [False, False, True, False, False]
