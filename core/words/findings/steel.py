"""Finding kinds of steel: strings, heats and certificates."""

from __future__ import annotations

from core.words.findings.kind import FindingKind

KINDS: tuple[FindingKind, ...] = (
    FindingKind(
        "string recorded",
        "Every component of the string, from the toe up, with its stamp.",
        "AH",
        "FM",
        "the string list of the run, or the stamps read again on site",
    ),
    FindingKind(
        "length reconciliation",
        "Length placed less cut-off and stick-up against the recorded depth of the toe.",
        "AH",
        "QC",
        "the string list, cut-off, stick-up or toe corrected",
    ),
    FindingKind(
        "component not on the register",
        "A component in the ground that no delivery brought.",
        "AH",
        "QC",
        "the component's delivery and certificate, or the stamp read again",
    ),
    FindingKind(
        "heat traced",
        "Every piece of steel of the string leads to a heat, as far as the contract asks.",
        "AH",
        "QC",
        "the heat of the piece, from the supplier or the stamp",
    ),
    FindingKind(
        "mill certificate",
        "Every heat of the string stands on a mill certificate.",
        "AH",
        "QC",
        "the certificate that covers the heat",
    ),
    FindingKind(
        "heat not on the certificate named",
        "The certificate named for a piece does not list its heat.",
        "AH",
        "QC",
        "a confirmed reading of the stamp, or the right certificate",
    ),
    FindingKind(
        "type of mill certificate",
        "Type of the certificate by EN 10204 against the type that the contract asks.",
        "H",
        "QC",
        "the right document",
    ),
    FindingKind(
        "component placed before delivery",
        "A component stands in a run before the day on which it was delivered.",
        "AH",
        "QC",
        "the day of the delivery or the stamp read again",
    ),
    FindingKind(
        "grade of the steel",
        "Strength and elongation on the mill certificate against the least of the grade.",
        "AH",
        "DES",
        "the certificate, a concession or a replacement",
    ),
    FindingKind(
        "chemistry of the steel",
        "Ladle analysis on the mill certificate against the limits that the project sets.",
        "AH",
        "DES",
        "the certificate, a concession or a replacement",
    ),
    FindingKind(
        "heat in quarantine",
        "A piece of the string is of a heat that is in quarantine.",
        "AH",
        "QC",
        "the quarantine lifted, or the component replaced",
    ),
    FindingKind(
        "zinc recorded",
        "Zinc lot and thickness of a component for which zinc is specified.",
        "H",
        "QC",
        "the galvanizer's record",
    ),
    FindingKind(
        "zinc thickness",
        "Mean thickness of the zinc against the least specified.",
        "AH",
        "DES",
        "readings again, a concession or a replacement",
    ),
    FindingKind(
        "origin of the steel",
        "Country of melt on the mill certificate against the contract's rule of origin.",
        "HP",
        "QC",
        "the certificate that shows it, or a waiver",
    ),
    FindingKind(
        "remnant not tracked",
        "Length in the ground and cut into remnants against the length delivered.",
        "H",
        "QC",
        "the remnant's own stamp with what it is cut from, or the lengths corrected",
    ),
    FindingKind(
        "stamp used twice",
        "A stamp of one single component stands in more than one place.",
        "AH",
        "QC",
        "the stamps read again on site; one of the records corrected",
    ),
    FindingKind(
        "lot over-used",
        "More components of a lot are placed, left over and scrapped than delivered.",
        "H",
        "QC",
        "the delivery, the string lists or the stock counted again",
    ),
    FindingKind(
        "wrong component for the type",
        "Shaft or helices of the string differ from those of the pile's type.",
        "AC",
        "DES",
        "the record corrected, a replacement or a concession",
    ),
)
