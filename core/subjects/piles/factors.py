"""Which row of the torque factor table and which safety factor fit the load of a pile."""

from __future__ import annotations

import numpy as np

from core.records.current_rows import Array, CurrentRows, common_codes

DIRECTIONS = ("compression", "tension")


def matched_torque_factors(rows: CurrentRows, direction: str, factors: CurrentRows) -> Array:
    """Per row the place of the torque factor that fits its case and ``direction``, else -1.

    Fits: same section, direction and grout, and the same helix set and ground or ``any``;
    an exact word goes before ``any``. Two equally exact rows give none: the case is ambiguous.
    """
    pairs = (("section", "section"), ("helix_set", "helix_set"), ("ground_class", "ground"))
    (section, of_section), (helices, of_helices), (ground, of_ground) = (
        common_codes((rows, own), (factors, theirs))[0] for own, theirs in pairs
    )
    grouted, bare = rows.is_true("grouted"), rows.has("grouted") & ~rows.is_true("grouted")
    any_helices, any_ground = factors.is_text("helix_set", "any"), factors.is_text("ground", "any")
    found, best = np.full(len(rows), -1), np.full(len(rows), -1)
    for place in np.flatnonzero(factors.is_text("direction", direction)):
        same_helices = (helices == of_helices[place]) & (helices >= 0)
        same_ground = (ground == of_ground[place]) & (ground >= 0)
        fits = (section == of_section[place]) & (section >= 0)
        fits &= grouted if factors.is_true("grouted")[place] else bare
        fits &= (same_helices | any_helices[place]) & (same_ground | any_ground[place])
        exact = np.where(fits, same_helices.astype(int) + same_ground, -1)
        found = np.where(exact > best, place, np.where(fits & (exact == best), -1, found))
        best = np.maximum(best, exact)
    return found


def safety_factor_of(rows: CurrentRows, direction: str, factors: CurrentRows) -> Array:
    """Per row the safety factor on a load of ``direction`` and the row's nature, NaN for none."""
    found = np.full(len(rows), np.nan)
    for place in np.flatnonzero(factors.is_text("direction", direction)):
        nature = factors.texts("nature")[factors.codes("nature")[place]]
        found[rows.is_text("load_nature", nature)] = factors.values("value")[place]
    return found
