"""The ledger: every fact and every human decision ever recorded, never overwritten.

Keeps and answers. It filters, joins, counts and orders; it does no arithmetic on measurements.
"""

from __future__ import annotations

from core.ledger.backup import Copied, backup, restore
from core.ledger.files import folder_built_beside, refused, write_new, write_whole
from core.ledger.ledger import Ledger
from core.ledger.reader import Reader
from core.ledger.staging import Staged
from core.ledger.verify import Fault, verify
from core.ledger.writer import NOT_WITHDRAWN, NewEntry, Writer

__all__ = [
    "NOT_WITHDRAWN",
    "Copied",
    "Fault",
    "Ledger",
    "NewEntry",
    "Reader",
    "Staged",
    "Writer",
    "backup",
    "folder_built_beside",
    "refused",
    "restore",
    "verify",
    "write_new",
    "write_whole",
]
