"""What is made from the declarations of criteria: keys, order, table of project.toml, template."""

from __future__ import annotations

from dataclasses import replace
from types import ModuleType
from typing import Annotated, Literal

import pytest
from pydantic import Field
from pydantic.fields import FieldInfo

from core.criteria.base import Criterion
from core.criteria.kinds import finding
from core.criteria.template import criteria_text, template_line
from core.subjects import registry
from core.subjects.registry import CRITERION, FINDING, FINDING_KIND, PARAMETERS
from core.subjects.torque.rules import RequiredTorque, TorqueFactor
from tests.house.tree import ROOT


def kind(name: str, after: str = ""):
    return replace(FINDING["embedment"], id=name, after=after)


def ids(*kinds):
    return list(registry._in_order(kinds, "id"))


def test_a_criterion_is_called_after_its_class_and_holds_its_findings_in_order():
    assert RequiredTorque.key == "required_torque"
    assert [one.id for one in RequiredTorque.findings][:2] == [
        "mean_torque",
        "torque_at_last_reading",
    ]
    assert CRITERION["required_torque"] is RequiredTorque
    assert len(TorqueFactor.no_torque_factor.decides) == 2


def test_what_names_its_place_stands_behind_it_and_the_rest_as_declared():
    assert ids(kind("a"), kind("b", after="c"), kind("c"), kind("d")) == ["a", "c", "b", "d"]
    assert ids(kind("b", "a"), kind("c", "a"), kind("a"), kind("d", "c")) == ["a", "b", "c", "d"]


def test_a_name_declared_twice_and_a_place_that_is_not_there_are_refused():
    with pytest.raises(ValueError, match="a is declared twice"):
        ids(kind("a"), replace(kind("a"), word="another"))
    with pytest.raises(ValueError, match="after: nowhere"):
        ids(kind("a", after="nowhere"))
    with pytest.raises(ValueError, match="after: b"):
        ids(kind("a", after="b"), kind("b", after="a"))


def test_every_kind_of_finding_has_an_id_and_a_word_of_its_own():
    assert len(FINDING) == len(FINDING_KIND)
    assert [
        one for one in FINDING if not one.replace("_", "").isalpha() or one != one.lower()
    ] == []


def test_a_kind_of_a_criterion_is_decided_by_the_function_that_it_decorates():
    class Depth(Criterion):
        """Depth of something."""

        @finding("deep", "deep", "Deep.", blocks="A", responsible="QC", closed_by="it", measure="x")
        @staticmethod
        def deep(cases):
            return cases

    assert Depth.findings == (Depth.deep,)
    assert Depth.deep("cases") == "cases"


def test_a_criterion_from_which_another_one_derives_stays_a_criterion():
    module = ModuleType("core.subjects.invented.rules")

    class Common(Criterion):
        """What both have in common; no criterion."""

        __module__ = module.__name__

    class One(Common):
        """One."""

        __module__ = module.__name__
        deep = FINDING["embedment"]

    class Other(One):
        """Other."""

        __module__ = module.__name__

    vars(module).update(common=Common, one=One, other=Other)
    assert registry._classes(module) == [One, Other]


def test_parameters_that_measures_need_are_numbers_or_texts():
    dtypes = {name: dtype for _, _, name, dtype in PARAMETERS}
    assert (dtypes["toe_reading_mm"], dtypes["window_rule"]) == ("float64", "str")
    assert (dtypes["printed_governs"], dtypes["embedment_measure"]) == ("str", "str")
    assert len(dtypes) == len(PARAMETERS)


@pytest.mark.parametrize(
    ("annotation", "field", "line"),
    [
        (float, Field(description="far", examples=[0.85]), "# x =  # far; practical 0.85"),
        (int | None, Field(None, description="deep"), "# x =  # deep"),
        (float, Field(), "# x ="),
        (bool, Field(examples=[True]), "# x = true"),
        (str, Field("", description="why"), '# x = ""  # why'),
        (Annotated[Literal["a", "b"], "mark"], Field(), '# x = "a"  # a, b'),
        (Literal["a", "b"] | None, Field(description="b if"), '# x = "a"  # a, b; b if'),
        (tuple[str, ...], Field(examples=[("a", "b")]), '# x = ["a", "b"]'),
    ],
)
def test_a_key_of_the_template_shows_choices_and_practical_values(annotation, field, line):
    shown = template_line("x", FieldInfo.from_annotated_attribute(annotation, field))
    assert " ".join(shown.split()) == " ".join(line.split())


def test_a_key_with_a_unit_takes_a_quantity_of_one_or_the_other_system():
    field = Field(description="far", examples=["900 mm", "3 ft"])
    shown = template_line("window_mm", FieldInfo.from_annotated_attribute(int, field))
    assert " ".join(shown.split()) == '# window = "" # far; such as "900 mm" or "3 ft"'


def test_every_criterion_of_the_template_says_what_it_is_about():
    text = criteria_text(CRITERION, "first")
    for key, one in CRITERION.items():
        before = text.partition(f"[criteria.first.{key}]")[0].splitlines()[-1]
        assert before.startswith("# "), key
        assert before.endswith("(grouted types alone)") == one.grouted_only, key


def test_the_edition_of_a_kind_is_a_number_of_its_own():
    rules = (ROOT / "core" / "subjects").rglob("*rules.py")
    texts = {path.name: path.read_text(encoding="utf-8") for path in rules}
    assert [name for name, text in texts.items() if "since=EDITION" in text] == []
