"""Tables whose methods are measures: values of all rows, steps of one, evidence, unknown numbers.

The tables of this module are invented: carts that carry buckets of sand.
"""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.records.current_rows import CurrentRows
from core.subjects.columns import (
    Book,
    Column,
    Condition,
    added,
    assume,
    calculate,
    choose,
    first_known,
    minimum_of,
    take,
    withhold,
)
from core.subjects.tables import (
    Members,
    Table,
    Texts,
    column,
    evidence,
    measure,
    other,
    recorded,
    setting,
)

PLACE = {"entry_no": 3, "sheet": "sand", "row_no": 7}


def filled(width_mm, depth_mm):
    """Volume of a square bucket [mm**3].

    width_mm: inside width [mm]
    depth_mm: depth of the sand [mm]

    Equation: V = w²·d, with w = width_mm, d = depth_mm.
    Source: geometry.
    """
    return width_mm**2 * depth_mm


class Bucket(Table):
    """One bucket of sand on a cart."""

    subject, record, title = "sand", "bucket", "of bucket {bucket_no}"
    depth_mm = recorded()
    width_mm = setting("buckets.{size}.width_mm")

    @measure("volume")
    def volume_l(self):
        """The sand in the bucket."""
        return calculate(filled, self)


class Cart(Table):
    """One cart."""

    subject, record = "sand", "cart"
    buckets: Members[Bucket]

    @measure("sand on the cart", evidence=lambda cart: cart.buckets.links())
    def sand_l(self):
        """All buckets together, unknown while one is."""
        return self.buckets.total(self.buckets.below.volume_l)

    @measure("minimum bucket")
    def min_l(self):
        """The smallest known bucket."""
        return self.buckets.minimum(self.buckets.below.volume_l, "the minimum known")

    @column("number", "buckets on the cart")
    def number(self):
        """How many there are."""
        return self.buckets.number

    @column("text", "why the sand is unknown")
    def why(self):
        """Words for the carts of which a bucket has no depth."""
        gap = self.buckets.any(~self.buckets.below.depth_mm.known)
        return Texts.of(len(self), (gap, "a bucket has no depth"))

    @evidence("the cart's own sheet")
    def sheet(self):
        """The row of the cart."""
        return self.own_links()


class Load(Table):
    """One cart, weighed."""

    subject = "weight"
    sand_l = other("sand")

    @measure("sand without the bottom litre")
    def net_l(self):
        """What is taken off."""
        less = assume(self, 1.0, "a litre stays at the bottom", "litre")
        return calculate(difference, self, first_l=self.sand_l, second_l=less)


def difference(first_l, second_l):
    """A volume less another [litre].

    first_l: the first [litre]
    second_l: the second [litre]

    Equation: D = a − b, with a = first_l, b = second_l.
    Source: arithmetic.
    """
    return first_l - second_l


def carts(depths, traced=False, number=None):
    """Carts with the depths of their buckets [mm]; each bucket is 100 mm wide."""
    flat = [(cart, depth) for cart, own in enumerate(depths) for depth in own]
    buckets = pd.DataFrame(
        {
            "bucket_no": pd.Series([str(i) for i in range(len(flat))], dtype="str"),
            "size": pd.Series(["S"] * len(flat), dtype="str"),
            "depth_mm": pd.Series([depth for _, depth in flat], dtype="float64"),
            "width_mm": pd.Series([100.0] * len(flat), dtype="float64"),
            **{name: [value] * len(flat) for name, value in PLACE.items()},
            "entry_no": pd.Series(range(1, len(flat) + 1), dtype="int64"),
        }
    )
    own = pd.DataFrame({"cart_id": [f"C{i}" for i in range(len(depths))], **PLACE})
    cart = Cart(CurrentRows.of_frame(own if len(own) else own.astype({"cart_id": "str"})),
                traced=traced)  # fmt: skip
    below = Bucket(CurrentRows.of_frame(buckets), traced=traced)
    cart.buckets = Members(below, cart, np.array([c for c, _ in flat], dtype=np.int64))
    return cart


def test_measures_of_all_rows_in_the_unit_of_their_names():
    cart = carts([[100, 200], [50], [np.nan, 10], []])
    assert cart.sand_l.values[:2] == pytest.approx([3.0, 0.5])
    assert np.isnan(cart.sand_l.values[2:]).all()  # one is unknown; there is none
    assert cart.min_l.values[:3] == pytest.approx([1.0, 0.5, 0.1])
    assert cart.number.tolist() == [2, 1, 2, 0]
    assert cart.why.array().tolist() == ["", "", "a bucket has no depth", ""]


def test_the_steps_of_one_row_come_of_the_same_declaration():
    cart = carts([[100, 200]], traced=True)
    book = Book(lambda key: key.replace("width_mm", "width = 100 mm"))
    result = book.value(cart.sand_l, 0)
    titles = [step.title for step in book.steps]
    assert titles == ["Volume of bucket 0", "Volume of bucket 1", "Sand on the cart"]
    first, last = book.steps[0], book.steps[-1]
    assert (first.equation, first.value, first.unit) == ("V = w²·d", pytest.approx(1.0), "L")
    assert first.inputs[0].source == "project.toml: buckets.S.width = 100 mm"
    assert (first.inputs[1].origin.record, first.inputs[1].origin.entry_no) == ("bucket", 1)
    assert first.note == "1 L = 1,000,000 mm³"
    assert [one.value for one in last.inputs] == pytest.approx([1.0, 2.0])
    assert [one.description for one in last.inputs] == ["volume of bucket 0", "volume of bucket 1"]
    assert (first.measure, last.measure) == ("", "")  # neither is printed
    assert result.source == "above: sand on the cart"


class Hole(Table):
    """One hole beside a cart, filled from it."""

    subject, record = "grout", "hole"
    depth_mm, width_mm = recorded(), recorded()

    @measure(digits=1, note=lambda hole, row: f"hole {row}")
    def void_l(self):
        """What the hole holds."""
        return calculate(filled, self)


class Filled(Table):
    """One cart with the hole that it fills."""

    subject = "grout"
    hole: Hole

    @measure()
    def void_l(self):
        """The hole's own number."""
        return take(self, self.hole.void_l, np.array([1, -1]))


def test_a_printed_measure_keeps_its_digits_and_is_one_step_in_the_tables_above():
    frame = pd.DataFrame({"depth_mm": [10.0, 123.456], "width_mm": [100.0, 100.0], **PLACE})
    hole = Hole(CurrentRows.of_frame(frame), traced=True)
    assert hole.void_l.values.tolist() == [0.1, 1.2]
    own = Filled(carts([[], []]).rows, traced=True)
    own.hole = hole
    assert own.void_l.values.tolist() == pytest.approx([1.2, np.nan], nan_ok=True)
    book = Book(str)
    assert book.value(own.void_l, 0).value == 1.2
    (step,) = book.steps
    assert (step.measure, step.value) == ("void_l", 1.2)
    assert step.note == "hole 1; 1 L = 1,000,000 mm³; to 0.1 L"
    assert book.value(own.void_l, 1).source == "not recorded"
    assert len(book.steps) == 1


def weight(unit_weight_kn_m3, thickness_m):
    """Weight of layers on an area [kPa].

    unit_weight_kn_m3: unit weight [kN/m**3]
    thickness_m: thickness [m]

    Equation: s = w₁·t₁ + … + wₙ·tₙ, with w₁ … wₙ = unit_weight_kn_m3, t₁ … tₙ = thickness_m.
    Source: weight.
    """
    return np.sum(unit_weight_kn_m3 * thickness_m)


def test_a_sum_of_products_prints_both_numbers_of_every_member():
    cart = carts([[100, 200], [np.nan]], traced=True)
    below = cart.buckets.below
    heavy = assume(below, 18.0, "sand", "kN/m**3")
    found = cart.buckets.sum_of_products(
        weight, unit_weight_kn_m3=heavy, thickness_m=below.depth_mm
    )
    assert found.values.tolist() == pytest.approx([5.4, np.nan], nan_ok=True)
    book = Book(str)
    book.value(found, 0)
    (step,) = book.steps
    assert [(one.symbol, one.value, one.unit) for one in step.inputs] == [
        ("w₁", 18.0, "kN/m³"), ("t₁", 0.1, "m"), ("w₂", 18.0, "kN/m³"), ("t₂", 0.2, "m")
    ]  # fmt: skip
    assert step.subject == "sand"  # of its table, though the sum has no name


def test_a_single_member_is_handed_on_and_a_row_without_number_prints_why():
    cart = carts([[100], [np.nan]], traced=True)
    book = Book(str)
    book.value(cart.sand_l, 0)
    assert book.steps[-1].inputs[0].source == "above: volume of bucket 0"
    held = withhold(cart.sand_l, (~cart.sand_l.known, "a bucket has no depth"))
    assert Book(str).value(held, 1).source == "a bucket has no depth"


def test_a_measure_of_another_table_brings_its_steps():
    cart = carts([[100, 200]], traced=True)
    load = Load(cart.rows, traced=True, sand=cart)
    book = Book(str)
    book.value(load.net_l, 0)
    assert [step.subject for step in book.steps] == ["sand", "sand", "sand", "weight"]
    assert book.steps[-1].inputs[1].source == "a litre stays at the bottom"
    assert book.steps[-1].value == pytest.approx(2.0)


def test_a_bulk_evaluation_keeps_no_trace():
    cart = carts([[100, 200]])
    assert cart.sand_l.derivation is None
    with pytest.raises(ValueError, match="bulk"):
        Book(str).value(cart.sand_l, 0)


def test_evidence_is_declared_and_by_default_the_own_record():
    cart = carts([[100, 200], [50], []])
    (behind,) = cart.evidence("sand_l")
    assert behind.record == "bucket"
    assert behind.newest(len(cart)).tolist() == [2, 3, 0]
    assert cart.evidence("min_l")[0].newest(len(cart)).tolist() == [3, 3, 3]
    assert cart.evidence("sheet")[0].record == "cart"
    with pytest.raises(LookupError, match="net_l"):
        Load(cart.rows, sand=cart).evidence("net_l")


def test_every_column_of_no_rows_is_empty():
    cart = carts([])
    for name, values in cart.columns():
        assert len(values) == 0, name
    assert carts([[], []]).min_l.values.tolist() == pytest.approx([np.nan] * 2, nan_ok=True)


def test_a_measure_that_needs_itself_is_refused():
    class Ring(Table):
        """A row that goes in a circle."""

        subject = "ring"

        @measure("round")
        def round_mm(self):
            return self.round_mm

    with pytest.raises(RecursionError, match=r"Ring\.round_mm needs itself"):
        _ = Ring(carts([[1.0]]).rows).round_mm


class Row(Table):
    """One row of two numbers."""

    subject = "rows"


def rows_of(**numbers):
    frame = pd.DataFrame({name: pd.Series(v, dtype="float64") for name, v in numbers.items()})
    return Row(CurrentRows.of_frame(frame))


NUMBER = st.one_of(st.just(np.nan), st.floats(-100, 100))
PAIRS = st.lists(st.tuples(NUMBER, NUMBER), min_size=1, max_size=8)


@given(PAIRS)
def test_a_choice_whose_comparison_is_unknown_is_unknown(pairs):
    a, b = np.array(pairs).T
    table = rows_of(a_mm=a, b_mm=b)
    one, two = table.recorded("a_mm"), table.recorded("b_mm")
    found = choose(table, (one > two, one), otherwise=two).values
    unknown = np.isnan(a) | np.isnan(b)
    assert np.isnan(found[unknown]).all()
    assert found[~unknown].tolist() == np.maximum(a, b)[~unknown].tolist()


@given(PAIRS)
def test_conditions_follow_three_valued_logic(pairs):
    a, b = np.array(pairs).T
    table = rows_of(a_mm=a, b_mm=b)
    one, two = table.recorded("a_mm") > 0, table.recorded("b_mm") > 0

    def three(values):
        return [None if np.isnan(value) else bool(value > 0) for value in values]

    def shown(condition: Condition):
        return [None if u else bool(t) for t, u in zip(condition.true, condition.unknown,
                                                       strict=True)]  # fmt: skip

    both = [
        False if False in pair else (None if None in pair else True)
        for pair in zip(three(a), three(b), strict=True)
    ]
    either = [
        True if True in pair else (None if None in pair else False)
        for pair in zip(three(a), three(b), strict=True)
    ]
    assert shown(one & two) == both
    assert shown(one | two) == either
    assert shown(~one) == [None if v is None else not v for v in three(a)]


@given(PAIRS)
def test_only_a_stated_fallback_fills_a_gap(pairs):
    a, b = np.array(pairs).T
    table = rows_of(a_mm=a, b_mm=b)
    one, two = table.recorded("a_mm"), table.recorded("b_mm")
    filled_in = first_known(one, two).values
    assert np.isnan(filled_in).tolist() == (np.isnan(a) & np.isnan(b)).tolist()
    total = added(table, "sum", (None, "a", one), (None, "b", two)).values
    assert np.isnan(total).tolist() == (np.isnan(a) | np.isnan(b)).tolist()
    minimum = minimum_of(table, {"a": one, "b": two}, "the minimum known").values
    assert np.isnan(minimum).tolist() == (np.isnan(a) & np.isnan(b)).tolist()


def test_a_column_in_another_unit_is_converted_on_its_way_into_a_formula():
    table = rows_of(first_l=[3.0], second_l=[1.0])
    cubic = Column(table, np.array([1_000_000.0]), "mm**3")
    assert calculate(
        difference, table, first_l=table.recorded("first_l"), second_l=cubic
    ).values.tolist() == [2.0]


GROUPS = st.lists(st.tuples(st.integers(0, 3), NUMBER), min_size=0, max_size=12)


@given(GROUPS)
def test_members_give_running_numbers_of_their_own_owner_alone(pairs):
    owner = np.array([one for one, _ in pairs], dtype=np.int64)
    values = [value for _, value in pairs]
    below, above = rows_of(a_mm=values), rows_of(a_mm=[0.0] * 4)
    members = Members(below, above, owner)
    number = below.recorded("a_mm")
    own = [[values[at] for at in np.flatnonzero(owner == one)] for one in range(4)]
    running, maximum = members.running(number).values, members.running_maximum(number).values
    previous, place = members.previous(number).values, members.place()
    for one in range(4):
        rows = np.flatnonzero(owner == one)
        summed, most = np.cumsum(own[one]), np.maximum.accumulate(own[one] or [0.0])
        assert running[rows].tolist() == pytest.approx(summed.tolist(), nan_ok=True, abs=1e-9)
        assert maximum[rows].tolist() == pytest.approx(most[: len(rows)].tolist(), nan_ok=True)
        before = [np.nan, *own[one][:-1]][: len(rows)]
        assert previous[rows].tolist() == pytest.approx(before, nan_ok=True)
        assert place[rows].tolist() == list(range(len(rows)))
        alone = Members(rows_of(a_mm=own[one]), rows_of(a_mm=[0.0]), np.zeros(len(rows), np.int64))
        total = alone.total(alone.below.recorded("a_mm")).values[0]
        # Bit by bit: a sum hangs on its own members alone.
        assert total == members.total(number).values[one] or np.isnan(total)


def test_texts_of_members_are_joined_once_each_in_their_order():
    frame = pd.DataFrame({"name": pd.Series(["b", "a", "b", None, "c"], dtype="str")})
    below, above = Row(CurrentRows.of_frame(frame)), rows_of(a_mm=[0.0] * 3)
    members = Members(below, above, np.array([0, 0, 0, 1, 2]))
    assert members.joined(below.text("name")).array().tolist() == ["b, a", "", "c"]


def test_a_table_declares_what_the_classes_that_it_combines_declare():
    class Wheel(Table):
        """The wheel of a cart."""

        subject = "wheels"

        @column("number", "wheels")
        def wheels(self):
            return np.full(len(self), 4)

    class Wagon(Cart, Wheel):
        """A cart on wheels."""

    assert {"sand_l", "wheels"} <= set(Wagon.declared)


def test_a_text_of_texts_is_made_once_for_each_combination_and_a_missing_one_is_empty():
    cart = Texts(np.array([0, 1, 0, 0, 2]), ["A", "B", "A"])
    sand = Texts(np.array([0, 0, 0, -1, 0]), ["sand"])
    found = Texts.filled("{cart}: {sand}", cart=cart, sand=sand)
    assert found.array().tolist() == ["A: sand", "B: sand", "A: sand", "A: ", "A: sand"]
    assert sorted(found.words) == ["A: ", "A: sand", "B: sand"]
