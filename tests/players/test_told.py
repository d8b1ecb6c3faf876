"""What differs between a player's words and the truth is found, and a damaged file is noticed."""

import shutil
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from tests.players.mpv import Mpv
from tests.players.samples import Sample
from tests.players.told import NOT_OPENED, Asked, Colour, Player, differences, is_even, right

FILE = Asked(
    path=Path("file"),
    still=False,
    pictures=150,
    size=(1280, 720),
    shown=(1280, 720),
    rate=Fraction(50),
    scan="progressive",
    colour=Colour.PQ,
    max_cll=1000,
)
TOLD = right(Mpv(), FILE)
WRONG: dict[str, Any] = {
    "pictures": 149,
    "even": False,
    "seconds": 2.8,  # a group of twelve pictures at 60 Hz is missing
    "size": "1280x722",
    "shown": "1279x720",
    "rate": 50.001,
    "scan": "top field first",
    "colour": "bt.2020 hlg bt.2020-ncl limited",
    "chroma": None,
    "max_cll": 1001,
    "sound": False,
    "middle": False,
    "complaints": ("error",),
}


def test_nothing_differs_from_the_truth() -> None:
    """Nor does what lies within the tolerances, a picture of 24 Hz less."""
    assert {} == differences(TOLD, TOLD)
    assert {} == differences(replace(TOLD, seconds=3 - 1 / 24), TOLD)


@pytest.mark.parametrize("field", WRONG)
def test_every_field_counts(field: str) -> None:
    """A field that is wrong is named, with what was told."""
    assert {field: WRONG[field]} == differences(replace(TOLD, **{field: WRONG[field]}), TOLD)


def test_a_file_that_does_not_open_differs_in_that_alone() -> None:
    """Whatever else was asked of it."""
    assert {"opened": False} == differences(NOT_OPENED, TOLD)


def test_times_of_a_stutter_are_uneven() -> None:
    """A picture twice as long at a joint, a lost one and one that comes early are found; ms are not."""
    rate = Fraction(60000, 1001)
    times = [number * 1001 / 60000 for number in range(48)]
    assert is_even([1.4 + float(f"{time:.3f}") for time in times], rate)
    assert not is_even([*times[:24], *(time + 1 / 60 for time in times[24:])], rate)
    assert not is_even([*times[:24], *times[25:]], rate)
    assert not is_even([*times[:24], times[24] - 0.004, *times[25:]], rate)


def test_a_damaged_file_is_noticed(
    player_named: Callable[[str], Player], asked: Callable[[Sample], Asked], tmp_path: Path
) -> None:
    """Of half a stream a player tells half the pictures and half the length."""
    player, file = player_named("mpv"), asked(Sample("avc-ts", "576i25-sdr"))
    half = tmp_path / "half.ts"
    shutil.copy(file.path, half)
    with half.open("r+b") as stream:
        stream.truncate(half.stat().st_size // 2)
    told = player.play(replace(file, path=half))
    assert {"pictures", "seconds"} <= set(differences(told, right(player, file)))
