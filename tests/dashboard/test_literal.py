"""Text of files as Markdown: shown as it is, whatever it means in Markdown."""

import re

import pytest

from dashboard.literal import literal, literals


@pytest.mark.parametrize(
    "text", ["B12-1", "P-101A", "Rig 2", "12 % of 5.0", "W-06 (moved)", "Møller & Sons", "#", "a_"]
)
def test_ordinary_numbers_and_names_are_left_readable(text):
    assert re.sub(r"[\\\u2060]", "", literal(text)) == text


@pytest.mark.parametrize("text", ["B12-1", "P-101A", "W-06 (moved)", "Møller & Sons", "5.0 kN·m"])
def test_text_without_signs_is_not_changed_at_all(text):
    assert literal(text) == text


@pytest.mark.parametrize(
    ("text", "broken"),
    [
        ("![x](http://127.0.0.1/leak.png)", r"!\[x\]("),
        ("[click](http://127.0.0.1)", r"\[click\]("),
        ("<img src=x>", r"\<img src=x\>"),
        ("**bold** _it_ `code`", r"\*\*bold\*\* \_it\_ \`code\`"),
        ("$x^2$", r"\$x^2\$"),
        ("a ~~b~~", r"\~\~b\~\~"),
        ("&lt;b&gt;", r"\&lt;b\&gt;"),
        (":red[warning]", ":\u2060red"),
        (":material/home:", ":\u2060material"),
        ("http://example.invalid", "http:\u2060//"),
        ("www.example.invalid", "www\u2060."),
        ("who@example.invalid", "who@\u2060"),
        ("# head", r"\# head"),
        ("- item", r"\- item"),
        ("1. item", r"1\. item"),
        ("> quote", r"\> quote"),
        ("a -> b", "-\u2060"),
    ],
)
def test_signs_of_markdown_lose_their_meaning(text, broken):
    assert broken in literal(text)


def test_a_text_stays_on_one_line_and_cannot_turn_its_direction():
    assert literal("a\n\n# b\r\u2028c\u202ed") == "a # b c d"


def test_several_texts_are_escaped_each():
    assert literals(["a", "[b]"]) == r"a, \[b\]"
