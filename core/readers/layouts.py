"""A layout: how one sender lays a sheet out, as a person said once and the ledger remembers."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from core.errors import WrongUse
from core.readers.conventions import Conventions, DateOrder, Decimal


class Origin(BaseModel):
    """Where the values of one column come from: exactly one of the four places.

    ``header`` is the text of the header, its rows joined by a blank; ``cell`` an address such as
    B3; ``tab`` the sheet's name; ``text`` one value for every row. ``before`` is text to leave out
    in front of the value; ``unit`` the spelling of its unit.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")
    header: str = ""
    cell: str = Field(default="", pattern=r"^([A-Z]{1,3}[1-9][0-9]{0,6})?$")
    tab: bool = False
    text: str = ""
    before: str = ""
    unit: str = ""


class Layout(BaseModel):
    """One way to lay out a sheet. ``columns`` are the record's columns with their origin.

    ``header_rows`` are the first and last row of the header; ``fill_down`` are columns whose blank
    cells mean *as above*; rows that start with a word of ``passed_over`` are no records; the table
    ends at its first blank row or at the last row of the sheet. ``not_read`` are headings that
    whoever laid the sheet out saw and left out: that they resemble a known word stops nothing.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")
    kinds: tuple[str, ...] = Field(min_length=1)
    header_rows: tuple[int, int]
    columns: dict[str, Origin]
    date_order: DateOrder = ""
    decimal: Decimal = ""
    fill_down: tuple[str, ...] = ()
    ends: Literal["blank row", "last row"] = "last row"
    passed_over: tuple[str, ...] = ()
    left_out_sheets: tuple[str, ...] = ()
    number_prefix: str = ""
    not_read: tuple[str, ...] = ()

    @property
    def conventions(self) -> Conventions:
        """How the sheet writes dates and numbers."""
        return Conventions(self.date_order, self.decimal)


class Remembered(BaseModel):
    """A layout with the sender whose files it fits and its name."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    sender: str
    name: str
    layout: Layout


def layout_of(text: str) -> Layout:
    """A layout from its JSON text. Raises WrongUse with every fault."""
    try:
        return Layout.model_validate_json(text)
    except ValidationError as error:
        faults = "; ".join(
            f"{'.'.join(map(str, fault['loc']))}: {fault['msg']}" for fault in error.errors()
        )
        raise WrongUse(f"The layout cannot be used: {faults}.") from error
