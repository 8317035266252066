"""Settings in quantities: read like bare numbers, kept as written, refused with what to write."""

from __future__ import annotations

import pytest

from core.assessment.earlier_sign_offs import same_values
from core.errors import ProjectError
from core.settings import Project, parse_project
from tests.services.small import SETTINGS, UNCERTAIN

WINDOW = "window_mm = 900"
BEFORE = "[criteria.all.required_torque]"


def changed(*changes: tuple[str, str]) -> str:
    """The small project's settings with each text replaced by another."""
    text = SETTINGS
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return text


def settings(*changes: tuple[str, str]) -> Project:
    """The changed settings, read."""
    return parse_project(changed(*changes))


def refused(*changes: tuple[str, str]) -> list[str]:
    """The lines of the refusal of the changed settings."""
    with pytest.raises(ProjectError) as error:
        settings(*changes)
    return [line.strip() for line in str(error.value).splitlines()]


def faults(*changes: tuple[str, str]) -> list[str]:
    """Faults of the changed settings, without the line that heads them."""
    return refused(*changes)[1:]


def test_a_quantity_is_read_as_the_field_that_a_bare_number_has():
    new = settings(
        (WINDOW, 'window = "900 mm"'),
        ("outside_diameter_mm = 88.9", 'outside_diameter = "8.89 cm"'),
        ("rated_torque_nm = 12000", 'rated_torque = "12 kN·m"'),
        ("helix_mm = [350]", 'helix = ["35 cm"]'),
        ("stop_h = 12", 'stop = "12 h"'),
    )
    old = settings()
    assert new.tables.model_dump() == old.tables.model_dump()
    assert (same_values(old, new), same_values(new, old)) == (True, True)


def test_a_quantity_is_kept_as_written_beside_its_value():
    project = settings((WINDOW, 'window = "3 ft"'), ("helix_mm = [350]", 'helix = ["14 in"]'))
    torque = project.tables.criteria["all"].required_torque
    assert (torque.window_mm, torque.as_entered("window_mm")) == (914, "window = 3 ft")
    assert torque.as_entered("interval_tolerance_mm") == "interval_tolerance_mm"
    helices = project.tables.helix_sets["350"]
    assert helices.as_entered("helix_mm") == "helix = 14 in"
    assert helices.as_entered("ultimate_kn") == "ultimate"


def test_percent_of_an_element_are_quantities_of_a_table():
    grade = (
        '[[steel_grades]]\nstandard = "invented"\ngrade = "T"\nyield = "65 ksi"\n'
        'tensile = "540 MPa"\nelongation = "16 %"\nmax = { C = "0.22 %", CE = "0.45 %" }\n'
        'source = "invented"\n'
    )
    (read,) = settings((BEFORE, grade + BEFORE)).tables.steel_grades
    assert read.yield_mpa == pytest.approx(448.159, abs=1e-3)
    assert read.max_percent == {"C": 0.22, "CE": 0.45}
    assert read.as_entered("max_percent") == "max = C 0.22 %, CE 0.45 %"


def test_the_unit_says_whether_an_instrument_shows_torque_or_pressure():
    def with_scale(full: str, step: str) -> tuple[str, str]:
        text = UNCERTAIN.replace("full_scale_nm = 12000", f'full_scale = "{full}"')
        text = text.replace("resolution_nm = 100", f'resolution = "{step}"')
        return BEFORE, text.lstrip() + BEFORE

    (row,) = settings(with_scale("9000 ft·lbf", "50 ft·lbf")).tables.torque_uncertainty
    assert (row.full_scale_kpa, round(row.full_scale_nm)) == (None, 12202)
    (row,) = settings(with_scale("3600 psi", "20 psi")).tables.torque_uncertainty
    assert (round(row.full_scale_kpa), row.full_scale_nm) == (24821, None)
    (fault,) = faults(with_scale("3600 psi", "50 ft·lbf"))
    assert "give full_scale and resolution both in a unit of pressure" in fault
    (fault,) = faults(with_scale("3600 kg", "20 psi"))
    assert "full_scale: kg is not a known unit of pressure or torque" in fault


@pytest.mark.parametrize("given", ["900", '"900"', "900.0"])
def test_a_bare_number_under_a_key_without_a_unit_is_refused_with_the_units(given):
    (fault,) = faults((WINDOW, f"window = {given}"))
    assert fault.startswith("criteria.all.required_torque.window: has no unit; write a text with")
    assert "(mm, cm, m, ft or in), such as " in fault
    assert fault.endswith(f"(given: {given.replace(chr(34), chr(39))})")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ('"900 mm2"', "mm2 is not a known unit of length"),
        ('"-3 ft"', "should be greater than 0 (given: '-3 ft')"),
        ('"0 ft"', "should be greater than 0 (given: '0 ft')"),
        ("nan", "is not a number with a unit"),
        ("true", "is not a quantity; write a text with number and unit"),
        ("2026-01-01", "is not a quantity; write a text with number and unit"),
        ('["3 ft"]', "takes one quantity without brackets"),
        ('{ a = "3 ft" }', "takes one quantity without braces"),
    ],
)
def test_what_is_no_quantity_is_refused_under_its_key(given, said):
    (fault,) = faults((WINDOW, f"window = {given}"))
    assert fault.startswith("criteria.all.required_torque.window: ")
    assert said in fault


def test_a_list_of_quantities_is_refused_value_by_value():
    found = faults(("helix_mm = [350]", 'helix = ["12 in", 13, "14 tonne"]'))
    assert [fault.split(":")[0] for fault in found] == [
        "helix_sets.350.helix.1",
        "helix_sets.350.helix.2",
    ]
    (fault,) = faults(("helix_mm = [350]", 'helix = "12 in"'))
    assert 'helix_sets.350.helix: takes a list; write for instance ["12 in", "14 in"]' in fault
    (fault,) = faults(("helix_mm = [350]", "helix = []"))
    assert fault.startswith("helix_sets.350.helix: ")


def test_a_key_with_its_unit_takes_no_quantity():
    (fault,) = faults((WINDOW, 'window_mm = "3 ft"'))
    assert "required_torque.window_mm: has its unit in the key" in fault
    assert 'write window = "3 ft"' in fault


def test_one_value_under_both_keys_is_a_fault_that_names_both():
    (fault,) = faults((WINDOW, f'{WINDOW}\nwindow = "900 mm"'))
    assert "required_torque.window: is also given as window_mm; keep one of the two" in fault


def test_every_fault_is_listed_at_once():
    found = faults(
        (WINDOW, "window = 900"),
        ("stop_h = 12\n", ""),
        ("outside_diameter_mm = 88.9", "outside_diameter = 88.9"),
        ("pitch_mm = 75", "pitch_mm = -75"),
        ("cross_check_share = 0.02", "cross_check_share = 2"),
    )
    assert sorted(fault.split(":")[0] for fault in found) == [
        "criteria.all.penetration_after_stop.stop",
        "criteria.all.required_torque.cross_check_share",
        "criteria.all.required_torque.window",
        "helix_sets.350.pitch_mm",
        "sections.round 89.outside_diameter",
    ]


def test_faults_between_keys_show_them_as_they_are_written():
    (fault,) = faults((WINDOW, 'window = "20 in"'), ("\ninterval_mm = 300", '\ninterval = "1 ft"'))
    assert (
        "required_torque.window: 20 in must be at least twice interval of reading_gaps (1 ft)"
    ) in fault


@pytest.mark.parametrize("window", ["2 ft", "24 in", "610 mm"])
def test_two_readings_a_foot_apart_are_a_window_of_two_feet(window):
    project = settings(
        (WINDOW, f'window = "{window}"'), ("\ninterval_mm = 300", '\ninterval = "1 ft"')
    )
    assert project.tables.criteria["all"].required_torque.window_mm == 610


def test_another_value_is_not_the_same_and_the_noise_of_a_conversion_is():
    before = settings()
    inches = settings(("outside_diameter_mm = 88.9", 'outside_diameter = "3.5 in"'))
    assert same_values(before, inches)
    assert not same_values(
        before, settings(("outside_diameter_mm = 88.9", 'outside_diameter = "3.51 in"'))
    )
    assert not same_values(before, settings((WINDOW, 'window = "3 ft"')))
    assert not same_values(before, settings(("helix_mm = [350]", 'helix = ["14 in"]')))


@pytest.mark.parametrize("given", ["3 ft", "3ft", "“3 ft”", "8000 ft·lbf", "3'-6", "2 % # slope"])
def test_a_quantity_without_quotation_marks_is_named_with_its_line(given):
    (fault,) = faults((WINDOW, f"window = {given}"))
    number = SETTINGS.splitlines().index(WINDOW) + 1
    text = given.strip("“”").removesuffix(" # slope")
    said = f'line {number}: write quotation marks around a quantity, window = "{text}"'
    assert fault == said


def test_toml_that_is_broken_elsewhere_has_no_word_of_quantities():
    (fault,) = refused((WINDOW, "window_mm = 900 = 1e3"))
    assert "is not valid TOML" in fault
    assert "quotation marks" not in fault


@pytest.mark.parametrize("key", ["window_ft", "window_in", "window_m"])
def test_a_key_with_another_unit_is_refused_with_the_key_that_takes_it(key):
    found = faults((WINDOW, f"{key} = 3"))
    unknown = next(fault for fault in found if f"required_torque.{key}:" in fault)
    assert "is not a known key; the key is window: write a text with number and unit" in unknown


def test_a_window_of_twice_an_interval_of_nine_inches_holds_two_readings():
    torque = settings(
        (WINDOW, 'window = "18 in"'), ("\ninterval_mm = 300", '\ninterval = "9 in"')
    ).tables.criteria["all"]
    assert (torque.required_torque.window_mm, torque.reading_gaps.interval_mm) == (457, 229)


@pytest.mark.parametrize(
    ("line", "system", "shown"),
    [
        (WINDOW, "SI", "0.90 m"),
        ('window = "3 ft"', "SI", "3 ft (0.91 m)"),
        ('window = "3 ft"', "US", "3 ft"),
    ],
)
def test_a_parameter_is_shown_as_it_is_written(line, system, shown):
    project = settings((WINDOW, line))
    assert project.parameter_text("T1", "required_torque", "window_mm", system) == shown


def test_an_element_that_nobody_knows_is_a_fault_under_its_key():
    grade = (
        '\n[[steel_grades]]\nstandard = "S 1"\ngrade = "G"\nyield = "450 MPa"\n'
        'tensile = "540 MPa"\nmost = { Xx = "0.22 %" }\nsource = "invented"\n'
    )
    with pytest.raises(ProjectError) as refusal:
        parse_project(SETTINGS + grade)
    assert any(fault.startswith("steel_grades.0.most.Xx") for fault in refusal.value.faults)


def test_a_delay_beyond_a_hundred_years_is_a_fault():
    assert faults(('due = "installing"', 'due = "installing"\ndue_after = "1e12 days"'))
