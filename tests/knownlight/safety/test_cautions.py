"""Cautions come with bright, still and striped clips, and with no others."""

import pytest

from knownlight.frame.claims import Hazard, LightLevels
from knownlight.safety.cautions import GLARE_AVERAGE, HOLD_LUMINANCE, HOLD_SECONDS, cautions

_DIM = LightLevels(max_cll=10.0, max_fall=1.0, fall=1.0, apl_percent=1.0)
_BRIGHT = LightLevels(max_cll=1000.0, max_fall=GLARE_AVERAGE, fall=GLARE_AVERAGE, apl_percent=50.0)
_SPOT = LightLevels(max_cll=HOLD_LUMINANCE, max_fall=1.0, fall=1.0, apl_percent=1.0)


@pytest.mark.parametrize(
    ("light", "seconds", "moves", "hazards", "names"),
    [
        (_DIM, 600.0, False, frozenset(), []),
        (_BRIGHT, 10.0, False, frozenset(), ["glare"]),
        (_SPOT, HOLD_SECONDS, False, frozenset(), ["static-hold"]),
        (_SPOT, HOLD_SECONDS, True, frozenset(), []),
        (_SPOT, HOLD_SECONDS - 1, False, frozenset(), []),
        (_DIM, 10.0, True, frozenset({Hazard.STRIPES}), ["stripes"]),
        (_DIM, 10.0, True, frozenset({Hazard.FLASHING}), ["flashing"]),
    ],
)
def test_cautions(
    *,
    light: LightLevels,
    seconds: float,
    moves: bool,
    hazards: frozenset[Hazard],
    names: list[str],
) -> None:
    """Thresholds of common practice, no source; stripes and flashing after ITU-R BT.1702 (second-hand)."""
    found = cautions(light=light, seconds=seconds, moves=moves, hazards=hazards)

    assert names == [caution.name for caution in found]
    assert all(caution.words.endswith(".") for caution in found)
