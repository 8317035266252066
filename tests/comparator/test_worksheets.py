"""The worksheet of every pile of the frozen ledger: titles, equations, inputs, places, results."""

from tests.comparator import answers, frozen


def test_every_worksheet_says_the_same(frozen_now):
    piles = sorted(frozen_now.piles["pile_id"].dropna())
    faults = frozen.faults("explain", {pile: answers.explained(frozen_now, pile) for pile in piles})
    assert not faults, "\n".join(faults)
