"""The worksheet of every pile of the frozen ledger: measures, results, inputs and their places."""

from tests.comparator import answers, frozen


def test_every_worksheet_has_the_numbers_and_origins_that_it_had(frozen_now):
    before = {pile: answers.numbers(steps) for pile, steps in frozen.expected()["explain"].items()}
    after = {pile: answers.numbers(answers.explained(frozen_now, pile)) for pile in before}
    faults = frozen.faults_of("explain", before, after, may_have_more=True)
    assert not faults, "\n".join(faults)
