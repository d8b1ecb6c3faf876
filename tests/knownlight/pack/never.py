"""What must never be on a stick, whenever a run was killed, and what must not be after a whole run."""

import hashlib
import json
from collections.abc import Collection
from pathlib import Path

from knownlight.errors import KnownlightError
from knownlight.pack.folders import PART
from knownlight.pack.job import Job
from knownlight.pack.manifest import FILE_NAME, Manifest, digest, read_manifest
from knownlight.pack.manifest_entries import ClipEntry, JoinedEntry
from knownlight.pack.plan import Joining
from knownlight.readings import csv_file
from knownlight.sheet.write import FILES, check_sheet
from tests.knownlight.pack import small_pack
from tests.knownlight.pack.typing_in import tables

FOREIGN = {"holiday.jpg": b"beach", f"{small_pack.CHAPTER}/film.mp4": b"film", "sources/mine.png": b"mine"}


def files(folder: Path) -> dict[str, str]:
    """SHA-256 of every file by its name."""
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def lay_foreign(folder: Path) -> None:
    """Files of somebody else, also in folders of the pack's names."""
    for name, data in FOREIGN.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)


class Proven:
    """Hashes of all that was ever proven: of entries in the cache, which is sometimes emptied, and others."""

    def __init__(self, cache: Path, before: Collection[str]) -> None:
        self._cache = cache
        self.hashes = set(before)

    def gather(self) -> None:
        """Take in what is there now."""
        for path in self._cache.glob("proven/*/entry.json"):
            entry = json.loads(path.read_bytes())
            beside = (entry["stress"] or {}).get("stretched")
            self.hashes |= {entry["sha256"], *([beside["sha256"]] if beside else [])}


def problems(folder: Path, proven: set[str]) -> list[str]:
    """What must never be, at no moment."""
    there = files(folder)
    found = [
        f"foreign {name} was touched"
        for name, data in FOREIGN.items()
        if there.pop(name, "") != hashlib.sha256(data).hexdigest()
    ]
    try:
        check_sheet(folder)
    except KnownlightError as error:
        found.append(f"the sheet: {error}")
    known = {*FILES, *(path.name for path in tables(folder) if csv_file.is_ours(path.read_bytes()))}
    named = {name: sha for name, sha in there.items() if name not in known and not name.endswith(PART)}
    listed: dict[str, str] = {}
    if named.pop(FILE_NAME, ""):
        try:
            manifest = read_manifest(folder / FILE_NAME)
        except KnownlightError as error:
            return [*found, f"manifest: {error}"]
        listed = listed_in(manifest)
        known = manifest.owned.keys() | {each.file for each in manifest.unfinished}
        if manifest.digest != digest(manifest):
            found.append("manifest: its seal is broken")
        both = listed.keys() & {each.file for each in manifest.stale}
        found += [f"both listed and old: {name}" for name in both]
    else:
        known = set()
    found += [
        f"listed, not there as listed: {name}" for name, sha in listed.items() if there.get(name) != sha
    ]
    found += [f"not proven: {name}" for name, sha in named.items() if sha not in proven]
    found += [f"ours, and nobody knows: {name}" for name in named.keys() - known]
    return found


def listed_in(manifest: Manifest) -> dict[str, str]:
    """What the manifest says is there: clips, pictures beside them, joined files, sources, with SHA-256."""
    entries: list[ClipEntry | JoinedEntry] = [*manifest.clips, *manifest.joined]
    listed = {file: sha for entry in entries for file, sha in entry.files.items()}
    return listed | {source.file: source.sha256 for source in manifest.sources}


def problems_of_whole(folder: Path, jobs: tuple[Job, ...], joining: Joining) -> list[str]:
    """What must not be after a run that was not ended."""
    manifest, there = read_manifest(folder / FILE_NAME), files(folder)
    wanted = {path.as_posix() for job in jobs for path in job.files(Path(job.file))}
    wanted |= {f"sources/{name}" for job in jobs for name in job.sources}
    listed = listed_in(manifest).keys() - {each.file for each in manifest.joined}
    found = [f"left by halves: {name}" for name in there if name.endswith(PART)]
    found += [f"unfinished after a whole run: {each.file}" for each in manifest.unfinished]
    found += [f"listed or wanted, not both: {name}" for name in listed ^ wanted]
    found += [f"no part of the sheet: {name}" for name in FILES if name not in there]
    marked = {mark.clip for each in manifest.joined for mark in each.marks}
    if joining is Joining.CHAPTERS:
        alike = {job.id for job in jobs if job.chapter == "light" and not job.is_still}
        found += [f"in a joined file, or to be in one, not both: {identity}" for identity in alike ^ marked]
    return found
