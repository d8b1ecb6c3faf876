"""Finds presets, reads them strictly and turns them into jobs."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fnmatch import fnmatchcase
from fractions import Fraction
from pathlib import Path

import msgspec

from knownlight.encode.delivery import PastLevel
from knownlight.encode.stills.formats import STILLS, suffix_of
from knownlight.errors import BadInput, KnownlightError, nearest
from knownlight.frame.fields import drawn_in
from knownlight.frame.format import parse_signal_format
from knownlight.frame.sizes import SIZES
from knownlight.frame.sound import sound_named
from knownlight.metadata.light import Declaration
from knownlight.pack.job import Job, slate_id
from knownlight.pack.ledger import Contents
from knownlight.pack.manifest_entries import ChapterEntry
from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import Components
from knownlight.stress.poor import poor_of
from presets.naming import number, stem
from presets.opening import build_in
from presets.schema import SCHEMA, Chapter, Clip, Declare, Pack
from presets.slates import Slates, slate_of
from presets.toml_file import read_toml

_HERE = Path(__file__).parent
_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


@dataclass(frozen=True, kw_only=True)
class Choice:
    """What part of a pack is wanted; None is all of it.

    signal: a signal format, or a pattern of one with * and ?. only: a pattern of clip ids.
    delivery: instead of each clip's own. height: instead of each signal's own size.
    beside: the folder that files named by clips are looked for in. slates: where they are put.
    """

    signal: str | None = None
    only: str | None = None
    delivery: str | None = None
    height: int | None = None
    beside: Path = Path()
    slates: Slates = Slates.NONE

    @property
    def is_part(self) -> bool:
        """Whether clips are left out."""
        return self.only is not None or self.signal is not None


def preset_names() -> list[str]:
    """The presets that come with the program."""
    return sorted(path.stem for path in _HERE.glob("*.toml"))


def load_pack(name: str) -> Pack:
    """A pack by a preset's name or by the path of a .toml file.

    Raises:
        BadInput: where there is none, or it is not as the schema has it: file, key and remedy.
    """
    path = Path(name) if name.endswith(".toml") else _HERE / f"{name}.toml"
    if not name.endswith(".toml") and name not in preset_names():
        near = nearest(name, preset_names())
        hint = f"did you mean {near}?" if near else f"there are {', '.join(preset_names())}"
        raise BadInput(f"pack {name!r} is not known; {hint} (or name a .toml file)")
    shown = str(path) if name.endswith(".toml") else f"presets/{path.name}"
    pack, _ = read_toml(path, shown, Pack, parts=(Pack, Chapter, Clip, Declare), schema=SCHEMA)
    pack = _with_included(pack, shown)
    _check_names(pack, shown)
    return pack


def _with_included(pack: Pack, shown: str) -> Pack:
    """The pack with the chapters of those it includes; names and ids get the included one's name in front."""
    chapters = []
    for name in pack.includes:
        if name not in preset_names():
            raise BadInput(f"{shown}: includes: {name!r} is no preset; there are {', '.join(preset_names())}")
        other = load_pack(name)
        if other.includes:
            raise BadInput(f"{shown}: includes: {name!r} includes others itself; name those instead")
        chapters += [
            msgspec.structs.replace(
                chapter,
                name=f"{name}-{chapter.name}",
                signal=chapter.signal or other.signal,
                delivery=chapter.delivery or other.delivery,
                seconds=chapter.seconds or other.seconds,
                sound=chapter.sound or other.sound,
                clips=[msgspec.structs.replace(clip, id=f"{name}-{clip.id}") for clip in chapter.clips],
            )
            for chapter in other.chapters
        ]
    return msgspec.structs.replace(pack, includes=[], chapters=[*chapters, *pack.chapters])


def _check_names(pack: Pack, shown: str) -> None:
    """Names become folders and files, so they are plain; ids are the keys of a pack, one of each."""
    seen: set[str] = set()
    for where, name in [
        ("name", pack.name),
        *((f"chapters[{i}].name", chapter.name) for i, chapter in enumerate(pack.chapters)),
        *(
            (f"chapters[{i}].clips[{j}].id", clip.id)
            for i, chapter in enumerate(pack.chapters)
            for j, clip in enumerate(chapter.clips)
        ),
    ]:
        if not _NAME.fullmatch(name):
            raise BadInput(f"{shown}: {where}: {name!r} must be small letters and figures joined by hyphens")
        if where.endswith("id"):
            if name in seen:
                raise BadInput(f"{shown}: {where}: {name!r} is there twice; give each clip an id of its own")
            seen.add(name)


def clip_ids(pack: Pack) -> list[str]:
    """Ids in play order."""
    return [clip.id for chapter in pack.chapters for clip in chapter.clips]


def chapter_folders(pack: Pack) -> list[str]:
    """The folder of each chapter."""
    return [f"{number(place)}-{chapter.name}" for place, chapter in enumerate(pack.chapters)]


def contents_of(pack: Pack, choice: Choice | None = None) -> Contents:
    """What a manifest says of the pack as a whole.

    Of a choice, only how it delivers and slates matter; one of a part of the pack leaves slates alone that
    another run has made.
    """
    choice = choice or Choice()
    return Contents(
        pack=pack.name,
        title=pack.title,
        summary=pack.summary,
        chapters=tuple(
            ChapterEntry(name=chapter.name, folder=folder, title=chapter.title, answers=chapter.answers)
            for folder, chapter in zip(chapter_folders(pack), pack.chapters, strict=True)
        ),
        order=tuple(
            identity
            for chapter in pack.chapters
            for clip in chapter.clips
            for identity in (*_slates(pack, chapter, clip, choice), clip.id)
        ),
    )


def _slates(pack: Pack, chapter: Chapter, clip: Clip, choice: Choice) -> tuple[str, ...]:
    """The id of a clip's slate, where one may be."""
    may_be = choice.slates is Slates.BEFORE_CLIPS or choice.is_part
    is_still = _delivery(pack, chapter, clip, choice) in STILLS
    return (slate_id(clip.id),) if may_be and not is_still else ()


def _delivery(pack: Pack, chapter: Chapter, clip: Clip, choice: Choice) -> str:
    return choice.delivery or clip.delivery or chapter.delivery or pack.delivery


def jobs_of(pack: Pack, choice: Choice) -> list[Job]:
    """The jobs of a pack in play order, with slates where wanted; numbers do not depend on the choice.

    Raises:
        BadInput: for a clip that cannot be made as written (chapter, clip and key), or a choice of nothing.
    """
    jobs: list[Job] = []
    for folder, chapter in zip(chapter_folders(pack), pack.chapters, strict=True):
        for place, clip in enumerate(chapter.clips):
            written = _signal(pack, chapter, clip)
            if choice.only is not None and not fnmatchcase(clip.id, choice.only):
                continue
            if choice.signal is not None and not fnmatchcase(written, choice.signal):
                continue
            try:
                jobs += _jobs(pack, chapter, clip, choice, place=place, folder=folder)
            except KnownlightError as error:
                raise type(error)(
                    f"pack {pack.name}, chapter {chapter.name}, clip {clip.id}: {error}"
                ) from None
    if not jobs:
        signals = sorted(
            {_signal(pack, chapter, clip) for chapter in pack.chapters for clip in chapter.clips}
        )
        raise BadInput(
            f"pack {pack.name} has no clip of that choice; its signals are {', '.join(signals)}, "
            f"its clips {', '.join(clip_ids(pack))}"
        )
    return jobs


def _signal(pack: Pack, chapter: Chapter, clip: Clip) -> str:
    return clip.signal or chapter.signal or pack.signal


def _declaration(declare: Declare) -> Declaration:
    return Declaration(mastering_peak=declare.mastering, max_cll=declare.max_cll, max_fall=declare.max_fall)


def _jobs(
    pack: Pack, chapter: Chapter, clip: Clip, choice: Choice, *, place: int, folder: str
) -> Iterator[Job]:
    """The job of a clip, after that of its slate where one is wanted."""
    job = _job(pack, chapter, clip, choice, place=place, folder=folder)
    if choice.slates is Slates.BEFORE_CLIPS and not job.is_still:
        slate = slate_of(job, place)
        if slate.id in clip_ids(pack):
            raise BadInput(f"id: its slate would be {slate.id!r}, which is a clip; give that another id")
        slate.check()
        yield slate
    yield job


def _job(pack: Pack, chapter: Chapter, clip: Clip, choice: Choice, *, place: int, folder: str) -> Job:
    delivery = _delivery(pack, chapter, clip, choice)
    is_still = delivery in STILLS
    signal = parse_signal_format(
        _signal(pack, chapter, clip),
        depth=clip.depth,
        code_range=clip.range or (CodeRange.FULL.value if is_still else None),
        content_primaries=clip.primaries,
        components=Components.RGB.value if is_still else None,
    )
    if choice.height is not None:
        if choice.height not in SIZES:
            raise BadInput(f"size {choice.height} is not known; use one of {', '.join(map(str, SIZES))}")
        signal = signal.resized(choice.height)
    sources: dict[str, Path] = {}
    pattern = build_in(choice.beside, name=clip.pattern, values=clip.parameters, opened=sources)
    own = None if clip.seconds else pattern.natural_seconds(drawn_in(pattern, signal))
    job = Job(
        id=clip.id,
        file=f"{folder}/{stem(place, clip.id, pattern)}{suffix_of(delivery)}",
        chapter=chapter.name,
        look=clip.look,
        measure=clip.measure,
        pattern=pattern,
        sources=sources,
        declaration=None if clip.declare is None else _declaration(clip.declare),
        past_level=PastLevel.MARKED if clip.keep_exact else PastLevel.BOUNDED,
        poor=poor_of(clip.poor, "poor"),
        signal=signal,
        delivery=delivery,
        sound=sound_named(clip.sound or chapter.sound or pack.sound),
        seconds=own or Fraction(clip.seconds or chapter.seconds or pack.seconds).limit_denominator(1000),
    )
    job.check()
    return job
