"""What limits a torque-derived resistance, and the uncertainty beside a margin."""

from __future__ import annotations

import pytest

from core import services
from tests.dashboard.test_screens import words_of


@pytest.fixture
def page_with(open_app, stub_project, monkeypatch):
    """The Pile screen of P-2 after a change to the frames of the made-up assessment."""
    assess = services.assess

    def page(change):
        def changed(*asked):
            assessment = assess(*asked)
            change(assessment)
            return assessment

        monkeypatch.setattr(services, "assess", changed)
        return words_of(open_app(stub_project, "pile", piles="P-2"))

    return page


def nothing(assessment):
    """No change."""


def torque_over_the_rating(assessment):
    assessment.findings["kind"], assessment.findings["result"] = "rated torque", "not met"


def weak_coupling(assessment):
    assessment.piles["structural_kn"], assessment.piles["structural_by"] = 175.0, "coupling"
    assessment.piles["over_structural"] = True


def known_uncertainty(assessment):
    assessment.findings["uncertainty"] = 320.0


@pytest.mark.parametrize(
    ("change", "shown"),
    [
        (
            torque_over_the_rating,
            '<s class="pw-struck">180.0 kN</s> torque exceeded the rating of the string',
        ),
        (
            weak_coupling,
            '<s class="pw-struck">180.0 kN</s> limited by the coupling: 175.0 kN',
        ),
        (known_uncertainty, "-0.50 kN·m (± 0.32 kN·m)"),
    ],
)
def test_what_limits_a_number_stands_beside_it(page_with, change, shown):
    assert shown not in page_with(nothing)
    page = page_with(change)
    assert shown in page
    assert "invented tests of 2025" in page
