"""What this machine has proven: found again while nothing changed, bounded, and safe to share."""

import os
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import platformdirs
import pytest

from knownlight.errors import BadInput
from knownlight.pack import fingerprint
from knownlight.pack.cache import FOLDER_VARIABLE, GIGABYTES_VARIABLE, Cache, cache_folder, key_of, look_up
from knownlight.pack.job import Job
from patterns.window import Window
from tests.knownlight.pack import small_pack

GREY, LIGHT = small_pack.FIRST[:2]


@pytest.fixture
def cache(tmp_path: Path) -> Path:
    """A cache with two proven stills, the grey one used last a day ago."""
    folder = tmp_path / "cache"
    small_pack.rendered((GREY, LIGHT), tmp_path / "stick", folder)
    day_ago = time.time() - 86400
    os.utime(folder / "proven" / key_of(GREY), (day_ago, day_ago))
    return folder


def _has(folder: Path) -> list[str]:
    return [job.id for job in (GREY, LIGHT) if look_up(folder, job) is not None]


def _limit(monkeypatch: pytest.MonkeyPatch, folder: Path, homes: float) -> None:
    """Room for so many of the two stills."""
    size = sum(path.stat().st_size for path in folder.glob("proven/*/*")) / 2
    monkeypatch.setenv(GIGABYTES_VARIABLE, str(homes * size / 1e9))


def test_where_it_is(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """As asked for, else as the environment says, else where the system keeps such things."""
    monkeypatch.setenv(FOLDER_VARIABLE, "elsewhere")
    assert tmp_path == cache_folder(tmp_path)
    assert Path("elsewhere") == cache_folder()
    monkeypatch.delenv(FOLDER_VARIABLE)
    assert platformdirs.user_cache_path("knownlight") == cache_folder()


def test_a_file_is_found_under_other_names(cache: Path) -> None:
    """Its recipe finds it; id, name and words are those of who asks."""
    other = replace(GREY, id="g", file="020-other/010-g.png", chapter="other", look="Grey.")
    found = look_up(cache, other)
    assert found is not None
    entry = found.entry
    assert ("g", "020-other/010-g.png", "other", "Grey.") == (
        entry.id,
        entry.file,
        entry.chapter,
        entry.look,
    )
    assert look_up(cache, replace(GREY, pattern=LIGHT.pattern, signal=small_pack.FIRST[2].signal)) is None


def test_a_changed_program_does_not_find_it(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A source of the engine, a library or an ffmpeg that is not the same any more: all is proven anew."""
    for name in ("_sources", "_version", "_tools"):
        before: Callable[[str], str] = getattr(fingerprint, name)
        with monkeypatch.context() as patch:
            patch.setattr(fingerprint, name, lambda word, before=before: before(word) + "changed")
            assert [] == _has(cache), name
    assert ["grey", "light"] == _has(cache)


def test_sources_are_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The hash is of a package's files, also of one that another package brings; every byte counts."""
    (tmp_path / "brought").mkdir()
    source = tmp_path / "brought" / "part.py"
    source.write_text("CODE = 1\n")
    package = ModuleType("brought")
    package.__path__ = [str(tmp_path / "brought")]
    monkeypatch.setitem(sys.modules, "brought", package)

    class Brought(Window):
        name = "brought"

    Brought.__module__ = "brought.part"
    job = replace(GREY, pattern=Brought())
    keys = []
    for text in ("CODE = 1\n", "CODE = 2\n", "CODE = 1\n"):
        source.write_text(text)
        fingerprint._sources.cache_clear()
        keys.append(key_of(job))
    fingerprint._sources.cache_clear()

    assert keys[0] == keys[2] != keys[1]


def test_what_is_damaged_is_removed(cache: Path) -> None:
    """Its bytes are compared before it is taken."""
    found = look_up(cache, GREY)
    assert found is not None
    found.path.write_bytes(found.path.read_bytes()[:-1] + b"?")
    with Cache(cache) as opened:
        assert (None, True) == (opened.take(GREY), opened.take(LIGHT) is not None)
    assert ["light"] == _has(cache)


@pytest.mark.parametrize(
    ("homes", "used", "left"),
    [
        (2.5, [], ["grey", "light"]),
        (1.5, [], ["light"]),
        (1.5, [GREY], ["grey"]),
        (0.5, [GREY], ["grey"]),
        (0.5, [], []),
        (0.5, [GREY, LIGHT], ["grey", "light"]),
    ],
)
def test_it_is_bounded(
    homes: float, used: list[Job], left: list[str], cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was not used for longest goes first; what this run used stays, whatever the limit."""
    _limit(monkeypatch, cache, homes)
    with Cache(cache) as opened:
        assert all(opened.take(job) is not None for job in used)
    assert left == _has(cache)
    assert [] == list((cache / "work").iterdir())


def test_a_limit_that_is_no_number_is_refused(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Named, with how to write it, before the run begins."""
    monkeypatch.setenv(GIGABYTES_VARIABLE, "plenty")
    with (
        pytest.raises(BadInput, match="KNOWNLIGHT_CACHE_GB=plenty is not a number of gigabytes"),
        Cache(cache),
    ):
        pytest.fail("it began")


def test_two_runs_share_it(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """While another run is at it nothing is removed, neither its work nor what is proven; after it, both."""
    _limit(monkeypatch, cache, 0.5)
    with Cache(cache) as first:
        kept = first.work / "half-made"
        kept.write_bytes(b"")
        with Cache(cache) as second:
            assert first.work != second.work
        assert (True, ["grey", "light"]) == (kept.exists(), _has(cache))
    assert [] == _has(cache)


def test_what_a_killed_run_left_goes(cache: Path) -> None:
    """Nobody holds the lock any more, so whatever lies in `work` is nobody's."""
    left = cache / "work" / "abc"
    left.mkdir()
    (left / "half.mp4").write_bytes(b"half")
    with Cache(cache):
        assert not left.exists()


def test_the_quicker_of_two_is_kept(cache: Path, tmp_path: Path) -> None:
    """Two runs that make the same at a time: the second's is thrown away, and it gets the first's."""
    with Cache(cache) as opened:
        first = opened.take(GREY)
        assert first is not None
        place = opened.place(GREY)
        place.write_bytes(b"the same, later")
        second = opened.keep(GREY, place, first.entry)
    assert first.path == second.path
    assert [] == small_pack.verified(tmp_path / "stick")


def test_a_folder_that_cannot_be_written_is_refused(tmp_path: Path) -> None:
    """With what to name instead."""
    (tmp_path / "cache").write_bytes(b"a file")
    with pytest.raises(BadInput, match="name a folder for the cache by --cache or KNOWNLIGHT_CACHE"):
        small_pack.rendered((GREY,), tmp_path / "stick", tmp_path / "cache")


def test_a_cache_that_is_full_is_told(small_stick: Path, tmp_path: Path) -> None:
    """Where the machine has no room for what is made: named, and the stick holds nothing by halves."""
    (small_stick / "film.mkv").write_bytes(bytes(8 << 20))
    with pytest.raises(BadInput, match=r"No space left on device; (free some space|name a folder)"):
        small_pack.rendered((GREY, LIGHT), tmp_path / "stick", small_stick / "cache")
    assert [] == list((tmp_path / "stick").iterdir())
