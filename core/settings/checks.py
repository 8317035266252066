"""What the tables of project.toml must say together: each fault with its key and a way out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable, Iterator, Mapping
from typing import TypeVar

from core import words
from core.criteria.base import Criterion, NotRequired, Table
from core.settings.tables import PileType, Tables
from core.subjects.registry import CRITERIA, CriteriaSet
from core.subjects.torque.rules import ReadingGaps, RequiredTorque

# Stages that runs or stage records can show; the others have no record yet.
RECORDED_STAGES = (
    "on the schedule", "released", "set out", "installing", "stopped", "installed",
    "grouted", "cut off", "surveyed", "concreted over",
)  # fmt: skip
_Key = TypeVar("_Key", bound=Hashable)
_GROUTED_ELEMENT = "grouted helical pile"


def faults(tables: Tables) -> list[str]:
    """Every fault between tables or between keys of one table, in the order of the file."""
    return [
        *_names(tables),
        *_helices(tables),
        *_repeated(tables),
        *_stages(tables),
        *_grout(tables),
        *_columns(tables),
        *_windows(tables),
    ]


def _names(tables: Tables) -> Iterator[str]:
    """Names that one table uses and another does not hold."""
    held: dict[str, Mapping[str, object]] = {
        "section": tables.sections,
        "helix_set": tables.helix_sets,
        "criteria": tables.criteria,
    }
    for mark, kind in tables.types.items():
        for field, table in held.items():
            name = getattr(kind, field)
            if name not in table:
                known = ", ".join(table) or "none"
                yield f"types.{mark}.{field}: {name!r} is not defined (defined: {known})"
    for person in tables.people:
        for role in person.roles:
            if role not in tables.roles:
                yield f"people {person.name}: role {role!r} is not defined under roles"
    for row in tables.torque_factors:
        if row.section not in tables.sections:
            yield f"torque_factors {row.id}: section {row.section!r} is not defined"
        if row.helix_set != "any" and row.helix_set not in tables.helix_sets:
            yield f"torque_factors {row.id}: helix_set {row.helix_set!r} is not defined"


def _helices(tables: Tables) -> Iterator[str]:
    """The top of several helices is never at the toe."""
    for name, helices in tables.helix_sets.items():
        if len(helices.helix_mm) > 1 and helices.top_helix_above_toe_mm == 0:
            yield (
                f"helix_sets.{name}.{helices.key_in_file('top_helix_above_toe_mm')}: "
                f"a set of {len(helices.helix_mm)} "
                "helices needs the distance from the toe to the top helix, greater than 0 "
                "(only a single helix may leave it out)"
            )


def _repeated(tables: Tables) -> Iterator[str]:
    """Two rows that answer the same question, so that neither does."""
    for name in _twice(person.name.casefold() for person in tables.people):
        shown = next(person.name for person in tables.people if person.name.casefold() == name)
        yield f"people {shown}: name is given twice; keep one and give it all the roles"
    for row_id in _twice(row.id for row in tables.torque_factors):
        yield f"torque_factors {row_id}: id is given twice; every row needs its own"
    cases: dict[tuple[object, ...], str] = {}
    for row in tables.torque_factors:
        case = (row.section, row.direction, row.grouted, row.helix_set, row.ground)
        if case in cases and cases[case] != row.id:
            yield (
                f"torque_factors {row.id}: the same section, direction, grouted, helix_set and "
                f"ground as {cases[case]}; one case has one factor"
            )
        cases.setdefault(case, row.id)
    for standard, grade in _twice((row.standard, row.grade) for row in tables.steel_grades):
        yield f"steel_grades {standard}, {grade}: is given twice; a grade has one row"
    for supplier in _twice(row.supplier for row in tables.stamp_patterns):
        yield (
            f"stamp_patterns {supplier}: is given twice; write one pattern, with | between "
            "ways of stamping"
        )
    for instrument in _twice(row.instrument for row in tables.torque_uncertainty):
        yield f"torque_uncertainty {instrument}: is given twice; an instrument has one row"
    for direction, nature in _twice((row.direction, row.nature) for row in tables.safety_factors):
        yield (
            f"safety_factors {direction}, {nature}: is given twice; "
            "a direction and nature of load has one safety factor"
        )


def _twice(keys: Iterable[_Key]) -> list[_Key]:
    return [key for key, count in Counter(keys).items() if count > 1]


def _stages(tables: Tables) -> Iterator[str]:
    """Stages that nothing records, and evidence that falls due after the last stage."""
    for name, criteria in tables.criteria.items():
        for criterion, given in _set(criteria):
            if given.due not in RECORDED_STAGES:
                yield _unrecorded(f"criteria.{name}.{criterion}.due", given.due)
    for mark, kind in tables.types.items():
        if kind.last_stage not in RECORDED_STAGES:
            yield _unrecorded(f"types.{mark}.last_stage", kind.last_stage)
            continue
        for criterion, given in _set(tables.criteria.get(kind.criteria, CriteriaSet())):
            late = words.STAGE_ORDER[given.due] > words.STAGE_ORDER[kind.last_stage]
            if late and given.due in RECORDED_STAGES:
                yield (
                    f"criteria.{kind.criteria}.{criterion}.due: {given.due!r} comes after "
                    f"{kind.last_stage!r}, the last_stage of type {mark}, whose record is complete "
                    "before; choose an earlier stage, or a later last_stage"
                )


def _set(criteria: CriteriaSet) -> Iterator[tuple[str, Criterion]]:
    for name in CRITERIA:
        given = getattr(criteria, name)
        if isinstance(given, Criterion):
            yield name, given


def _unrecorded(key: str, stage: str) -> str:
    return (
        f"{key}: no record can show the stage {stage!r} yet; "
        f"write one of: {', '.join(RECORDED_STAGES)}"
    )


def _grout(tables: Tables) -> Iterator[str]:
    """Element, grout and torque factor of a type agree."""
    for mark, kind in tables.types.items():
        yield from _grout_of(mark, kind, tables.criteria.get(kind.criteria, CriteriaSet()))


def _grout_of(mark: str, kind: PileType, criteria: CriteriaSet) -> Iterator[str]:
    if kind.element == _GROUTED_ELEMENT and not kind.grouted:
        yield f"types.{mark}.grouted: a {_GROUTED_ELEMENT} needs grouted = true"
    if kind.grouted and kind.element != _GROUTED_ELEMENT:
        yield f'types.{mark}.element: grouted = true needs element = "{_GROUTED_ELEMENT}"'
    if kind.grouted and isinstance(criteria.torque_factor, NotRequired):
        yield (
            f"criteria.{kind.criteria}.torque_factor: may not be declared not required for the "
            f"grouted type {mark}; a grouted string needs a factor from tests on grouted piles, "
            "or none"
        )


def _columns(tables: Tables) -> Iterator[str]:
    """A grout column has a diameter, a place to begin, and a wall where its bore is filled."""
    for mark, kind in tables.types.items():
        if not kind.grouted:
            for field in ("disc_mm", "grout_from", "predrilled_diameter_mm", "grouted_length_mm"):
                if getattr(kind, field) is not None:
                    key = kind.key_in_file(field)
                    yield f"types.{mark}.{key}: has a meaning for grouted = true alone"
            continue
        criteria = tables.criteria.get(kind.criteria, CriteriaSet())
        if isinstance(criteria.grout_take, NotRequired) or criteria.grout_take is None:
            continue
        if kind.disc_mm is None and kind.predrilled_diameter_mm is None:
            yield f"types.{mark}.disc: grout_take needs it, or predrilled_diameter, for the void"
        if kind.grout_from is None:
            yield f'types.{mark}.grout_from: "first disc" or "ground" is where the column begins'
        section = tables.sections.get(kind.section)
        if kind.grouted_bore and section is not None and section.wall_mm is None:
            yield f"sections.{kind.section}.wall: the grouted bore of type {mark} needs it"


def _windows(tables: Tables) -> Iterator[str]:
    """The final window holds readings enough to prove something."""
    for name, criteria in tables.criteria.items():
        torque, gaps = criteria.required_torque, criteria.reading_gaps
        if not isinstance(torque, RequiredTorque):
            continue
        key = f"criteria.{name}.required_torque"
        if torque.window_mm <= torque.interval_tolerance_mm:
            yield (
                f"{key}.{_entered(torque, 'window_mm')} must be greater than "
                f"{_beside(torque, 'interval_tolerance_mm')}"
            )
        if isinstance(gaps, NotRequired):
            yield (
                f"criteria.{name}.reading_gaps: may not be declared not required while "
                "required_torque is set; a window with readings missing proves nothing"
            )
        elif isinstance(gaps, ReadingGaps):
            yield from _intervals(name, torque, gaps)


def _intervals(name: str, torque: RequiredTorque, gaps: ReadingGaps) -> Iterator[str]:
    rounding = 1 if gaps.is_quantity("interval_mm") else 0  # of twice an interval of whole mm
    if torque.window_mm < 2 * gaps.interval_mm - rounding:
        yield (
            f"criteria.{name}.required_torque.{_entered(torque, 'window_mm')} must be at least "
            f"twice {_beside(gaps, 'interval_mm', ' of reading_gaps')}: a window needs two readings"
        )
    missed = gaps.interval_mm - gaps.interval_tolerance_mm
    if torque.toe_reading_mm is not None and torque.toe_reading_mm >= missed:
        yield (
            f"criteria.{name}.required_torque.{_entered(torque, 'toe_reading_mm')} must be less "
            f"than {gaps.key_in_file('interval_mm')} less "
            f"{gaps.key_in_file('interval_tolerance_mm')} of reading_gaps ({missed}"
            f"{' mm' if gaps.is_quantity('interval_mm') else ''}); otherwise "
            "the last reading of a log could be left out without notice"
        )
    tolerances: dict[str, RequiredTorque | ReadingGaps] = {
        "required_torque": torque,
        "reading_gaps": gaps,
    }
    for criterion, given in tolerances.items():
        if given.interval_tolerance_mm >= gaps.interval_mm:
            yield (
                f"criteria.{name}.{criterion}.{_entered(given, 'interval_tolerance_mm')} must be "
                f"less than {_beside(gaps, 'interval_mm', ' of reading_gaps')}"
            )


def _entered(table: Table, field: str) -> str:
    """Key and value of ``field`` as project.toml has them, at the head of a fault."""
    return f"{table.key_in_file(field)}: {table.as_written(field)}"


def _beside(table: Table, field: str, of: str = "") -> str:
    """Key and value of a ``field`` that another is compared with."""
    return f"{table.key_in_file(field)}{of} ({table.as_written(field)})"
