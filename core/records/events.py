"""The closed list of installation events, and how the crew's free text is read as one of them.

The text is stored as written; it is read when a pile is measured, so that a spelling added here
applies to old records as well. Only English is read; anything else is *other text*, which a person
has to read. Spellings are trade practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import Literal

OTHER_TEXT = "other text"  # a text that is none of the events, or denies one


@dataclass(frozen=True)
class Event:
    """One event: how it is judged, and its spellings as patterns over plain lower-case words.

    ``always``: not met. ``until deeper``: not met, and torque is void, until the toe is the
    criterion's multiple of the largest helix below. ``near the toe``: not met nearer than that,
    noted farther away. ``neutral``: no finding.
    """

    word: str
    judged: Literal["always", "until deeper", "near the toe", "neutral"]
    spellings: tuple[str, ...]

    @property
    def column(self) -> str:
        """Column of the depth of a pile's deepest event of this kind."""
        return f"{self._name}_mm"

    @property
    def text_column(self) -> str:
        """Column of what was written of a pile's events of this kind."""
        return f"{self._name}_text"

    @property
    def _name(self) -> str:
        return re.sub(r"\W", "_", self.word)


# Up to two words between a part and its fault: not another part, and nothing that denies the fault.
_GAP = (
    r"(?: (?!(?:hose|gauge|pump|line|valve|rig|cell|lunch|tea|coffee|no|not|never|none)\b)\w+){0,2}"
)
_BACK = r"(?: (?:of|the|a|in|at|on|off|one|two|both|\d+))*"
_BROKEN = (
    r"fail\w*|brok\w+(?! (?:through|thru|into|ground))"
    r"|break(?:s|age|ing)?(?! (?:through|thru|into))"
    r"|shear\w*|snap\w*|crack\w*|damag\w*|fractur\w*|ruptur\w*|split|bent(?! \d)|bend(?:s|ing)?"
    r"|deform\w*|torn|tore|twist\w*|elongat\w*|wrung|burst|stripp\w*"
)
_BENT = _BROKEN + r"|bow(?:s|ed)|buckl\w*|kink\w*|dent(?:s|ed)|yield\w*|corkscrew\w*|collaps\w*"
_JOINT = (
    r"(?:couplings?|couplers?|joints?|connections?|bolts?|pins?|splices?|threads?|welds?|seams?)"
)
_SHAFT = (
    r"(?:shafts?|pipes?|tubes?|bars?|rods?|leads?|extensions?|ext|helix|helices|helixes|plates?"
    r"|blades?|flights?|dis[ck]s?|strings?|sections?|piles?|steel|hub)"
)
_CROWD = r"(?:crowd|down ?force|down ?pressure)"
_GAUGE = r"(?:gau?ges?(?: set)?|gears?|indicators?|instruments?)"

EVENTS: tuple[Event, ...] = (
    Event(
        "coupling failure",
        "always",
        (
            rf"{_JOINT}{_GAP} (?:{_BROKEN})",
            rf"(?:{_BROKEN}){_BACK} {_JOINT}",
            rf"(?:parted|separated) at(?: the)? {_JOINT}",
        ),
    ),
    Event(
        "shaft damage",
        "always",
        (
            rf"{_SHAFT}{_GAP} (?:{_BENT})",
            rf"(?:{_BENT}){_BACK} {_SHAFT}",
            r"(?:twisted|wrung|snapped|sheared|broke|broken) off",
        ),
    ),
    Event("refusal", "always", (r"refus(?:als?|ed?|es|ing)",)),
    Event(
        "spin-out",
        "until deeper",
        (
            r"spin(?:s|ning|ned)? ?outs?",
            r"sp[ui]n ?outs?",
            r"(?:spun|spinning|spins)(?: freely| free)?",
            r"free spin(?:s|ning)?",
            r"spin(?! (?:speed|rate|rpm))",
        ),
    ),
    Event("obstruction", "near the toe", (r"obstruct\w*", r"boulders?", r"obstacles?")),
    Event(
        "reverse rotation",
        "near the toe",
        (
            r"revers\w*",
            r"back(?:ed|ing|s)? (?:off|out)"
            r"(?! (?:the )?(?:crowd|pressure|speed|throttle|rpm|down))",
            r"(?:turned|turning|screwed|wound|pulled) (?:back|out)",
            r"unscrew\w*",
            r"unw[io]u?nd\w*",
            r"withdr(?:ew|awn|awal|aw)",
            r"counter ?clockwise",
            r"anti ?clockwise",
        ),
    ),
    Event(
        "loss of crowd",
        "near the toe",
        (
            rf"{_CROWD}(?: (?:was|is))? (?:loss|lost|fail\w*|dropped off|gone|slipp\w*)",
            rf"(?:loss|lost|losing|lose)(?: of)?(?: the)?(?: all)? {_CROWD}",
            rf"no {_CROWD}(?! (?:loss|lost|fail\w*|problems?|issues?))",
        ),
    ),
    Event(
        "extension added",
        "neutral",
        (
            r"coupl\w+",
            r"extens?ions?",
            r"ext\b",
            r"(?:added|new|add|next|another) (?:sections?|pieces?|lengths?|bars?|pipes?|leads?)",
            r"sections? (?:added|fitted|on)",
            r"spliced?",
            r"joint(?: made)?",
        ),
    ),
    Event("disc", "neutral", (r"dis[ck]s?", r"displacement plates?")),
    Event("weld", "neutral", (r"weld(?:s|ed|ing)?",)),
    Event(
        "gauge change",
        "neutral",
        (
            rf"{_GAUGE}(?: was)? (?:changed?|swap\w*)",
            rf"(?:changed?|swap\w*)(?: of)?(?: the)? {_GAUGE}",
            r"(?:low|high|first|second|1st|2nd) gear",
        ),
    ),
    Event(
        "break",
        "neutral",
        (
            r"(?:lunch|tea|coffee|meal|smoke|rest|dinner)(?: (?:break|pause|time))?",
            r"(?:end|change) of (?:the )?(?:shift|day|work)",
            r"shift (?:end|change)(?:d|s)?",
            r"breaks?",
            r"paus\w+",
            r"resum\w+",
            r"over ?night",
        ),
    ),
)
EVENT: dict[str, Event] = {event.word: event for event in EVENTS}
JUDGED_EVENTS = tuple(event for event in EVENTS if event.judged != "neutral")

_FILLER = (
    r"(?:signs?|of|any|further|more|a|an|the|evidence|been|was|were|is|has|had|have|seen|visible"
    r"|apparent|obvious|actual|to|did|yet|full|complete|total|driven|taken|reached|reach|met"
    r"|encounter(?:ed)?|hit|observed|noted|or|nor|other|major|minor)"
)
_NO = (
    r"(?:no|not|without|never|nil|zero|nearly|almost|near|nearing|approaching|close to|risk of"
    rf"|avoid(?:ed|ing)?|prevent(?:ed|ing)?)(?: {_FILLER})*"
)
_NONE = r"(?:none|nil|no|n a|n|absent|not (?:observed|seen|noted|encountered|met))(?=$)"
_PLAIN = re.compile(
    r"(?:at|of|the|a|an|and|to|in|on|with|for|nr|number|add(?:ed|ing)?|fitted|fit|installed|placed"
    r"|put|made|new|next|first|second|third|fourth|last|lead|start(?:ed)?|begin|began|done|ok"
    r"|complete[d]?|piece|length|pile|here|depth|from|by|yes|y|set|section|bolted|up|on|morning|day|today"
    r"|m|mm|cm|ft|in|deg|min|mins|minutes?|h|hrs?|hours?|am|pm|no|\d[\d.]*(?:st|nd|rd|th|m|mm|ft|h)?)"
)
_NOTHING = re.compile(
    r"(?:none|nil|n a|no|nothing|ok|okay|normal|no events?|nothing to (?:report|note)|all ok|good)?"
)
_WRITTEN = (("’", "'"), ("n't", " not"), ("n/a", "n a"), ("w/o", "without"), ("_", " "))
_CLAUSES = re.compile(r"[,;()+&|\n/]|\.(?!\d)|\bbut\b|\bthen\b|\s[-–—]+\s")
_ANSWER = re.compile(r"\s*[-–—:=?/,]+\s*(no|none|nil|n a|not \w+)(?=\s*(?:$|[,;.]))")


@cache
def _spellings() -> re.Pattern[str]:
    named = (
        f"(?P<e{place}>{'|'.join(f'(?:{one})' for one in event.spellings)})"
        for place, event in enumerate(EVENTS)
    )
    return re.compile(rf"\b(?P<denied>{_NO} )?(?:{'|'.join(named)})\b(?P<answer> {_NONE})?")


def events_in(text: str) -> tuple[str, ...]:
    """Words of the events that ``text`` names, in the order of `EVENTS`.

    An event that is denied or only feared ("no spin-out", "near refusal") is *other text*. So is
    whatever is left beside neutral events; beside a judged one the text is quoted by its finding.
    Nothing is named by "none" or "ok".
    """
    found: set[str] = set()
    plain = text.casefold()
    for written, read in _WRITTEN:
        plain = plain.replace(written, read)
    for clause in _CLAUSES.split(_ANSWER.sub(r" \1", plain)):
        named, rest = _of_clause(_words(clause))
        found |= named
        if rest:
            found.add(OTHER_TEXT)
    if found & {event.word for event in JUDGED_EVENTS}:
        found.discard(OTHER_TEXT)
    order = [event.word for event in EVENTS] + [OTHER_TEXT]
    return tuple(word for word in order if word in found)


def _words(clause: str) -> str:
    return " ".join(re.findall(r"\d[\d.]*\w*|[^\W\d]+\d*", clause))


def _of_clause(clause: str) -> tuple[set[str], bool]:
    """The events that one clause names, and whether it says something besides."""
    if _NOTHING.fullmatch(clause):
        return set(), False
    found: set[str] = set()
    denied, at = False, 0
    while match := _spellings().search(clause, at):
        if match["denied"] or match["answer"]:
            denied = True
            clause = f"{clause[: match.start()]}no{clause[match.end() :]}"
            at = match.start()
        else:
            place = next(p for p in range(len(EVENTS)) if match[f"e{p}"])
            found.add(EVENTS[place].word)
            clause = f"{clause[: match.start()]} {clause[match.end() :]}"
            at = match.start()
    rest = [word for word in clause.split() if not _PLAIN.fullmatch(word)]
    return found, denied or bool(rest)
