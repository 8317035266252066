"""Record kinds describe themselves: names, aliases, keys and units leave nothing to guess."""

from __future__ import annotations

from collections import Counter

import pytest

from core import units
from core.errors import WrongUse
from core.records import KIND, KINDS, MEASURES, Kind
from core.records.kinds import declared
from core.settings.tables import Tables

FROM_FILES = [kind for kind in KINDS if kind.from_files]
FIRST_KINDS = [
    "schedule", "pile", "instrument", "calibration", "calibration_point", "run", "torque_reading",
    "grout_batch", "grout_placement", "grout_specimen", "sample_group_member", "delivery", "lot",
    "component", "piece", "component_placed", "certificate", "heat_on_certificate",
    "certificate_file", "quarantine", "survey", "borehole", "borehole_layer", "stage_record",
    "sign_off", "mapping",
]  # fmt: skip


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_a_heading_means_one_column_of_the_kind(kind):
    spelled = Counter()
    for column in kind.columns:
        own = {column.name, column.name.replace("_", " "), *column.aliases}
        spelled.update({heading.casefold().strip() for heading in own})
    assert [heading for heading, columns in spelled.items() if columns > 1] == []


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_a_kind_describes_its_row_its_columns_and_its_key(kind):
    assert kind.description
    assert [column.name for column in kind.columns if not column.meaning.endswith(".")] == []
    assert set(kind.key) <= set(kind.names)
    for name in kind.key:
        column = kind.column(name)
        assert column.required or column.default is not None, name


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_no_column_takes_a_name_that_the_ledger_gives_every_row(kind):
    own = {"entry_no", "row_no", "sheet", "file", "source_no", "removed", "incoming_no"}
    assert own.isdisjoint(kind.names)


def test_kinds_stand_after_the_kinds_they_refer_to():
    order = list(KIND)
    for kind in KINDS:
        parents = [reference.parent.name for reference in kind.refers_to]
        assert all(order.index(name) < order.index(kind.name) for name in parents)


def test_the_first_kinds_keep_their_order():
    assert [name for name in KIND if name in FIRST_KINDS] == FIRST_KINDS


def test_every_order_is_a_place_of_its_own():
    orders = Counter(kind.order for kind in KINDS if kind.order != Kind.order)
    assert [order for order, kinds in orders.items() if kinds > 1] == []


def _package(tmp_path, monkeypatch, name, **modules):
    folder = tmp_path / name
    folder.mkdir()
    (folder / "__init__.py").touch()
    for module, text in modules.items():
        start = "from core.records.kinds import Column, Kind, Reference\n"
        (folder / f"{module}.py").write_text(start + text, encoding="utf-8")
    monkeypatch.syspath_prepend(str(tmp_path))
    return name, [str(folder)]


_COLUMNS = 'Column("cap", "text", "Cap.", required=True)'


def test_a_kind_of_any_module_is_found_after_its_parent_and_by_its_order(tmp_path, monkeypatch):
    package = _package(
        tmp_path,
        monkeypatch,
        "found_kinds",
        caps=f'CAP = Kind("cap", "cap", "one cap", ("cap",), ({_COLUMNS},), order=900)',
        a_pour="from found_kinds.caps import CAP\n"
        f'POUR = Kind("pour", "pour", "one pour", ("cap",), ({_COLUMNS},), (Reference(CAP),), '
        "order=10)",
        later=f'LATER = Kind("later", "later", "one", ("cap",), ({_COLUMNS},))',
    )
    assert [kind.name for kind in declared(*package)] == ["cap", "pour", "later"]


def test_two_kinds_of_one_name_are_refused(tmp_path, monkeypatch):
    one = f'ONE = Kind("cap", "cap", "one cap", ("cap",), ({_COLUMNS},))'
    package = _package(tmp_path, monkeypatch, "double_kinds", first=one, second=one)
    with pytest.raises(WrongUse, match="Two record kinds are called cap"):
        declared(*package)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_a_declaration_names_columns_of_its_own(kind):
    assert not kind.day or kind.column(kind.day).form == "date"
    named = {*kind.at_least_one, *kind.distinctive, *kind.shared_columns}
    assert named <= set(kind.names)
    tables = [column.settings_table for column in kind.columns if column.settings_table]
    assert set(tables) <= set(Tables.model_fields)
    assert [column.name for column in kind.columns
            if column.future_allowed and column.form != "date"] == []  # fmt: skip


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_a_reference_has_its_reason(kind):
    assert [one.parent.name for one in kind.refers_to if not one.reason.endswith(".")] == []


def test_checks_with_a_parent_belong_to_the_finest_kind_of_a_sheet():
    parents = {kind.sheet_parent.name for kind in KINDS if kind.sheet_parent}
    for kind in KINDS:
        assert not kind.checks_with_parent or kind.sheet_parent
        assert not kind.checks_with_parent or kind.name not in parents


def test_a_shared_column_is_held_by_the_rows_of_the_sheet_as_well():
    for kind in KINDS:
        finer = [one for one in KINDS if one.sheet_parent is kind]
        assert bool(finer) or not kind.shared_columns
        assert all(set(kind.shared_columns) <= set(one.names) for one in finer)


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


@pytest.mark.parametrize(
    "kind", [kind for kind in KINDS if kind.from_files], ids=lambda kind: kind.name
)
def test_every_column_that_files_may_hold_has_an_example(kind):
    assert [name for name, example in kind.examples.items() if not example] == []
    for column in kind.columns:
        assert not column.choices or column.example in column.choices


def test_every_unit_is_told_in_a_spelling_that_a_file_may_use():
    for role in units.SPELLINGS:
        for expression, spelling in units.usual_spellings(role).items():
            assert units.accepted(spelling, role) == expression
