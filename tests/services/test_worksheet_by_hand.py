"""Each step of a worksheet worked out again from what it prints: equation, inputs and notes."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from core import services
from core.subjects.steps import DIGITS, Input, Step, number_text
from tests.equations import Unreadable, quantity, result, unit
from tests.services.survey_job import survey_project
from tests.services.whole_job import whole_project

EXACT = 1e-9  # relative; sums in another order differ in the last bits
TINY_DEG = 2e-6  # an angle of which the cosine is 1 to the last bit
_DIGITS = re.compile(r"(?:^|; )to (0\.0*1|1)(?: |$|;)")
_FACTOR = re.compile(r"1 (\S+) = ([\d,.e-]+) (\S+)")
BY_CLAUSE = "the printed value governs by"  # whatever the equation would give


def worked(step: Step, values: list[float]) -> float:
    """What the equation of ``step`` comes to in its unit, with other values of its inputs."""
    given = [
        (one.symbol, quantity(value, one.unit))
        for one, value in zip(step.inputs, values, strict=True)
    ]
    if step.equation and not step.source.startswith(BY_CLAUSE):
        found = result(step.equation, given)
    elif given:
        found = given[0][1]
    else:
        raise Unreadable(f"{step.title}: a number from nothing")
    number = found if step.unit else found.to("dimensionless")
    return float((number / unit(step.unit)).to("dimensionless").magnitude)


def printed(one: Input) -> tuple[float, float]:
    """A number as printed, and by how much it may differ from the number that it stands for."""
    text = number_text(one.value, one.unit).replace(",", "")
    decimals = len(text.partition(".")[2])
    if float(text) == one.value:
        return float(text), 0.0
    before = len(text.lstrip("-").partition(".")[0].lstrip("0"))
    decimals = max(decimals, DIGITS - before, 4 if one.unit == "m" else 0)  # zeros are left out
    return float(text), 0.5 * 10.0**-decimals


def spread(step: Step, values: list[float], off: list[float], at: float) -> float:
    """By how much the result may move while each input moves by what printing takes from it."""
    found = 0.0
    for place, by in enumerate(off):
        if by:
            moved = [
                worked(step, [*values[:place], values[place] + sign * by, *values[place + 1 :]])
                for sign in (-1, 1)
            ]
            found += max(abs(one - at) for one in moved)
    return found


def faults(steps: list[Step]) -> list[str]:
    """Steps of which the result does not follow from what they print."""
    found = []
    for step in steps:
        if not np.isfinite(step.value):
            reasons = [one for one in step.inputs if not np.isfinite(one.value)]
            found += [] if step.note or reasons else [f"{step.title}: no value and no reason"]
            continue
        kept = _DIGITS.search(step.note)
        near = 0.5 * float(kept[1]) if kept else 0.0
        near += TINY_DEG if step.equation.startswith("cosθ") else 0.0
        again = worked(step, [one.value for one in step.inputs])
        if not abs(again - step.value) <= near * (1 + EXACT) + EXACT * abs(step.value):
            found.append(f"{step.title}: {again} for {step.value}")
        values, off = map(list, zip(*map(printed, step.inputs), strict=True))
        from_print = worked(step, values)
        own = printed(Input("", "", step.value, step.unit))[1]
        allowed = near + own + 1.01 * spread(step, values, off, from_print)
        if not abs(from_print - step.value) <= allowed + EXACT * abs(step.value):
            found.append(f"{step.title}: {from_print} from print for {step.value}")
        if factor := _FACTOR.search(step.note):
            ratio = (unit(factor[1]) / unit(factor[3])).to("dimensionless").magnitude
            if float(factor[2].replace(",", "")) != pytest.approx(ratio, rel=EXACT):
                found.append(f"{step.title}: {factor[0]}")
    return found


SURVEYS = ("101,after cut-off,2026-03-10,100.02,199.97,5.013,5.010,0.3,-0.2",
           "102,after cut-off,2026-03-10,103.21,200.04,5.2,5.2,13.8,0.4",
           "103,after cut-off,2026-03-10,500.1,800.1,10.1,10.05,36.5,-0.5")  # fmt: skip
JOBS = {"everything on one pile": whole_project,
        "upright, battered, anchor": lambda parent: survey_project(parent, *SURVEYS)}  # fmt: skip


@pytest.mark.parametrize("job", JOBS.values(), ids=JOBS)
def test_every_step_of_a_mixed_job_follows_from_what_it_prints(tmp_path, job):
    found = services.assess(job(tmp_path))
    for pile in found.piles["pile_id"].dropna():
        steps = services.worksheet(found, pile).steps
        assert len(steps) > 20
        assert faults(steps) == [], pile


def test_every_step_of_the_sample_follows_from_what_it_prints(sample_assessment):
    piles = sample_assessment.piles["pile_id"].dropna().tolist()[::6]
    equations = set()
    for pile in piles:
        steps = services.worksheet(sample_assessment, pile).steps
        equations |= {step.equation for step in steps}
        assert faults(steps) == [], pile
    assert len(equations) > 40


STEP = Step("s", "Void", "V = (π/4·d² − A)·L", (Input("d", "disc", 150.0, "mm"),
            Input("A", "shaft", 1980.25, "mm²"), Input("L", "length", 940.0, "mm")),
            14.7497341, "L", "geometry", note="1 L = 1,000,000 mm³")  # fmt: skip


@pytest.mark.parametrize(
    "changed",
    [
        {"value": 14.7498},
        {"unit": "mm³"},
        {"equation": "V = (π/4·d² + A)·L"},
        {"note": "1 L = 1,000 mm³"},
        {"inputs": (*STEP.inputs[:2], replace(STEP.inputs[2], value=941.0))},
    ],
)
def test_a_step_that_does_not_follow_is_seen(changed):
    value = (np.pi / 4 * 150.0**2 - 1980.25) * 940.0 / 1e6
    right = replace(STEP, value=value)
    assert faults([right]) == []
    assert len(faults([replace(right, **changed)])) > 0
    assert faults([replace(right, value=np.nan, note="")]) == ["Void: no value and no reason"]


@pytest.mark.parametrize(
    "equation", ["V = (π/4·d² − A)·L·x", "V = d²·A ^ L", "about 14 L", "V = A)"]
)
def test_an_equation_that_cannot_be_read_is_no_step(equation):
    with pytest.raises(Unreadable):
        faults([replace(STEP, equation=equation)])
