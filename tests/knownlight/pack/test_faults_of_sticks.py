"""Sticks that are full, pulled, locked or shared: what is listed holds, and the next run completes it."""

import hashlib
import subprocess
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import msgspec
import pytest

from knownlight.errors import BadInput, CheckFailed, InTheWay
from knownlight.frame.format import parse_signal_format
from knownlight.pack import render
from knownlight.pack.folders import PART, STRETCHED
from knownlight.pack.job import Job
from knownlight.pack.manifest import FILE_NAME, read_manifest, write_manifest
from knownlight.pack.manifest_entries import FileEntry
from knownlight.pack.plan import Stale, State
from knownlight.pack.progress import Event, Stage
from patterns.registry import build
from tests.knownlight.pack import small_pack

FIRST, SECOND = small_pack.FIRST, small_pack.SECOND
_LARGE = parse_signal_format("1080p24-sdr", components="rgb", code_range="narrow")
_ROOM = 900_000  # bytes that a growing file leaves; a large still has twice as many


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A cache that these tests share, so that each file is made once."""
    return tmp_path_factory.mktemp("cache")


def _files(folder: Path) -> list[str]:
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())


def _names(jobs: tuple[Job, ...]) -> list[str]:
    return sorted([*(job.file for job in jobs), FILE_NAME])


def _large(count: int) -> tuple[Job, ...]:
    """Stills of noise, 1.9 MB each."""
    return tuple(
        replace(
            small_pack.still(f"noise-{seed}", 10 * seed, 100),
            pattern=build("dark-beside-busy", {"seed": seed}),
            signal=_LARGE,
        )
        for seed in range(1, count + 1)
    )


def _when(stage: Stage, job: Job, act: Callable[[], None]) -> Callable[[Event], None]:
    """A listener that acts once, at a stage of a job."""
    left = [act]

    def listen(event: Event) -> None:
        if (event.stage, event.job.id) == (stage, job.id) and left:
            left.pop()()

    return listen


def _listed_as_there(folder: Path) -> list[str]:
    """The clips of the manifest, each of which is there as it is listed."""
    clips = read_manifest(folder / FILE_NAME).clips
    for clip in clips:
        assert clip.sha256 == hashlib.sha256((folder / clip.file).read_bytes()).hexdigest()
    return [clip.id for clip in clips]


def test_a_stick_that_is_too_small_is_refused(small_stick: Path, cache: Path, tmp_path: Path) -> None:
    """What is proven has a known size: ten megabytes are refused for eight before the first byte."""
    jobs = _large(5)
    small_pack.rendered(jobs, tmp_path / "disk", cache)
    plan = small_pack.plan(jobs[:4], small_stick, cache)
    with pytest.raises(
        BadInput, match=r"10\.\d MB are needed, 8\.4 MB are free; free some space, choose less"
    ):
        small_pack.plan(jobs, small_stick, cache)

    assert [State.CACHED] * 4 == [planned.state for planned in plan.files]
    assert [] == list(small_stick.iterdir())


def test_a_guess_does_not_refuse(small_stick: Path, tmp_path: Path) -> None:
    """What must be made has no known size: the plan warns, and the run decides when it is made."""
    plan = small_pack.plan(_large(7), small_stick, tmp_path / "empty")

    assert [State.TO_MAKE] * 7 == [planned.state for planned in plan.files]
    (warning,) = plan.warnings
    assert "may be too small: about" in warning
    assert [] == list(small_stick.iterdir())


def test_a_stick_that_fills_up_meanwhile(small_stick: Path, cache: Path, tmp_path: Path) -> None:
    """Somebody's file grows while ours are copied: told, what is there is listed; with room it completes."""
    jobs, film = _large(3), small_stick / "film.mkv"
    small_pack.rendered(jobs, tmp_path / "disk", cache)

    def grow() -> None:
        free = (8 << 20) - sum(path.stat().st_size for path in small_stick.rglob("*"))
        film.write_bytes(bytes(free - _ROOM))

    with pytest.raises(BadInput, match="No space left on device; free some space, or use a larger stick"):
        small_pack.rendered(jobs, small_stick, cache, listen=_when(Stage.DONE, jobs[0], grow))
    film_bytes = film.stat().st_size
    stopped, there = _listed_as_there(small_stick), _files(small_stick)
    film.unlink()
    again = small_pack.rendered(jobs, small_stick, cache)

    assert film_bytes > 0
    assert (["noise-1"], sorted(["film.mkv", FILE_NAME, jobs[0].file])) == (stopped, there)
    assert (("noise-1",), ("noise-2", "noise-3")) == (again.reused, again.copied)
    assert [] == small_pack.verified(small_stick)


def test_a_replacement_needs_room_beside_the_old(small_stick: Path, cache: Path) -> None:
    """A new file lies beside the old one until it is proven; where that does not fit, the old one stays."""
    jobs = _large(4)
    small_pack.rendered(jobs, small_stick, cache)
    other = replace(jobs[0], pattern=build("dark-beside-busy", {"seed": 6}))
    with pytest.raises(BadInput, match=r"MB are needed, 0\.\d MB are free"):
        small_pack.rendered((other, *jobs[1:]), small_stick, cache)

    assert [job.id for job in jobs] == _listed_as_there(small_stick)


def test_a_locked_stick_is_refused(small_stick: Path, cache: Path) -> None:
    """A file system that is mounted read-only; root, too, may not write it."""
    subprocess.run(["mount", "-o", "remount,ro", small_stick], check=True)
    with pytest.raises(BadInput, match="Read-only file system; choose a folder that can be written"):
        small_pack.rendered(FIRST, small_stick, cache)
    assert [] == list(small_stick.iterdir())


def test_a_stick_that_is_locked_meanwhile(small_stick: Path, cache: Path) -> None:
    """Its switch is turned after the first file: told, and completed when it is turned back."""

    def lock() -> None:
        subprocess.run(["mount", "-o", "remount,ro", small_stick], check=True)

    with pytest.raises(BadInput, match="Read-only file system"):
        small_pack.rendered(FIRST, small_stick, cache, listen=_when(Stage.DONE, FIRST[0], lock))
    listed = _listed_as_there(small_stick)
    subprocess.run(["mount", "-o", "remount,rw", small_stick], check=True)
    small_pack.rendered(FIRST, small_stick, cache)

    assert ["grey"] == listed
    assert _names(FIRST) == _files(small_stick)
    assert [] == small_pack.verified(small_stick)


def test_a_pulled_stick(small_stick: Path, cache: Path, tmp_path: Path) -> None:
    """Its empty place stays on the machine's disk: nothing is written there; put in again, it completes."""
    place = tmp_path / "place"
    place.mkdir()
    subprocess.run(["mount", "--bind", small_stick, place], check=True)

    def pull() -> None:
        subprocess.run(["umount", "--lazy", place], check=True)

    with pytest.raises(BadInput, match="the stick is gone; put it in again and run the same command"):
        small_pack.rendered(FIRST, place, cache, listen=_when(Stage.DONE, FIRST[0], pull))
    below = list(place.iterdir())
    subprocess.run(["mount", "--bind", small_stick, place], check=True)
    try:
        listed = _listed_as_there(place)
        again = small_pack.rendered(FIRST, place, cache)
        problems = small_pack.verified(place)
    finally:
        subprocess.run(["umount", place], check=True)

    assert [] == below
    assert (["grey"], ("grey",)) == (listed, again.reused)
    assert ([], _names(FIRST)) == (problems, _files(small_stick))


def test_a_folder_that_is_a_file(cache: Path, tmp_path: Path) -> None:
    """A file where the pack's folder, or a chapter's, is to be."""
    (tmp_path / "stick").write_bytes(b"film")
    with pytest.raises(BadInput, match="it is no folder"):
        small_pack.rendered(FIRST, tmp_path / "stick", cache)
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / small_pack.CHAPTER).write_bytes(b"film")
    with pytest.raises(InTheWay, match="010-light: it is there and not in the manifest"):
        small_pack.rendered(FIRST, tmp_path / "other", cache)
    assert [b"film"] * 2 == [path.read_bytes() for path in sorted(tmp_path.rglob("*")) if path.is_file()]


@pytest.mark.parametrize("stage", [Stage.PROVEN, Stage.COPYING, Stage.CHECKING])
def test_a_file_that_appears_meanwhile(stage: Stage, cache: Path, tmp_path: Path) -> None:
    """At any stage of its own clip: it stays as it is, that clip fails, the others are there."""
    folder = tmp_path / "stick"
    film = folder / FIRST[1].file

    def appear() -> None:
        film.parent.mkdir(exist_ok=True)
        film.write_bytes(b"film")

    result = small_pack.rendered(FIRST, folder, cache, listen=_when(stage, FIRST[1], appear))
    left = _files(folder)
    film_there = film.read_bytes()
    verified = small_pack.verified(folder)
    film.unlink()
    again = small_pack.rendered(FIRST, folder, cache)

    ((identity, problem),) = result.failures
    assert ("light", b"film") == (identity, film_there)
    assert "020-light.png: it is there and not in the manifest; move it away" in problem
    assert (_names(FIRST), []) == (left, verified)
    assert (("grey", "window"), ("light",)) == (again.reused, again.copied)


def test_a_clip_whose_second_file_fails_is_known(cache: Path, tmp_path: Path) -> None:
    """The picture beside a clip of faults is in the way: the clip, put before it, is one of our old files."""
    folder = tmp_path / "stick"
    fog = build("fog", {"repeat_seconds": 1, "block_percent": 100})
    drawn = replace(small_pack.clip("drawn", 20), pattern=fog)
    beside = drawn.file + STRETCHED

    def appear() -> None:
        (folder / beside).write_bytes(b"film")

    result = small_pack.rendered((FIRST[0], drawn), folder, cache, listen=_when(Stage.COPYING, drawn, appear))
    pruned = small_pack.rendered(FIRST[:1], folder, cache, Stale.REMOVED).pruned

    assert ["drawn"] == [identity for identity, _ in result.failures]
    assert ([drawn.file], []) == ([each.file for each in result.manifest.stale], result.manifest.unfinished)
    assert (drawn.file,) == pruned
    assert sorted([*_names(FIRST[:1]), beside]) == _files(folder)


def test_ctrl_c_while_copying(cache: Path, tmp_path: Path) -> None:
    """What was put is listed, nothing is left by halves, the next run goes on."""
    folder = tmp_path / "stick"

    def interrupt() -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        small_pack.rendered(FIRST, folder, cache, listen=_when(Stage.CHECKING, FIRST[1], interrupt))
    assert (["grey"], sorted([FILE_NAME, FIRST[0].file])) == (_listed_as_there(folder), _files(folder))
    assert ("light", "window") == small_pack.rendered(FIRST, folder, cache).copied
    assert [] == small_pack.verified(folder)


@pytest.mark.parametrize("damage", ["bit", "cut"])
def test_a_damaged_file_is_put_again(damage: str, cache: Path, tmp_path: Path) -> None:
    """Of the same size or cut short; the others are left alone."""
    folder = tmp_path / "stick"
    small_pack.rendered(FIRST, folder, cache)
    path = folder / FIRST[0].file
    data = path.read_bytes()
    path.write_bytes(data[:-1] + b"?" if damage == "bit" else data[: len(data) // 2])
    again = small_pack.rendered(FIRST, folder, cache)

    assert (("grey",), ("light", "window")) == (again.copied, again.reused)
    assert [] == again.manifest.stale
    assert data == path.read_bytes()


def test_old_files_go_when_asked(cache: Path, tmp_path: Path) -> None:
    """What the pack has no more, or calls otherwise, is told and stays, until it is to be removed."""
    folder = tmp_path / "stick"
    small_pack.rendered(FIRST, folder, cache)
    old = [FIRST[1].file, FIRST[2].file]
    kept = small_pack.rendered(SECOND, folder, cache)
    there = _files(folder)
    removed = small_pack.rendered(SECOND, folder, cache, Stale.REMOVED)

    assert (old, ()) == (sorted(each.file for each in kept.manifest.stale), kept.pruned)
    assert sorted([*_names(SECOND), *old]) == there
    assert (old, (), []) == (sorted(removed.pruned), removed.left, removed.manifest.stale)
    assert _names(SECOND) == _files(folder)
    assert [] == small_pack.verified(folder)


def test_an_old_file_that_the_user_replaced_stays(cache: Path, tmp_path: Path) -> None:
    """It is not ours any more: neither removed, nor replaced when the pack wants its name again."""
    folder = tmp_path / "stick"
    small_pack.rendered(FIRST, folder, cache)
    small_pack.rendered(SECOND, folder, cache)
    film = folder / FIRST[1].file
    film.write_bytes(b"film")
    with pytest.raises(InTheWay, match=r"020-light\.png"):
        small_pack.rendered(FIRST, folder, cache)
    result = small_pack.rendered(SECOND, folder, cache, Stale.REMOVED)

    assert ((FIRST[1].file,), (FIRST[2].file,)) == (result.left, result.pruned)
    assert ([], b"film") == (result.manifest.stale, film.read_bytes())


def test_a_chapter_that_is_empty_goes_with_its_files(cache: Path, tmp_path: Path) -> None:
    """A folder of somebody else's files stays."""
    folder = tmp_path / "stick"
    moved = tuple(replace(job, file=job.file.replace("010-light", "020-light")) for job in FIRST)
    small_pack.rendered(FIRST, folder, cache)
    small_pack.rendered(moved, folder, cache, Stale.REMOVED)
    gone = (folder / "010-light").exists()
    (folder / "020-light" / "film.mp4").write_bytes(b"film")
    small_pack.rendered(FIRST, folder, cache, Stale.REMOVED)

    assert not gone
    assert sorted([*_names(FIRST), "020-light/film.mp4"]) == _files(folder)


def test_what_is_listed_and_taken_away_comes_again(cache: Path, tmp_path: Path) -> None:
    """A clip that somebody deleted is not listed, and copied again."""
    folder = tmp_path / "stick"
    small_pack.rendered(FIRST, folder, cache)
    (folder / FIRST[0].file).unlink()
    others = small_pack.rendered(FIRST[1:], folder, cache)
    again = small_pack.rendered(FIRST, folder, cache)

    assert ["light", "window"] == [clip.id for clip in others.manifest.clips]
    assert ("grey",) == again.copied


def test_half_of_what_no_plan_names_goes(cache: Path, tmp_path: Path) -> None:
    """A run that was killed while it copied a joined file: the next removes it, though it joins nothing."""
    folder = tmp_path / "stick"
    small_pack.rendered(FIRST, folder, cache)
    killed = FileEntry(file="010-light/999-joined.mp4", sha256="0" * 64)
    manifest = read_manifest(folder / FILE_NAME)
    write_manifest(msgspec.structs.replace(manifest, unfinished=[killed]), folder / FILE_NAME)
    (folder / (killed.file + PART)).write_bytes(b"half")
    again = small_pack.rendered(FIRST, folder, cache)

    assert _names(FIRST) == _files(folder)
    assert ([], []) == (again.manifest.unfinished, again.manifest.stale)


def test_a_fat_stick_takes_a_pack(fat_stick: Path, cache: Path) -> None:
    """Names, replacing and removing on FAT32; another's file that differs by case is in the way."""
    small_pack.rendered(FIRST, fat_stick, cache)
    small_pack.rendered(SECOND, fat_stick, cache, Stale.REMOVED)
    problems = small_pack.verified(fat_stick)
    (fat_stick / small_pack.CHAPTER / "020-LIGHT.PNG").write_bytes(b"film")
    with pytest.raises(InTheWay, match="020-LIGHT"):
        small_pack.rendered(FIRST, fat_stick, cache)

    assert [] == problems
    assert sorted([*_names(SECOND), "010-light/020-LIGHT.PNG"]) == _files(fat_stick)


def test_an_older_file_outlives_a_failed_new_one(
    tmp_path: Path, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A clip that can no more be proven is old, and --prune spares its file until there is a new one."""
    folder = tmp_path / "stick"
    small_pack.rendered(FIRST, folder, cache)
    before = (folder / FIRST[0].file).read_bytes()

    def fails(*_job: object, **_more: object) -> None:
        raise CheckFailed("grey: it is not what was drawn")

    changed = (small_pack.still("grey", 10, 99), *FIRST[1:])
    with monkeypatch.context() as patched:
        patched.setattr(render, "make", fails)
        failed = small_pack.rendered(changed, folder, cache, Stale.REMOVED)
    there = (folder / FIRST[0].file).read_bytes()
    mended = small_pack.rendered(changed, folder, cache, Stale.REMOVED)

    assert ((), ("grey",)) == (failed.pruned, tuple(identity for identity, _ in failed.failures))
    assert [FIRST[0].file] == [stale.file for stale in failed.manifest.stale]
    assert before == there
    assert ((), ("grey",), []) == (mended.failures, mended.made, mended.manifest.stale)
    assert before != (folder / FIRST[0].file).read_bytes()
