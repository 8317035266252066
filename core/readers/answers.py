"""What a person answered about the headings of one sender, beside its layouts."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Literal

from pydantic import BaseModel, ConfigDict, ValidationError

from core import units
from core.errors import WrongUse
from core.readers.headers import folded

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

    def dismisses(self, heading: str) -> bool:
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
