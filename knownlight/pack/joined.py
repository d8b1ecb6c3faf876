"""Joins the clips of each chapter into long files with chapter marks, proves them and lists them.

Nothing is encoded again: a joined file is as exact, or as faulty, as the clips whose packets it is made of.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from knownlight.encode.deliveries import delivery_named
from knownlight.encode.mux import join_clips
from knownlight.errors import BadInput, CheckFailed, KnownlightError
from knownlight.ffmpeg import Stop
from knownlight.pack.copying import Copier
from knownlight.pack.joined_entry import intent_of, joined_entry
from knownlight.pack.joined_groups import Group, Part, groups_of, recipe_of
from knownlight.pack.ledger import Ledger
from knownlight.pack.manifest import Manifest
from knownlight.pack.manifest_entries import ClipEntry, JoinedEntry, LeftOutEntry
from knownlight.pack.recheck import Checked
from knownlight.readback.files import read_video_track
from knownlight.readback.packets import file_sha256
from knownlight.verify.joined import prove_joined


@dataclass(frozen=True, kw_only=True)
class Joined:
    """What joining did. left_out: clips that are in no joined file, and why. failures: files, and why."""

    made: tuple[str, ...]
    reused: tuple[str, ...]
    left_out: Mapping[str, str]
    failures: tuple[tuple[str, str], ...]


def join_chapters(folder: Path, ledger: Ledger, copier: Copier, *, work: Path, stop: Stop) -> Joined:
    """Join the clips of every chapter that lie in a folder, reusing what is proven and unchanged.

    Joined files of before that are not to be had any more become stale.

    Args:
        folder: of the pack.
        ledger: its manifest; all of its clips are joined, whatever a run made.
        copier: puts a proven file there.
        work: folder for files that are not proven yet.
        stop: ends it from another thread.

    Raises:
        UnreadableFile, ToolFailed, Cancelled: what ended it early; what was put until then stays.
    """
    groups, left_out = groups_of(ledger.manifest, folder)
    recipes = {group.file: recipe_of(part.entry for part in group.parts) for group in groups}
    ledger.retire(joined=[each for each in ledger.manifest.joined if recipes.get(each.file) != each.recipe])
    made: list[str] = []
    reused: list[str] = []
    failures: list[tuple[str, str]] = []
    for group in groups:
        stop.check()
        listed = [entry for entry in ledger.manifest.joined if entry.file == group.file]
        if any(_is_unchanged(entry, folder) for entry in listed):
            reused.append(group.file)
            continue
        try:
            _make(group, folder, copier, work, stop)
        except (CheckFailed, BadInput) as error:  # a full stick among others: the clips are there
            failures.append((group.file, str(error)))
        else:
            made.append(group.file)
    return Joined(made=tuple(made), reused=tuple(reused), left_out=left_out, failures=tuple(failures))


def retire_joined(ledger: Ledger) -> None:
    """Where nothing is joined anew: files of other clips than the pack has now become stale."""
    manifest = ledger.manifest
    ledger.retire(joined=[entry for entry in manifest.joined if _parts(entry, manifest) is None])


def joined_targets(path: Path, manifest: Manifest, folder: Path) -> list[JoinedEntry]:
    """The joined files that a path asks to check: of a folder all, of a file the one that it is."""
    if path.is_dir():
        return manifest.joined
    return [entry for entry in manifest.joined if (folder / entry.file) == path.resolve()]


def recheck_joined(entry: JoinedEntry, manifest: Manifest, folder: Path, stop: Stop) -> Checked:
    """Prove a joined file again, against the clips that lie beside it."""
    path = folder / entry.file
    if not path.is_file():
        return Checked(file=entry.file, problems=("the file is missing; render with --joined again",))
    entries = _parts(entry, manifest)
    if entries is None:
        return Checked(
            file=entry.file,
            problems=("it is not of the clips that lie here; render with --joined again",),
        )
    problems = []
    sha256 = file_sha256(path)
    if sha256 != entry.sha256:
        problems.append("its SHA-256 is not the manifest's: the file was changed or another one lies here")
    decoded = copied = 0
    try:
        parts = [Part(clip, read_video_track(folder / clip.file)[0]) for clip in entries]
        intent = intent_of(parts, folder)
        proof = prove_joined(path, intent, stop)
        found = joined_entry(
            entry.file,
            path,
            entries,
            intent,
            sha256=sha256,
            left_out=entry.left_out,
            decoded_frames=proof.decoded_frames,
        )
    except KnownlightError as error:
        stop.check()
        problems.append(str(error))
    else:
        problems += proof.problems
        for name in entry.__struct_fields__:  # the hash is told of above
            if name != "sha256" and getattr(entry, name) != getattr(found, name):
                problems.append(f"manifest: {name} is not that of the file")
        decoded, copied = proof.decoded_frames, proof.copied_frames
    return Checked(
        file=entry.file,
        problems=tuple(problems),
        decoded_frames=decoded,
        repeated_frames=copied,
    )


def _parts(entry: JoinedEntry, manifest: Manifest) -> list[ClipEntry] | None:
    """The clips that a joined file is made of; None where one of them is another now."""
    clips = [clip for mark in entry.marks if (clip := manifest.clip(mark.clip)) is not None]
    return clips if recipe_of(clips) == entry.recipe else None


def _is_unchanged(entry: JoinedEntry, folder: Path) -> bool:
    path = folder / entry.file
    return path.is_file() and path.stat().st_size == entry.bytes and file_sha256(path) == entry.sha256


def _make(group: Group, folder: Path, copier: Copier, work: Path, stop: Stop) -> None:
    """Write, prove and place one file.

    Raises:
        CheckFailed: where a clip is not what was proven, or the joined file is not made of them.
        BadInput: where a file that is not ours has its name, or the stick is full.
    """
    entries = [part.entry for part in group.parts]
    for entry in entries:
        stop.check()
        if file_sha256(folder / entry.file) != entry.sha256:
            raise CheckFailed(f"{entry.file}: it is not what was proven; render the pack again")
    intent = intent_of(group.parts, folder)
    file = work / Path(group.file).name
    try:
        join_clips(
            [(part.title, part.path, part.frames) for part in intent.parts],
            file,
            rate=intent.signal.rate,
            container=delivery_named(intent.delivery).container,
            sound=intent.sound,
            hdr=intent.hdr,
            name=group.file,
            stop=stop,
        )
        proof = prove_joined(file, intent, stop)
        if proof.problems:
            raise CheckFailed(f"{group.file}: {'; '.join(proof.problems)}")
        left_out = [LeftOutEntry(clip=clip, reason=reason) for clip, reason in group.left_out.items()]
        made = joined_entry(
            group.file,
            file,
            entries,
            intent,
            sha256=file_sha256(file),
            left_out=left_out,
            decoded_frames=proof.decoded_frames,
        )
        copier.joined(file, made)
    finally:
        file.unlink(missing_ok=True)
