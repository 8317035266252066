"""How a key of project.toml is printed beside its number in a worksheet."""

import pytest

from core.settings import parse_project
from tests.services.small import SETTINGS


@pytest.mark.parametrize(
    ("key", "printed"),
    [
        ("sections.round 89.outside_diameter_mm", "sections.round 89.outside_diameter_mm"),
        ("helix_sets.350.pitch_mm", "helix_sets.350.pitch = 3 in"),
        ("safety_factors, compression, live", "safety_factors, compression, live"),
        ("types.no such type.disc_mm", "types.no such type.disc_mm"),
    ],
)
def test_a_quantity_is_printed_as_it_is_written_and_a_bare_number_by_its_key(key, printed):
    settings = parse_project(SETTINGS.replace("pitch_mm = 75", 'pitch = "3 in"'))
    assert settings.as_entered(key) == printed
