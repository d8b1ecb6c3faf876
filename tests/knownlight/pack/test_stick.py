"""A file reaches a stick whole and compared, or not at all, and never in the place of another."""

import errno
import hashlib
import os
import shutil
import subprocess
from pathlib import Path

import pytest

from knownlight.errors import BadInput, Cancelled, CheckFailed, InTheWay
from knownlight.ffmpeg import Stop
from knownlight.pack import settling, stick
from knownlight.pack.folders import PART
from knownlight.pack.settling import Over
from knownlight.pack.stick import Pass, alone_in, put, put_bytes

DATA = bytes(range(256)) * 40_000 + b"and a tail that fills no sector"
_FOUR_MIB = 4 << 20


@pytest.fixture
def source(tmp_path: Path) -> Path:
    """Ten megabytes to copy."""
    path = tmp_path / "proven.mp4"
    path.write_bytes(DATA)
    return path


def _absent(part: Path, to: Path) -> None:
    raise OSError(errno.ENOSYS, os.strerror(errno.ENOSYS), str(part), 0, str(to))


WAYS: dict[str, tuple[str, ...]] = {
    "renameat2": (),
    "link": ("_rename_no_replace",),
    "look": ("_rename_no_replace", "_link_and_unlink"),
}


@pytest.fixture(params=WAYS, ids=str)
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Each way of renaming, as on systems that lack the ones before it."""
    for name in WAYS[request.param]:
        monkeypatch.setattr(settling, name, _absent)
    return str(request.param)


def test_a_file_is_put(way: str, source: Path, tmp_path: Path, stop: Stop) -> None:
    """It arrives whole under its name alone, and both passes are told to their ends."""
    to = tmp_path / "stick" / "a.mp4"
    to.parent.mkdir()
    told: list[tuple[Pass, int, int]] = []
    sha256 = hashlib.sha256(DATA).hexdigest()
    put(source, to, stop=stop, sha256=sha256, on_bytes=lambda *news: told.append(news))

    assert DATA == to.read_bytes(), way
    assert [to] == list(to.parent.iterdir())
    steps = [_FOUR_MIB, 2 * _FOUR_MIB, len(DATA)]
    assert [(each, done, len(DATA)) for each in Pass for done in steps] == told


def test_a_file_that_is_there_stays(way: str, source: Path, tmp_path: Path, stop: Stop) -> None:
    """Also one that appears while it is read back: who asks for nothing to be replaced replaces nothing."""
    to = tmp_path / "stick" / "a.mp4"
    to.parent.mkdir()

    def appear(running: Pass, done: int, total: int) -> None:
        if (running, done) == (Pass.READING, total):
            to.write_bytes(b"holiday")

    with pytest.raises(InTheWay, match=r"a\.mp4: it is there and not in the manifest; move it away"):
        put(source, to, stop=stop, on_bytes=appear)
    assert b"holiday" == to.read_bytes(), way
    assert [to] == list(to.parent.iterdir())


def test_ours_is_replaced_when_asked(source: Path, tmp_path: Path, stop: Stop) -> None:
    """By name only: `put` of a file of ours, and small files always."""
    to = tmp_path / "a.mp4"
    put_bytes(b"first", to)
    put(source, to, stop=stop, over=Over.OURS)
    assert DATA == to.read_bytes()
    put_bytes(b"second", to)
    assert b"second" == to.read_bytes()
    with pytest.raises(InTheWay):
        put_bytes(b"third", to, over=Over.NOTHING)
    assert b"second" == to.read_bytes()


def test_a_stick_that_changes_what_is_written_is_found(source: Path, tmp_path: Path, stop: Stop) -> None:
    """One bit that is wrong on the stick: the file gets no name."""
    to = tmp_path / "a.mp4"

    def rot(running: Pass, done: int, total: int) -> None:
        if (running, done) == (Pass.READING, _FOUR_MIB):
            with to.with_name(to.name + PART).open("r+b") as file:
                file.seek(total - 1)
                file.write(b"?")

    with pytest.raises(CheckFailed, match="what was read back is not what was written"):
        put(source, to, stop=stop, on_bytes=rot)
    assert [source] == list(tmp_path.iterdir())


def test_only_what_was_proven_is_put(source: Path, tmp_path: Path, stop: Stop) -> None:
    """A copy in the cache that was changed since is refused."""
    with pytest.raises(CheckFailed, match=r"proven\.mp4: it is not what was proven any more"):
        put(source, tmp_path / "a.mp4", stop=stop, sha256="0" * 64)
    assert [source] == list(tmp_path.iterdir())


def test_it_is_read_from_the_stick_itself(source: Path, tmp_path: Path, stop: Stop) -> None:
    """When it was read back, none of it lies in the system's cache, which util-linux's fincore tells."""
    kind = subprocess.run(["stat", "-f", "-c", "%T", tmp_path], capture_output=True, check=True, text=True)
    if shutil.which("fincore") is None or kind.stdout.strip() == "tmpfs":
        pytest.skip("fincore is absent, or temporary files lie in memory")
    to = tmp_path / "a.mp4"
    resident: list[int] = []

    def ask(running: Pass, done: int, total: int) -> None:
        if (running, done) == (Pass.READING, total):
            command: list[str | Path] = [
                "fincore",
                "--bytes",
                "--noheadings",
                "--output",
                "PAGES",
                to.with_name(to.name + PART),
            ]
            resident.append(int(subprocess.run(command, capture_output=True, check=True).stdout))

    put(source, to, stop=stop, on_bytes=ask)
    assert [0] == resident


def test_a_full_stick_is_told(small_stick: Path, source: Path, stop: Stop) -> None:
    """One line with what to do, and nothing is left."""
    with pytest.raises(BadInput, match=r"a\.mp4: No space left on device; free some space, or use a larger"):
        put(source, small_stick / "a.mp4", stop=stop)
    with pytest.raises(BadInput, match="No space left on device"):
        put_bytes(DATA, small_stick / "b.csv")
    assert [] == list(small_stick.iterdir())


def test_a_stick_that_is_gone_is_told(source: Path, tmp_path: Path, stop: Stop) -> None:
    """Its folder is missing: nothing is made in its place."""
    with pytest.raises(
        BadInput, match="the stick is gone or fails; put it in again and run the same command"
    ):
        put(source, tmp_path / "stick" / "a.mp4", stop=stop)
    assert [source] == list(tmp_path.iterdir())


@pytest.mark.parametrize("when", list(Pass))
def test_a_stop_leaves_nothing(when: Pass, source: Path, tmp_path: Path, stop: Stop) -> None:
    """In either pass."""

    def ask(running: Pass, done: int, total: int) -> None:  # noqa: ARG001
        if running is when:
            stop.ask()

    with pytest.raises(Cancelled):
        put(source, tmp_path / "a.mp4", stop=stop, on_bytes=ask)
    assert [source] == list(tmp_path.iterdir())


def test_one_run_at_a_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A second run that would write the same folder is refused; after the first it may."""
    monkeypatch.setattr(stick, "_PATIENCE", 0.0)
    with (
        alone_in(tmp_path),
        pytest.raises(BadInput, match="another run is writing to it"),
        alone_in(tmp_path),
    ):
        pytest.fail("two were alone")
    with alone_in(tmp_path):
        entered = True
    assert entered


def test_fat_takes_all_of_it(fat_stick: Path, source: Path, stop: Stop) -> None:
    """FAT32 has no links and no renaming that spares what is there; files arrive, ours alone are replaced."""
    to = fat_stick / "010-light.mp4"
    put(source, to, stop=stop)
    with pytest.raises(InTheWay):
        put(source, fat_stick / "010-LIGHT.MP4", stop=stop)
    put(source, to, stop=stop, over=Over.OURS)
    put_bytes(b"rows", fat_stick / "readings.csv")

    assert (DATA, b"rows") == (to.read_bytes(), (fat_stick / "readings.csv").read_bytes())
    assert ["010-light.mp4", "readings.csv"] == sorted(path.name for path in fat_stick.iterdir())
