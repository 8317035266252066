"""The ledger: every fact and every human decision ever recorded, never overwritten.

Keeps and answers. It filters, joins, counts and orders; it does no arithmetic on measurements.
"""

from __future__ import annotations

from core.ledger.backup import Copied, backup, restore
from core.ledger.files import refused, temporary_folder_for, write_atomically, write_new
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
    "refused",
    "restore",
    "temporary_folder_for",
    "verify",
    "write_atomically",
    "write_new",
]
