"""What a joined file is meant to be, from the clips that it is made of, and its entry in the manifest."""

from collections.abc import Sequence
from pathlib import Path

import msgspec

from knownlight.frame.sound import Sound, Soundtrack
from knownlight.pack.entry import declared_hdr
from knownlight.pack.joined_groups import Part, recipe_of
from knownlight.pack.manifest_entries import ClipEntry, Declared, JoinedEntry, LeftOutEntry, MarkEntry
from knownlight.pack.recheck import signal_of
from knownlight.verify.joined import JoinedIntent, JoinedPart


def intent_of(parts: Sequence[Part], folder: Path) -> JoinedIntent:
    """What a joined file of some clips is meant to be."""
    entries = [part.entry for part in parts]
    silent = entries[0].sound is not None and entries[0].sound.kind != Sound.NONE.value
    return JoinedIntent(
        signal=signal_of(entries[0]),
        delivery=entries[0].delivery,
        parts=tuple(
            JoinedPart(title=part.entry.id, path=folder / part.entry.file, track=part.track) for part in parts
        ),
        hdr=declared_hdr(declared_of(entries)),
        sound=Soundtrack() if silent else None,
    )


def declared_of(entries: Sequence[ClipEntry]) -> Declared:
    """What is true of all: the mastering display of the brightest, and the largest light levels."""
    each = [entry.declared for entry in entries]
    displays = [declared.mastering for declared in each if declared.mastering]
    return msgspec.structs.replace(
        each[0],
        mastering=max(displays, key=lambda display: display.max_luminance, default=None),
        max_cll=max((level for level in (d.max_cll for d in each) if level is not None), default=None),
        max_fall=max((level for level in (d.max_fall for d in each) if level is not None), default=None),
    )


def joined_entry(
    name: str,
    path: Path,
    entries: Sequence[ClipEntry],
    intent: JoinedIntent,
    *,
    sha256: str,
    left_out: list[LeftOutEntry],
    decoded_frames: int,
) -> JoinedEntry:
    """The entry of a file of that SHA-256, of some clips, which was proven by so many decoded pictures."""
    marks, start = [], 0
    for part in intent.parts:
        marks.append(MarkEntry(seconds=float(start / intent.signal.rate), clip=part.title))
        start += part.frames
    return JoinedEntry(
        file=name,
        bytes=path.stat().st_size,
        sha256=sha256,
        recipe=recipe_of(entries),
        chapter=entries[0].chapter,
        signal=intent.signal.name,
        signal_options=intent.signal.options,
        delivery=intent.delivery,
        sound=(Sound.NONE if intent.sound is None else Sound.SILENT).value,
        seconds=float(start / intent.signal.rate),
        frames=start,
        declared=declared_of(entries),
        marks=marks,
        decoded_frames=decoded_frames,
        left_out=left_out,
    )
