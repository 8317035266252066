"""Findings about the settings themselves: what project.toml does not give."""

from __future__ import annotations

from core.criteria.kinds import FindingKind

CRITERION_NOT_SET = FindingKind(
    "criterion_not_set",
    "criterion not set",
    "The project neither sets this criterion for the pile's type nor declares it not required.",
    "A",
    "DES",
    "a limit with its clause, or a clause that makes it not required, in project.toml",
)
PARAMETER_NOT_SET = FindingKind(
    "parameter_not_set",
    "parameter not set",
    "A set criterion lacks a parameter that this version needs.",
    "A",
    "DES",
    "the parameter with its value in project.toml",
    since=2,
)
