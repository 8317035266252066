"""The only reader: what the screens show, as frames in store units, cached by the ledger's stamp.

A `View` is one assessment with the key it was read under. Nothing here changes a frame that is
cached: every session reads the same one.
"""

from dashboard.data.history import attachment, changes, history, local, reading
from dashboard.data.intake import (
    Dropped,
    choice,
    dropped,
    layouts,
    may_withdraw,
    people,
    senders,
    settings,
    tried,
)
from dashboard.data.one_pile import evidence, findings, pile, readings, reasons, replacements
from dashboard.data.outstanding import (
    Waits,
    attention,
    item_options,
    items,
    items_by_owner,
    items_file,
    items_in_words,
    waits,
)
from dashboard.data.overview import areas, attention_kinds, states, totals
from dashboard.data.sheets import Line, kind_columns, lines, looked, with_header
from dashboard.data.site_plan import plan, unplaced
from dashboard.data.torque import (
    ASKS,
    FEWEST_PILES,
    answer,
    band,
    compared_piles,
    groups,
    profiles,
    tallies,
    unanswered,
    without_level,
)
from dashboard.data.views import (
    View,
    drawn,
    folder,
    has_moved,
    opened,
    options,
    piles,
    subjects,
)

__all__ = [
    "ASKS",
    "FEWEST_PILES",
    "Dropped",
    "Line",
    "View",
    "Waits",
    "answer",
    "areas",
    "attachment",
    "attention",
    "attention_kinds",
    "band",
    "changes",
    "choice",
    "compared_piles",
    "drawn",
    "dropped",
    "evidence",
    "findings",
    "folder",
    "groups",
    "has_moved",
    "history",
    "item_options",
    "items",
    "items_by_owner",
    "items_file",
    "items_in_words",
    "kind_columns",
    "layouts",
    "lines",
    "local",
    "looked",
    "may_withdraw",
    "opened",
    "options",
    "people",
    "pile",
    "piles",
    "plan",
    "profiles",
    "reading",
    "readings",
    "reasons",
    "replacements",
    "senders",
    "settings",
    "states",
    "subjects",
    "tallies",
    "totals",
    "tried",
    "unanswered",
    "unplaced",
    "waits",
    "with_header",
    "without_level",
]
