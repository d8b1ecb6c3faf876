"""The manifest as a pack grows on a stick: it lists only what is there, and every file of ours."""

import contextlib
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import msgspec

import knownlight
from knownlight.errors import BadInput
from knownlight.pack.folders import PART
from knownlight.pack.manifest import FILE_NAME, SCHEMA, Manifest, read_manifest, write_manifest
from knownlight.pack.manifest_entries import ChapterEntry, ClipEntry, FileEntry, JoinedEntry
from knownlight.pack.times import now
from knownlight.readback.packets import file_sha256


@dataclass(frozen=True, kw_only=True)
class Contents:
    """A pack as a whole. order: ids of all its clips in play order, also of what a run leaves out."""

    pack: str
    title: str
    summary: str
    chapters: tuple[ChapterEntry, ...]
    order: tuple[str, ...]


def opened(folder: Path, pack: str) -> Manifest:
    """The manifest of a folder, or an empty one, without what is missing there.

    Raises:
        BadInput: where the folder holds another pack.
    """
    return _of_what_is_there(_written(folder, pack), folder)


def _written(folder: Path, pack: str) -> Manifest:
    """The manifest as it lies in a folder, or an empty one.

    Raises:
        BadInput: where the folder holds another pack.
    """
    path = folder / FILE_NAME
    if not path.exists():
        return Manifest(schema=SCHEMA, knownlight=knownlight.__version__, pack=pack, created="", clips=[])
    manifest = read_manifest(path)
    if manifest.pack != pack:
        raise BadInput(f"{folder}: it holds pack {manifest.pack}; choose another folder for {pack}")
    return manifest


def _of_what_is_there(manifest: Manifest, folder: Path) -> Manifest:
    """Without what is missing in the folder.

    What a run that was ended had put and not listed is one of our old files.
    """
    there = msgspec.structs.replace(
        manifest,
        clips=[clip for clip in manifest.clips if (folder / clip.file).is_file()],
        sources=[source for source in manifest.sources if (folder / source.file).is_file()],
        joined=[joined for joined in manifest.joined if (folder / joined.file).is_file()],
        stale=[stale for stale in manifest.stale if (folder / stale.file).is_file()],
        unfinished=[],
    )
    stale = [*there.stale, *_put_and_not_listed(manifest, folder)]
    return _consistent(msgspec.structs.replace(there, stale=stale))


def _put_and_not_listed(manifest: Manifest, folder: Path) -> list[FileEntry]:
    """Unfinished files that lie there as they were to be put."""
    return [
        each
        for each in manifest.unfinished
        if (folder / each.file).is_file() and file_sha256(folder / each.file) == each.sha256
    ]


def _consistent(manifest: Manifest) -> Manifest:
    """Without what is listed a second time as old or as unfinished; of a name's old files, the last."""
    listed = msgspec.structs.replace(manifest, stale=[]).owned
    stale = {each.file: each for each in manifest.stale if each.file not in listed}
    unfinished = [each for each in manifest.unfinished if listed.get(each.file) != each.sha256]
    return msgspec.structs.replace(manifest, stale=list(stale.values()), unfinished=unfinished)


def outdated(manifest: Manifest, contents: Contents, files: Mapping[str, str]) -> list[ClipEntry]:
    """Clips that the pack has no more, or has under another name. files: names of the chosen ones, by id."""
    return [
        clip
        for clip in manifest.clips
        if clip.id not in contents.order or files.get(clip.id, clip.file) != clip.file
    ]


class Ledger:
    """Keeps a folder's manifest; every change is on the stick before the next."""

    def __init__(self, folder: Path, contents: Contents, files: Collection[str]) -> None:
        """Read it; remove halves that a killed run left of `files`, which are planned, or of its own."""
        self._folder = folder
        self._contents = contents
        self._order = {identity: place for place, identity in enumerate(contents.order)}
        before = _written(folder, contents.pack)
        self._manifest = _of_what_is_there(before, folder)
        self._device = folder.stat().st_dev
        unfinished = [each.file for each in before.unfinished]  # joined files, too, which no plan names
        for name in {*files, *self._manifest.owned, *unfinished, FILE_NAME}:
            with contextlib.suppress(OSError):
                (folder / (name + PART)).unlink()
        if self._manifest != before:
            self._write()  # something that it lists was taken away

    @property
    def manifest(self) -> Manifest:
        """As it is on the stick, but for what is missing there."""
        return self._manifest

    def check_there(self) -> None:
        """Refuse to write where a stick was: below its empty place lies the machine's own disk.

        Raises:
            BadInput: where the folder is gone, or on another file system than before.
        """
        try:
            is_there = self._folder.stat().st_dev == self._device
        except OSError:
            is_there = False
        if not is_there:
            raise BadInput(f"{self._folder}: the stick is gone; put it in again and run the same command")

    def begin(self, files: Mapping[str, str]) -> None:
        """Tell what is about to be put, with its SHA-256: it is known as ours wherever the run ends."""
        owned, contents = self._manifest.owned, self._contents
        new = [(file, sha256) for file, sha256 in files.items() if owned.get(file) != sha256]
        said = (self._manifest.title, self._manifest.summary, self._manifest.chapters)
        if new or said != (contents.title, contents.summary, list(contents.chapters)):
            self._write(unfinished=[FileEntry(file=file, sha256=sha256) for file, sha256 in new])

    def end(self) -> None:
        """What is not listed by now was not put; or was, and is old: a clip whose second file failed."""
        if self._manifest.unfinished:
            unlisted = _put_and_not_listed(self._manifest, self._folder)
            self._write(unfinished=[], stale=[*self._manifest.stale, *unlisted])

    def add(self, entry: ClipEntry) -> None:
        """List a clip whose files are there; what an older one of its id had besides becomes stale."""
        old = self._manifest.clip(entry.id)
        self._write(
            clips=[*(clip for clip in self._manifest.clips if clip.id != entry.id), entry],
            stale=[*self._manifest.stale, *(stale_of([old]) if old else [])],
        )

    def add_source(self, source: FileEntry) -> None:
        """List a file of the user's that is there."""
        self._write(sources=[*(each for each in self._manifest.sources if each.file != source.file), source])

    def add_joined(self, entry: JoinedEntry) -> None:
        """List a joined file that is there."""
        others = [each for each in self._manifest.joined if each.file != entry.file]
        self._write(joined=sorted([*others, entry], key=lambda each: each.file))

    def retire(
        self,
        clips: Collection[ClipEntry] = (),
        sources: Collection[FileEntry] = (),
        joined: Collection[JoinedEntry] = (),
    ) -> None:
        """Turn what is listed into what is stale."""
        if clips or sources or joined:
            self._write(
                clips=[each for each in self._manifest.clips if each not in clips],
                sources=[each for each in self._manifest.sources if each not in sources],
                joined=[each for each in self._manifest.joined if each not in joined],
                stale=[*self._manifest.stale, *stale_of([*clips, *joined]), *sources],
            )

    def replace(self, file: str, sha256: str) -> None:
        """Before a file of ours is replaced: what lists it does so no more. sha256: of what lies there."""
        gone = [clip for clip in self._manifest.clips if file in clip.files]
        self._write(
            clips=[clip for clip in self._manifest.clips if clip not in gone],
            sources=[source for source in self._manifest.sources if source.file != file],
            joined=[joined for joined in self._manifest.joined if joined.file != file],
            stale=[*self._manifest.stale, *stale_of(gone), FileEntry(file=file, sha256=sha256)],
        )

    def forget(self, stale: Iterable[FileEntry]) -> None:
        """No more of ours."""
        gone = list(stale)
        self._write(stale=[each for each in self._manifest.stale if each not in gone])

    def _write(self, **changes: Any) -> None:  # noqa: ANN401 - fields of the manifest
        self.check_there()
        changed = msgspec.structs.replace(
            self._manifest,
            schema=SCHEMA,
            knownlight=knownlight.__version__,
            title=self._contents.title,
            summary=self._contents.summary,
            created=now(),
            chapters=list(self._contents.chapters),
            **changes,
        )
        clips = sorted(changed.clips, key=lambda clip: self._order.get(clip.id, len(self._order)))
        changed = _consistent(msgspec.structs.replace(changed, clips=clips))
        write_manifest(changed, self._folder / FILE_NAME)
        self._manifest = changed


def stale_of(entries: Iterable[ClipEntry | JoinedEntry]) -> list[FileEntry]:
    """The files of entries as stale ones."""
    return [FileEntry(file=file, sha256=sha256) for each in entries for file, sha256 in each.files.items()]
