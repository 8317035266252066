"""Settings and sign-offs that hold names of earlier versions are read by one mapping."""

from __future__ import annotations

import json
import re

import pytest

from core.assessment.earlier_sign_offs import same_values
from core.assessment.sign_offs import differences
from core.criteria.earlier_names import present_name
from core.errors import ProjectError
from core.settings import parse_project
from tests.sample.raw import SAMPLE

TEXT = (SAMPLE / "project.toml").read_text(encoding="utf-8")
EARLIER = (
    (r"^max(?=[_ ])", "greatest"),
    (r"^min(?=[_ ])", "least"),
    (r"^time_zone", "zone"),
    (r"^assessed_on", "judged_on"),
    (r"^outside_diameter", "outside"),
    (r"^predrilled_diameter", "predrilled"),
    (r"(?<=\.)advance_per_revolution\]", "advance_per_turn]"),
)
NEVER_EARLIER = re.compile(r"^greatest_gap", re.MULTILINE)  # max_gap had this name from the start


def earlier_text():
    text = TEXT
    for present, earlier in EARLIER:
        text = re.sub(present, earlier, text, flags=re.MULTILINE)
    return NEVER_EARLIER.sub("max_gap", text)


def test_a_project_with_keys_of_earlier_versions_reads_the_same():
    assert "greatest = " in earlier_text()
    assert "least_lift_ratio = " in earlier_text()
    assert same_values(parse_project(TEXT), parse_project(earlier_text()))


def test_what_the_file_has_is_named_as_the_file_has_it():
    now, then = parse_project(TEXT), parse_project(earlier_text())
    first = next(iter(now.tables.criteria))
    assert now.tables.criteria[first].plan_offset.as_entered("max_mm").startswith("max = ")
    assert then.tables.criteria[first].plan_offset.as_entered("max_mm").startswith("greatest = ")


@pytest.mark.parametrize(
    ("line", "fault"),
    [
        ("zone = 5", "project.zone"),
        ('zone = "Europe/Nowhere"', "project.zone"),
        (
            'time_zone = "UTC"\nzone = "UTC"',
            "is the earlier name of time_zone; keep one of the two",
        ),
    ],
)
def test_a_fault_names_the_key_of_the_file(line, fault):
    text = re.sub(r"^time_zone = .*$", line, TEXT, flags=re.MULTILINE)
    with pytest.raises(ProjectError, match=re.escape(fault)):
        parse_project(text)


def test_a_sign_off_that_keeps_measures_under_earlier_names_is_compared_with_the_present_ones():
    pile = {"position_id": "P1"}

    def seen(**measures):
        return json.dumps({"findings": [], "loads": {}, "measures": measures, "pile": pile})

    def now(**measures):
        loads = dict.fromkeys(("design_compression_kn", "design_tension_kn"), "–")
        loads |= {"load_basis": "", "load_nature": ""}
        return json.dumps({"findings": [], "loads": loads, "measures": measures, "pile": pile})

    then = seen(torque_without_greatest_nm="5000", least_lift_ratio="1.20")
    same = now(torque_without_peak_nm="5000", min_lift_ratio="1.20")
    worse = now(torque_without_peak_nm="4900", min_lift_ratio="1.10")
    assert differences(then, same) == ""
    assert "5000 → 4900" in differences(then, worse)
    assert "1.20 → 1.10" in differences(then, worse)


def test_a_present_name_stays():
    for name in ("max_mm", "time_zone", "final_torque_nm", "advance_mm_per_turn"):
        assert present_name(name) == name
