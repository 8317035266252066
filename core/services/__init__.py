"""The corridor: the only place that knows the order of the rooms.

files or forms → readers → ledger → assessment → screen or sheet
"""

from core.assessment.assess import Assessment, assess
from core.assessment.items import (
    SHARED,
    Wanted,
    areas_of,
    items_by_subject,
    overdue,
    owners_and_blocks,
    waits_for_engineer,
)
from core.ledger import NOT_WITHDRAWN
from core.readers import answer_fault, kind_columns
from core.reports.outstanding import against, blocked
from core.reports.steel import chain_csv
from core.services.certificates import (
    CertificateFile,
    attach_certificate,
    certificate_page,
    read_again,
)
from core.services.declarations import data_dictionary, write_templates
from core.services.explain import Worksheet, explain, worksheet, worksheet_object
from core.services.export import (
    assessment_object,
    import_object,
    items_file,
    items_object,
    problems_file,
    wanted_of,
)
from core.services.groups import Comparison, Grouting, compared, grouting, lifts_of_pile
from core.services.importing import import_contents, import_files
from core.services.importing.layouts import (
    look_at,
    look_with_header,
    remember_layout,
    remembered_layouts,
)
from core.services.importing.report import (
    ROW_WORDS,
    ImportChoice,
    ImportReport,
    conflict_sentence,
    not_among_columns,
    not_read_sentence,
    notice_sentence,
    problem_sentence,
)
from core.services.pile_history import PileHistory, pile_history
from core.services.projects import (
    attachment,
    backup,
    build_sample,
    entry_changes,
    history,
    new_project,
    probe,
    record_settings,
    restore,
    verify,
    withdraw,
    write_new,
)
from core.services.quarantine import Recall, lift_quarantine, put_in_quarantine, quarantined, recall
from core.services.signing import accept
from core.services.stamps import patterns, read_stamps, stamp_says, stamps_on_register
from core.services.steel import (
    GAPS,
    Found,
    Meaning,
    Steel,
    StringLayout,
    boxes,
    concerns,
    coverage,
    found,
    look_alikes_of,
    matrix_file,
    meanings,
    missing,
    near,
    owed,
    quarantine_of,
    steel_of,
    string_layout,
    string_placed,
)
from core.services.tracing import Trace, apart_words, trace
from core.services.what_if import FORMS, Offered, WhatIf, offered, what_if, what_if_object
from core.settings.published import published
from core.settings.published import tables as published_tables
from core.subjects.frames import FEWEST_PILES
from core.subjects.steps import Input, Step, number_text

__all__ = [
    "FEWEST_PILES",
    "FORMS",
    "GAPS",
    "NOT_WITHDRAWN",
    "ROW_WORDS",
    "SHARED",
    "Assessment",
    "CertificateFile",
    "Comparison",
    "Found",
    "Grouting",
    "ImportChoice",
    "ImportReport",
    "Input",
    "Meaning",
    "Offered",
    "PileHistory",
    "Recall",
    "Steel",
    "Step",
    "StringLayout",
    "Trace",
    "Wanted",
    "WhatIf",
    "Worksheet",
    "accept",
    "against",
    "answer_fault",
    "apart_words",
    "areas_of",
    "assess",
    "assessment_object",
    "attach_certificate",
    "attachment",
    "backup",
    "blocked",
    "boxes",
    "build_sample",
    "certificate_page",
    "chain_csv",
    "compared",
    "concerns",
    "conflict_sentence",
    "coverage",
    "data_dictionary",
    "entry_changes",
    "explain",
    "found",
    "grouting",
    "history",
    "import_contents",
    "import_files",
    "import_object",
    "items_by_subject",
    "items_file",
    "items_object",
    "kind_columns",
    "lift_quarantine",
    "lifts_of_pile",
    "look_alikes_of",
    "look_at",
    "look_with_header",
    "matrix_file",
    "meanings",
    "missing",
    "near",
    "new_project",
    "not_among_columns",
    "not_read_sentence",
    "notice_sentence",
    "number_text",
    "offered",
    "overdue",
    "owed",
    "owners_and_blocks",
    "patterns",
    "pile_history",
    "probe",
    "problem_sentence",
    "problems_file",
    "published",
    "published_tables",
    "put_in_quarantine",
    "quarantine_of",
    "quarantined",
    "read_again",
    "read_stamps",
    "recall",
    "record_settings",
    "remember_layout",
    "remembered_layouts",
    "restore",
    "stamp_says",
    "stamps_on_register",
    "steel_of",
    "string_layout",
    "string_placed",
    "trace",
    "verify",
    "waits_for_engineer",
    "wanted_of",
    "what_if",
    "what_if_object",
    "withdraw",
    "worksheet",
    "worksheet_object",
    "write_new",
    "write_templates",
]
