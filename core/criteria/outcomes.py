"""Outcomes of a rule over cases, with guard bands where a clause requires them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from core import words
from core.criteria.cases import Cases
from core.criteria.columns import Array, Days, Mask, Numbers, Texts
from core.records import CONVERSION_NOISE

RESULT: dict[str, int] = {word: code for code, word in enumerate(words.RESULTS)}
NO_FINDING = -1
SENSES = ("", "at least", "at most")  # sides of a limit on which a measured value should lie
SENSE: dict[str, int] = {word: code for code, word in enumerate(SENSES)}

# One text for all, one per case, or a function that makes them for the places of some cases.
Text = str | Texts | Callable[[Array], Any]


class Outcome:
    """One result per case, with what was measured, the limit and texts.

    ``result``: places in ``words.RESULTS``, ``NO_FINDING`` where nothing is decided. Optional:
    ``uncertainty``, ``sense`` (places in ``SENSES``) and ``due_on`` (NaT: that of the criterion).
    Texts are ``note``, ``item``, ``run`` and ``part``; findings of one kind, result and item are
    one outstanding item.
    """

    def __init__(
        self, result: Array, measured: Numbers, limit_value: Numbers, **texts: Text
    ) -> None:
        """``result``: codes of results, as many as ``measured`` and ``limit_value``."""
        self.result = result
        self.measured = measured
        self.limit_value = limit_value
        self.uncertainty: Numbers | None = None
        self.sense: Array | None = None
        self.due_on: Days | None = None
        self._texts: dict[str, tuple[Array, list[str]]] = {}
        for name, text in texts.items():
            if not isinstance(text, str) or text:
                self._put_text(name, np.arange(len(result)), text)

    def __len__(self) -> int:
        return len(self.result)

    def has(self, *results: str) -> Mask:
        """Where the result is one of ``results``."""
        found: Mask = self.result == RESULT[results[0]]
        for result in results[1:]:
            found = found | (self.result == RESULT[result])
        return found

    def put(self, where: Mask, result: str = "", **texts: Text) -> None:
        """Put a result, texts (``note``, ``item``, ``run``, ``part``) or both ``where`` it holds.

        A text may be a function of the places that need it, so that none is made for the others.
        """
        at = np.flatnonzero(where)
        if not len(at):
            return
        if result:
            self.result[at] = RESULT[result]
        for name, text in texts.items():
            self._put_text(name, at, text)

    def drop(self, where: Mask) -> None:
        """Leave no finding ``where`` it holds."""
        self.result[where] = NO_FINDING

    def coded(self, name: str) -> tuple[Array, list[str]] | None:
        """Per case the place of its text in a list, in which texts may repeat; None for no text."""
        return self._texts.get(name)

    def text(self, name: str) -> list[str]:
        """The texts of one name, one per case."""
        codes, texts = self._texts.get(name, (np.zeros(len(self), dtype=np.int32), [""]))
        return [texts[code] for code in codes.tolist()]

    def lacks(self, name: str) -> Mask:
        """Where a text is empty."""
        codes, texts = self._texts.get(name, (np.zeros(len(self), dtype=np.int32), [""]))
        empty: Mask = np.array([text == "" for text in texts])[codes]
        return empty

    def _put_text(self, name: str, at: Array, text: Text) -> None:
        if name not in self._texts:
            self._texts[name] = (np.zeros(len(self), dtype=np.int32), [""])
        codes, texts = self._texts[name]
        first = len(texts)
        if isinstance(text, str):
            codes[at] = first
            texts.append(text)
            return
        made = text(at) if callable(text) else text[at]
        codes[at] = np.arange(first, first + len(at))
        texts.extend(made.tolist() if isinstance(made, np.ndarray) else made)


def at_least(measured: Any, limit: Any) -> Any:
    """Whether measured ≥ limit, blind to conversion noise; False where either is missing."""
    return measured >= limit - CONVERSION_NOISE * np.abs(limit)


def at_most(measured: Any, limit: Any) -> Any:
    """Whether measured ≤ limit, blind to conversion noise; False where either is missing."""
    return measured <= limit + CONVERSION_NOISE * np.abs(limit)


def outcome(
    cases: Cases,
    met: Mask,
    measured: Numbers,
    limit: Numbers | float = np.nan,
    note: Text = "",
) -> Outcome:
    """An outcome per case: *no evidence* where measured or limit is missing, else met or not."""
    limit_value = np.full(len(cases), limit) if isinstance(limit, float) else limit
    result = np.where(met, RESULT["met"], RESULT["not met"]).astype(np.int8)
    result[np.isnan(measured) | np.isnan(limit_value)] = RESULT["no evidence"]
    return Outcome(result, measured, limit_value, note=note)


def without_numbers(cases: Cases, result: str, note: Text = "", **texts: Text) -> Outcome:
    """The same result for every case, nothing measured; ``put`` gives some cases another one."""
    unknown = np.full(len(cases), np.nan)
    codes = np.full(len(cases), RESULT[result], dtype=np.int8)
    return Outcome(codes, unknown, unknown, note=note, **texts)


def recorded(cases: Cases, known: Mask, note: Text) -> Outcome:
    """An outcome without numbers: *met* where ``known``, else *no evidence* with ``note``."""
    found = without_numbers(cases, "met")
    found.put(~known, "no evidence", note=note)
    return found


def day_texts(days: Days) -> Texts:
    """Days as 2026-03-09."""
    texts: Texts = np.datetime_as_string(days, unit="D").astype(object)
    return texts


TOO_CLOSE = "within measurement uncertainty"
NOT_KNOWN = "how well the instrument measures is not set: torque_uncertainty in project.toml"


def apply_guard_band(cases: Cases, decided: Outcome, expanded: Numbers, sense: str) -> Outcome:
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
