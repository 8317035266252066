"""Settings that carry their unit: ``window = "3 ft"`` is read as the field ``window_mm``.

A field whose name ends in a unit has two keys in project.toml: its own name with a bare number in
that unit, and the name without the ending with a quantity. What the file has is kept beside the
value.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import cache
from typing import Any, TypeVar, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import InitErrorDetails, PydanticCustomError

from core import units
from core.criteria.earlier_names import present_name
from core.units import quantities

Model = TypeVar("Model", bound=BaseModel)


class RoundedUp:
    """Marks a maximum of a difference between recorded whole millimetres.

    Two depths 6 in apart, each rounded, are 152 or 153 mm apart; so the quantity is rounded up.
    """


ROUNDED_UP = RoundedUp()


def key_of(field: str) -> str:
    """The key that takes a quantity for ``field``: its name without the ending."""
    suffix = units.suffix_of(field)
    return field.removesuffix(suffix.ending) if suffix else field


@cache
def fields_by_key(model: type[BaseModel]) -> dict[str, tuple[str, ...]]:
    """Fields of ``model`` with a unit, by the key that takes a quantity for them.

    Fields of one key differ in the dimension of their unit.
    """
    found: dict[str, tuple[str, ...]] = {}
    for name, field in model.model_fields.items():
        if units.suffix_of(name) and {int, float} & set(_types(field.annotation)):
            found[key_of(name)] = (*found.get(key_of(name), ()), name)
    return found


@cache
def _types_of(model: type[BaseModel]) -> dict[str, frozenset[type]]:
    """Types within the annotation of each field of ``model`` with a unit."""
    return {
        field: frozenset(_types(model.model_fields[field].annotation))
        for fields in fields_by_key(model).values()
        for field in fields
    }


def _types(annotation: Any) -> Iterator[type]:
    """Types within an annotation: of ``tuple[float, ...] | None`` tuple, float and NoneType."""
    for one in (get_origin(annotation), annotation):
        if isinstance(one, type):
            yield one
    for part in get_args(annotation):
        yield from _types(part)


def earlier_keys(model: type[BaseModel], given: Mapping[str, Any]) -> dict[str, str]:
    """Keys of earlier versions that ``given`` has, by the present key of ``model``."""
    known = {*model.model_fields, *fields_by_key(model)}
    pairs = ((present_name(key), key) for key in given if key not in known)
    return {present: key for present, key in pairs if present in known}


def validated(
    model: type[Model], given: Any, handler: Callable[[Any], Model]
) -> tuple[Model, dict[str, Any], dict[str, str]]:
    """The table that ``handler`` makes of ``given`` in store units, and what the file has.

    That is its quantities as written, by field, and keys of earlier versions by their present ones.
    Raises ValidationError with every fault, each under the key that the file has.
    """
    if not isinstance(given, Mapping):
        return handler(given), {}, {}
    earlier = earlier_keys(model, given)
    if not earlier and not fields_by_key(model):
        return handler(given), {}, {}
    read = _Reading(model, given, earlier)
    try:
        table = handler(read.values)
    except ValidationError as error:
        read.add_faults(error)
    if read.faults:
        raise ValidationError.from_exception_data(model.__name__, read.faults)
    return table, read.written, earlier


class _Reading:
    """A table as given: values in store units by field, quantities as written, and faults."""

    def __init__(
        self, model: type[BaseModel], given: Mapping[str, Any], earlier: Mapping[str, str]
    ) -> None:
        present = {key: name for name, key in earlier.items() if name not in given}
        given = {present.get(key, key): value for key, value in given.items()}
        self.values, self._model, self._earlier = dict(given), model, earlier
        self.written: dict[str, Any] = {}
        self.faults: list[InitErrorDetails] = []
        self._fields = fields_by_key(model)
        self._types = _types_of(model)
        self._faulty: set[str] = set()
        for key, fields in self._fields.items():
            for field in fields:
                self._read_bare(key, field)
            if key in given:
                self._read_quantity(key, fields)

    def _read_bare(self, key: str, field: str) -> None:
        """A key that ends in a unit takes a bare number and no text with a unit."""
        given = self.values.get(field)
        if not isinstance(given, str):
            return
        try:
            quantities.read(given, (field,))
        except ValueError:
            return
        fault = f'has its unit in the key and takes a bare number; write {key} = "{given}"'
        self._add_fault("quantity", (field,), fault, given, (field,))

    def _read_quantity(self, key: str, fields: tuple[str, ...]) -> None:
        """The value of ``key`` becomes the value of the field that its unit belongs to."""
        given = self.values.pop(key)
        twice = next((field for field in fields if field in self.values), None)
        if twice:
            fault = f"is also given as {twice}; keep one of the two"
            self._add_fault("quantity", (key,), fault, given, fields)
            return
        types = self._types[fields[0]]
        holder = next((one for one in (tuple, dict) if one in types), None)
        if fault := _other_shape(given, holder, fields):
            self._add_fault("quantity", (key,), fault, given, fields)
            return
        numbers: dict[Any, int | float] = {}
        columns = fields
        for place, part in _parts(given).items():
            try:
                quantity = quantities.read(_text(part, fields), columns)
                columns = (quantity.column,)
                numbers[place] = self._number(quantity)
            except ValueError as error:
                at = (key,) if place is None else (key, place)
                self._add_fault("quantity", at, str(error), part, fields)
        if self._faulty.isdisjoint(fields):
            field = columns[0]
            self.values[field], self.written[field] = _like(given, numbers), given

    def _number(self, quantity: quantities.Quantity) -> int | float:
        if int not in self._types[quantity.column]:
            return quantity.value
        marks = self._model.model_fields[quantity.column].metadata
        return quantities.whole(quantity, up=any(isinstance(one, RoundedUp) for one in marks))

    def _add_fault(
        self, kind: str, at: tuple[Any, ...], message: str, given: Any, fields: tuple[str, ...] = ()
    ) -> None:
        for field in fields:
            self._faulty.add(field)
            self.values.pop(field, None)
        if at and isinstance(at[0], str):
            at = (self._earlier.get(at[0], at[0]), *at[1:])
        fault = PydanticCustomError(kind, message)
        self.faults.append(InitErrorDetails(type=fault, loc=at, input=given))

    def add_faults(self, error: ValidationError) -> None:
        """Faults that the model found, each with the key and the value of the file."""
        for line in error.errors(include_url=False):
            at, given = line["loc"], line["input"]
            field = str(at[0]) if at else ""
            if field in self._faulty:
                continue
            if field in self.written:
                at, given = (key_of(field), *at[1:]), self.written[field]
                for place in at[1:]:  # a key at fault has a part of its own behind it
                    part: Any = place
                    if isinstance(given, dict | list):
                        given = given[part]
            elif line["type"] == "missing" and field in self._types:
                at = (key_of(field), *at[1:])
            message = line["msg"].removeprefix("Value error, ")
            if line["type"] == "extra_forbidden":
                message = self._of_unknown(field) or message
            self._add_fault(line["type"], at, message, given)

    def _of_unknown(self, key: str) -> str:
        """What to write for a key with another unit at its end, such as ``window_ft``."""
        if present_name(key) in {*self._model.model_fields, *self._fields}:
            return f"is the earlier name of {present_name(key)}; keep one of the two"
        known = next((one for one in self._fields if key.startswith(f"{one}_")), None)
        if known is None:
            return ""
        to_write = quantities.what_to_write(self._fields[known])
        return f"is not a known key; the key is {known}: {to_write}"


def text_of(written: Any) -> str:
    """A value of project.toml in one line: the quantities of a list or table one by one."""
    if isinstance(written, Mapping):
        return ", ".join(f"{key} {value}" for key, value in written.items())
    return ", ".join(map(str, written)) if isinstance(written, list | tuple) else str(written)


def _parts(given: Any) -> dict[Any, Any]:
    """The values of a list or table by their place, or one value under None."""
    if isinstance(given, dict):
        return given
    return dict(enumerate(given)) if isinstance(given, list | tuple) else {None: given}


def _like(given: Any, numbers: dict[Any, Any]) -> Any:
    """Numbers by their place, held as ``given`` holds them."""
    if isinstance(given, dict):
        return numbers
    return tuple(numbers.values()) if isinstance(given, list | tuple) else numbers[None]


def _other_shape(given: Any, holder: type | None, fields: tuple[str, ...]) -> str:
    """What to write where one quantity is given for several, or several for one."""
    if isinstance(given, list | tuple) and holder is not tuple:
        return f"takes one quantity without brackets; {quantities.what_to_write(fields)}"
    if isinstance(given, dict) and holder is not dict:
        return f"takes one quantity without braces; {quantities.what_to_write(fields)}"
    if holder is tuple and not isinstance(given, list | tuple):
        return 'takes a list; write for instance ["12 in", "14 in"]'
    if holder is dict and not isinstance(given, dict):
        return 'takes a table; write for instance { C = "0.2 %" }'
    return ""


def _text(part: Any, fields: tuple[str, ...]) -> str:
    """A quantity as text, of a bare number its digits."""
    if isinstance(part, str | int | float) and not isinstance(part, bool):
        return str(part)
    raise ValueError(f"is not a quantity; {quantities.what_to_write(fields)}")
