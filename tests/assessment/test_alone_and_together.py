"""Rules on random gaps: a pile alone and among others, and what is unknown is never met."""

import numpy as np
import pytest

from core import words
from core.criteria.cases import Cases
from core.criteria.columns import RowColumns
from core.subjects.registry import RULES
from tests.assessment import (
    test_event_rules,
    test_grout_rules,
    test_rules,
    test_steel_rules,
    test_survey_rules,
)
from tests.assessment.one_case import TEXTS, criterion

OF_SUBJECT = {
    "torque": test_rules.GOOD,
    "piles": test_rules.GOOD,
    "grout": test_grout_rules.GOOD,
    "survey": test_survey_rules.CASE,
    "steel": test_steel_rules.GOOD,
    "event": test_event_rules.CASE,
}
KEPT = ("accepted_reasons", "criterion_status", "measured")  # what settings never lack
# Measures that are empty where nothing of the kind is on record, which is what the rule asks for.
EMPTY_IS_NONE = {
    ("disturbed_ground", "disturbed_toe_mm"),
    ("penetration_after_stop", "stop_from_mm"),
    ("reading_gap_above_window", "upper_gap_mm"),
    ("turned_after_initial_set", "turned_h"),
    ("installed_near_fresh_grout", "fresh_h"),
    ("installed_near_fresh_grout", "fresh_possible_h"),
}


def subject(rule):
    *_, folder, module = getattr(rule.decide, "decides", (rule.decide,))[0].__module__.split(".")
    return folder if module == "rules" else module.removesuffix("_rules")


def decide(rule, cases):
    found = rule.decide(Cases(RowColumns(cases), criterion(*cases)))
    texts = zip(*(found.text(name) for name in TEXTS), strict=True)
    results = [words.RESULTS[code] if code >= 0 else None for code in found.result.tolist()]
    numbers = zip(found.measured.tolist(), found.limit_value.tolist(), strict=True)
    return list(zip(results, map(str, numbers), texts, strict=True))


def with_gaps(rng, case):
    """``case`` with some of its values unknown and some numbers moved."""
    share = rng.choice([0.02, 0.1, 0.4])
    changed = {
        name: value * rng.choice([0.5, 0.9, 1.0, 1.1, 2.0])
        if isinstance(value, float) and rng.random() < 0.3
        else value
        for name, value in case.items()
    }
    return {
        name: None if name not in KEPT and rng.random() < share else value
        for name, value in changed.items()
    }


def known(rule):
    """The measures of an invented pile, as far as the tests of its subject give them."""
    case = OF_SUBJECT.get(subject(rule), {})
    return {**dict.fromkeys(_read(rule, case)), **case}


def _read(rule, case):
    """Columns that the rule reads and ``case`` lacks: those of a kind without a test case here."""
    missing = set()
    while True:
        given = {**dict.fromkeys(missing), **case}
        try:
            rule.decide(Cases(RowColumns([given]), criterion(given)))
        except LookupError as error:
            missing.add(str(error).split()[2])
        else:
            return missing


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: f"{rule.criterion}-{rule.kind.id}")
def test_a_pile_is_decided_the_same_alone_and_among_others(rule):
    rng = np.random.default_rng(17)
    cases = [with_gaps(rng, known(rule)) for _ in range(60)]
    assert decide(rule, cases) == [decide(rule, [case])[0] for case in cases]


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: f"{rule.criterion}-{rule.kind.id}")
def test_what_is_open_is_not_met_when_a_value_more_is_unknown(rule):
    rng = np.random.default_rng(3)
    better = set()
    for case in (with_gaps(rng, known(rule)) for _ in range(30)):
        if decide(rule, [case])[0][0] not in words.OPEN_RESULTS:
            continue
        names = [name for name in case if case[name] is not None and name not in KEPT]
        decisions = decide(rule, [{**case, name: None} for name in names])
        better |= {name for name, one in zip(names, decisions, strict=True) if one[0] == "met"}
    assert {(rule.kind.id, name) for name in better} <= EMPTY_IS_NONE
