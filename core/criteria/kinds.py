"""Kinds of finding: what one is called, what it blocks, who is responsible, and how it is found.

A kind is declared once: with ``finding`` inside the class of its criterion, or as a ``FindingKind``
of its own beside the function that ``makes`` it, where no criterion asks for it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from core.criteria.cases import Cases
from core.criteria.outcomes import Outcome

if TYPE_CHECKING:
    from core.criteria.findings import Findings

BLOCKS: dict[str, str] = {
    "A": "acceptance of the pile",
    "C": "concrete over the head",
    "P": "payment",
    "H": "hand-over",
    "W": "further work",
}
RESPONSIBLE: dict[str, str] = {
    "DES": "designer or engineer of record",
    "ENG": "engineer's representative on site",
    "PM": "contractor's project manager",
    "FM": "foreman or rig operator",
    "QC": "contractor's quality control",
    "SUR": "surveyor",
    "LAB": "testing laboratory",
}
EDITION = 3  # of the finding kinds; a sign-off records the edition that it was judged by

Decide = Callable[[Cases], Outcome]
Sense = Literal["at least", "at most", ""]


@dataclass(frozen=True)
class FindingKind:
    """One kind of finding, with the functions that decide it for the piles of a criterion.

    ``id``: stable English identifier, snake case. It is stored by sign-offs and never changes;
    ``word`` is what screens show and may change.
    ``blocks``: letters of ``BLOCKS``; ``responsible``: code of ``RESPONSIBLE``, who is responsible;
    ``closed_by``: what closes it.
    ``since``: edition in which the kind first appeared. A sign-off of an earlier edition was not
    judged by it. A new kind gives the present ``EDITION``.
    ``form``: edition in which what it judges last changed, so that the same records may give
    another result.
    ``measure``: measure whose rows are the evidence, or the name of a record kind with a pile:
    then the rows of that kind about the pile are.
    ``sense``: side of the limit on which the measured value should lie, for the margin; empty
    where neither side is better. An outcome with a ``sense`` of its own goes before it.
    ``unit_column``: a column or measure whose ending is the unit of measured value and limit.
    ``needs``: parameters, as ``criterion.parameter``, that older settings lack. While one is
    missing the result is *no evidence*, unless the rest of the record already gives *not met* or
    a reason of its own.
    ``after``: id of the kind that it follows in lists; empty: the one declared before it.
    ``counts``: noun, in the plural, of what is counted where the measured value is a number of
    things, such as *pieces below grade*. ``share``: the measured value is one, shown in percent.
    """

    id: str
    word: str
    meaning: str
    blocks: str
    responsible: str
    closed_by: str
    since: int = 1
    form: int = 1
    measure: str = ""
    sense: Sense = ""
    unit_column: str = ""
    needs: tuple[str, ...] = ()
    after: str = ""
    counts: str = ""
    share: bool = False
    decides: tuple[Decide, ...] = ()

    def __call__(self, cases: Cases) -> Outcome:
        """What its first function decides of ``cases``."""
        return self.decides[0](cases)


def finding(
    id: str,
    word: str,
    meaning: str,
    *,
    blocks: str,
    responsible: str,
    closed_by: str,
    measure: str,
    sense: Sense = "",
    unit_column: str = "",
    since: int = 1,
    form: int = 1,
    needs: tuple[str, ...] = (),
    after: str = "",
    counts: str = "",
    share: bool = False,
) -> Callable[..., FindingKind]:
    """Declares the decorated function as a kind of finding of the criterion that it stands in.

    Several functions make several findings of the one kind. Arguments as in ``FindingKind``.
    """

    def declared(*decides: Decide) -> FindingKind:
        return FindingKind(
            id,
            word,
            meaning,
            blocks,
            responsible,
            closed_by,
            since=since,
            form=form,
            measure=measure,
            sense=sense,
            unit_column=unit_column,
            needs=needs,
            after=after,
            counts=counts,
            share=share,
            decides=decides,
        )

    return declared


@dataclass(frozen=True)
class Rule:
    """One function of a kind of finding, and the criterion of project.toml that asks for it."""

    kind: FindingKind
    criterion: str
    decide: Decide


@dataclass(frozen=True)
class Maker:
    """A function that makes findings of ``kinds`` which no criterion asks for.

    ``of`` names its arguments, in order: tables of the measured job (``piles``, ``runs``, …) or a
    record kind for its current rows up to the day of assessment, both as ``Columns``;
    ``criteria`` for all criteria by name and ``criteria.NAME`` for one of them, pile by pile
    beside ``piles``. The cheapest look comes first: mostly a maker finds nothing.
    """

    kinds: tuple[FindingKind, ...]
    of: tuple[str, ...]
    make: Callable[..., Findings]

    def __call__(self, *tables: Any) -> Findings:
        """The findings of these tables."""
        return self.make(*tables)


def makes(*kinds: FindingKind, of: tuple[str, ...]) -> Callable[[Callable[..., Findings]], Maker]:
    """Declares the decorated function as the maker of findings of ``kinds`` from ``of``."""
    return lambda make: Maker(kinds, of, make)


# What project.toml itself does not give.
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
