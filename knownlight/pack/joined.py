"""Joins the clips of each chapter into long files with chapter marks, proves them and lists them.

Nothing is encoded again: a joined file is as exact, or as faulty, as the clips whose packets it is made of.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

import msgspec

from knownlight.encode.deliveries import delivery_named
from knownlight.encode.mux import join_clips
from knownlight.errors import BadInput, CheckFailed, KnownlightError
from knownlight.ffmpeg import Stop
from knownlight.pack.joined_entry import intent_of, joined_entry
from knownlight.pack.joining import Group, groups_of, recipe_of
from knownlight.pack.manifest import (
    FILE_NAME,
    JoinedEntry,
    LeftOutEntry,
    Manifest,
    write_manifest,
)
from knownlight.pack.recheck import Checked
from knownlight.readback.packets import file_sha256
from knownlight.verify.joined import prove_joined


class Put(Protocol):
    """Copies a proven file to its place, whole or not at all."""

    def __call__(self, source: Path, to: Path, *, stop: Stop) -> None:
        """Copy a file to a name that is free."""
        ...


@dataclass(frozen=True, kw_only=True)
class Joined:
    """What joining did. left_out: clips that are in no joined file, and why. failures: files, and why."""

    manifest: Manifest
    made: tuple[str, ...]
    reused: tuple[str, ...]
    left_out: Mapping[str, str]
    failures: tuple[tuple[str, str], ...]


def join_chapters(folder: Path, manifest: Manifest, *, work: Path, put: Put, stop: Stop) -> Joined:
    """Join the clips of every chapter that lie in a folder, reusing what is proven and unchanged.

    The manifest is written after every file, so that it lists only what is there. Joined files of before
    whose clips are no more together are removed.

    Args:
        folder: of the pack.
        manifest: its manifest; all of its clips are joined, whatever a run made.
        work: folder for files that are not proven yet.
        put: copies a proven one to its place.
        stop: ends it from another thread.

    Raises:
        BadInput: where a file that is not ours stands in the way.
        UnreadableFile, ToolFailed, Cancelled: what ended it early; what was proven until then stays, listed.
    """
    groups, left_out = groups_of(manifest, folder)
    made: list[str] = []
    reused: list[str] = []
    failures: list[tuple[str, str]] = []
    manifest = _without_old(manifest, folder, groups)
    for group in groups:
        stop.check()
        if any(entry.file == group.file for entry in manifest.joined):
            reused.append(group.file)
            continue
        to = folder / group.file
        if to.exists():
            raise BadInput(
                f"{to}: it is there and not in the manifest; move it away, or choose another folder"
            )
        try:
            entry = _made(group, folder, work, put, stop)
        except CheckFailed as error:
            failures.append((group.file, str(error)))
            continue
        joined = sorted([*manifest.joined, entry], key=lambda each: each.file)
        manifest = _written(msgspec.structs.replace(manifest, joined=joined), folder)
        made.append(group.file)
    return Joined(
        manifest=manifest,
        made=tuple(made),
        reused=tuple(reused),
        left_out=left_out,
        failures=tuple(failures),
    )


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
    clips = [manifest.clip(mark.clip) for mark in entry.marks]
    entries = [clip for clip in clips if clip is not None]
    if len(entries) != len(clips) or recipe_of(entries) != entry.recipe:
        return Checked(
            file=entry.file,
            problems=("it is not of the clips that lie here; render with --joined again",),
        )
    problems = []
    if path.stat().st_size != entry.bytes or file_sha256(path) != entry.sha256:
        problems.append("its SHA-256 is not the manifest's: the file was changed or another one lies here")
    decoded = copied = 0
    try:
        intent = intent_of(entries, folder)
        proof = prove_joined(path, intent, stop)
        found = joined_entry(
            entry.file, path, entries, intent, left_out=entry.left_out, decoded_frames=proof.decoded_frames
        )
    except KnownlightError as error:
        stop.check()
        problems.append(str(error))
    else:
        problems += proof.problems
        same = {"bytes": found.bytes, "sha256": found.sha256}  # told above
        for name in entry.__struct_fields__:
            if name not in same and getattr(entry, name) != getattr(found, name):
                problems.append(f"manifest: {name} is not that of the file")
        decoded, copied = proof.decoded_frames, proof.copied_frames
    return Checked(
        file=entry.file,
        problems=tuple(problems),
        decoded_frames=decoded,
        repeated_frames=copied,
    )


def _without_old(manifest: Manifest, folder: Path, groups: Sequence[Group]) -> Manifest:
    """The manifest without joined files that are changed, or of other clips than are to be joined.

    They are removed where they will be made anew, and where they are still as they were listed.
    """
    recipes = {group.file: recipe_of(part.entry for part in group.parts) for group in groups}
    unchanged = [entry for entry in manifest.joined if _is_unchanged(entry, folder)]
    kept = [entry for entry in unchanged if recipes.get(entry.file) == entry.recipe]
    old = [entry for entry in manifest.joined if entry not in kept]
    if old:
        manifest = _written(msgspec.structs.replace(manifest, joined=kept), folder)
    for entry in old:
        if entry in unchanged or entry.file in recipes:
            (folder / entry.file).unlink(missing_ok=True)
    return manifest


def _is_unchanged(entry: JoinedEntry, folder: Path) -> bool:
    path = folder / entry.file
    return path.is_file() and path.stat().st_size == entry.bytes and file_sha256(path) == entry.sha256


def _written(manifest: Manifest, folder: Path) -> Manifest:
    write_manifest(manifest, folder / FILE_NAME)
    return manifest


def _made(group: Group, folder: Path, work: Path, put: Put, stop: Stop) -> JoinedEntry:
    """Write, prove and place one file.

    Raises:
        CheckFailed: where a clip is not what was proven, or the joined file is not made of them.
    """
    entries = [part.entry for part in group.parts]
    for entry in entries:
        stop.check()
        if file_sha256(folder / entry.file) != entry.sha256:
            raise CheckFailed(f"{entry.file}: it is not what was proven; render the pack again")
    intent = intent_of(entries, folder)
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
            group.file, file, entries, intent, left_out=left_out, decoded_frames=proof.decoded_frames
        )
        put(file, folder / group.file, stop=stop)
    finally:
        file.unlink(missing_ok=True)
    return made
