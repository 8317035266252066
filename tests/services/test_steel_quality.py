"""Grade, chemistry, zinc, origin and days of steel, judged from raw files."""

import pytest

from core import services
from tests.services.small import state
from tests.services.steel_job import (
    COMPONENTS,
    HEATS,
    MILL_CERTIFICATES,
    OF_STEEL,
    settings,
    steel_job,
)

KINDS = {"component placed before delivery", "grade of the steel", "chemistry of the steel",
         "zinc recorded", "zinc thickness", "origin of the steel", "remnant not tracked",
         "heat traced", "lot quantity exceeded"}  # fmt: skip
GRADES = """
[[steel_grades]]
standard = "Invented tube standard, 2024"
grade = "INV-T2"
yield_mpa = 450
tensile_mpa = 540
elongation_percent = 16
max_percent = { C = 0.22, CE = 0.45 }
source = "invented"
[[steel_grades]]
standard = "Invented plate standard, 2025"
grade = "INV-P"
yield_mpa = 355
tensile_mpa = 490
source = "invented"
"""
GRADED = OF_STEEL.replace(
    '[criteria.all.steel_grade]\nnot_required = "clause 6 asks for none"\n',
    '[criteria.all.steel_grade]\nclause = "6.6"\ndue = "installed"\n',
)
PAPERS = """\
Mill certificate,Certificate type,Standard,Grade
MC-5,3.1,"Invented tube standard, 2024",INV-T2
MC-6,3.1,"Invented Plate Standard,  2025",inv-p
"""
RESULTS = """\
Mill certificate,Mill,Heat,Page,Yield (MPa),Tensile (MPa),Elongation (%),C (%),CE (%),Melted in
MC-5,Mill X,7Q1803,2,470,560,21,0.18,0.41,Norway
MC-5,Mill X,9K0001,3,466,555,20,0.19,0.42,Norway
MC-6,Mill Y,7Q1803,1,390,510,,,,Norway
"""


def graded(tmp_path, **changed):
    files = {"certificates": PAPERS, "heats": RESULTS} | changed
    return services.assess(steel_job(tmp_path, settings(criteria=GRADED) + GRADES, **files))


def open_findings(assessment):
    found = assessment.findings
    found = found[found["kind"].isin(KINDS) & ~found["result"].isin(["met", "not required"])]
    return {kind: (result, note) for kind, result, note in
            zip(found["kind"], found["result"], found["note"], strict=True)}  # fmt: skip


def test_results_above_the_least_of_their_grade_are_met(tmp_path):
    assessment = graded(tmp_path)
    assert open_findings(assessment) == {}
    met = assessment.findings.set_index("kind")["result"]
    assert met["grade of the steel"] == met["chemistry of the steel"] == "met"
    assert state(assessment) == "criteria met"


@pytest.mark.parametrize(
    ("old", "new", "kind", "result", "note"),
    [
        ("9K0001,3,466", "9K0001,3,449", "grade of the steel", "not met",
         "E-7 whole: heat 9K0001 on certificate MC-5: yield strength below its grade"),
        ("9K0001,3,466,555", "9K0001,3,466,539", "grade of the steel", "not met",
         "tensile strength below its grade"),
        ("555,20,", "555,15.9,", "grade of the steel", "not met", "elongation below its grade"),
        ("9K0001,3,466,", "9K0001,3,,", "grade of the steel", "no evidence",
         "heat 9K0001 on certificate MC-5 gives no yield strength"),
        ("0.19,0.42", "0.23,0.42", "chemistry of the steel", "not met",
         "carbon 0.23 %, at most 0.22 %"),
        ("0.19,0.42", "0.19,0.46", "chemistry of the steel", "not met",
         "carbon equivalent 0.46 %, at most 0.45 %"),
        ("0.19,0.42", ",0.42", "chemistry of the steel", "no evidence", "gives no carbon"),
    ],
)  # fmt: skip
def test_one_result_at_fault_gives_its_finding(tmp_path, old, new, kind, result, note):
    assert old in RESULTS
    found = open_findings(graded(tmp_path, heats=RESULTS.replace(old, new)))
    assert list(found) == [kind]
    assert found[kind][0] == result
    assert note in found[kind][1]


def test_exactly_the_least_is_met(tmp_path):
    heats = RESULTS.replace("466,555,20,0.19,0.42", "450,540,16,0.22,0.45")
    assert open_findings(graded(tmp_path, heats=heats)) == {}


def test_the_least_in_other_units_is_met(tmp_path):
    # 450 MPa = 65.2669… ksi: strengths come in ksi and are compared in store units.
    lines = RESULTS.replace("Yield (MPa)", "Yield (ksi)").replace("Tensile (MPa)", "Tensile (ksi)")
    lines = lines.replace("470,560", "68.2,81.3").replace("466,555", "65.2670,80.5")
    assert open_findings(graded(tmp_path, heats=lines.replace("390,510", "56.6,74"))) == {}


def test_a_grade_that_the_project_does_not_set_is_no_evidence(tmp_path):
    found = open_findings(graded(tmp_path, certificates=PAPERS.replace("INV-T2", "T-500")))
    result, note = found["grade of the steel"]
    assert result == "no evidence"
    assert "grade T-500 of Invented tube standard, 2024 is not among steel_grades" in note


def test_a_certificate_without_a_grade_is_no_evidence(tmp_path):
    found = open_findings(graded(tmp_path, certificates=MILL_CERTIFICATES))
    assert "names no standard and grade" in found["grade of the steel"][1]


def asked_kinds(**more):
    """Settings in which leads and extensions ask for more."""
    text = settings()
    for kind, lines in more.items():
        text = text.replace(f"[component_kinds.{kind}]\n", f"[component_kinds.{kind}]\n{lines}\n")
    return text


def with_column(text, heading, *values):
    head, *rows = text.splitlines()
    told = [f"{row},{value}" for row, value in zip(rows, values, strict=True)]
    return "\n".join([f"{head},{heading}", *told]) + "\n"


ZINC = asked_kinds(lead="zinc_lot = true\nzinc_um = 75", extension="zinc_um = 75")


def zinc(*values):
    lots = with_column(COMPONENTS, "Zinc lot", "Z-1", "", "")
    return with_column(lots, "Zinc (µm)", *values)


@pytest.mark.parametrize(
    ("components", "kind", "result", "note"),
    [
        (zinc("90", "", "75"), None, None, None),
        (zinc("90", "", ""), "zinc recorded", "noted", "E-7 whole: the thickness of its zinc"),
        (zinc("", "", "90").replace("Z-1", ""), "zinc recorded", "noted",
         "L-1 helix: its zinc lot is not recorded; the thickness of its zinc is not recorded"),
        (zinc("74.9", "", "90"), "zinc thickness", "not met", "thinner than required"),
        (zinc("3.5", "", "2.96").replace("µm", "mil"), None, None, None),
        (zinc("3.5", "", "2.94").replace("µm", "mil"), "zinc thickness", "not met", "E-7"),
    ],
)  # fmt: skip
def test_zinc_is_recorded_and_thick_enough_where_it_is_specified(
    tmp_path, components, kind, result, note
):
    # 75 µm = 2.953 mil.
    found = open_findings(services.assess(steel_job(tmp_path, ZINC, components=components)))
    assert list(found) == ([kind] if kind else [])
    if kind:
        assert found[kind][0] == result
        assert note in found[kind][1]


@pytest.mark.parametrize(
    ("old", "new", "note"),
    [
        ("Norway", "Norway", None),
        ("0.42,Norway", "0.42,", "heat 9K0001: no certificate states where melted"),
        ("0.42,Norway", "0.42,Sweden", None),
        ("0.42,Norway", "0.42,Elsewhere", "heat 9K0001 is melted in Elsewhere"),
    ],
)
def test_the_country_of_melt_is_shown_where_the_contract_has_a_rule(tmp_path, old, new, note):
    toml = asked_kinds(extension='origin = ["Norway", "Sweden"]')
    folder = steel_job(tmp_path, toml, certificates=PAPERS, heats=RESULTS.replace(old, new))
    found = open_findings(services.assess(folder))
    assert found == ({"origin of the steel": ("noted", f"E-7 whole: {note}")} if note else {})


@pytest.mark.parametrize(("day", "early"), [("2026-03-02", False), ("2026-03-03", True)])
def test_a_component_is_placed_on_the_day_of_its_delivery_at_the_earliest(tmp_path, day, early):
    # The run is of 2 March; the day comes of the delivery note, the components say none.
    notes = f"Delivery note,Date delivered,Supplier\nDN-1,{day},Invented supplier\n"
    assessment = services.assess(steel_job(tmp_path, notes=notes))
    found = open_findings(assessment)
    assert list(found) == (["component placed before delivery"] if early else [])
    assert set(assessment.measured.trace["supplier"]) == {"Invented supplier"}
    if early:
        result, note = found["component placed before delivery"]
        assert result == "no evidence"
        assert "delivered on 2026-03-03, the run is of 2026-03-02" in note
        rows = assessment.evidence("101")
        told = rows.loc[rows["kind"].eq("component placed before delivery"), "record"]
        assert "delivery" in set(told)


def test_the_rows_of_the_certificate_are_cited(tmp_path):
    assessment = graded(tmp_path, heats=HEATS)
    rows = assessment.evidence("101")
    told = set(rows.loc[rows["kind"].eq("grade of the steel"), "record"])
    assert {"heat_on_certificate", "certificate", "piece"} <= told
