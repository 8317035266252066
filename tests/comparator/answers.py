"""What the program says of a project, as plain objects under names that stay when code moves.

Only this file knows how the program is asked. Sections: ``assess`` (piles with measures, findings
with the rows behind them), ``explain`` (the worksheet of every pile), ``trace`` (steel of every
pile and of every heat), ``outstanding`` (items with their ages), ``seen`` (what a sign-off of each
pile sees), ``history`` and ``as_of`` (states, findings, sign-offs and items at every entry).
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import pandas as pd

from core import records, services
from core.criteria.earlier_names import EARLIER_WORDS
from core.errors import WrongUse
from tests.comparator import renamed

Object = dict[str, Any]
PLACE = ("file", "sheet", "row")
_WORD = {kind: word for word, kind in EARLIER_WORDS.items()}  # of an id, as it was then


def assessed(assessment: services.Assessment) -> Object:
    """Counts, positions, every pile with its measures, and every finding with its rows."""
    rows = assessment.evidence()
    behind: dict[Any, list[str]] = {}
    for row in rows.sort_values(["finding", "record", *PLACE]).to_dict("records"):
        place = " ".join(str(row[name]) for name in ("record", *PLACE))
        behind.setdefault(row["finding"], []).append(place)
    return {
        "entry": assessment.entry,
        "assessed_on": assessment.on.isoformat(),
        "counts": assessment.counts,
        "runs not closed": assessment.runs_not_closed,
        "piles": {_pile_key(row): _pile(row) for row in assessment.piles.to_dict("records")},
        "positions": _by(assessment.positions, "position_id"),
        "findings": _findings(assessment.findings, behind),
    }


def at_entry(assessment: services.Assessment) -> Object:
    """States, stages, sign-offs in force and dropped, findings without rows, and items' ages."""
    return {
        "assessed_on": assessment.on.isoformat(),
        "counts": assessment.counts,
        "accepted": assessment.accepted_positions,
        "piles": {
            _pile_key(row): _pile(row)
            for row in assessment.piles.to_dict("records")
            if row["stage"] != "on the schedule"
        },
        "findings": _findings(assessment.findings, {}),
        "outstanding": outstanding(assessment),
    }


def explained(assessment: services.Assessment, pile_id: str) -> Object:
    """Every step of one pile's worksheet by its title."""
    steps = services.worksheet_object(services.worksheet(assessment, pile_id))["steps"]
    return _numbered((f"{step['subject']}: {step['title']}", step) for step in steps)


def numbers(steps: Object) -> Object:
    """What steps come to, whatever their titles and order are.

    ``measures`` by name; ``results`` of all steps; ``inputs`` that a row of a file, a form or
    project.toml gives, each with its place. The number beside a result or an input is 1.
    """
    found: Object = {"measures": {}, "results": {}, "inputs": {}}
    for step in steps.values():
        value = _shown(step["result"]["value"], step["result"]["unit"])
        found["results"][value] = 1
        if step["measure"]:
            found["measures"][step["measure"]] = value
        for one in step["inputs"]:
            if one["row"] is not None or (one["from"] or "").startswith("project.toml"):
                place = " ".join(str(one[name]) for name in (*PLACE, "from"))
                found["inputs"][f"{_shown(one['value'], one['unit'])} | {place}"] = 1
    return found


def _shown(value: float | None, unit: str) -> str:
    """A number to nine digits: sums in another order differ in the last bit."""
    return "no value" if value is None else f"{value:.9g} {unit}"


def traced(assessment: services.Assessment) -> Object:
    """The steel of every pile, and of every heat of every mill."""
    trace = assessment.measured.trace
    found = {f"pile {pile}": _trace(assessment, "pile", pile) for pile in _texts(trace["pile_id"])}
    for heat in _texts(trace["heat"]):
        try:
            found[f"heat {heat}"] = _trace(assessment, "heat", heat)
        except WrongUse:  # of several mills
            for mill in _texts(trace.loc[trace["heat"].eq(heat), "mill"]):
                found[f"heat {heat} of {mill}"] = _trace(assessment, "heat", heat, mill)
    return found


def outstanding(assessment: services.Assessment) -> Object:
    """Every outstanding item with its age, by kind and subject."""
    items = services.items_object(assessment.attention)
    for item in items:
        del item["subject_kind"]  # which the version compared with did not have
    return _numbered((f"{item['kind']}: {item['subject']}", item) for item in items)


def seen(assessment: services.Assessment) -> Object:
    """What the sign-off of each signed pile would see now."""
    return {
        row["pile_id"]: _seen(json.loads(row["seen"])) for row in assessment.seen.to_dict("records")
    }


def history(folder: Path) -> Object:
    """Every entry with its hash."""
    return _by(services.history(folder), "entry_no")


def _seen(told: Object) -> Object:
    findings = _numbered((_in_words(finding[0]), finding[1:]) for finding in told["findings"])
    return {"findings": findings, "loads": told["loads"], "measures": told["measures"],
            "pile": told["pile"]}  # fmt: skip


def _in_words(name: str) -> str:
    kind, colon, part = name.partition(": ")
    return renamed.text(_WORD.get(kind, kind) + colon + part)


def _pile_key(row: Mapping[Any, Any]) -> str:
    return str(row["pile_id"]) if isinstance(row["pile_id"], str) else f"at {row['position_id']}"


def _pile(row: Mapping[Any, Any]) -> Object:
    names = [measure.name for measure in records.MEASURES]
    names += ["state", "stage", "stage_on", "area", "required_by", "signed_by", "signed_on",
              "sign_off_note"]  # fmt: skip
    return {name: _plain(row[name]) for name in names}


def _findings(found: pd.DataFrame, behind: Mapping[Any, list[str]]) -> Object:
    """Findings by subject and kind; the rows behind one in the order of their places."""
    names = ("result", "measured", "limit_value", "sense", "margin", "uncertainty", "unit_column",
             "clause", "due_on", "note", "parameter", "item")  # fmt: skip
    rows = zip(found.index, found.to_dict("records"), strict=True)
    return _numbered(
        (
            f"{row['subject_kind']} {row['subject']}: {row['kind']}",
            {**{name: _plain(row[name]) for name in names}, "rows": behind.get(index, [])},
        )
        for index, row in rows
    )


def _trace(assessment: services.Assessment, by: str, value: str, mill: str | None = None) -> Object:
    found = services.trace(assessment, by, value, mill)
    return {"placed": _rows(found.placed), "store": _rows(found.store), "piles": found.piles,
            "pieces": found.pieces, "length_mm": found.length_mm}  # fmt: skip


def _by(frame: pd.DataFrame, key: str) -> Object:
    return {str(row[key]): row for row in _rows(frame)}


def _rows(frame: pd.DataFrame) -> list[Object]:
    return [
        {str(name): _plain(value) for name, value in row.items()}
        for row in frame.to_dict("records")
    ]


def _texts(values: pd.Series[Any]) -> list[str]:
    return sorted(values.dropna().unique())


def _numbered(pairs: Iterable[tuple[str, Any]]) -> Object:
    """Pairs as an object; the second of one name is called ``name (2)`` and so on."""
    found: Object = {}
    for name, value in pairs:
        place, free = 2, name
        while free in found:
            free, place = f"{name} ({place})", place + 1
        found[free] = value
    return found


def _plain(value: Any) -> Any:
    if isinstance(value, (list, tuple)):
        return [_plain(one) for one in value]
    if value is None or pd.isna(value):
        return None
    if isinstance(value, pd.Timestamp):
        return value.isoformat()
    return value.item() if hasattr(value, "item") else value
