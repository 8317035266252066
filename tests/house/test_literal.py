"""What a screen hands to Streamlit as Markdown is our own wording, or goes through ``literal``."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

import pytest

from tests.house.tree import files, name, parsed

SCREENS = [path for path in files(".py") if name(path).startswith("dashboard/")]
DRAWS = frozenset((
    "badge", "button", "caption", "checkbox", "date_input", "download_button", "error", "expander",
    "feedback", "file_uploader", "form_submit_button", "header", "image", "info", "link_button",
    "markdown", "metric", "multiselect", "number_input", "page_link", "pills", "popover", "radio",
    "segmented_control", "select_slider", "selectbox", "slider", "spinner", "status", "subheader",
    "success", "tabs", "text_area", "text_input", "time_input", "title", "toast", "toggle",
    "warning", "write",
))  # fmt: skip
ARGUMENTS = ("label", "body", "help", "value", "delta", "caption", "captions")
# Their choices are drawn as Markdown, too.
DRAW_CHOICES = frozenset({"pills", "radio", "segmented_control"})
# Words of ours, and texts that hold none of anybody's: numbers with their units.
ESCAPES = frozenset({"literal", "literals", "counted", "len", "text", "waiting_time"})
NOT_STREAMLIT = frozenset({"page", "charts", "commands", "services", "steel_trace"})
OUR_OWN = frozenset({"page.remedy"})  # constants of the error page


def _called(call: ast.Call) -> str:
    return call.func.id if isinstance(call.func, ast.Name) else getattr(call.func, "attr", "")


def _is_constant(named: ast.Name | ast.Attribute) -> bool:
    return (named.id if isinstance(named, ast.Name) else named.attr).isupper()


class Page:
    """One module of the dashboard, and what in it may be drawn as Markdown."""

    def __init__(self, tree: ast.Module) -> None:
        self.tree = tree
        self.functions = {
            node.name: node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)
        }

    def breaches(self) -> list[int]:
        """Lines that draw a text which may be somebody's and is not escaped."""
        found = []
        for function in (self.tree, *self.functions.values()):
            for call in _calls(function):
                base = getattr(call.func, "value", None)
                foreign = isinstance(base, ast.Name) and base.id in NOT_STREAMLIT
                if not isinstance(call.func, ast.Attribute) or foreign:
                    continue
                if call.func.attr in DRAWS and not self._drawn_safely(call, function):
                    found.append(call.lineno)
        return sorted(found)

    def _drawn_safely(self, call: ast.Call, function: ast.AST) -> bool:
        places = {"metric": 3, "image": 0}.get(call.func.attr, 1)
        drawn = [*call.args[:places]]
        drawn += [word.value for word in call.keywords if word.arg in ARGUMENTS]
        if call.func.attr in DRAW_CHOICES and not self._choices_safe(call):
            return False
        return all(self.safe(text, function) for text in drawn)

    def _choices_safe(self, call: ast.Call) -> bool:
        """Whether choices are words of ours, or each goes through an escape when it is drawn."""
        given = {word.arg: word.value for word in call.keywords}
        choices = given.get("options") or call.args[1]
        drawn = given.get("format_func")
        if isinstance(drawn, ast.Lambda):
            return self.safe(drawn.body, drawn)
        if isinstance(drawn, ast.Name):
            return drawn.id in ESCAPES
        return isinstance(choices, ast.Name | ast.Attribute) and _is_constant(choices)

    def safe(self, text: ast.AST | None, function: ast.AST, depth: int = 0) -> bool:
        """Whether ``text`` holds our own wording, numbers and escaped text alone."""
        if text is None or isinstance(text, ast.Constant) or depth > 6:
            return depth <= 6
        if isinstance(text, ast.JoinedStr):
            return all(self._safe_part(part, function, depth) for part in text.values)
        if isinstance(text, ast.BinOp):
            return all(self.safe(part, function, depth) for part in (text.left, text.right))
        if isinstance(text, ast.IfExp):
            return all(self.safe(part, function, depth) for part in (text.body, text.orelse))
        if isinstance(text, ast.BoolOp):
            return all(self.safe(part, function, depth) for part in text.values)
        if isinstance(text, ast.Name):
            return text.id.isupper() or self._safe_name(text.id, function, depth)
        if isinstance(text, ast.Call):
            return self._safe_call(text, function, depth)
        if isinstance(text, ast.Attribute) and text.attr.isupper():
            return True
        return ast.unparse(text) in OUR_OWN

    def _safe_part(self, part: ast.AST, function: ast.AST, depth: int) -> bool:
        if not isinstance(part, ast.FormattedValue):
            return True
        spec = ast.unparse(part.format_spec)[2:-1] if part.format_spec else ""
        of_number_or_day = "%" in spec or spec.endswith((",", "d", "f", "g"))
        return of_number_or_day or self.safe(part.value, function, depth)

    def _safe_name(self, wanted: str, function: ast.AST, depth: int) -> bool:
        """A name is as safe as everything that its function binds to it."""
        bound = [
            node.value
            for node in ast.walk(function)
            if isinstance(node, ast.Assign | ast.AugAssign | ast.NamedExpr)
            for target in getattr(node, "targets", None) or [node.target]
            if isinstance(target, ast.Name) and target.id == wanted
        ]
        return bool(bound) and all(self.safe(value, function, depth + 1) for value in bound)

    def _safe_call(self, call: ast.Call, function: ast.AST, depth: int) -> bool:
        called = _called(call)
        if called in ESCAPES:
            return True
        if called == "join" and isinstance(call.args[0], ast.GeneratorExp | ast.ListComp):
            return self.safe(call.args[0].elt, function, depth)
        builder = self.functions.get(called)
        if builder is None or not isinstance(call.func, ast.Name):
            return False
        given = [arg.arg for arg in builder.args.args]
        passed = dict(zip(given, call.args, strict=False))
        results = [node.value for node in ast.walk(builder) if isinstance(node, ast.Return)]
        return all(
            self.safe(passed[value.id], function, depth + 1)
            if isinstance(value, ast.Name) and value.id in passed
            else self._safe_result(value, builder, passed, function, depth)
            for value in results
        )

    def _safe_result(self, value, builder, passed, function, depth) -> bool:
        if isinstance(value, ast.IfExp | ast.JoinedStr):
            parts = (
                [value.body, value.orelse]
                if isinstance(value, ast.IfExp)
                else [p.value for p in value.values if isinstance(p, ast.FormattedValue)
                      and p.format_spec is None]
            )  # fmt: skip
            return all(
                self.safe(passed[part.id], function, depth + 1)
                if isinstance(part, ast.Name) and part.id in passed
                else self.safe(part, builder, depth + 1)
                or self._safe_result(part, builder, passed, function, depth + 1)
                for part in parts
            )
        return self.safe(value, builder, depth + 1)


def _calls(function: ast.AST) -> Iterator[ast.Call]:
    """Calls of one function, those of functions inside it left out."""
    for node in ast.iter_child_nodes(function):
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            continue
        if isinstance(node, ast.Call):
            yield node
        yield from _calls(node)


def test_no_screen_draws_text_of_a_file_as_markdown():
    found = {name(path): Page(parsed(path)).breaches() for path in SCREENS}
    assert {path: lines for path, lines in found.items() if lines} == {}


@pytest.mark.parametrize(
    "text",
    [
        "st.markdown(f'Pile {pile}')",
        "st.button(pile)",
        "st.error('Refused: ' + reason)",
        "st.caption(', '.join(names))",
        "st.caption(', '.join(name for name in names))",
        "st.warning('{}'.format(reason))",
        "left.metric('Heat', row['heat'])",
        "st.button('Save', help=reason)",
        "st.pills('Pile', names)",
        "st.radio('Pile', names, format_func=str)",
        "st.segmented_control('Pile', names, format_func=lambda one: f'pile {one}')",
        "st.image(names, caption=f'{pile}, page 1')",
        "note = row['note'] or ''\n    st.info(note)",
        "st.info(f'{literal(pile)}: {row.note}')",
    ],
)
def test_a_text_that_may_be_of_a_file_is_caught(text):
    page = Page(ast.parse(f"def show(pile, reason, names, row):\n    {text}\n"))
    assert page.breaches()


@pytest.mark.parametrize(
    "text",
    [
        "st.markdown('**None.**')",
        "st.markdown(f'Pile {literal(pile)}: {number:,} readings')",
        "st.caption(literals(names))",
        "st.pills('Pile', names, format_func=literal)",
        "st.radio('Pile', names, format_func=lambda one: literal(one))",
        "st.segmented_control('Units', SYSTEMS)",
        "word = 'one' if number else 'none'\n    st.info(f'There is {word}.')",
    ],
)
def test_our_own_wording_and_escaped_text_are_let_through(text):
    assert Page(ast.parse(f"def show(pile, names, number):\n    {text}\n")).breaches() == []


def csv_written(tree: ast.Module) -> list[int]:
    """Lines that write CSV without the escape of ``core/reports/books.py``."""
    return [call.lineno for call in _calls_anywhere(tree) if _called(call) == "to_csv"]


def _calls_anywhere(tree: ast.Module) -> Iterator[ast.Call]:
    return (node for node in ast.walk(tree) if isinstance(node, ast.Call))


def test_csv_goes_out_in_one_place():
    found = {name(path): csv_written(parsed(path)) for path in files(".py")}
    assert [path for path, lines in found.items() if lines] == ["core/reports/books.py"]


def markup_of_data(script: str) -> list[str]:
    """What a component's script makes into markup though it is not written out in the script."""
    made = re.findall(
        r"(?:(?:inner|outer)HTML\s*\+?=|insertAdjacentHTML\(|document\.write\()\s*(`[^`]*`|[^;]*);",
        script,
    )
    return [text for text in made if not re.fullmatch(r"`[^`$]*`|\"[^\"]*\"|'[^']*'", text)]


def test_no_component_makes_markup_of_data():
    found = {name(path): markup_of_data(path.read_text()) for path in files(".js")}
    assert "dashboard/plan/plan.js" in found
    assert {path: texts for path, texts in found.items() if texts} == {}


@pytest.mark.parametrize(
    ("script", "caught"),
    [
        ("item.innerHTML = `<b>${pile}</b>`;", True),
        ("item.innerHTML = pile;", True),
        ("item.innerHTML += '<b>' + pile;", True),
        ("item.insertAdjacentHTML('beforeend', pile);", True),
        ("item.innerHTML = `<b>fixed</b>`;", False),
        ("item.textContent = pile;", False),
    ],
)
def test_markup_made_of_data_is_caught(script, caught):
    assert bool(markup_of_data(script)) == caught
