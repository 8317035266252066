"""Uncertainty of torque from settings to the finding, and the decision rule that minds it."""

import pytest

from core import services
from tests.services.small import (
    CERTIFICATES,
    INSTRUMENTS,
    SCHEDULE,
    SETTINGS,
    UNCERTAIN,
    log,
    started,
    state,
)

GUARDED = """[criteria.all.required_torque]
decision_rule = "guarded"
decision_clause = "5.1.2"
"""


@pytest.mark.parametrize(
    ("required", "rule", "result"),
    [
        ("6.35", "", "met"),
        ("6.45", "", "not met"),
        ("6.35", GUARDED, "within measurement uncertainty"),
        ("6.45", GUARDED, "within measurement uncertainty"),
        ("6.20", GUARDED, "met"),
        ("6.60", GUARDED, "not met"),
    ],
)
def test_uncertainty_stands_beside_the_margin_and_decides_where_a_clause_asks(
    tmp_path, required, rule, result
):
    # Hand calculation: 120/√3 = 69.28, 100/√12 = 28.87 and 60 N·m: √(69.28² + 28.87² + 60²) =
    # 96.09, doubled 192.2 N·m beside a final torque of 6,400 N·m.
    settings = SETTINGS.replace(
        "[criteria.all.required_torque]",
        UNCERTAIN.lstrip() + (rule or "[criteria.all.required_torque]\n"),
        1,
    )
    schedule = SCHEDULE.replace("compression,5.0", f"compression,{required}")
    files = [("schedule.csv", schedule), ("instruments.csv", INSTRUMENTS)]
    files += [("certificates.csv", CERTIFICATES), ("log.csv", log())]
    assessment = services.assess(started(tmp_path, settings, *files))
    found = assessment.findings
    own = found[found["subject"].eq("101") & found["kind"].eq("required torque")].iloc[0]
    assert own["result"] == result
    assert own["uncertainty"] == pytest.approx(192.2, abs=0.05)
    if result == "within measurement uncertainty":
        assert own["note"] == "guarded by 5.1.2"
        assert state(assessment) == "engineer review"


def test_guarded_without_known_uncertainty_has_no_evidence(tmp_path):
    settings = SETTINGS.replace("[criteria.all.required_torque]\n", GUARDED, 1)
    assessment = services.assess(
        started(
            tmp_path,
            settings,
            ("schedule.csv", SCHEDULE),
            ("instruments.csv", INSTRUMENTS),
            ("certificates.csv", CERTIFICATES),
            ("log.csv", log()),
        )
    )
    found = assessment.findings
    own = found[found["subject"].eq("101") & found["kind"].eq("required torque")].iloc[0]
    assert own["result"] == "no evidence"
    assert "torque_uncertainty in project.toml" in own["note"]
