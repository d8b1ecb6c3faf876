"""Copies what is proven from the cache into a pack's folder, file by file, and lists it there."""

from collections.abc import Callable, Container
from pathlib import Path

import msgspec

from knownlight.ffmpeg import Stop
from knownlight.pack.cache import Proven
from knownlight.pack.job import Job
from knownlight.pack.ledger import Ledger
from knownlight.pack.manifest import Manifest
from knownlight.pack.manifest_entries import ClipEntry, FileEntry, JoinedEntry
from knownlight.pack.progress import Event, Listener, Stage
from knownlight.pack.settling import Over, force_out_folder, in_the_way
from knownlight.pack.stick import OnBytes, Pass, put, refusals, untold
from knownlight.readback.packets import file_sha256

_STAGES = {Pass.WRITING: Stage.COPYING, Pass.READING: Stage.CHECKING}


def is_ours(manifest: Manifest, file: str, path: Path) -> bool:
    """Whether what lies under a name may be replaced: it is listed, or the stale file that is remembered."""
    stale = {each.file: each.sha256 for each in manifest.stale}
    if file in stale:
        return file_sha256(path) == stale[file]
    return file in manifest.owned


class Copier:
    """Puts files into a folder, and into its manifest once they are there."""

    def __init__(self, folder: Path, ledger: Ledger, stop: Stop, listen: Listener) -> None:
        self._folder = folder
        self._ledger = ledger
        self._stop = stop
        self._listen = listen

    def clip(self, job: Job, proven: Proven) -> None:
        """A clip or still, and the picture beside it if there is one.

        Raises:
            InTheWay: where a file that is not ours has its name.
            CheckFailed, BadInput, Cancelled: as `put`.
        """

        def on_bytes(running: Pass, done: int, total: int) -> None:
            self._listen(Event(job=job, stage=_STAGES[running], done=done, total=total))

        for path, file, sha256 in proven.files:
            self._place(path, file, sha256, on_bytes)
        self._ledger.add(proven.entry)

    def words(self, job: Job, entry: ClipEntry) -> None:
        """List anew what the pack says of a clip that stays, where it says something else."""
        if (entry.chapter, entry.look, entry.measure) != (job.chapter, job.look, job.measure):
            self._ledger.add(
                msgspec.structs.replace(entry, chapter=job.chapter, look=job.look, measure=job.measure)
            )

    def source(self, path: Path, file: str) -> None:
        """A file of the user's; raises as `clip`."""
        sha256 = file_sha256(path)
        self._place(path, file, sha256)
        if FileEntry(file=file, sha256=sha256) not in self._ledger.manifest.sources:
            self._ledger.add_source(FileEntry(file=file, sha256=sha256))

    def joined(self, path: Path, entry: JoinedEntry) -> None:
        """A joined file; raises as `clip`."""
        self._ledger.begin(entry.files)
        self._place(path, entry.file, entry.sha256)
        self._ledger.add_joined(entry)

    def _place(self, source: Path, file: str, sha256: str, on_bytes: OnBytes = untold) -> None:
        """Copy, unless it lies there already: a run may have ended between a file and its listing."""
        to = self._folder / file
        self._ledger.check_there()
        with refusals(to):
            make_folders(self._folder, to.parent)
            over = Over.NOTHING
            if to.is_file():
                there = file_sha256(to)
                if there == sha256:
                    return
                if not is_ours(self._ledger.manifest, file, to):
                    raise in_the_way(to)
                self._ledger.replace(file, there)
                over = Over.OURS
        put(source, to, stop=self._stop, sha256=sha256, over=over, on_bytes=on_bytes)


def make_folders(top: Path, folder: Path) -> None:
    """Make the folders of a file inside one that is there, and force them out."""
    missing = [each for each in (folder, *folder.parents) if each.is_relative_to(top) and not each.is_dir()]
    for each in reversed(missing):
        if each == top:
            raise FileNotFoundError(2, "No such folder", str(top))
        if each.exists() or each.is_symlink():
            raise in_the_way(each)
        each.mkdir()
        force_out_folder(each.parent)


def prune(
    folder: Path,
    ledger: Ledger,
    removed: Callable[[str], None],
    left: Callable[[str], None],
    *,
    spared: Container[str] = (),
) -> None:
    """Remove files of ours that the pack has no more, and folders that are empty after.

    Args:
        folder: of the pack.
        ledger: its manifest.
        removed: is told each file that is gone.
        left: is told each that is not ours any more, because somebody changed it; it stays.
        spared: names that stay, old as they are.

    Raises:
        BadInput: where the stick is gone or cannot be written.
    """
    for stale in [each for each in ledger.manifest.stale if each.file not in spared]:
        path = folder / stale.file
        with refusals(path):
            if path.is_file() and file_sha256(path) == stale.sha256:
                path.unlink()
                force_out_folder(path.parent)
                removed(stale.file)
                remove_empty(folder, path.parent)
            elif path.exists():
                left(stale.file)
        ledger.forget([stale])


def remove_empty(top: Path, folder: Path) -> None:
    """Remove a folder of a pack, and those that it is in, while they are empty."""
    while folder != top and folder.is_dir() and not any(folder.iterdir()):
        folder.rmdir()
        folder = folder.parent
