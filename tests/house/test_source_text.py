"""House rules that can be read off the source text of core and dashboard."""

from __future__ import annotations

import ast
import re

import pytest

from tests.house.tree import PACKAGES, PYPROJECT, ROOT, docstrings, files, functions, name, parsed

PYTHON = files(".py")
LONGEST_FUNCTION = 50
SQL = re.compile(
    r"\bselect\b.+\bfrom\b|\binsert\s+into\b|\bdelete\s+from\b|\bupdate\s+\w+\s+set\b"
    r"|\b(create|alter|drop)\s+(or\s+replace\s+)?(temp\w*\s+)?(table|view|macro|index|sequence)\b"
    r"|^\s*with\s+\w+\s+as\s*\(|\bcopy\s+\w+\s+(to|from)\b",
    re.I | re.S,
)


def sql_texts(tree: ast.Module) -> list[int]:
    """Lines of string constants that read like SQL, docstrings left out."""
    told = docstrings(tree)
    constants = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told
    ]
    return [node.lineno for node in constants if SQL.search(node.value)]


def blanket_handlers(tree: ast.Module) -> list[int]:
    """Lines that catch everything: bare, Exception, or BaseException that is not raised again."""
    found = []
    for node in ast.walk(tree):
        if not isinstance(node, ast.ExceptHandler):
            continue
        caught = {part.id for part in ast.walk(node.type or node) if isinstance(part, ast.Name)}
        again = isinstance(node.body[-1], ast.Raise) and node.body[-1].exc is None
        everything = node.type is None or "BaseException" in caught
        if "Exception" in caught or (everything and not again):
            found.append(node.lineno)
    return found


def prints(tree: ast.Module) -> list[int]:
    """Lines that call print."""
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call)]
    return [c.lineno for c in calls if isinstance(c.func, ast.Name) and c.func.id == "print"]


def long_functions(tree: ast.Module) -> list[str]:
    """Functions longer than the house allows, their docstring left out."""
    found = []
    for function in functions(tree):
        told = function.body[0] if ast.get_docstring(function) is not None else None
        telling = told.end_lineno - told.lineno + 1 if told else 0
        length = function.end_lineno - function.lineno + 1 - telling
        if length > LONGEST_FUNCTION:
            found.append(f"{function.name} has {length} lines")
    return found


def test_no_sql_text_stands_in_python():
    assert {name(path): lines for path in PYTHON if (lines := sql_texts(parsed(path)))} == {}


def test_nobody_catches_everything():
    assert {name(path): lines for path in PYTHON if (lines := blanket_handlers(parsed(path)))} == {}


def test_core_prints_only_from_the_command_line():
    core = [p for p in PYTHON if name(p).startswith("core/") and "/cli" not in name(p)]
    assert {name(path): lines for path in core if (lines := prints(parsed(path)))} == {}


def test_no_function_is_longer_than_the_house_allows():
    assert {name(path): found for path in PYTHON if (found := long_functions(parsed(path)))} == {}


def test_every_module_opens_with_a_sentence():
    assert [name(path) for path in PYTHON if not ast.get_docstring(parsed(path))] == []


def test_file_names_are_lower_case_and_say_something():
    odd = [p for p in files("") if not re.fullmatch(r"[a-z0-9_.]+", p.name)]
    assert [name(path) for path in odd] == []
    empty = {"utils.py", "helpers.py", "common.py", "manager.py", "misc.py"}
    assert [name(path) for path in PYTHON if path.name in empty] == []


def test_nothing_is_left_to_do_in_a_comment():
    left = re.compile(r"#.*\b(TODO|FIXME|XXX)\b|--.*\b(TODO|FIXME)\b")
    texts = {name(path): path.read_text(encoding="utf-8") for path in files(".py", ".sql")}
    assert [path for path, text in texts.items() if left.search(text)] == []


def test_everything_that_is_not_python_is_installed_too():
    wanted = PYPROJECT["tool"]["setuptools"]["package-data"]
    for package in PACKAGES:
        folder = ROOT / package
        taken = {path for pattern in wanted[package] for path in folder.glob(pattern)}
        others = [
            path for path in files("", under=(package,)) if path.suffix not in (".py", ".pyc")
        ]
        assert [name(path) for path in others if path not in taken] == []


@pytest.mark.parametrize(
    ("rule", "text"),
    [
        (sql_texts, 'question = """\nselect pile_id\nfrom run"""'),
        (sql_texts, 'connection.execute(f"insert into {table} values (1)")'),
        (sql_texts, 'connection.execute("CREATE TABLE run (pile_id VARCHAR)")'),
        (blanket_handlers, "try:\n    go()\nexcept Exception:\n    pass"),
        (blanket_handlers, "try:\n    go()\nexcept (ValueError, Exception) as error:\n    raise"),
        (blanket_handlers, "try:\n    go()\nexcept BaseException:\n    undo()"),
        (blanket_handlers, "try:\n    go()\nexcept:\n    pass"),
        (prints, "print('done')"),
        (long_functions, "def long():\n" + "    step()\n" * 50),
    ],
)
def test_the_rule_catches_a_breach(rule, text: str):
    assert rule(ast.parse(text))


@pytest.mark.parametrize(
    ("rule", "text"),
    [
        (sql_texts, '"""Select the piles from the plan."""'),
        (sql_texts, 'message = "Choose an entry from the history."'),
        (blanket_handlers, "try:\n    go()\nexcept BaseException:\n    undo()\n    raise"),
        (
            long_functions,
            "def short():\n" + '    """Told\n' + "    \n" * 50 + '    """\n    step()',
        ),
    ],
)
def test_the_rule_leaves_good_text_alone(rule, text: str):
    assert not rule(ast.parse(text))
