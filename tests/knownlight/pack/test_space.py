"""Room on a stick: by arithmetic, and as df tells it."""

import subprocess
from pathlib import Path

import pytest

from knownlight.pack.space import Copy, free_bytes, is_fat, needed_bytes

_CLUSTER = 32768
_RESERVE = 256 << 10  # of the file system
_OF_LISTING = 2 * (32 << 10)  # of the manifest, a file


@pytest.mark.parametrize(
    ("copies", "clusters"),
    [
        ([Copy(bytes=1)], 1),
        ([Copy(bytes=_CLUSTER), Copy(bytes=_CLUSTER + 1)], 3),
        # A new one of 4 beside the old of 3 that it replaces, then 1 net and one of 2 more: 4 at the most.
        ([Copy(bytes=4 * _CLUSTER, replaced=3 * _CLUSTER), Copy(bytes=2 * _CLUSTER)], 4),
        ([Copy(bytes=4 * _CLUSTER, replaced=3 * _CLUSTER), Copy(bytes=4 * _CLUSTER)], 5),
        # What is only partly freed is not counted on.
        ([Copy(bytes=_CLUSTER, replaced=_CLUSTER - 1), Copy(bytes=_CLUSTER)], 2),
    ],
)
def test_the_fullest_moment_counts(copies: list[Copy], clusters: int) -> None:
    """Whole clusters, files that are replaced beside their followers, and what the listing takes."""
    expected = clusters * _CLUSTER + _RESERVE + len(copies) * _OF_LISTING
    assert expected == needed_bytes(copies, _CLUSTER)
    assert 0 == needed_bytes([], _CLUSTER)


def test_free_space_is_as_df_tells(small_stick: Path) -> None:
    """Of a folder, and of one that is made in it."""
    (small_stick / "film.mkv").write_bytes(bytes(3 << 20))
    told = subprocess.run(
        ["df", "--block-size=1", "--output=avail", small_stick], capture_output=True, check=True
    )
    free = int(told.stdout.split()[1])
    assert 5 << 20 == free
    assert [free, free] == [free_bytes(small_stick), free_bytes(small_stick / "pack")]


def test_fat_is_known(fat_stick: Path, small_stick: Path) -> None:
    """By the table of mounts; what does not tell its free space is not guessed at."""
    assert [True, True, False] == [is_fat(fat_stick), is_fat(fat_stick / "pack"), is_fat(small_stick)]
    assert free_bytes(fat_stick) is None, "fusefat tells of no blocks at all"
