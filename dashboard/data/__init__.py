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
from dashboard.data.overview import areas, attention, attention_kinds, states, totals
from dashboard.data.sheets import Line, kind_columns, lines, looked, with_header
from dashboard.data.site_plan import plan, unplaced
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
    "Dropped",
    "Line",
    "View",
    "areas",
    "attachment",
    "attention",
    "attention_kinds",
    "changes",
    "choice",
    "drawn",
    "dropped",
    "evidence",
    "findings",
    "folder",
    "has_moved",
    "history",
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
    "reading",
    "readings",
    "reasons",
    "replacements",
    "senders",
    "settings",
    "states",
    "subjects",
    "totals",
    "tried",
    "unplaced",
    "with_header",
]
