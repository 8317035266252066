# mypy: disable-error-code="no-any-return,arg-type,unused-ignore"
"""Comparisons that mind the uncertainty of a measurement, where a criterion asks for it."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.criteria.as_frames import Cases, Outcome, at_least, at_most

TOO_CLOSE = "within measurement uncertainty"
NOT_KNOWN = "how well the instrument measures is not set: torque_uncertainty in project.toml"


def minding(cases: Cases, decided: Outcome, expanded: pd.Series, sense: str) -> Outcome:
    """``decided`` with the expanded uncertainty of what is measured, and by the decision rule.

    Under ``guarded`` a value is met or not met only when it is so beyond its uncertainty on
    either side of the limit, and there is no evidence where the uncertainty is not known.

    Source: JCGM 106:2012, clause 8.3, guard band w = U on either side; quoted from memory.
    """
    result = decided.assign(uncertainty=expanded.where(decided["measured"].notna()))
    asked = cases["decision_rule"].eq("guarded") & result["result"].isin(["met", "not met"])
    if not asked.any():
        return result
    compare, worse = (at_least, -1) if sense == "at least" else (at_most, 1)
    measured, limit = result["measured"], result["limit_value"]
    surely = compare(measured + worse * expanded, limit)
    perhaps = compare(measured - worse * expanded, limit)
    word = np.select([expanded.isna(), surely, perhaps], ["no evidence", "met", TOO_CLOSE],
                     "not met")  # fmt: skip
    result["result"] = result["result"].mask(asked, pd.Series(word, index=result.index))
    result.loc[asked & expanded.isna(), "note"] = NOT_KNOWN
    near = asked & result["result"].eq(TOO_CLOSE)
    result.loc[near, "note"] = "guarded by " + cases["decision_clause"][near]
    return result
