"""Text that came from a file, a person or the address, shown as it was written.

Every label and sentence that Streamlit draws is Markdown: an image link in a pile's number would
make each viewer's browser call out. What is not our own wording goes through ``literal`` first;
``tests/house`` looks for what does not. A figure reads markup of its own: ``figure_text`` is for
what it draws. HTML is escaped with ``html.escape`` instead.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from html import escape

# Signs that mean something anywhere in Markdown, or in Streamlit's kind of it ($ for formulas).
_ANYWHERE = re.compile(r"([\\`*_\[\]<>~$])|&(?=#|\w+;)")
# Signs that mean something at the beginning of a line: headings, lists, quotes, rules.
_AT_FIRST = re.compile(r"^(\s*)(?:([#+=|-])|(\d+)([.)])(?=\s|$))")
# What is found after escapes are gone: names of icons, colours and emoji, addresses, arrows.
_AFTERWARDS = re.compile(
    r":(?=[A-Za-z+/-]|\d+:)|@|(?<=www)(?=\\?\.)|(?<=-)(?=\\?[->])|(?<=<)(?=[-=])|(?<=\\>)(?==)",
    re.I,
)
_JOINER = "\u2060"  # of no width: it parts two signs and shows nothing
_CONTROL = re.compile(r"[\x00-\x1f\x7f\x85\u2028\u2029\u202a-\u202e\u2066-\u2069]+")


def literal(text: object) -> str:
    """``text`` as Markdown that shows it as it is: one line, no link, image, formula or colour."""
    line = _CONTROL.sub(" ", str(text))
    line = _ANYWHERE.sub(lambda found: "\\" + found.group(), line)
    line = _AT_FIRST.sub(_escaped_at_first, line)
    return _AFTERWARDS.sub(lambda found: found.group() + _JOINER, line)


def literals(texts: Iterable[object], between: str = ", ") -> str:
    """Several texts in a row."""
    return between.join(literal(text) for text in texts)


def figure_text(text: object) -> str:
    """``text`` as a figure draws it as it is: no link, no markup, no template, no formula.

    A figure decodes entities last, after it has read tags and filled in templates.
    """
    line = escape(_CONTROL.sub(" ", str(text)), quote=False)
    return line.replace("{", "&#123;").replace("$", "&#36;")


def _escaped_at_first(found: re.Match[str]) -> str:
    space, sign, number, point = found.groups()
    return f"{space}\\{sign}" if sign else f"{space}{number}\\{point}"
