"""Text of files in figures: drawn as it was written, whatever it means in a figure's markup."""

from __future__ import annotations

import ast
import html
import json
import re

import numpy as np
import pandas as pd
import pytest

from dashboard.charts.grout import Panel as TakePanel
from dashboard.charts.grout import lifts_of_pile, min_takes, strength_with_age, take_by_group
from dashboard.charts.panels import grid
from dashboard.charts.steel import steel_trace
from dashboard.charts.torque import Marks, torque_against_depth, torque_by_group
from dashboard.literal import figure_text
from tests.dashboard import test_charts as torque
from tests.dashboard import test_grout_charts as take
from tests.dashboard import test_lifts_chart as one_pile
from tests.dashboard import test_string_chart as string
from tests.dashboard import test_survey_sketch as survey
from tests.dashboard import test_torque_area_chart as area
from tests.house.tree import files, name, parsed

LINK = '<a href="http://x">B</a>'
TEMPLATE = "%{x}"
OTHER = LINK + "2"


def of_one_pile():
    rows = torque.readings(event=LINK, event_sort="critical", run_no=[LINK] * 2 + [OTHER] * 3)
    return torque_against_depth(rows, Marks(required_torque_nm=8000.0, required_by=LINK), "SI")


def of_torque(along="depth_mm"):
    chosen = area.readings(LINK, OTHER)
    held = area.marks(LINK, OTHER, required_torque_nm=[8000.0, 9000.0], first_disc_depth_mm=300.0)
    panels = [
        area.Panel(name, area.readings("P1" + LINK), chosen, held, area.BAND)
        for name in (LINK, OTHER)
    ]
    return torque_by_group(panels, along, "SI")


def of_take(over="cumulative_ratio"):
    rows = [take.lifts(pile).assign(where=LINK) for pile in ("P1" + LINK, OTHER)]
    panels = [TakePanel(name, *rows, [OTHER], take.LIMITS) for name in (LINK, OTHER)]
    return take_by_group(panels, over, "SI")


def of_strength():
    rows = take.specimens().assign(specimen_id=LINK, sample_group_id=OTHER)
    return strength_with_age(rows, [(28.0, 35.0)], {OTHER}, "SI")


def of_steel():
    trace_boxes = pd.DataFrame(
        {
            "level": ["pile", "component"], "box": [LINK, OTHER], "count": [1, 2],
            "broken": [False, True],
        }
    )  # fmt: skip
    line = {"level": ["pile"], "box": [LINK], "next_box": [OTHER], "broken": [True]}
    return steel_trace(trace_boxes, pd.DataFrame(line))


FIGURES = {
    "torque_against_depth": of_one_pile,
    "torque_by_group": of_torque,
    "take_by_group": of_take,
    "min_takes": lambda: min_takes(
        take.takes(subject=[LINK, OTHER, "P3", "P4"], named=True), take.LIMITS, [LINK]
    ),
    "strength_with_age": of_strength,
    "lifts_of_pile": lambda: lifts_of_pile(
        one_pile.lifts(lift_no=LINK, run_no=[LINK, LINK, OTHER]), one_pile.LIMITS, "SI"
    ),
    "grid": lambda: grid([LINK, OTHER]),
    "steel_trace": of_steel,
    "string_drawing": lambda: string.drawn(string.parts().assign(stamp=LINK, component=OTHER)),
    "survey_sketch": lambda: survey.sketch(survey.surveys(survey_stage=[LINK, OTHER])),
}


def drawn(figure) -> list[str]:
    """Every text of a figure, without what is handed back by a click and never drawn."""
    parts = json.loads(figure.to_json())
    for trace in parts["data"]:
        told = trace.get("hovertemplate", "") + trace.get("texttemplate", "")
        data = trace.pop("customdata", None)
        if data is not None:
            columns = {int(found) for found in re.findall(r"customdata\[(\d+)\]", told)}
            rows = np.atleast_2d(np.array(_rows(data, columns), dtype=object))
            trace["drawn"] = rows.tolist()
    return list(_texts(parts))


def _rows(data, columns: set[int]):
    """The columns of ``data`` that a template names; all of it when it names none."""
    if not columns:
        return data
    return [[row[column] for column in sorted(columns)] for row in data]


def _texts(part):
    if isinstance(part, str):
        yield part
    elif isinstance(part, dict | list):
        for one in part.values() if isinstance(part, dict) else part:
            yield from _texts(one)


def test_every_figure_is_tried_with_text_that_means_something():
    public = {
        node.name
        for path in files(".py")
        if name(path).startswith("dashboard/charts/")
        for node in parsed(path).body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
        if node.returns and ast.unparse(node.returns) == "go.Figure"
    }
    assert public == set(FIGURES)


@pytest.mark.parametrize("of", FIGURES)
def test_no_link_of_a_file_is_drawn_by_a_figure(of):
    texts = drawn(FIGURES[of]())
    assert [text for text in texts if "<a" in text] == []
    assert any("&lt;a href" in text for text in texts)


def test_a_click_hands_back_the_pile_as_it_is_called():
    for figure in (of_torque(), of_take(), FIGURES["min_takes"]()):
        handed = {
            str(row[0])
            for trace in figure.data
            if trace.customdata is not None and "customdata[1]" in (trace.hovertemplate or "")
            for row in trace.customdata
        }
        assert OTHER in handed
        assert not any("&lt;" in pile for pile in handed)


@pytest.mark.parametrize(
    "text", [LINK, TEMPLATE, "<b>x</b>", "$x^2$", "&lt;", "A & B", "P-101A", "Møller", "\"x\" 'y'"]
)
def test_a_figure_decodes_to_the_text_as_written(text):
    escaped = figure_text(text)
    assert html.unescape(escaped) == text
    assert not re.search(r"<|%\{|\$", escaped)


def test_the_text_of_a_figure_stays_on_its_line():
    assert figure_text("a\nb\u202ec") == "a b c"
