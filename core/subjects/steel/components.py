"""Components of a string as delivered and placed, and what their stamps read."""

from __future__ import annotations

from functools import cached_property

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from core.records import pattern_fault
from core.records.current_rows import CurrentRows
from core.subjects.columns import Column, Values, first_known, take
from core.subjects.steel.register import folded
from core.subjects.steel.selection import Delivered, Placed
from core.subjects.tables import Links, Members, Table, Texts, column, evidence, measure, recorded


def read(stamps: pd.Series, pattern: str) -> pd.DataFrame:
    """One row per row of ``stamps``: ``reads``, and a column of text for each named group.

    The whole stamp must fit. Raises ValueError for a pattern that `pattern_fault` faults.
    """
    if fault := pattern_fault(pattern):
        raise ValueError(fault)
    texts = pa.array(stamps.to_list(), pa.string())
    found = pc.extract_regex(texts, pattern=f"^(?:{pattern})$")
    reads = pd.Series(found.is_valid().to_pylist(), index=stamps.index, dtype=bool)
    columns = {
        field.name: pd.Series(found.field(at).to_pylist(), index=stamps.index, dtype="str")
        for at, field in enumerate(found.type)
    }
    parts = {name: values.where(reads & values.ne("")) for name, values in columns.items()}
    return pd.DataFrame({"reads": reads, **parts})


def differing(said: pd.Series, recorded: pd.Series) -> pd.Series:
    """Whether the heat that a stamp says is none of those recorded, signs that look alike equal.

    ``recorded``: heats of the component's pieces, joined by commas; nothing differs from none.
    """
    pairs = zip(said, recorded, strict=True)
    found = [
        isinstance(one, str)
        and isinstance(others, str)
        and folded(one) not in {folded(other) for other in others.split(", ")}
        for one, others in pairs
    ]
    return pd.Series(found, index=said.index, dtype=bool)


class Component(Table):
    """One component delivered by its own stamp, or a number of them by the stamp of their lot."""

    subject, record, title = "steel", "component", "of component {stamp}"
    delivered: Delivered
    places: Members[ComponentPlaced]  # in strings that count
    length_mm = recorded()
    rated_torque_nm = recorded()

    @cached_property
    def is_lot(self) -> Values:
        """Whether one stamp stands for a lot."""
        return is_at(self.delivered.kinds.is_text("stamp_is", "lot"), self.delivered.kind)

    @column("number", "components of this delivery, 1 where they are not counted")
    def quantity(self) -> Values:
        """As recorded, else 1."""
        return self._count("quantity", 1)

    @column("number", "components left on site or returned")
    def left_over(self) -> Values:
        """As recorded, else 0."""
        return self._count("left_over", 0)

    @column("number", "components scrapped")
    def scrapped(self) -> Values:
        """As recorded, else 0."""
        return self._count("scrapped", 0)

    @column("number", "components in the last string of each pile")
    def placed(self) -> Values:
        """Places in strings that count."""
        return self.places.number

    @column("number", "components that are in no pile")
    def not_placed(self) -> Values:
        """None where more are placed than delivered."""
        found: Values = np.maximum(self.quantity - self.placed, 0)
        return found

    @column("number", "components that are neither placed nor left over nor scrapped")
    def in_store(self) -> Values:
        """None where more are used than delivered."""
        used = self.placed + self.left_over + self.scrapped
        found: Values = np.maximum(self.quantity - used, 0)
        return found

    def _count(self, name: str, nothing: int) -> Values:
        values = self.numbers(name)
        return np.where(np.isnan(values), nothing, values).astype(np.int64)


class ComponentPlaced(Table):
    """One place in the string of one run, counted from the toe up."""

    subject, record, title = "steel", "component_placed", "of {component} {stamp}"
    placed: Placed
    components: Component
    used_length_mm = recorded()

    @cached_property
    def kind(self) -> Values:
        """Row of the component kinds, -1 for none."""
        return at_rows(self.components.delivered.kind, self.placed.component)

    @measure("working length")
    def length_mm(self) -> Column:
        """As placed, else as delivered."""
        return first_known(
            self.used_length_mm, take(self, self.components.length_mm, self.placed.component)
        )

    @measure("rated torque")
    def rated_torque_nm(self) -> Column:
        """Of the component delivered."""
        return take(self, self.components.rated_torque_nm, self.placed.component)

    @cached_property
    def is_single(self) -> Values:
        """Whether the stamp is one single component's own."""
        return is_at(self.components.delivered.kinds.is_text("stamp_is", "piece"), self.kind)

    def of_component(self, name: str) -> Texts:
        """A text of the component delivered."""
        rows = self.components.rows
        return Texts(at_rows(rows.codes(name), self.placed.component), rows.texts(name))

    @cached_property
    def delivery_id(self) -> Texts:
        """The delivery named, else the only one of its stamp."""
        return Texts(self.placed.delivery, self.placed.delivery_ids)


class PlaceAgain(Table):
    """One place of a single component whose stamp is in another place, too."""

    subject, record, title = "steel", "component_placed", "of {stamp}"
    places: CurrentRows
    at: Values  # row of each place
    other: Values  # row of the other place

    @column("text", "pile of the other place")
    def other_pile(self) -> Texts:
        """Of the first other place."""
        return Texts(self.places.codes("pile_id")[self.other], self.places.texts("pile_id"))

    @column("number", "the other place in its string")
    def other_place(self) -> Values:
        """Counted from the toe up."""
        return self.places.values("place")[self.other]


class Lot(Table):
    """One stamp of a lot, over all its deliveries."""

    subject = "steel"
    components: Members[Component]
    places: Members[ComponentPlaced]  # in strings that count

    @column("number", "components delivered", evidence=lambda lot: lot.evidence("lot"))
    def delivered(self) -> Values:
        """A delivery without a quantity brought one."""
        return self._total(self.components.below.quantity)

    @column("number", "components left over")
    def left_over(self) -> Values:
        """As recorded."""
        return self._total(self.components.below.left_over)

    @column("number", "components scrapped")
    def scrapped(self) -> Values:
        """As recorded."""
        return self._total(self.components.below.scrapped)

    @column("number", "components placed")
    def placed(self) -> Values:
        """In the last string of each pile."""
        return self.places.number.astype(float)

    @column("number", "components placed, left over and scrapped")
    def used(self) -> Values:
        """To compare with what was delivered."""
        found: Values = self.placed + self.left_over + self.scrapped
        return found

    @evidence("its deliveries and the places where it is")
    def lot(self) -> list[Links]:
        """By stamp."""
        return [*self.components.links(), *self.places.links()]

    def _total(self, values: Values) -> Values:
        return self.components.reduce(np.add, values, 0).astype(float)


class Parent(Table):
    """One stamp from which other components are cut."""

    subject = "steel"
    deliveries: Members[Component]  # of the stamp itself
    remnants_cut: Members[Component]
    places: Members[ComponentPlaced]  # of the stamp itself, in strings that count
    cut_off: Values  # of each place: what was cut off the top of its string

    @column("number", "length of what is cut from it")
    def remnants_mm(self) -> Values:
        """Unknown while the length of a remnant is."""
        return self._length(self.remnants_cut)

    @column("flag", "it is on the register")
    def parent_known(self) -> Values:
        """Whether a delivery brought it."""
        return self.deliveries.number > 0

    @column("number", "length delivered")
    def delivered_mm(self) -> Values:
        """Unknown while the length of a delivery is."""
        return self._length(self.deliveries)

    @column("number", "length in the ground, less what was cut off the top")
    def ground_mm(self) -> Values:
        """None of it where it is in no string; unknown while a length is."""
        length = self.places.below.length_mm.values - self.cut_off
        return self.places.reduce(np.add, length, 0.0)

    @column("text", "stamps of what is cut from it")
    def remnants(self) -> Texts:
        """In the order of their stamps."""
        rows = self.remnants_cut.below.rows
        texts, codes = rows.texts("stamp"), rows.codes("stamp")
        own = [self.remnants_cut.of(row).tolist() for row in range(len(self))]
        words = [", ".join(texts[codes[row]] for row in rows) for rows in own]
        return Texts(np.arange(len(self)), words)

    @evidence("it, and what is cut from it, as delivered")
    def remnant(self) -> list[Links]:
        """By stamp."""
        return [*self.deliveries.links(), *self.remnants_cut.links()]

    def _length(self, members: Members[Component]) -> Values:
        below = members.below
        return members.reduce(np.add, below.quantity * below.length_mm.values, np.nan)


def at_rows(codes: Values, rows: Values) -> Values:
    """``codes`` at ``rows``, -1 where the row is none."""
    found: Values = np.append(codes, -1)[rows]
    return found


def is_at(mask: Values, rows: Values) -> Values:
    """``mask`` at ``rows``, False where the row is none."""
    found: Values = np.append(mask, False)[rows]
    return found
