"""The data of a run sheet from the manifest of a pack; it opens no file."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import chain, count
from pathlib import PurePosixPath

import msgspec

from knownlight.pack.manifest import Manifest
from knownlight.pack.manifest_entries import ChapterEntry, ClaimEntry, ClipEntry, DisplayEntry
from knownlight.pack.recheck import signal_of
from knownlight.readings.display import DEFAULTS, Display, display_of, kind_named
from knownlight.readings.targets import target_of
from knownlight.safety.cautions import STATIC_HOLD
from knownlight.sheet.facts import exactness_words, facts
from knownlight.sheet.model import Card, ChapterCard, JoinedCard, Patch, SheetModel
from knownlight.sheet.wording import QUESTIONS, STEPS, chapter_words
from knownlight.signal.transfer.bt2100_hlg import LUMINANCE_WEIGHTS

_SLATE = "slate"  # the pattern of what stands between clips and says what follows
_LEAST_HOLD = 120.0  # seconds, enough for a few readings; common practice, no source


def displays_of(manifest: Manifest) -> tuple[Display, ...]:
    """The displays that a pack's targets are for, one of each kind: those it has, else the reference ones.

    Raises:
        BadInput: where the manifest has one that there is not.
    """
    known = [
        Display(kind=kind_named(entry.kind), peak=entry.peak, black=entry.black)
        for entry in manifest.displays
    ]
    return tuple(display_of(kind, known) for kind in DEFAULTS)


def with_display(manifest: Manifest, display: Display) -> Manifest:
    """The manifest with a display, in place of one of its kind."""
    entry = DisplayEntry(kind=display.kind.value, peak=display.peak, black=display.black)
    others = [each for each in manifest.displays if each.kind != entry.kind]
    return msgspec.structs.replace(manifest, displays=[*others, entry])


def sheet_model(manifest: Manifest, displays: Sequence[Display], thumbnails: Mapping[str, str]) -> SheetModel:
    """The data of the sheet of a pack. displays: that the targets are for. thumbnails: data URIs by id."""
    slates = {entry.id for entry in manifest.clips if entry.pattern == _SLATE}
    return SheetModel(
        pack=manifest.pack,
        title=manifest.title or manifest.pack,
        summary=manifest.summary,
        created=manifest.created,
        version=manifest.knownlight,
        displays=[(display.kind.value, display.peak, display.black) for display in displays],
        steps=list(STEPS),
        questions=list(QUESTIONS),
        chapters=[
            ChapterCard(
                name=chapter.name,
                folder=chapter.folder,
                title=chapter.title,
                answers=chapter.answers,
                words=chapter_words([entry for entry in entries if entry.id not in slates]),
                cards=[_card(entry, displays, thumbnails.get(entry.id, "")) for entry in entries],
                joined=[
                    JoinedCard(
                        file=each.file,
                        seconds=each.seconds,
                        marks=[(mark.seconds, mark.clip) for mark in each.marks if mark.clip not in slates],
                    )
                    for each in manifest.joined
                    if each.chapter == chapter.name
                ],
            )
            for chapter, entries in _chapters(manifest)
        ],
    )


def _chapters(manifest: Manifest) -> Iterator[tuple[ChapterEntry, list[ClipEntry]]]:
    """Chapters that have files, in play order."""
    for chapter in manifest.chapters:
        entries = [entry for entry in manifest.clips if entry.chapter == chapter.name]
        if entries:
            yield chapter, entries


def _card(entry: ClipEntry, displays: Sequence[Display], thumbnail: str) -> Card:
    encoding = signal_of(entry).encoding
    measured = to_measure(entry)
    stretched = entry.stress.stretched if entry.stress else None
    held = any(caution.name == STATIC_HOLD for caution in entry.safety)
    red, green, blue = (float(weight) for weight in LUMINANCE_WEIGHTS)
    return Card(
        id=entry.id,
        file=entry.file,
        number=PurePosixPath(entry.file).name.partition("-")[0],
        signal=entry.signal,
        transfer=encoding.transfer.value,
        to_xyz=tuple((float(r), float(g), float(b)) for r, g, b in encoding.primaries.xyz_from_rgb_matrix),
        weights=(red, green, blue),
        delivery=entry.delivery,
        seconds=entry.seconds,
        is_still=entry.is_still,
        exactness=exactness_words(entry),
        facts=facts(entry, measured),
        look=entry.look,
        measure=entry.measure,
        cautions=[(caution.name, caution.words) for caution in entry.safety],
        hold_seconds=max(_LEAST_HOLD, entry.seconds) if held else None,
        thumbnail=thumbnail,
        stretched=stretched.file if stretched else "",
        warning=entry.warning,
        area_percent=entry.notes.get("area_percent"),
        pattern=entry.pattern,
        patches=[_patch(claim, entry, displays) for claim in measured],
        is_slate=entry.pattern == _SLATE,
    )


def to_measure(entry: ClipEntry) -> list[ClaimEntry]:
    """The regions to measure, each of a name of its own.

    The first of a name keeps it; further ones are told apart by their time, else by a number from 2 on. Names
    that regions have of themselves are never given to others.
    """
    measured = [claim for claim in entry.claims if claim.measure]
    taken = {claim.name for claim in measured}
    named: dict[str, ClaimEntry] = {}
    for claim in measured:
        name = claim.name if claim.name not in named else _free_name(claim, taken)
        taken.add(name)
        named[name] = claim
    return [msgspec.structs.replace(claim, name=name) for name, claim in named.items()]


def _free_name(claim: ClaimEntry, taken: Collection[str]) -> str:
    """A name for another region of a name that is there already: "field at 10 s", or "field 2"."""
    timed = [f"{claim.name} at {claim.seconds[0]:g} s"] if claim.seconds else []
    numbered = (f"{claim.name} {number}" for number in count(2))
    return next(name for name in chain(timed, numbered) if name not in taken)


def _patch(claim: ClaimEntry, entry: ClipEntry, displays: Sequence[Display]) -> Patch:
    encoding = signal_of(entry).encoding
    target = target_of(claim.code, encoding, display_of(encoding.transfer, displays))
    red, green, blue = (float(value) for value in encoding.signal_rgb(claim.code))
    return Patch(
        name=claim.name,
        code=claim.code,
        signal=(red, green, blue),
        seconds=claim.seconds,
        target_luminance=target.luminance,
        target_xy=target.xy,
        basis=target.basis.value,
    )
