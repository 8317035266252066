"""Findings for tests, each from a few of its columns."""

from typing import Any

import numpy as np

from core.criteria.findings import STORED, VOCABULARIES, Findings, Vocabulary, empty_columns
from core.criteria.outcomes import RESULT, SENSE
from core.subjects.registry import FINDING


def findings(*rows: dict[str, Any]) -> Findings:
    """Findings with what ``rows`` give of them; ``finding`` is an id, numbers are unknown."""
    vocabularies = {name: Vocabulary([""]) for name in VOCABULARIES}
    vocabularies["finding"] = Vocabulary()
    columns = empty_columns(len(rows))
    every = [
        {"subject_kind": "pile", "finding": "required_torque", "result": "met", "sense": "", **row}
        for row in rows
    ]
    for name in VOCABULARIES:
        columns[name] = vocabularies[name].codes([row.get(name, "") for row in every])
    of_pile = np.array([row["subject_kind"] == "pile" for row in every], dtype=bool)
    columns["pile_id"] = np.where(of_pile, columns["subject"], -1).astype(np.int32)
    columns["result"] = np.array([RESULT[row["result"]] for row in every], dtype=np.int8)
    columns["sense"] = np.array([SENSE[row["sense"]] for row in every], dtype=np.int8)
    for name in STORED:
        columns[name] = np.array([row.get(name, np.nan) for row in every], dtype=float)
    days = [row.get("due_on") or "NaT" for row in every]
    columns["due_on"] = np.array(days, dtype="datetime64[us]")
    return Findings(columns, vocabularies, {id_: kind.word for id_, kind in FINDING.items()})
