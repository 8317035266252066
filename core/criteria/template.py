"""The criteria of a new project.toml, written from their declarations: every key, nothing set."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from core import units
from core.criteria.base import Criterion, Guardable
from core.criteria.quantities import key_of

_FIRST = ("clause", "due")  # keys in the order of the file; parameters follow
_LAST = ("decision_rule", "decision_clause")
_COMMENT_AT = 30  # column of a comment behind a key


def criteria_text(criteria: Mapping[str, type[Criterion]], name: str) -> str:
    """The tables of the criteria set ``name``, each with its keys as comments."""
    tables = [_table(criterion, name) for criterion in criteria.values()]
    return "".join(f"{line}\n" for table in tables for line in table)


def _table(criterion: type[Criterion], name: str) -> Iterator[str]:
    """The lines of one criterion: what it is about, its header and its keys."""
    about = (criterion.__doc__ or "").partition("\n\n")[0].split()
    yield "# " + " ".join([*about, *("(grouted types alone)",) * criterion.grouted_only])
    yield f"[criteria.{name}.{criterion.key}]"
    yield '# clause = ""'
    yield f'# due = "{criterion.usual_due}"'
    for key, field in criterion.model_fields.items():
        if key not in Criterion.model_fields and key not in _LAST:
            yield template_line(key, field)
    if issubclass(criterion, Guardable):
        for key in _LAST:
            yield template_line(key, criterion.model_fields[key])


def template_line(key: str, field: FieldInfo) -> str:
    """One key as a comment: a number is left empty, its examples stand in words behind it.

    A number with a unit takes a quantity; a text, a choice or a list is written as an example.
    """
    if units.suffix_of(key) and not {int, float}.isdisjoint(_parts(field.annotation)):
        return _line(key_of(key), '""', [*_described(field), *_such_as(field.examples or [])])
    choices = _choices(field.annotation)
    comment = [", ".join(choices)] if choices and not field.examples else []
    comment += _described(field)
    value = _toml(field.examples[0]) if field.examples else _empty(field.annotation, choices)
    if field.examples and _is_number(field.examples[0]):
        comment.append(f"practical {value}")
        value = ""
    return _line(key, value, comment)


def _line(key: str, value: str, comment: list[str]) -> str:
    line = f"# {key} = {value}".rstrip()
    return f"{line.ljust(_COMMENT_AT)}  # {'; '.join(comment)}" if comment else line


def _described(field: FieldInfo) -> list[str]:
    return [field.description] if field.description else []


def _such_as(examples: list[Any]) -> list[str]:
    """Examples of a quantity, in metric and in US units."""
    return [f"such as {' or '.join(map(_toml, examples))}"] if examples else []


def _parts(annotation: Any) -> list[Any]:
    """The types inside an annotation, without what only marks it."""
    if get_origin(annotation) is Annotated:
        return _parts(get_args(annotation)[0])
    if get_origin(annotation) is Literal or not get_args(annotation):
        return [annotation]
    return [part for inside in get_args(annotation) for part in _parts(inside)]


def _choices(annotation: Any) -> list[str]:
    """The words of a parameter that takes one of several."""
    return [
        word
        for part in _parts(annotation)
        if get_origin(part) is Literal
        for word in get_args(part)
    ]


def _empty(annotation: Any, choices: list[str]) -> str:
    if choices:
        return _toml(choices[0])
    return '""' if str in _parts(annotation) else ""


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, tuple | list):
        return f"[{', '.join(map(_toml, value))}]"
    return f'"{value}"' if isinstance(value, str) else str(value)
