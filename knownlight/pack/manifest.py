"""The manifest: everything that is known of a pack, for machines, beside the files it speaks of.

Strict: an unknown field, a wrong type or a newer schema is refused. The digest tells a changed manifest.
"""

import hashlib
from pathlib import Path

import msgspec

from knownlight.errors import UnreadableFile
from knownlight.pack.folders import leads_out
from knownlight.pack.manifest_entries import (
    ChapterEntry,
    ClipEntry,
    DisplayEntry,
    FileEntry,
    JoinedEntry,
)
from knownlight.pack.stick import put_bytes

SCHEMA = 5
FILE_NAME = "manifest.json"
BESIDE = ".manifest.json"  # ending of the manifest of a single file, after the file's whole name


class Manifest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A pack; of a single file, without a name, a title and chapters.

    sources: the user's files that clips are made of, kept so that it is verified from the stick alone. stale:
    files of ours that the pack has no more, or that are being replaced. unfinished: files that a run is about
    to put; where that run was killed, they may be there or not; empty after a whole run.
    """

    schema: int
    knownlight: str
    pack: str
    title: str = ""
    summary: str = ""
    created: str
    chapters: list[ChapterEntry] = []
    clips: list[ClipEntry]
    joined: list[JoinedEntry] = []
    displays: list[DisplayEntry] = []
    sources: list[FileEntry] = []
    stale: list[FileEntry] = []
    unfinished: list[FileEntry] = []
    digest: str = ""

    @property
    def owned(self) -> dict[str, str]:
        """Every file of ours by its name: the SHA-256 that it should have."""
        owned = {stale.file: stale.sha256 for stale in self.stale}
        owned |= {source.file: source.sha256 for source in self.sources}
        for clip in self.clips:
            owned |= clip.files
        for joined in self.joined:
            owned |= joined.files
        return owned

    def clip(self, identity: str) -> ClipEntry | None:
        """The entry of an id."""
        return next((entry for entry in self.clips if entry.id == identity), None)


def digest(manifest: Manifest) -> str:
    """SHA-256 of the manifest's content without its digest, as read: a whole number may be a float's."""
    written = msgspec.json.encode(msgspec.structs.replace(manifest, digest=""))
    read = msgspec.json.decode(written, type=Manifest)
    return hashlib.sha256(msgspec.json.encode(read)).hexdigest()


def write_manifest(manifest: Manifest, to: Path) -> None:
    """Write a manifest with its digest; whole or not at all, and to the disk itself.

    Raises:
        BadInput: where there is no room, or the stick is gone.
    """
    sealed = msgspec.structs.replace(manifest, digest=digest(manifest))
    put_bytes(msgspec.json.format(msgspec.json.encode(sealed), indent=2) + b"\n", to)


def read_manifest(path: Path) -> Manifest:
    """Read a manifest.

    Raises:
        UnreadableFile: where there is none, or it is damaged, of another schema, has unknown fields, or lists
            a file outside its folder: what it lists is replaced and removed as ours.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise UnreadableFile(
            f"{path}: no manifest could be read ({error.strerror}); render the pack first"
        ) from None
    try:
        schema = msgspec.json.decode(data, type=dict[str, msgspec.Raw]).get("schema", msgspec.Raw(b"0"))
        written = bytes(schema).decode()
        if written != str(SCHEMA):
            older = written.isdigit() and int(written) < SCHEMA
            remedy = "move it away and render the pack again" if older else "use a newer knownlight"
            raise UnreadableFile(f"{path}: schema {written} is not {SCHEMA}; {remedy}")
        manifest = msgspec.json.decode(data, type=Manifest)
    except msgspec.MsgspecError as error:
        raise UnreadableFile(
            f"{path}: {error}; the manifest was changed or damaged, render the pack again"
        ) from None
    for name in (*manifest.owned, *(each.file for each in manifest.unfinished)):
        if leads_out(name):
            raise UnreadableFile(
                f"{path}: {name} is outside its folder; move the manifest away and render the pack again"
            )
    return manifest
