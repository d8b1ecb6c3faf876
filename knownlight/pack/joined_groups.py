"""Which clips of a chapter can be joined into one long file, and why the others cannot.

Clips of one signal, delivery and kind of sound may follow one another in one track where their decoder is set
up alike: the container has one record of parameter sets for all. HEVC and AV1 repeat them at every key
picture, so that a decoder would take new ones there; but players that trust the record, and `hvc1` itself
(ISO/IEC 14496-15, from memory: its parameter sets are in the record alone), do not allow them to change.
Messages about light and display may differ: they are part of each clip.
"""

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path, PurePosixPath

import knownlight
from knownlight.encode.deliveries import DELIVERIES, delivery_named
from knownlight.encode.fitting import fits
from knownlight.errors import UnreadableFile
from knownlight.pack.job import slate_id
from knownlight.pack.manifest import Manifest
from knownlight.pack.manifest_entries import ClipEntry
from knownlight.pack.recheck import signal_of
from knownlight.pack.space import FAT_LARGEST
from knownlight.readback.files import read_video_track
from knownlight.readback.track import VideoTrack

_NUMBER = 999  # of a joined file: it sorts after the clips
_MOST_MARKS = 255  # what the list of marks in an MP4 counts to
_MOST_BYTES = FAT_LARGEST - (1 << 24)  # sound and index may need more room than those of the clips

Key = tuple[str, ...]


@dataclass(frozen=True)
class Part:
    """A clip, and its track as it was read."""

    entry: ClipEntry
    track: VideoTrack


@dataclass(frozen=True, kw_only=True)
class Group:
    """Clips to join, in play order. file: inside the pack's folder. left_out: clips like them, and why."""

    file: str
    parts: tuple[Part, ...]
    left_out: Mapping[str, str]


def groups_of(manifest: Manifest, folder: Path) -> tuple[list[Group], dict[str, str]]:
    """The groups of a pack, and every clip that is in none, with the reason."""
    groups: list[Group] = []
    left_out: dict[str, str] = {}
    clips = sorted((entry for entry in manifest.clips if entry.delivery in DELIVERIES), key=lambda e: e.file)
    for place, entries in groupby(clips, key=lambda entry: str(PurePosixPath(entry.file).parent)):
        alike: dict[Key, list[ClipEntry]] = {}
        for entry in entries:
            alike.setdefault(_key(entry), []).append(entry)
        names: dict[str, int] = {}
        for key in sorted(alike):
            found, reasons = _split(alike[key], folder)
            for parts in found:
                groups.append(Group(file=_file(place, parts[0].entry, names), parts=parts, left_out=reasons))
            left_out |= reasons
    return groups, left_out


def can_be_marked(delivery: str) -> bool:
    """Whether its container holds chapter marks: no still, no transport stream."""
    return delivery in DELIVERIES and not delivery_named(delivery).container.is_stream


def recipe_of(entries: Iterable[ClipEntry]) -> str:
    """A hash of what a joined file is made of: the same need not be made twice."""
    parts = [knownlight.__version__, *([entry.id, entry.sha256] for entry in entries)]
    return hashlib.sha256(json.dumps(parts).encode()).hexdigest()


def _key(entry: ClipEntry) -> Key:
    """What clips must have in common before anything of theirs is read."""
    sound = entry.sound.kind if entry.sound else ""
    options = [f"{name}={value}" for name, value in sorted(entry.signal_options.items())]
    return entry.signal, entry.delivery, sound if sound == "none" else "", *options


def _file(place: str, entry: ClipEntry, names: dict[str, int]) -> str:
    """A name that no other joined file of the chapter has."""
    stem = f"{_NUMBER}-joined-{entry.signal}-{entry.delivery}"
    names[stem] = names.get(stem, 0) + 1
    more = f"-{names[stem]}" if names[stem] > 1 else ""
    return f"{place}/{stem}{more}{delivery_named(entry.delivery).suffix}"


def _split(entries: Sequence[ClipEntry], folder: Path) -> tuple[list[tuple[Part, ...]], dict[str, str]]:
    """Groups of clips that one decoder plays through, and why the rest is in none."""
    by_id = {entry.id: entry for entry in entries}
    slates = {slate_id(identity) for identity in by_id} & by_id.keys()
    reasons: dict[str, str] = {}
    units: dict[bytes, list[tuple[Part, ...]]] = {}  # a clip, or its slate and a clip, by setup
    for entry in entries:
        if entry.id in slates:
            continue
        part, reason = _read(entry, folder)
        if part is None:
            reasons[entry.id] = reason
            continue
        unit: tuple[Part, ...] = (part,)
        if slate_id(entry.id) in slates:
            slate, reason = _read(by_id[slate_id(entry.id)], folder)
            if slate is not None and slate.track.setup == part.track.setup:
                unit = (slate, part)
            else:
                reasons[slate_id(entry.id)] = reason or "its decoder is set up otherwise than its clip's"
        units.setdefault(part.track.setup, []).append(unit)
    groups = []
    for alike in units.values():
        for run in _runs(alike):
            parts = tuple(part for unit in run for part in unit)
            reason = _alone(len(alike), len(units)) if len(run) == 1 else _reason_together(parts)
            if reason:
                reasons |= {unit[-1].entry.id: reason for unit in run}
            else:
                groups.append(parts)
    # a slate goes where its clip goes: only that it is missing before a clip that is joined is news
    joined = {part.entry.id for parts in groups for part in parts}
    silent = slates - {slate_id(identity) for identity in joined}
    return groups, {identity: reason for identity, reason in reasons.items() if identity not in silent}


def _read(entry: ClipEntry, folder: Path) -> tuple[Part | None, str]:
    """A clip with its track, or None and why it is played by itself."""
    reason = _reason(entry)
    if reason:
        return None, reason
    try:
        track = read_video_track(folder / entry.file)[0]
    except UnreadableFile as error:
        return None, str(error)
    if track.stated.codec == "avc" and track.samples[-1].is_sync:
        # two in turn must differ in a number (ITU-T H.264 clause 7.4.3, idr_pic_id; from memory)
        return None, "it ends on a key picture, which that of another clip must not follow"
    return Part(entry, track), ""


def _reason(entry: ClipEntry) -> str:
    """Why a clip cannot be joined with any other; empty where it may be."""
    if not can_be_marked(entry.delivery):
        return "a transport stream has no chapter marks"
    if entry.sound is not None and entry.sound.kind == "beeps":
        return "its beeps belong to its pictures, and a joined file is silent"
    if entry.declared.on_purpose:
        return "it declares on purpose what is not so, and a joined file declares the truth"
    if entry.warning:
        return f"it needs level {entry.level}, which a player may refuse"
    return ""


def _runs(units: Sequence[tuple[Part, ...]]) -> Iterator[list[tuple[Part, ...]]]:
    """As many at a time as one file holds."""
    run: list[tuple[Part, ...]] = []
    for unit in units:
        parts = [part for each in [*run, unit] for part in each]
        if run and (len(parts) > _MOST_MARKS or sum(part.entry.bytes for part in parts) > _MOST_BYTES):
            yield run
            run = []
        run.append(unit)
    yield run


def _alone(alike: int, setups: int) -> str:
    """Why a clip is alone, where so many are of its setup, and there are so many setups."""
    if alike > 1:
        return "a stick in FAT32 takes no file that holds it with the others"
    return "no other clip sets its decoder up alike" if setups > 1 else "there is no other clip like it"


def _reason_together(parts: Sequence[Part]) -> str:
    """Why clips of one setup cannot follow one another; empty where they can."""
    first = parts[0].entry
    signal = signal_of(first)
    sizes = [sample.size for part in parts for sample in part.track.samples]
    limits = delivery_named(first.delivery).coder.limits(signal)
    if not fits(sizes, signal.rate, limits, frames=len(sizes)):
        return "one after another they would pass the buffer of the level"
    return ""
