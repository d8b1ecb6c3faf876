"""Verifies what lies in a folder against its manifest, from nothing but the manifest and the files."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import msgspec

from knownlight.encode.delivery import Encoded, Exactness, PastLevel
from knownlight.errors import BadInput, KnownlightError, UnreadableFile
from knownlight.ffmpeg import Stop
from knownlight.frame.claims import Pattern
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.sound import Sound
from knownlight.pack.entry import clip_entry, declaration_of, declared_hdr
from knownlight.pack.faults import faults_watch, problems_of, stretched_problems
from knownlight.pack.job import Job
from knownlight.pack.make import prove_job
from knownlight.pack.manifest import BESIDE, FILE_NAME, Manifest, digest, read_manifest
from knownlight.pack.manifest_entries import ClipEntry, StressEntry
from knownlight.readback.packets import file_sha256
from knownlight.stress.coding import AsCoded
from knownlight.stress.poor import poor_of
from knownlight.verify.other_readers import Reader

_ROUNDING = 3e-4  # of a figure of faults, or beside it: three of the last place that the manifest has
Rebuild = Callable[[str, Mapping[str, object]], Pattern]


@dataclass(frozen=True, kw_only=True)
class Checked:
    """What verifying one file found."""

    file: str
    problems: tuple[str, ...]
    decoded_frames: int = 0
    repeated_frames: int = 0
    readers: tuple[str, ...] = ()


def targets(path: Path) -> tuple[Path, Manifest, list[ClipEntry], Path]:
    """The manifest that speaks of a path, the entries to check, and the folder their files are in.

    A folder is checked whole. A file is looked for in the manifest beside it, then in that of its pack, one
    or two folders up. Of a joined file there is no entry here: see `joined_targets`.

    Raises:
        UnreadableFile: where no manifest speaks of it.
    """
    if path.is_dir():
        manifest = read_manifest(path / FILE_NAME)
        return path / FILE_NAME, manifest, manifest.clips, path
    beside = path.with_name(path.name + BESIDE)
    if beside.is_file():
        manifest = read_manifest(beside)
        return beside, manifest, manifest.clips, path.parent
    for folder in list(path.resolve().parents)[:2]:
        candidate = folder / FILE_NAME
        if candidate.is_file():
            manifest = read_manifest(candidate)
            found = [entry for entry in manifest.clips if (folder / entry.file) == path.resolve()]
            if found or any((folder / entry.file) == path.resolve() for entry in manifest.joined):
                return candidate, manifest, found, folder
    if not path.exists():
        raise BadInput(f"{path}: there is no such file or folder")
    raise UnreadableFile(
        f"{path}: no manifest beside it or above it speaks of it; verify what knownlight made"
    )


def manifest_problems(manifest: Manifest) -> list[str]:
    """Whether the manifest is as it was written."""
    if manifest.digest != digest(manifest):
        return ["the manifest was changed after it was written; render the pack again"]
    return []


def recheck(
    entry: ClipEntry, folder: Path, rebuild: Rebuild, stop: Stop, *, readers: tuple[Reader, ...] = ()
) -> Checked:
    """Prove one file again and hold the manifest's figures against what is found.

    Clips are also read by `readers`, beside the standard ones.
    """
    path = folder / entry.file
    if not path.is_file():
        return Checked(file=entry.file, problems=("the file is missing; render the pack again",))
    problems = []
    if path.stat().st_size != entry.bytes:
        problems.append(f"it has {path.stat().st_size:,} bytes, the manifest says {entry.bytes:,}")
    sha256 = file_sha256(path)
    if sha256 != entry.sha256:
        problems.append("its SHA-256 is not the manifest's: the file was changed or another one lies here")
    try:
        again = _proven_again(entry, path, sha256, rebuild, stop=stop, readers=readers)
    except KnownlightError as error:
        stop.check()
        return Checked(file=entry.file, problems=(*problems, str(error)))
    return replace(again, problems=(*problems, *again.problems))


def _proven_again(
    entry: ClipEntry,
    path: Path,
    sha256: str,
    rebuild: Rebuild,
    *,
    stop: Stop,
    readers: tuple[Reader, ...],
) -> Checked:
    signal = signal_of(entry)
    job = Job(
        id=entry.id,
        file=entry.file,
        pattern=rebuild(entry.pattern, entry.parameters),
        signal=signal,
        delivery=entry.delivery,
        seconds=Fraction(entry.frames) / signal.rate,
        declaration=declaration_of(entry.declared),
        past_level=PastLevel.MARKED if entry.warning else PastLevel.BOUNDED,
        sound=Sound.NONE if entry.sound is not None and entry.sound.kind == "none" else Sound.SILENT,
        poor=poor_of(entry.stress.asked, "stress.asked") if entry.stress else None,
        chapter=entry.chapter,
        look=entry.look,
        measure=entry.measure,
    )
    source = job.shown.draw(signal)
    encoded = Encoded(
        exactness=Exactness(entry.exactness.kind),
        error_limit=entry.exactness.limit,
        group=entry.group,
        pieces=tuple(entry.pieces),
        level=entry.level,
        warning=entry.warning,
        peak_rate=entry.peak_rate,
        largest_picture=entry.largest_picture,
    )
    hdr = declared_hdr(entry.declared)
    watch = faults_watch(job, encoded)
    proof = prove_job(path, job, source, encoded=encoded, hdr=hdr, stop=stop, readers=readers, watch=watch)
    problems, stress = list(proof.problems), None
    if watch is not None and proof.passed:
        coded = _as_coded(entry)
        stress = _stress_again(entry, watch.found(path, proof, coded, stop))
        problems += problems_of(stress, job, coded)
    found = clip_entry(job, path, encoded, hdr, proof, sha256=sha256, source=source, stress=stress)
    problems += [*_figure_problems(entry, found), *stretched_problems(entry, path)]
    if entry.claims != found.claims:
        problems.append("manifest: its claims are not those of the pattern and its parameters")
    return Checked(
        file=entry.file,
        problems=tuple(problems),
        decoded_frames=proof.decoded_frames,
        repeated_frames=proof.repeated_frames,
        readers=proof.readers,
    )


def _as_coded(entry: ClipEntry) -> AsCoded:
    """How the manifest says that it was coded; the hash of a split's luma is that of the whole file's."""
    stress = entry.stress
    if stress is None or stress.quantiser is None:
        return AsCoded()
    split = "split" in stress.asked
    return AsCoded(quantiser=stress.quantiser, side_bits_per_second=stress.bits_per_second if split else None)


def _stress_again(entry: ClipEntry, found: StressEntry) -> StressEntry:
    """Found faults with the picture beside the clip, which is held against its hash by itself."""
    return msgspec.structs.replace(found, stretched=entry.stress.stretched if entry.stress else None)


def _figure_problems(entry: ClipEntry, found: ClipEntry) -> list[str]:
    """Where the manifest says of a file what the file does not have."""
    fields = ("exactness", "light", "declared", "notes", "seconds", "frames", "level", "safety", "sound")
    different = [name for name in fields if getattr(entry, name) != getattr(found, name)]
    if not _alike(msgspec.to_builtins(entry.stress), msgspec.to_builtins(found.stress)):
        different.append("stress")
    return [
        f"manifest: {name} is {_plain(entry, name)}, the file has {_plain(found, name)}" for name in different
    ]


def _alike(stated: Any, found: Any) -> bool:  # noqa: ANN401
    """Whether figures of faults are the same, but for the last places that machines sum differently."""
    if isinstance(stated, float) and isinstance(found, float):
        return math.isclose(stated, found, rel_tol=_ROUNDING, abs_tol=_ROUNDING)
    if isinstance(stated, dict) and isinstance(found, dict):
        return stated.keys() == found.keys() and all(_alike(stated[key], found[key]) for key in stated)
    if isinstance(stated, list) and isinstance(found, list):
        return len(stated) == len(found) and all(map(_alike, stated, found))
    return bool(stated == found)


def _plain(entry: ClipEntry, name: str) -> str:
    return msgspec.json.encode(getattr(entry, name)).decode()


def signal_of(entry: ClipEntry) -> SignalFormat:
    """The signal format of an entry.

    Raises:
        BadInput: where the manifest names none that there is.
    """
    options = entry.signal_options
    return parse_signal_format(
        entry.signal,
        depth=int(options["depth"]),
        code_range=str(options["range"]),
        content_primaries=str(options["primaries"]),
        components=str(options["components"]),
    )
