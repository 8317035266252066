"""Every rule and every maker of findings runs where there is nothing to decide."""

import numpy as np
import pytest

from core.criteria.cases import Cases, PileCriterion
from core.criteria.columns import RowColumns
from core.records import KIND
from core.records.current_rows import CurrentRows
from core.subjects.registry import MAKERS, RULES

NEVER = np.array([], dtype="datetime64[us]")
NO_PILES = PileCriterion(
    RowColumns([{}]), np.array([], dtype=int), NEVER, np.array([], dtype=bool)
)  # fmt: skip


class Anything:
    """Names of which every one is there."""

    def __contains__(self, name):
        return True


class NoRows(RowColumns):
    """A table that has every column and no row."""

    def __init__(self):
        super().__init__([])
        self.names = Anything()


def no_rows_of(kind):
    return CurrentRows.none(KIND[kind])


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: f"{rule.criterion}-{rule.kind.id}")
def test_every_rule_decides_nothing_of_no_pile(rule):
    found = rule.decide(Cases(NoRows(), NO_PILES, no_rows_of))
    assert len(found) == len(found.measured) == len(found.limit_value) == 0
    assert [found.text(name) for name in ("note", "item", "run", "part")] == [[]] * 4


class NoCriteria(dict):
    """Every criterion by its name, none of them set."""

    def __missing__(self, name):
        return NO_PILES


@pytest.mark.parametrize("maker", MAKERS, ids=lambda maker: maker.kinds[0].id)
def test_every_maker_finds_nothing_in_no_rows(maker):
    given = {"criteria": NoCriteria()} | {
        name: NO_PILES for name in maker.of if name.startswith("criteria.")
    }
    assert len(maker(*(given.get(name, NoRows()) for name in maker.of))) == 0
