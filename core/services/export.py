"""Results as objects and CSV: an assessment, problems of an import."""

from __future__ import annotations

from typing import Any

import pandas as pd

from core import records, units
from core.assessment.assess import Assessment
from core.reports.books import csv_file
from core.services.importing.report import ImportReport


def assessment_object(assessment: Assessment) -> dict[str, Any]:
    """The whole assessment: counts, positions, every pile with measures and findings."""
    evidence = _evidence_by_finding(assessment)
    objects: dict[Any, list[dict[str, Any]]] = {}
    others: list[dict[str, Any]] = []
    listed = set(assessment.piles["pile_id"].dropna())
    for index, row in zip(
        assessment.findings.index, assessment.findings.to_dict("records"), strict=True
    ):
        finding = _finding(row, evidence.get(index, []))
        if row["subject_kind"] == "pile" and row["subject"] in listed:
            objects.setdefault(row["subject"], []).append(finding)
        else:
            others.append(finding)
    texts = _texts_by_pile(assessment)
    piles = [
        _pile(row, objects.get(row["pile_id"], []), texts.get(row["pile_id"], []))
        for row in assessment.piles.to_dict("records")
    ]
    return {
        "project": assessment.project.tables.project.name,
        "entry": assessment.entry,
        "assessed_on": assessment.on.isoformat(),
        "counts": assessment.counts,
        "runs_not_closed": assessment.runs_not_closed,
        "positions": {
            "current": assessment.current_positions,
            "accepted": assessment.accepted_positions,
        },
        "piles": piles,
        "findings": others,
    }


def about(assessment: Assessment) -> list[tuple[str, str]]:
    """Of what a file that goes out is: project, entry, head of the ledger and the day judged."""
    return [
        ("Project", assessment.project.tables.project.name),
        ("Data as of entry", str(assessment.entry)),
        ("Head of the ledger", str(assessment.head)),
        ("Assessed on", assessment.on.isoformat()),
    ]


def problems_file(problems: pd.DataFrame) -> bytes:
    """Problems of an import as CSV, with a byte order mark so that a spreadsheet reads UTF-8."""
    return csv_file(problems, "utf-8-sig")


def import_object(report: ImportReport) -> dict[str, Any]:
    """What an import did or why it did nothing."""
    rows = {f"rows_{name}": number for name, number in report.rows.items()}
    return {
        "entries": report.entries,
        **rows,
        "missing_keys": _objects(report.missing_keys),
        "problems": _objects(report.problems),
        "questions": _objects(report.questions),
        "conflicts": _objects(report.conflicts),
        "notices": _objects(report.notices),
        "not_read": _objects(report.not_read),
        "files": _objects(report.files),
    }


def _objects(frame: pd.DataFrame) -> list[dict[Any, Any]]:
    return [
        {name: _number(value) for name, value in row.items()} for row in frame.to_dict("records")
    ]


def _evidence_by_finding(assessment: Assessment) -> dict[Any, list[dict[str, Any]]]:
    rows = assessment.evidence()
    listed: dict[Any, list[dict[str, Any]]] = {}
    for row in rows.sort_values(["finding", "file", "row"]).to_dict("records"):
        place = {"file": row["file"], "sheet": row["sheet"], "row": _number(row["row"])}
        listed.setdefault(row["finding"], []).append(place)
    return listed


def _texts_by_pile(assessment: Assessment) -> dict[Any, list[dict[str, Any]]]:
    """Events and remarks by pile as they were written; a remark has no depth."""
    listed: dict[Any, list[dict[str, Any]]] = {}
    for row in assessment.measured.recorded.to_dict("records"):
        depth = None if pd.isna(row["depth_mm"]) else int(row["depth_mm"])
        text = {"run": row["run_no"], "depth_mm": depth, "text": row["text"]}
        listed.setdefault(row["pile_id"], []).append({**text, "recognised_as": row["event_words"]})
    return listed


def _pile(
    row: dict[Any, Any], findings: list[dict[str, Any]], texts: list[dict[str, Any]]
) -> dict[str, Any]:
    measures = {
        measure.name: {"value": _number(row[measure.name]), "unit": units.unit_word(measure.name)}
        for measure in records.MEASURES
    }
    return {
        "pile": _text(row["pile_id"]),
        "position": _text(row["position_id"]),
        "area": _text(row["area"]),
        "stage": row["stage"],
        "state": row["state"],
        "measures": measures,
        "events_and_remarks": texts,
        "required_torque_basis": _text(row["required_by"]),
        "findings": findings,
    }


def _finding(row: dict[Any, Any], evidence: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "finding": row["finding"],
        "kind": row["kind"],
        "subject_kind": row["subject_kind"],
        "subject": row["subject"],
        "run": row["run"],
        "part": row["part"],
        "result": row["result"],
        "measured": _number(row["measured"]),
        "limit": _number(row["limit_value"]),
        "sense": row["sense"],
        "margin": _number(row["margin"]),
        "uncertainty": _number(row["uncertainty"]),
        "unit": units.unit_word(row["unit_column"]),
        "clause": row["clause"],
        "note": row["note"],
        "parameter": row["parameter"] or None,
        "evidence": evidence,
    }


def _number(value: Any) -> Any:
    if value is None or pd.isna(value):
        return None
    if isinstance(value, pd.Timestamp):
        return value.isoformat()
    return value.item() if hasattr(value, "item") else value


def _text(value: Any) -> str | None:
    return value if isinstance(value, str) else None
