"""How files are to be read, as far as a person has answered: locale, layouts, headings, senders."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from core import units
from core.errors import WrongUse
from core.readers.headers import folded

DateOrder = Literal["", "year month day", "day month year", "month day year", "day number"]
Decimal = Literal["", "point", "comma"]
DATE_ORDERS: tuple[str, ...] = tuple(order for order in get_args(DateOrder) if order)
DECIMALS: tuple[str, ...] = tuple(mark for mark in get_args(Decimal) if mark)


@dataclass(frozen=True)
class Locale:
    """Order of dates and decimal mark; empty when nobody has said.

    ``day number`` is a spreadsheet's count of days, in cells that lost their date format.
    """

    date_order: str = ""
    decimal: str = ""


DEFAULT_LOCALE = Locale()


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
    def conventions(self) -> Locale:
        """How the sheet writes dates and numbers."""
        return Locale(self.date_order, self.decimal)


class StoredLayout(BaseModel):
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


NOT_RECORDED = "not recorded"
_QUANTITY = re.compile(r"\s*(?P<number>[0-9]+(?:\.[0-9]+)?)\s*(?P<unit>\D.*?)\s*")


class PressureAnswer(BaseModel):
    """Of which kind pressures are under a heading that does not state it.

    ``return_pressure`` is the return pressure assumed beside a line pressure, a number with its
    unit, or *not recorded*.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")
    kind: Literal["", "differential", "line"] = ""
    return_pressure: str = ""

    @property
    def quantity(self) -> tuple[str, str] | None:
        """Number and unit of the return pressure; None where it is not recorded."""
        found = _QUANTITY.fullmatch(self.return_pressure)
        return (found["number"], found["unit"]) if found else None


class Answers(BaseModel):
    """Answers about headings: the kind of pressures by ``Stated.answer``, and columns not to read.

    ``not_read`` are headings that a person has dismissed by name.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")
    pressures: dict[str, PressureAnswer] = {}
    not_read: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        """Whether anything is answered."""
        return bool(self.pressures or self.not_read)

    def pressure(self, name: str) -> PressureAnswer:
        """The answer about one sort of pressure, empty when nobody has answered."""
        return self.pressures.get(name, PressureAnswer())

    def ignores(self, heading: str) -> bool:
        """Whether the column under ``heading`` is not to be read."""
        return folded(heading) in {folded(name) for name in self.not_read}

    def over(self, earlier: Answers) -> Answers:
        """These answers, and those of ``earlier`` about what these do not answer."""
        names = dict.fromkeys((*earlier.not_read, *self.not_read))
        return Answers(pressures=earlier.pressures | self.pressures, not_read=tuple(names))


NO_ANSWERS = Answers()


def answers_of(pressures: Mapping[str, tuple[str, str]], not_read: tuple[str, ...]) -> Answers:
    """Answers from kind and return pressure by name, empty where nothing is answered.

    Raises WrongUse for an unknown kind and for a return pressure that cannot be read.
    """
    found = {}
    for name, (kind, back) in pressures.items():
        if not kind and not back:
            continue
        try:
            answer = PressureAnswer.model_validate({"kind": kind, "return_pressure": back})
        except ValidationError as error:
            raise WrongUse(f"A {name} is differential or line, not {kind!r}.") from error
        _check_return(name, answer)
        found[name] = answer
    return Answers(pressures=found, not_read=tuple(text for text in not_read if text.strip()))


def answer_fault(name: str, kind: str, back: str) -> str:
    """What is wrong with an answer as typed so far; empty when it can be used."""
    try:
        answers_of({name: (kind, back)}, ())
    except WrongUse as error:
        return str(error)
    return ""


def _check_return(name: str, answer: PressureAnswer) -> None:
    back = answer.return_pressure
    if not back or folded(back) == NOT_RECORDED:
        return
    if answer.kind == "differential":
        raise WrongUse(f"A differential {name} has no return pressure beside it; leave {back} out.")
    quantity = answer.quantity
    if quantity is None or units.accepted(quantity[1], "pressure") is None:
        raise WrongUse(
            f"The return pressure {back!r} is not read: write a number with its unit, "
            f"such as 8 bar, or {NOT_RECORDED!r}."
        )


def remembered_answers(text: str) -> Answers | None:
    """Answers from the JSON text of a mapping; None when the text is a layout."""
    try:
        return _Remembered.model_validate_json(text).answers
    except ValidationError:
        return None


def answers_text(answers: Answers) -> str:
    """The JSON text under which answers are remembered."""
    return _Remembered(answers=answers).model_dump_json()


class _Remembered(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")
    answers: Answers


@dataclass(frozen=True)
class ReadOptions:
    """One kind for all sheets, the file's conventions, and the layouts that may fit its sheets.

    Of layouts that fit a sheet equally the later one in ``layouts`` is used. ``answers`` hold for
    every file; what was remembered of a sender holds for the sheets that its layouts fit.
    """

    as_kind: str | None = None
    conventions: Locale = DEFAULT_LOCALE
    layouts: tuple[StoredLayout, ...] = ()
    answers: Answers = NO_ANSWERS
    answers_by_sender: Mapping[str, Answers] = field(default_factory=dict)

    def answers_for(self, sender: str) -> Answers:
        """The answers about headings that hold for files of ``sender``."""
        return self.answers.over(self.answers_by_sender.get(sender, NO_ANSWERS))
