"""Names on the stick: in play order, telling pattern and main level, short with everything beside them."""

import pytest

from knownlight.pack.folders import STRETCHED
from knownlight.pack.names import LONGEST
from patterns.registry import build
from presets.loader import Choice, jobs_of, load_pack, preset_names
from presets.naming import stem


@pytest.mark.parametrize(
    ("identity", "pattern", "keys", "expected"),
    [
        ("window-10pct-1000", "window", {"luminance": 1000.0}, "020-window-10pct-1000"),
        ("peak-001pct", "window", {"luminance": 10000.0}, "020-peak-001pct-window-10000"),
        ("black-sdr", "full-field", {"code": 16}, "020-black-sdr-full-field-code-16"),
        ("field-005pct", "full-field", {"signal_percent": 5.0}, "020-field-005pct"),
        ("full-half", "full-field", {"signal_percent": 0.5}, "020-full-half-signal-0-5"),
        ("fog-strong", "fog", {}, "020-fog-strong"),
        ("b" * 40, "full-field", {"code": 16}, f"020-{'b' * 40}"),
        ("b" * 32, "full-field", {"code": 16}, f"020-{'b' * 32}-code-16"),
    ],
)
def test_a_name_tells_pattern_and_level(
    identity: str, pattern: str, keys: dict[str, str | float], expected: str
) -> None:
    """What the id tells already is not told twice; what does not fit is left out, the pattern first."""
    assert expected == stem(1, identity, build(pattern, keys))


@pytest.mark.parametrize("name", preset_names())
def test_names_sort_in_play_order(name: str) -> None:
    """Of folders and of files in them, as a player sorts them; with what lies beside them they are short."""
    files = [job.file for job in jobs_of(load_pack(name), Choice())]

    assert sorted(files) == files
    assert all(len(file.split("/")[1]) <= LONGEST - len(STRETCHED) for file in files)
