"""Heats: signs that look alike, what comes near, and the two ways in which one can be lost."""

import numpy as np
import pandas as pd
import pytest

from core.subjects.steel.register import (
    apart,
    folded,
    heats_without_certificate,
    heats_without_delivery,
    like,
    may_be_one_mill,
    nearest,
    similar_heats,
)


def heats(*rows):
    return pd.DataFrame(rows, columns=["mill", "heat"], dtype="str")


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("7O18", "7018"),
        ("I7l", "171"),
        ("S5", "55"),
        ("B8", "88"),
        ("Z2", "22"),
        ("7q-18", "7Q 18"),
    ],
)
def test_signs_taken_for_one_another_fold_to_one(one, other):
    assert folded(one) == folded(other)


def test_other_signs_stay_apart():
    assert folded("7Q1803") != folded("7Q1804")


def test_a_misread_text_comes_before_a_similar_one():
    assert nearest("7Q18O3", ["7Q1804", "7Q1803", "XYZ"]) == ["7Q1803", "7Q1804"]


def test_a_beginning_comes_near_and_a_stranger_does_not():
    assert nearest("XB", ["XB-LONG-NAME-7", "Q"]) == ["XB-LONG-NAME-7"]
    assert nearest("nothing", ["4711", "4712"]) == []


CONFUSED = {"O": "0", "0": "O", "I": "1", "1": "I", "S": "5", "5": "S", "B": "8", "8": "B"}


def mistyped(heat, rng):
    """A heat with one usual confusion: a sign for another, two exchanged, one lost or doubled."""
    kind = rng.choice(["sign", "exchanged", "lost", "doubled", "case"])
    at = int(rng.integers(len(heat) - 1))
    confusable = [place for place, sign in enumerate(heat) if sign in CONFUSED]
    if kind == "sign" and confusable:
        at = int(rng.choice(confusable))
        return heat[:at] + CONFUSED[heat[at]] + heat[at + 1 :]
    if kind == "exchanged":
        return heat[:at] + heat[at + 1] + heat[at] + heat[at + 2 :]
    if kind == "lost":
        return heat[:at] + heat[at + 1 :]
    if kind == "doubled":
        return heat[: at + 1] + heat[at:]
    return f"{heat[:3].lower()}-{heat[3:]}"


@pytest.mark.parametrize("seed", range(3))
def test_of_fifty_mistyped_heats_the_right_one_comes_first_for_48(seed):
    rng = np.random.default_rng(seed)
    signs = list("0123456789ABHKQS")
    known = ["".join(rng.choice(signs, 6)) for _ in range(400)]
    asked = [str(heat) for heat in rng.choice(known, 50, replace=False)]
    written = [mistyped(heat, rng) for heat in asked]
    first = [
        text == heat or nearest(text, known)[:1] == [heat]
        for text, heat in zip(written, asked, strict=True)
    ]
    assert sum(first) >= 48


@pytest.mark.parametrize(
    ("one", "other", "number"),
    [("4B1O77", "4B1077", 1), ("4B1077", "4B1707", 1), ("4B1077", "4B107", 1), ("AB", "XY", 2)],
)
def test_exchanged_neighbours_are_one_character_apart(one, other, number):
    assert apart(one, other) == number


def test_heats_nobody_certified_and_heats_never_received_are_told_apart_by_mill():
    pieces = heats(("Mill X", "1"), ("Mill X", "1"), ("Mill Y", "2"), ("", None))
    listed = heats(("Mill X", "1"), ("Mill X", "2"))
    uncertified = heats_without_certificate(pieces, listed)
    assert uncertified.to_numpy().tolist() == [["Mill Y", "2", 1]]
    assert heats_without_delivery(pieces, listed).to_numpy().tolist() == [["Mill X", "2"]]


def test_everything_certified_and_received_leaves_nothing():
    rows = heats(("Mill X", "1"))
    assert heats_without_certificate(rows, rows).empty
    assert heats_without_delivery(rows, rows).empty


def test_the_heat_on_no_certificate_is_the_doubtful_one():
    pieces = heats(("Mill X", "7O18"), ("Mill X", "7O18"), ("Mill X", "7018"))
    found = similar_heats(pieces, heats(("Mill X", "7018")))
    assert found[["heat", "looks_like", "pieces"]].to_numpy().tolist() == [["7O18", "7018", 2]]


def test_of_two_heats_on_no_certificate_the_rarer_is_doubtful():
    pieces = heats(("Mill X", "7O18"), ("Mill X", "7018"), ("Mill X", "7018"))
    found = similar_heats(pieces, heats())
    assert found[["heat", "looks_like"]].to_numpy().tolist() == [["7O18", "7018"]]


def test_a_heat_names_those_it_may_be_misread_for_of_its_mill_or_of_none_known():
    pieces = heats(("Mill X", "7O18"), ("Mill X", "7018"), ("Mill Y", "7O1B"), ("", "70I8"))
    found = like(pieces, heats(("Mill X", "7018")), "7O18", "Mill X")
    assert found[["heat", "pieces", "listed"]].to_numpy().tolist() == [
        ["70I8", 1, False], ["7018", 1, True],
    ]  # fmt: skip


def test_heats_of_two_known_mills_are_not_misreadings():
    pieces = heats(("Mill X", "7O18"), ("Mill Y", "7018"))
    assert similar_heats(pieces, heats()).empty
    assert len(similar_heats(heats(("", "7O18"), ("Mill Y", "7018")), heats())) == 1


def test_a_heat_without_its_mill_may_be_of_every_mill_and_two_named_mills_are_two():
    mills = pd.Series(["Mill X", "Mill Y", "", None], dtype="str")
    assert may_be_one_mill(mills, "Mill X").tolist() == [True, False, True, True]
    assert may_be_one_mill(mills, "").tolist() == [True] * 4
    others = pd.Series(["Mill X", "Mill X", "Mill X", ""], dtype="str")
    assert may_be_one_mill(mills, others).tolist() == [True, False, True, True]
    assert may_be_one_mill(mills[:0], "Mill X").empty
