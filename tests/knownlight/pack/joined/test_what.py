"""Which clips are joined, what is told of the others, and what a second run does.

Which clips may follow one another is ISO/IEC 14496-15 and ITU-T H.264 clause 7.4.3, from memory.
"""

from pathlib import Path

import msgspec
import pytest

from knownlight.errors import BadInput
from knownlight.ffmpeg import Stop
from knownlight.pack import copying, joined_groups
from knownlight.pack.joined import recheck_joined
from knownlight.pack.manifest import Manifest, read_manifest
from tests.knownlight.pack.joined.joined_pack import MARKS, PQ_FILE, JoinedPack, entry_of, join


def test_clips_alike_are_joined_in_play_order(pack: tuple[Path, JoinedPack]) -> None:
    """Of each chapter, by signal and delivery, slates with their clips; stills are no clips."""
    folder, joined = pack
    assert {file: [mark.clip for mark in entry_of(joined.manifest, file).marks] for file in MARKS} == MARKS
    assert sorted(MARKS) == sorted(joined.joined.made) == [entry.file for entry in joined.manifest.joined]
    assert joined.manifest.joined == read_manifest(folder / "manifest.json").joined
    assert () == joined.joined.failures
    assert all(len(Path(file).name) <= 64 and file.isascii() for file in MARKS)
    assert all(
        sorted((folder / file).parent.glob("*.mp4"))[-1].name.startswith("999-joined") for file in MARKS
    )


def test_what_is_left_out_is_told_with_its_reason(pack: tuple[Path, JoinedPack]) -> None:
    """No clip is missing without a word; a slate goes where its clip goes."""
    _, joined = pack
    reasons = {
        "stream": "a transport stream has no chapter marks",
        "beeps": "its beeps belong to its pictures, and a joined file is silent",
        "declared": "it declares on purpose what is not so, and a joined file declares the truth",
        "fog": "no other clip sets its decoder up alike",
        "key": "it ends on a key picture, which that of another clip must not follow",
        "alone": "there is no other clip like it",
    }
    assert reasons == dict(joined.joined.left_out)
    told = {left.clip: left.reason for left in entry_of(joined.manifest, PQ_FILE).left_out}
    assert {name: reasons[name] for name in ("beeps", "declared")} == told


def test_what_is_there_is_reused(copy: tuple[Path, Manifest]) -> None:
    """Nothing is written where the same clips were joined before and the files are as they were."""
    folder, manifest = copy
    before = {file: (folder / file).stat().st_mtime_ns for file in MARKS}
    again = join(folder, manifest)
    assert ((), sorted(MARKS)) == (again.joined.made, sorted(again.joined.reused))
    assert before == {file: (folder / file).stat().st_mtime_ns for file in MARKS}
    assert manifest.joined == again.manifest.joined


def test_what_changed_is_joined_anew(copy: tuple[Path, Manifest]) -> None:
    """A damaged file and one of other clips are made again; one of a single clip becomes an old file."""
    folder, manifest = copy
    damaged = folder / "b/999-joined-480p59.94-sdr-avc-mp4.mp4"
    damaged.write_bytes(damaged.read_bytes()[:-1])
    clips = [clip for clip in manifest.clips if clip.id not in ("pan", "three")]
    again = join(folder, msgspec.structs.replace(manifest, clips=clips))
    assert [PQ_FILE, "b/999-joined-480p59.94-sdr-avc-mp4.mp4"] == sorted(again.joined.made)
    assert ["low", "slate-high", "high"] == [mark.clip for mark in entry_of(again.manifest, PQ_FILE).marks]
    old = "b/999-joined-480p59.94-sdr-vp9-webm.webm"
    assert [old] == [stale.file for stale in again.manifest.stale]
    assert (folder / old).is_file()
    assert "there is no other clip like it" == again.joined.left_out["four"]
    for entry in again.manifest.joined:
        assert () == recheck_joined(entry, again.manifest, folder, Stop()).problems


def test_a_file_that_is_not_ours_stays(copy: tuple[Path, Manifest]) -> None:
    """It fails the file whose name it has, with the remedy; the others are there."""
    folder, manifest = copy
    (folder / PQ_FILE).write_bytes(b"film")
    entries = [entry for entry in manifest.joined if entry.file != PQ_FILE]
    again = join(folder, msgspec.structs.replace(manifest, joined=entries))
    [(file, problem)] = again.joined.failures
    assert PQ_FILE == file
    assert "it is there and not in the manifest; move it away" in problem
    assert b"film" == (folder / PQ_FILE).read_bytes()
    assert entries == again.manifest.joined


def test_a_stick_that_is_full_fails_what_it_has_no_room_for(
    copy: tuple[Path, Manifest], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Clips that are there are worth a sheet, so that the run goes on; the next one completes it."""
    folder, manifest = copy
    for file in MARKS:
        (folder / file).unlink()

    def is_full(_source: Path, to: Path, **_more: object) -> None:
        raise BadInput(f"{to}: No space left on device; free some space")

    with monkeypatch.context() as patched:
        patched.setattr(copying, "put", is_full)
        full = join(folder, msgspec.structs.replace(manifest, joined=[]))
    again = join(folder, full.manifest)
    assert sorted(MARKS) == sorted(file for file, _ in full.joined.failures)
    assert all("No space left on device" in problem for _, problem in full.joined.failures)
    assert ([], []) == (full.manifest.joined, full.manifest.stale)
    assert sorted(MARKS) == sorted(again.joined.made)


def test_a_damaged_clip_is_not_joined(copy: tuple[Path, Manifest]) -> None:
    """A clip that is no more what was proven fails its file, named; the others are made."""
    folder, manifest = copy
    low = folder / "a/010-low.mp4"
    low.write_bytes(low.read_bytes()[:-1] + b"?")
    for file in MARKS:
        (folder / file).unlink()
    again = join(folder, msgspec.structs.replace(manifest, joined=[]))
    assert [(PQ_FILE, "a/010-low.mp4: it is not what was proven; render the pack again")] == list(
        again.joined.failures
    )
    assert sorted(set(MARKS) - {PQ_FILE}) == sorted(again.joined.made)


def _many(manifest: Manifest) -> Manifest:
    """The clips of one setup of SDR, each twice."""
    clips = [clip for clip in manifest.clips if clip.id in ("steps", "field")]
    again = [msgspec.structs.replace(clip, id=f"{clip.id}-2") for clip in clips]
    return msgspec.structs.replace(manifest, clips=[*clips, *again], joined=[])


def test_more_than_a_file_takes_becomes_more_files(
    pack: tuple[Path, JoinedPack], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of as many marks as a list counts to, each with a name of its own."""
    folder, joined = pack
    monkeypatch.setattr(joined_groups, "_MOST_MARKS", 2)
    groups, left_out = joined_groups.groups_of(_many(joined.manifest), folder)
    assert {} == left_out
    assert [
        ("a/999-joined-480p59.94-sdr-hevc-mp4.mp4", ["steps", "steps-2"]),
        ("a/999-joined-480p59.94-sdr-hevc-mp4-2.mp4", ["field", "field-2"]),
    ] == [(group.file, [part.entry.id for part in group.parts]) for group in groups]


def test_a_file_stays_below_four_gibibytes(pack: tuple[Path, JoinedPack]) -> None:
    """A clip that no file has room for is left out, with the reason."""
    folder, joined = pack
    assert joined_groups._MOST_BYTES < 4 << 30
    clips = [
        msgspec.structs.replace(clip, bytes=joined_groups._MOST_BYTES // 2)
        for clip in _many(joined.manifest).clips
        if clip.id != "field-2"
    ]
    groups, left_out = joined_groups.groups_of(msgspec.structs.replace(joined.manifest, clips=clips), folder)
    assert [["steps", "steps-2"]] == [[part.entry.id for part in group.parts] for group in groups]
    assert {"field": "a stick in FAT32 takes no file that holds it with the others"} == left_out


def test_clips_that_would_pass_the_level_together_are_left_out(
    pack: tuple[Path, JoinedPack], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each fits its level; whether they do one after another is looked at again."""
    folder, joined = pack
    monkeypatch.setattr(joined_groups, "fits", lambda *_sizes, **_more: False)
    groups, left_out = joined_groups.groups_of(_many(joined.manifest), folder)
    assert [] == groups
    assert {"one after another they would pass the buffer of the level"} == set(left_out.values())


def test_a_clip_that_cannot_be_read_is_left_out(copy: tuple[Path, Manifest]) -> None:
    """The others are joined without it; what is wrong with it is told."""
    folder, manifest = copy
    (folder / "a/010-low.mp4").write_bytes(b"")
    again = join(folder, manifest)
    assert ["slate-high", "high", "pan"] == [mark.clip for mark in entry_of(again.manifest, PQ_FILE).marks]
    assert "010-low.mp4: no moov box; the file is cut short" in again.joined.left_out["low"]


def test_a_slate_without_its_setup_is_left_out(pack: tuple[Path, JoinedPack]) -> None:
    """The clip is joined all the same; that it comes without its slate is told."""
    folder, joined = pack
    manifest = joined.manifest
    clips = [clip for clip in manifest.clips if clip.id in ("steps", "field")]
    fog = msgspec.structs.replace(next(clip for clip in manifest.clips if clip.id == "fog"), id="slate-field")
    groups, left_out = joined_groups.groups_of(msgspec.structs.replace(manifest, clips=[*clips, fog]), folder)
    assert [["steps", "field"]] == [[part.entry.id for part in group.parts] for group in groups]
    assert {"slate-field": "its decoder is set up otherwise than its clip's"} == left_out
