"""Joined files are proven again against the clips beside them, and what was tampered with is found."""

import hashlib
import re
import subprocess
from dataclasses import replace
from pathlib import Path

import imageio_ffmpeg
import msgspec
import pytest

from knownlight.encode.deliveries import delivery_named
from knownlight.encode.mux import join_clips
from knownlight.ffmpeg import Stop
from knownlight.frame.format import SignalFormat
from knownlight.frame.sound import Soundtrack
from knownlight.metadata.light import HdrMetadata
from knownlight.pack.joined import joined_targets, recheck_joined
from knownlight.pack.manifest import Manifest
from knownlight.pack.manifest_entries import JoinedEntry
from knownlight.readback.files import read_video_track
from knownlight.verify.joined import JoinedIntent, JoinedPart, prove_joined
from tests.knownlight.pack.joined.joined_pack import MARKS, PQ_FILE, SDR, JoinedPack, entry_of

EVERY = pytest.mark.parametrize("file", MARKS)
FFMPEG = imageio_ffmpeg.get_ffmpeg_exe()


@EVERY
def test_a_true_file_passes_again(pack: tuple[Path, JoinedPack], file: str) -> None:
    """Every packet is a copy; pictures about each boundary are decoded."""
    folder, joined = pack
    entry = entry_of(joined.manifest, file)
    again = recheck_joined(entry, joined.manifest, folder, Stop())
    assert ((), entry.frames) == (again.problems, again.repeated_frames)
    assert len(entry.marks) - 1 < again.decoded_frames == entry.decoded_frames
    assert [entry] == joined_targets(folder / file, joined.manifest, folder)


def _sealed(folder: Path, manifest: Manifest, file: str) -> tuple[JoinedEntry, Manifest]:
    """An entry that has the hash of whatever lies under its name: only the proof can find fault."""
    data = (folder / file).read_bytes()
    entry = entry_of(manifest, file)
    return msgspec.structs.replace(entry, bytes=len(data), sha256=hashlib.sha256(data).hexdigest()), manifest


def test_a_changed_byte_is_found(copy: tuple[Path, Manifest]) -> None:
    """By the hash of the file and by those of the packets."""
    folder, manifest = copy
    path, entry = folder / PQ_FILE, entry_of(manifest, PQ_FILE)
    place = read_video_track(path)[0].samples[15].offset + 9
    data = bytearray(path.read_bytes())
    data[place] ^= 1
    path.write_bytes(data)
    problems = recheck_joined(entry, manifest, folder, Stop()).problems
    assert "its SHA-256 is not the manifest's" in problems[0]
    assert "packets: picture 15 is not picture 3 of slate-high" in problems


@pytest.mark.parametrize("place", [0, 1])
def test_a_changed_mark_is_found(copy: tuple[Path, Manifest], place: int) -> None:
    """In the list and in the track of text, each by itself."""
    folder, manifest = copy
    path = folder / PQ_FILE
    parts = path.read_bytes().split(b"slate-high")
    assert 3 == len(parts)
    names = [b"slate-high", b"slate-high"]
    names[place] = b"slate-hogh"
    path.write_bytes(parts[0] + names[0] + parts[1] + names[1] + parts[2])
    entry, manifest = _sealed(folder, manifest, PQ_FILE)
    problems = recheck_joined(entry, manifest, folder, Stop()).problems
    assert 2 == len(problems), problems
    assert all(
        re.match(r"marks: those (of the (list|text track)|that MediaInfo finds) are not", p) for p in problems
    )


def test_other_clips_beside_it_are_found(copy: tuple[Path, Manifest]) -> None:
    """A joined file is of the very clips that lie beside it."""
    folder, manifest = copy
    entry = entry_of(manifest, PQ_FILE)
    clips = [msgspec.structs.replace(c, sha256="0") if c.id == "pan" else c for c in manifest.clips]
    other = msgspec.structs.replace(manifest, clips=clips)
    problems = recheck_joined(entry, other, folder, Stop()).problems
    assert ("it is not of the clips that lie here; render with --joined again",) == problems
    (folder / PQ_FILE).unlink()
    problems = recheck_joined(entry, manifest, folder, Stop()).problems
    assert ("the file is missing; render with --joined again",) == problems


def _intent(
    folder: Path, manifest: Manifest, ids: list[str], signal: SignalFormat, delivery: str
) -> JoinedIntent:
    entries = [entry for entry in map(manifest.clip, ids) if entry is not None]
    return JoinedIntent(
        signal=signal,
        delivery=delivery,
        parts=tuple(
            JoinedPart(title=e.id, path=folder / e.file, track=read_video_track(folder / e.file)[0])
            for e in entries
        ),
        hdr=HdrMetadata(),
    )


def _write(intent: JoinedIntent, to: Path) -> None:
    join_clips(
        [(part.title, part.path, part.frames) for part in intent.parts],
        to,
        rate=intent.signal.rate,
        container=delivery_named(intent.delivery).container,
        sound=intent.sound,
        hdr=intent.hdr,
        name=to.name,
        stop=Stop(),
    )


def test_another_order_is_found(pack: tuple[Path, JoinedPack], tmp_path: Path) -> None:
    """Marks alone do not make it: the packets must be those of the clip that a mark names."""
    folder, joined = pack
    wanted = _intent(folder, joined.manifest, ["steps", "field"], SDR, "hevc-mp4")
    first, second = wanted.parts
    swapped = replace(wanted, parts=(replace(second, title="steps"), replace(first, title="field")))
    _write(swapped, tmp_path / "swapped.mp4")
    assert ("packets: picture 0 is not picture 0 of steps",) == prove_joined(
        tmp_path / "swapped.mp4", wanted, Stop()
    ).problems


def test_sound_that_is_missing_is_found(pack: tuple[Path, JoinedPack], tmp_path: Path) -> None:
    """A joined file has a silent track where its clips have one; without one it is whole, too."""
    folder, joined = pack
    wanted = _intent(folder, joined.manifest, ["steps", "field"], SDR, "hevc-mp4")
    mute = replace(wanted, sound=None)
    _write(mute, tmp_path / "mute.mp4")
    assert () == prove_joined(tmp_path / "mute.mp4", mute, Stop()).problems
    assert "sound: the track is missing" in prove_joined(tmp_path / "mute.mp4", wanted, Stop()).problems
    assert Soundtrack() == wanted.sound


def test_a_decoder_that_is_set_up_wrongly_is_found(pack: tuple[Path, JoinedPack], tmp_path: Path) -> None:
    """Why clips of another setup are left out: of AVC, the packets are right and the pictures are not."""
    folder, joined = pack
    poor = tmp_path / "poor.mp4"
    white = folder / "b/010-white.mp4"
    settings = "-an -c:v libx264 -profile:v main -qp 30 -g 30 -bf 0 -threads 1 -x264-params ref=1"
    subprocess.run([FFMPEG, "-v", "error", "-i", white, *settings.split(), poor], check=True)
    wanted = _intent(folder, joined.manifest, ["greys"], SDR, "avc-mp4")
    other = JoinedPart(title="poor", path=poor, track=read_video_track(poor)[0])
    assert other.track.setup != wanted.parts[0].track.setup
    wrong = replace(wanted, parts=(*wanted.parts, other))
    _write(wrong, tmp_path / "wrong.mp4")
    problems = prove_joined(tmp_path / "wrong.mp4", wrong, Stop()).problems
    assert any(problem.startswith("pixels: ") for problem in problems), problems
    assert not any(problem.startswith("packets: ") for problem in problems), problems
