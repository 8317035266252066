"""Comparisons that mind the uncertainty of a measurement, where a criterion asks for it."""

from __future__ import annotations

import numpy as np

from core.criteria.cases import Cases
from core.criteria.columns import Numbers
from core.criteria.outcomes import Outcome, at_least, at_most

TOO_CLOSE = "within measurement uncertainty"
NOT_KNOWN = "how well the instrument measures is not set: torque_uncertainty in project.toml"


def minding(cases: Cases, decided: Outcome, expanded: Numbers, sense: str) -> Outcome:
    """``decided`` with the expanded uncertainty of what is measured, and by the decision rule.

    Under ``guarded`` a value is met or not met only when it is so beyond its uncertainty on
    either side of the limit, and there is no evidence where the uncertainty is not known.

    Source: JCGM 106:2012, clause 8.3, guard band w = U on either side; quoted from memory.
    """
    decided.uncertainty = np.where(np.isnan(decided.measured), np.nan, expanded)
    asked = cases.is_text("decision_rule", "guarded") & decided.has("met", "not met")
    if not asked.any():
        return decided
    compare, worse = (at_least, -1) if sense == "at least" else (at_most, 1)
    measured, limit = decided.measured, decided.limit_value
    surely = compare(measured + worse * expanded, limit)
    perhaps = compare(measured - worse * expanded, limit)
    decided.put(asked, "not met")
    clause = cases.text("decision_clause")
    decided.put(asked & perhaps, TOO_CLOSE, note=lambda at: "guarded by " + clause[at])
    decided.put(asked & surely, "met")
    decided.put(asked & np.isnan(expanded), "no evidence", note=NOT_KNOWN)
    return decided
