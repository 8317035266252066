"""The corridor: the only place that knows the order of the rooms.

files or forms → intake → store → compute → judge → screen or sheet
"""

from core.flow.assessing import Assessment, assess
from core.flow.importing import ImportChoice, ImportReport, import_files, problem_sentence
from core.flow.projects import (
    backup,
    build_sample,
    history,
    new_project,
    probe,
    verify,
    withdraw,
)
from core.flow.reporting import assessment_object, import_object
from core.flow.signing import accept

__all__ = [
    "Assessment",
    "ImportChoice",
    "ImportReport",
    "accept",
    "assess",
    "assessment_object",
    "backup",
    "build_sample",
    "history",
    "import_files",
    "import_object",
    "new_project",
    "probe",
    "problem_sentence",
    "verify",
    "withdraw",
]
