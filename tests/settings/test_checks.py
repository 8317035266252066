"""What project.toml must say together: every fault is listed with its key, and good text passes."""

from __future__ import annotations

import pytest

from core.errors import ProjectError
from core.settings import PROJECT_FILE, load_project, parse_project
from tests.services.small import SETTINGS, UNCERTAIN

TWO_HELICES = "helix_mm = [300, 350]\npitch_mm = 75\n"
SAFETY = """
[[safety_factors]]
direction = "tension"
nature = "wind"
value = 2.0
clause = "invented"
"""
FACTOR = SETTINGS[SETTINGS.index("[[torque_factors]]") : SETTINGS.index("[criteria.all.req")]
GAPS = SETTINGS[SETTINGS.index("[criteria.all.reading_gaps]") : SETTINGS.index("[criteria.all.cal")]


def changed(*changes: tuple[str, str]) -> str:
    """The small project's settings with each text replaced by another."""
    text = SETTINGS
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return text


def faults(*changes: tuple[str, str]) -> list[str]:
    """Faults of the changed settings."""
    try:
        parse_project(changed(*changes))
    except ProjectError as error:
        return str(error).splitlines()[1:]
    return []


def one_fault(*changes: tuple[str, str]) -> str:
    """The only fault of the changed settings."""
    found = faults(*changes)
    assert len(found) == 1, found
    return found[0]


def test_the_small_project_has_no_fault():
    assert faults() == []


@pytest.mark.parametrize(
    ("given", "key"),
    [("", "top_helix_above_toe"), ("top_helix_above_toe_mm = 0\n", "top_helix_above_toe_mm")],
)
def test_several_helices_need_the_height_of_the_top_one(given, key):
    fault = one_fault(("helix_mm = [350]\npitch_mm = 75\n", TWO_HELICES + given))
    assert f"helix_sets.350.{key}: a set of 2 helices needs" in fault


def test_several_helices_with_the_height_of_the_top_one_are_taken():
    given = TWO_HELICES + "top_helix_above_toe_mm = 1000\n"
    assert faults(("helix_mm = [350]\npitch_mm = 75\n", given)) == []


def test_evidence_may_not_fall_due_after_the_last_stage():
    fault = one_fault(('last_stage = "installed"', 'last_stage = "stopped"'), *STOPPED)
    assert "criteria.all.embedment.due: 'installed' comes after 'stopped'" in fault
    assert "the last_stage of type T1" in fault


# With the last stage "stopped", every criterion but embedment falls due in time.
STOPPED = [
    (f'clause = "5.{number}"\ndue = "installed"', f'clause = "5.{number}"\ndue = "stopped"')
    for number in (1, 4, 7, 9, 10, 11, 12)
]


def test_a_stage_that_no_record_shows_is_refused():
    stage = "tested"
    due = ('clause = "5.3"\ndue = "installed"', f'clause = "5.3"\ndue = "{stage}"')
    assert f"criteria.all.embedment.due: no record can show the stage '{stage}'" in one_fault(due)
    last = ('last_stage = "installed"', f'last_stage = "{stage}"')
    assert f"types.T1.last_stage: no record can show the stage '{stage}'" in one_fault(last)


@pytest.mark.parametrize("stage", ["cut off", "concreted over"])
def test_a_last_stage_of_stage_records_is_taken(stage):
    assert faults(('last_stage = "installed"', f'last_stage = "{stage}"')) == []


GROUTED = ("grouted = false\nlast_stage", "grouted = true\nlast_stage")
GROUTED_ELEMENT = ('element = "helical pile"', 'element = "grouted helical pile"')


def test_element_and_grout_agree():
    assert "types.T1.element: grouted = true needs element" in one_fault(GROUTED)
    assert "types.T1.grouted: a grouted helical pile needs" in one_fault(GROUTED_ELEMENT)
    assert faults(GROUTED, GROUTED_ELEMENT) == []


def test_a_grouted_type_may_not_do_without_a_torque_factor():
    none = ('clause = "5.10"\ndue = "installed"', 'not_required = "invented"')
    assert faults(none) == []
    fault = one_fault(GROUTED, GROUTED_ELEMENT, none)
    assert "criteria.all.torque_factor: may not be declared not required" in fault
    assert "needs a factor from tests on grouted piles, or none" in fault


def test_a_direction_and_nature_of_load_has_one_safety_factor():
    end = "[criteria.all.required_torque]"
    assert faults((end, SAFETY + end)) == []
    assert "safety_factors tension, wind: is given twice" in one_fault((end, SAFETY + SAFETY + end))
    assert faults((end, SAFETY + SAFETY.replace('"wind"', '"seismic"') + end)) == []


def test_rows_of_torque_factors_are_told_apart_by_id_and_by_case():
    other = FACTOR.replace("TF1", "TF2")
    assert "torque_factors TF2: the same section, direction" in one_fault((FACTOR, FACTOR + other))
    tension = FACTOR.replace('"compression"', '"tension"')
    assert "torque_factors TF1: id is given twice" in one_fault((FACTOR, FACTOR + tension))
    assert faults((FACTOR, FACTOR + tension.replace("TF1", "TF2"))) == []


def test_a_person_stands_there_once_whatever_the_letter_case():
    fault = one_fault(('name = "Bo Invented"', 'name = "ADA invented"'))
    assert "people Ada Invented: name is given twice" in fault


@pytest.mark.parametrize(
    ("window", "tolerance", "key"),
    [
        (10, 10, "required_torque.window_mm: 10 must be greater than interval_tolerance_mm"),
        (599, 10, "required_torque.window_mm: 599 must be at least twice interval_mm"),
        (900, 300, "required_torque.interval_tolerance_mm: 300 must be less than interval_mm"),
    ],
)
def test_the_final_window_holds_two_readings(window, tolerance, key):
    old = "window_mm = 900\ninterval_tolerance_mm = 10"
    found = faults((old, f"window_mm = {window}\ninterval_tolerance_mm = {tolerance}"))
    assert any(f"criteria.all.{key}" in fault for fault in found), found


@pytest.mark.parametrize(("window", "tolerance"), [(600, 10), (900, 299)])
def test_a_window_at_the_limit_is_taken(window, tolerance):
    old = "window_mm = 900\ninterval_tolerance_mm = 10"
    assert faults((old, f"window_mm = {window}\ninterval_tolerance_mm = {tolerance}")) == []


def test_gaps_count_while_a_torque_is_required():
    without = (GAPS, '[criteria.all.reading_gaps]\nnot_required = "invented"\n')
    fault = one_fault(without)
    assert "criteria.all.reading_gaps: may not be declared not required" in fault
    assert "a window with readings missing proves nothing" in fault


def test_settings_are_no_right():
    found = faults(('may = ["accept", "withdraw", "release"]', 'may = ["accept", "settings"]'))
    assert any("roles.engineer.may" in fault and "settings" in fault for fault in found), found


def test_a_byte_order_mark_is_no_fault(tmp_path):
    (tmp_path / PROJECT_FILE).write_text(SETTINGS, encoding="utf-8-sig")
    project = load_project(tmp_path)
    assert project.text == SETTINGS
    assert project.digest == parse_project(SETTINGS).digest


@pytest.mark.parametrize("codec", ["latin-1", "utf-16", "utf-16-le"])
def test_another_encoding_is_told_in_a_sentence(tmp_path, codec):
    text = SETTINGS.replace("Invented footbridge", "Invented Brücke")
    (tmp_path / PROJECT_FILE).write_text(text, encoding=codec)
    with pytest.raises(ProjectError, match=r"is not in UTF-8\. .* save it in the encoding UTF-8"):
        load_project(tmp_path)


BEFORE = "[criteria.all.required_torque]"


def with_uncertainty(text: str) -> tuple[str, str]:
    """A change that puts ``text`` before the first criterion."""
    return BEFORE, f"{text.lstrip()}{BEFORE}"


def test_an_uncertainty_is_of_pressure_or_of_torque():
    assert faults(with_uncertainty(UNCERTAIN)) == []
    gauge = UNCERTAIN.replace("_nm = 12000", "_kpa = 25000").replace("n_nm = 100", "n_kpa = 100")
    assert faults(with_uncertainty(gauge)) == []
    mixed = UNCERTAIN.replace("_nm = 12000", "_kpa = 25000")
    fault = one_fault(with_uncertainty(mixed))
    assert "torque_uncertainty TI-1: give full_scale and resolution both in a unit of" in fault


def test_an_instrument_has_one_row_of_uncertainty():
    fault = one_fault(with_uncertainty(UNCERTAIN + UNCERTAIN.lstrip()))
    assert fault.endswith("torque_uncertainty TI-1: is given twice; an instrument has one row")


def test_guarded_needs_the_clause_that_asks_for_it_and_a_measurement_with_uncertainty():
    fault = one_fault((BEFORE, f'{BEFORE}\ndecision_rule = "guarded"'))
    assert 'decision_rule = "guarded" needs decision_clause' in fault
    fault = one_fault(("[criteria.all.drop_at_end]", "[criteria.all.drop_at_end]\n"
                       'decision_rule = "guarded"'))  # fmt: skip
    assert "criteria.all.drop_at_end.decision_rule: Input should be 'simple'" in fault


@pytest.mark.parametrize(
    ("before", "name"),
    [
        ("[helix_sets.", "coupling_ultimate"),
        ("[helix_sets.", "ultimate"),
        ("[types.T1]", "ultimate"),
    ],
)
def test_a_resistance_needs_the_document_that_gives_it(before, name):
    fault = one_fault((before, f"{name}_kn = 400\n{before}"))
    assert f"{name}_kn needs {name}_document" in fault
    told = f'{name}_kn = 400\n{name}_document = "invented"\n{before}'
    assert faults((before, told)) == []


def test_a_toe_reading_may_lie_no_further_than_an_interval_less_its_tolerance():
    key = "toe_reading_mm = 150"
    fault = one_fault((key, "toe_reading_mm = 290"))
    assert "criteria.all.required_torque.toe_reading_mm: 290 must be less than" in fault
    assert faults((key, "toe_reading_mm = 289")) == []


def test_settings_without_a_parameter_newer_than_them_are_taken():
    assert faults(("toe_reading_mm = 150\n", "")) == []
