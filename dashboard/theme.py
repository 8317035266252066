"""How words look: shapes of states, marks of results, days, colours of lines, the style sheet.

Colours, letters and shape names of the states come from `core.words`; here they only get the
form that a drawing library, the canvas or a page needs.
"""

from __future__ import annotations

from base64 import b64encode
from dataclasses import dataclass
from datetime import date
from html import escape
from pathlib import Path

import pandas as pd

from core.words import STATE, STATES

ICON = Path(__file__).parent / "assets" / "icon.png"


@dataclass(frozen=True)
class Shape:
    """A marker: its name in plotly, its outline as an SVG path from -1 to 1, filled or drawn."""

    plotly: str
    path: str
    filled: bool = True


SHAPES: dict[str, Shape] = {
    "cross": Shape(
        "x",
        "M-1-.55-.55-1 0-.45 .55-1 1-.55 .45 0 1 .55 .55 1 0 .45-.55 1-1 .55-.45 0Z",
    ),
    "diamond": Shape("diamond", "M0-1.1 1.1 0 0 1.1-1.1 0Z"),
    "triangle": Shape("triangle-up", "M0-1 1.05.8-1.05.8Z"),
    "inverted triangle": Shape("triangle-down", "M0 1 1.05-.8-1.05-.8Z"),
    "square": Shape("square", "M-.8-.8.8-.8.8.8-.8.8Z"),
    "ring": Shape("circle-open", "M.8 0A.8.8 0 1 1-.8 0 .8.8 0 1 1 .8 0Z", filled=False),
    "circle": Shape("circle", "M.9 0A.9.9 0 1 1-.9 0 .9.9 0 1 1 .9 0Z"),
    "star": Shape(
        "star",
        "M0-1.15 .29-.4 1.09-.36 .47.15 .68.93 0 .49-.68.93-.47.15-1.09-.36-.29-.4Z",
    ),
    "hexagon": Shape("hexagon", "M-.5-.87.5-.87 1 0 .5.87-.5.87-1 0Z"),
    "thin cross": Shape("x-thin-open", "M-.8-.8 .8 .8M.8-.8-.8 .8", filled=False),
}

# A sign beside every result, so that none is known by colour alone.
RESULT_SIGNS: dict[str, str] = {
    "not met": "✕",
    "within measurement uncertainty": "≈",
    "no evidence": "?",
    "waiting": "…",
    "noted": "i",
    "not yet due": "·",
    "not required": "·",
    "met": "✓",
}

# Marks and lines of runs, or of the chosen piles, in their order.
SYMBOLS = ("circle", "square", "diamond", "triangle-up", "cross")
DASHES = ("solid", "dot", "dash", "dashdot")

# Colours of lines, each with one meaning on all figures: what is measured, a minimum required, a
# maximum allowed, and what is found wrong. Seen on light and dark ground.
PROFILE = "#2F7FB8"
REQUIRED = "#8E6BBF"
RATED = "#C0395B"
OBJECTION = STATE["engineer review"].colour
DISC = "#8C6D46"
WINDOW = "rgba(120,140,160,0.18)"
QUIET = "#7C8894"
QUIET_LINE = "rgba(124,136,148,0.42)"
BAND = "rgba(124,136,148,0.26)"
STEEL = "#A9B4BF"
BOX, BOX_TEXT = "#E9EDF1", "#1C2630"  # a card of its own on light and on dark ground
GRID = "rgba(124,136,148,0.25)"
FONT = "Source Sans, sans-serif"


def day(moment: date) -> str:
    """A day as screens write it: 3 Oct 2026."""
    return f"{moment.day} {moment:%b %Y}"


def days(moments: pd.Series, missing: str = "") -> pd.Series:
    """Days as screens write them."""
    return moments.astype(object).map(lambda at: missing if pd.isna(at) else day(at))


def state_styles() -> list[dict[str, object]]:
    """Word, letter, colour and shape of every state, in the order of `core.words`."""
    return [
        {
            "word": state.word,
            "letter": state.letter,
            "colour": state.colour,
            "path": SHAPES[state.shape].path,
            "filled": SHAPES[state.shape].filled,
        }
        for state in STATES
    ]


def state_symbol(word: str) -> str:
    """Plotly's name for the shape of a state."""
    return SHAPES[STATE[word].shape].plotly


def state_icon(word: str, size: int = 18) -> str:
    """The shape of a state as a picture; its grey outline is seen on dark and on light ground."""
    state = STATE[word]
    shape = SHAPES[state.shape]
    if shape.filled:
        paint = f'fill="{state.colour}" stroke="{QUIET}" stroke-width=".14"'
    else:
        paint = f'fill="none" stroke="{state.colour}" stroke-width=".42"'
    drawing = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-1.3 -1.3 2.6 2.6" '
        f'width="{size}" height="{size}"><path d="{shape.path}" {paint}/></svg>'
    )
    code = b64encode(drawing.encode()).decode()
    return (
        f'<img class="pw-shape" width="{size}" height="{size}" alt="" '
        f'src="data:image/svg+xml;base64,{code}">'
    )


def state_badge(word: str, size: int = 18) -> str:
    """Shape and word of a state, with its meaning as a tip."""
    tip = escape(STATE[word].meaning, quote=True)
    return (
        f'<span class="pw-state" title="{tip}">{state_icon(word, size)}'
        f"<span>{escape(word)}</span></span>"
    )


def result_mark(word: str) -> str:
    """Sign and word of a finding's result."""
    name = word.replace(" ", "-")
    return f'<span class="pw-result pw-{name}"><b>{RESULT_SIGNS[word]}</b> {escape(word)}</span>'


def style_sheet() -> str:
    """The one style sheet, with its tag, for `st.html`."""
    return f"<style>{(Path(__file__).parent / 'assets' / 'style.css').read_text()}</style>"
