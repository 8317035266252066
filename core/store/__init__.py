"""The ledger: every fact and every human decision ever recorded, never overwritten.

Keeps and answers. It filters, joins, counts and orders; it does no arithmetic on measurements.
"""

from __future__ import annotations

from core.store.backup import backup
from core.store.ledger import Ledger
from core.store.macros import kinds_of
from core.store.reader import Reader
from core.store.staging import Staged
from core.store.verify import Fault, verify
from core.store.writer import NewEntry, Writer

__all__ = [
    "Fault",
    "Ledger",
    "NewEntry",
    "Reader",
    "Staged",
    "Writer",
    "backup",
    "kinds_of",
    "verify",
]
