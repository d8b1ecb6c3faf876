"""A pack of clips that can be joined and of clips that cannot, for the tests beside it."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import msgspec

from knownlight.ffmpeg import Stop
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.metadata.light import Declaration
from knownlight.pack.copying import Copier
from knownlight.pack.job import Job
from knownlight.pack.joined import Joined, join_chapters
from knownlight.pack.ledger import Contents, Ledger
from knownlight.pack.manifest import Manifest, read_manifest, write_manifest
from knownlight.pack.manifest_entries import ClipEntry, JoinedEntry
from knownlight.pack.plan import Stale, plan_of
from knownlight.pack.render import render
from patterns.registry import build

HALF = Fraction(1, 2)
PQ, SDR = parse_signal_format("720p24-pq"), parse_signal_format("480p59.94-sdr")
# file, pattern, parameters, signal, delivery, seconds; names sort in play order
CLIPS: list[tuple[str, str, dict[str, object], SignalFormat, str, Fraction]] = [
    ("a/010-low.mp4", "window", {"luminance": 100}, PQ, "hevc-mp4", HALF),
    ("a/019-slate-high.mp4", "slate", {}, PQ, "hevc-mp4", HALF),
    ("a/020-high.mp4", "window", {"luminance": 4000}, PQ, "hevc-mp4", HALF),
    ("a/030-still.png", "window", {}, PQ, "png", HALF),
    ("a/040-pan.mp4", "pan", {}, PQ, "hevc-mp4", HALF),
    ("a/050-steps.mp4", "grey-steps", {}, SDR, "hevc-mp4", HALF),
    ("a/059-slate-fog.mp4", "slate", {}, SDR, "hevc-mp4", HALF),
    ("a/060-fog.mp4", "fog", {"repeat_seconds": 1}, SDR, "hevc-mp4", HALF),
    ("a/070-field.mp4", "full-field", {}, SDR, "hevc-mp4", HALF),
    ("a/080-stream.ts", "window", {}, SDR, "hevc-ts", HALF),
    ("a/090-beeps.mp4", "lip-sync", {}, PQ, "hevc-mp4", Fraction(1)),
    ("a/100-declared.mp4", "window", {}, PQ, "hevc-mp4", HALF),
    ("b/010-white.mp4", "window", {}, SDR, "avc-mp4", HALF),
    ("b/020-greys.mp4", "grey-steps", {}, SDR, "avc-mp4", HALF),
    ("b/030-key.mp4", "full-field", {}, SDR, "avc-mp4", Fraction(25 * 1001, 60000)),
    ("b/040-alone.mp4", "full-field", {}, SDR, "hevc-mp4", HALF),
    ("b/050-one.mkv", "slate", {}, SDR, "av1-mkv", HALF),
    ("b/060-two.mkv", "full-field", {}, SDR, "av1-mkv", HALF),
    ("b/070-three.webm", "slate", {}, SDR, "vp9-webm", HALF),
    ("b/080-four.webm", "full-field", {}, SDR, "vp9-webm", HALF),
]
PQ_FILE = "a/999-joined-720p24-pq-hevc-mp4.mp4"
MARKS = {
    PQ_FILE: ["low", "slate-high", "high", "pan"],
    "a/999-joined-480p59.94-sdr-hevc-mp4.mp4": ["steps", "field"],
    "b/999-joined-480p59.94-sdr-avc-mp4.mp4": ["white", "greys"],
    "b/999-joined-480p59.94-sdr-av1-mkv.mkv": ["one", "two"],
    "b/999-joined-480p59.94-sdr-vp9-webm.webm": ["three", "four"],
}


@dataclass(frozen=True)
class JoinedPack:
    """What joining a pack did, and its manifest after."""

    joined: Joined
    manifest: Manifest


def job_of(
    file: str, pattern: str, keys: dict[str, object], signal: SignalFormat, rest: tuple[str, Fraction]
) -> Job:
    delivery, seconds = rest
    identity = Path(file).stem[4:]
    return Job(
        id=identity,
        file=file,
        chapter=file[0],
        pattern=build(pattern, keys),
        signal=parse_signal_format(signal.name, code_range="full", components="rgb")
        if delivery == "png"
        else signal,
        delivery=delivery,
        seconds=seconds,
        declaration=Declaration(max_cll=9000, max_fall=50) if identity == "declared" else None,
    )


def contents(order: Iterable[str]) -> Contents:
    return Contents(pack="p", title="", summary="", chapters=(), order=tuple(order))


def rendered(jobs: list[Job], folder: Path) -> Manifest:
    plan = plan_of(
        jobs,
        folder,
        contents=contents(job.id for job in jobs),
        cache=folder.with_name("cache"),
        stale=Stale.KEPT,
    )
    result = render(plan, workers=2, stop=Stop(), listen=lambda _event: None)
    assert () == result.failures
    return result.manifest


def join(folder: Path, manifest: Manifest) -> JoinedPack:
    """Join the clips of a folder whose manifest says this."""
    work = folder.with_name(f"{folder.name}-work")
    work.mkdir(exist_ok=True)
    write_manifest(manifest, folder / "manifest.json")
    ledger = Ledger(folder, contents(clip.id for clip in manifest.clips), ())
    copier = Copier(folder, ledger, Stop(), lambda _event: None)
    joined = join_chapters(folder, ledger, copier, work=work, stop=Stop())
    assert [] == list(work.iterdir())
    assert msgspec.structs.replace(ledger.manifest, digest="") == msgspec.structs.replace(
        read_manifest(folder / "manifest.json"), digest=""
    )
    return JoinedPack(joined, ledger.manifest)


def entry_of(manifest: Manifest, file: str) -> JoinedEntry:
    return next(entry for entry in manifest.joined if entry.file == file)


def parts_of(manifest: Manifest, file: str) -> list[ClipEntry]:
    found = [manifest.clip(mark.clip) for mark in entry_of(manifest, file).marks]
    return [entry for entry in found if entry is not None]


def starts_of(manifest: Manifest, file: str) -> list[Fraction]:
    """When each part begins, exactly."""
    parts, signal = parts_of(manifest, file), parse_signal_format(entry_of(manifest, file).signal)
    return [sum(part.frames for part in parts[:index]) / signal.rate for index in range(len(parts))]
