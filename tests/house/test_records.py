"""Record kinds describe themselves: names, aliases, keys and units leave nothing to guess."""

from __future__ import annotations

from collections import Counter

import pytest

from core import units
from core.records import EXAMPLES, KIND, KINDS, MEASURES


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_a_heading_means_one_column_of_the_kind(kind):
    spelled = Counter()
    for column in kind.columns:
        own = {column.name, column.name.replace("_", " "), *column.aliases}
        spelled.update({heading.casefold().strip() for heading in own})
    assert [heading for heading, columns in spelled.items() if columns > 1] == []


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_a_kind_describes_its_row_its_columns_and_its_key(kind):
    assert kind.row_is
    assert [column.name for column in kind.columns if not column.meaning.endswith(".")] == []
    assert set(kind.key) <= set(kind.names)
    for name in kind.key:
        column = kind.column(name)
        assert column.required or column.absent is not None, name


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_no_column_takes_a_name_that_the_ledger_gives_every_row(kind):
    own = {"entry_no", "row_no", "sheet", "file", "source_no", "removed", "incoming_no"}
    assert own.isdisjoint(kind.names)


def test_kinds_stand_after_the_kinds_they_refer_to():
    order = list(KIND)
    for kind in KINDS:
        parents = [reference.parent.name for reference in kind.refers_to]
        assert all(order.index(name) < order.index(kind.name) for name in parents)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_a_reference_names_columns_of_both_kinds(kind):
    for reference in kind.refers_to:
        assert set(reference.columns) <= set(kind.names)
        assert set(reference.columns.values()) <= set(reference.parent.names)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_what_a_row_needs_is_in_its_key_and_has_no_alternative(kind):
    for reference in kind.needs:
        assert set(reference.columns) <= set(kind.key)
        same = [one for one in kind.refers_to if one.columns.keys() == reference.columns.keys()]
        assert same == [reference]


def test_text_and_dates_carry_no_unit():
    plain = [(kind.name, c.name) for kind in KINDS for c in kind.columns if c.form == "text"]
    assert [pair for pair in plain if units.suffix_of(pair[1])] == []


def test_measures_have_one_name_and_one_word_each():
    assert len({measure.name for measure in MEASURES}) == len(MEASURES)
    assert len({measure.word for measure in MEASURES}) == len(MEASURES)


def test_every_column_that_files_may_hold_has_an_example():
    assert set(EXAMPLES) == {kind.name for kind in KINDS if kind.from_files}
    for name, examples in EXAMPLES.items():
        assert tuple(examples) == KIND[name].names
        assert all(examples.values())
        for column in KIND[name].columns:
            assert not column.one_of or examples[column.name] in column.one_of


def test_every_unit_is_told_in_a_spelling_that_a_file_may_use():
    for role in units.SPELLINGS:
        for expression, spelling in units.usual_spellings(role).items():
            assert units.accepted(spelling, role) == expression
