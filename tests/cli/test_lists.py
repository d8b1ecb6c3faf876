"""What can be made is listed, for people and for machines, and quickly."""

import subprocess
import sys
from collections.abc import Callable
from typing import Any

import pytest

from patterns.registry import CHAPTERS, FAMILIES
from presets.loader import preset_names

Run = Callable[..., Any]


def test_patterns_are_listed(run: Run) -> None:
    """Every family by name and title."""
    words = run("patterns")

    lines = words.stdout.splitlines()
    assert list(FAMILIES) == [line.split()[0] for line in lines if line.startswith("  ")]
    assert [f"{chapter}:" for chapter in CHAPTERS] == [line for line in lines if not line.startswith("  ")]
    assert list(FAMILIES) == [entry["name"] for entry in run("patterns", "--json").json["patterns"]]


def test_a_pattern_tells_units_ranges_defaults_and_source(run: Run) -> None:
    """The window's area has a unit, a range, a default and a meaning; the family names its source."""
    lines = run("patterns", "window").stdout.splitlines()
    area = next(line for line in lines if "area_percent" in line)

    assert "0.01 to 100 %" in area
    assert "(default 10)" in area
    assert any(line.startswith("Source: ") for line in lines)


def test_packs_are_listed(run: Run) -> None:
    """Every pack, and every clip of one with what to look for."""
    assert preset_names() == [entry["name"] for entry in run("packs", "--json").json["packs"]]
    shown = run("packs", "first-look").stdout

    assert "020-light/020-window-10pct-1000.mp4  2160p60-pq  hevc-mp4  60 s" in shown
    assert "its target is 1004.2 cd/m2" in shown


@pytest.mark.parametrize("words", [("patterns", "windw"), ("packs", "first-lok")])
def test_an_unknown_name_is_refused(words: tuple[str, ...], run: Run) -> None:
    """With the nearest name, exit 2."""
    answer = run(*words)

    assert 2 == answer.code
    assert "did you mean" in answer.stderr


def test_help_needs_no_heavy_package() -> None:
    """`--help` and the commands' own help start without numpy, so that they answer at once."""
    script = "import sys, cli.app; sys.exit('numpy' in sys.modules or 'rich.progress' in sys.modules)"

    assert 0 == subprocess.run([sys.executable, "-c", script], check=False).returncode


def test_the_version_is_told(run: Run) -> None:
    """`--version` tells it."""
    from knownlight import __version__  # noqa: PLC0415 - the value under test

    assert f"knownlight {__version__}\n" == run("--version").stdout
