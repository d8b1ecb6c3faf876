"""Reads a scene file: TOML, strict, every fault named by its path (docs/scenes.md: how one is written)."""

import hashlib
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Annotated, Any, Literal

import msgspec
from msgspec import Meta

from knownlight.errors import BadInput
from knownlight.frame.claims import Purpose
from knownlight.frame.glyphs import missing_glyph
from knownlight.frame.picture import Fit, PictureContent
from patterns.colours import SDR_GAMUT
from patterns.parameters import Level, LevelUnit
from patterns.scene import SceneContent
from patterns.scene_parts import Box, Ellipse, Grid, Key, Paint, Part, Photo, Ramp, Text
from presets.toml_file import read_toml

SCHEMA = 1
OpenPicture = Callable[[str], PictureContent]
Gamut = Literal["bt709", "p3-d65", "bt2020"]
Chromaticity = Annotated[float, Meta(gt=0, lt=1)]
Place = Annotated[float, Meta(ge=-200, le=200)]  # % of the picture
Size = Annotated[float, Meta(gt=0, le=200)]
Seconds = Annotated[float, Meta(gt=0, le=3600)]
Even = Annotated[int, Meta(ge=2, multiple_of=2)]
Percent = Annotated[float, Meta(ge=0, le=100)]


class PaintEntry(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A level in one of three units, and a colour where it is not grey."""

    luminance: float | None = None
    signal_percent: float | None = None
    code: int | None = None
    xy: tuple[Chromaticity, Chromaticity] | None = None
    hue: Literal["red", "yellow", "green", "cyan", "blue", "magenta", "white"] | None = None
    gamut: Gamut | None = None
    saturation_percent: Percent | None = None


class KeyEntry(PaintEntry, frozen=True, kw_only=True):
    """A keyframe."""

    at: Annotated[float, Meta(ge=0, le=3600)]
    place: tuple[Place, Place] | None = None


class PartEntry(PaintEntry, frozen=True, kw_only=True, tag_field="kind"):
    """What all parts have."""

    name: str
    rect: tuple[Place, Place, Size, Size]
    measure: bool = True
    keys: list[KeyEntry] = []


class FieldEntry(PartEntry, frozen=True, kw_only=True, tag="field"):
    """The whole picture, or the part of it that is given."""

    rect: tuple[Place, Place, Size, Size] = (0.0, 0.0, 100.0, 100.0)


class BoxEntry(PartEntry, frozen=True, kw_only=True, tag="box"):
    """A rectangle."""


class EllipseEntry(PartEntry, frozen=True, kw_only=True, tag="ellipse"):
    """An ellipse."""


class GridEntry(PartEntry, frozen=True, kw_only=True, tag="grid"):
    """Lines across and down."""

    pitch: Even
    thickness: Even = 2


class TextEntry(PartEntry, frozen=True, kw_only=True, tag="text"):
    """A line of text."""

    text: Annotated[str, Meta(min_length=1)]


class RampEntry(PartEntry, frozen=True, kw_only=True, tag="ramp"):
    """From one colour to another."""

    last: PaintEntry
    direction: Literal["right", "down"] = "right"


class PictureEntry(PartEntry, frozen=True, kw_only=True, tag="picture"):
    """A picture file."""

    file: str
    encoding: Literal["srgb", "linear", "pq"] = "srgb"
    primaries: Gamut = "bt709"
    white_luminance: Annotated[float, Meta(ge=0, le=10000)] = 0.0
    fit: Literal["inside", "fill", "pixels"] = "fill"


class SceneFile(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A scene file."""

    schema: int
    background: PaintEntry
    parts: list[FieldEntry | BoxEntry | EllipseEntry | GridEntry | TextEntry | RampEntry | PictureEntry]
    seconds: Seconds = 4.0


_STRUCTS = (
    SceneFile, FieldEntry, BoxEntry, EllipseEntry, GridEntry, TextEntry, RampEntry, PictureEntry, KeyEntry,
)  # fmt: skip


def read_scene(path: Path, name: str, open_picture: OpenPicture) -> SceneContent:
    """Read a scene file.

    Args:
        path: the file.
        name: as the user wrote it.
        open_picture: opens the picture files that it names.

    Raises:
        BadInput: where it cannot be read or is not as the schema has it: file, key and remedy.
    """
    scene, data = read_toml(path, name, SceneFile, parts=_STRUCTS, schema=SCHEMA)
    parts: list[Part] = []
    digest = hashlib.sha256(data)
    for index, entry in enumerate(scene.parts):
        where = f"{name}: parts[{index}]"
        if any(part.name == entry.name for part in parts):
            raise BadInput(f"{where}.name: {entry.name!r} is there twice; give each part a name of its own")
        part = _part(where, entry, open_picture)
        if isinstance(part, Photo):
            digest.update(part.picture.sha256.encode())
        parts.append(part)
    return SceneContent(
        name=name,
        sha256=digest.hexdigest(),
        background=_paint(f"{name}: background", scene.background),
        parts=tuple(parts),
        seconds=Fraction(scene.seconds).limit_denominator(1000),
    )


def _levels(entry: PaintEntry) -> list[Level]:
    units = {
        LevelUnit.LUMINANCE: entry.luminance,
        LevelUnit.SIGNAL_PERCENT: entry.signal_percent,
        LevelUnit.CODE: entry.code,
    }
    return [Level(unit, value) for unit, value in units.items() if value is not None]


def _paint(where: str, entry: PaintEntry) -> Paint:
    levels = _levels(entry)
    if len(levels) != 1:
        raise BadInput(f"{where}: give one of luminance, signal_percent and code, not {len(levels)} of them")
    if entry.hue is not None and entry.xy is not None:
        raise BadInput(f"{where}: hue and xy both give a colour; give one of them")
    if entry.xy is not None and levels[0].unit is not LevelUnit.LUMINANCE:
        raise BadInput(f"{where}: a colour given by xy needs luminance, in cd/m²; give that")
    if entry.hue is None and (entry.gamut, entry.saturation_percent) != (None, None):
        raise BadInput(f"{where}: gamut and saturation_percent are those of a hue; give hue too")
    return Paint(
        level=levels[0],
        xy=entry.xy,
        hue=entry.hue or "",
        gamut=entry.gamut or SDR_GAMUT,
        saturation_percent=100.0 if entry.saturation_percent is None else entry.saturation_percent,
    )


def _is_painted(entry: PaintEntry) -> bool:
    """Whether it has anything to say of a level or a colour."""
    return bool(_levels(entry)) or any(
        value is not None for value in (entry.xy, entry.hue, entry.gamut, entry.saturation_percent)
    )


def _keys(where: str, entry: PartEntry) -> tuple[Key, ...]:
    keys: list[Key] = []
    for index, key in enumerate(entry.keys):
        place = f"{where}.keys[{index}]"
        painted = _is_painted(key)
        at = Fraction(key.at).limit_denominator(1000)
        if not painted and key.place is None:
            raise BadInput(f"{place}: it changes nothing; give it a place or a level")
        if keys and at <= keys[-1].at:
            raise BadInput(f"{place}.at: {key.at:g} is not later than the one before; put them in order")
        keys.append(Key(at=at, place=key.place, paint=_paint(place, key) if painted else None))
    return tuple(keys)


_NO_PAINT = Paint(level=Level(LevelUnit.SIGNAL_PERCENT, 0.0))  # of a picture, which brings its own


def _part(where: str, entry: PartEntry, open_picture: OpenPicture) -> Part:
    is_picture = isinstance(entry, PictureEntry)
    if is_picture and (_is_painted(entry) or any(_is_painted(key) for key in entry.keys)):
        raise BadInput(f"{where}: a picture has no level or colour of its own; set white_luminance")
    common: dict[str, Any] = {
        "name": entry.name,
        "rect": entry.rect,
        "paint": _NO_PAINT if is_picture else _paint(where, entry),
        "purpose": Purpose.MEASURE if entry.measure else Purpose.LOOK,
        "keys": _keys(where, entry),
    }
    match entry:
        case GridEntry():
            return Grid(**common, pitch=entry.pitch, thickness=entry.thickness)
        case TextEntry():
            missing = missing_glyph(entry.text)
            if missing:
                raise BadInput(
                    f"{where}.text: there is no letter {missing!r}; use capitals, figures and . , - + % / :"
                )
            return Text(**common, text=entry.text)
        case RampEntry():
            last = _paint(f"{where}.last", entry.last)
            return Ramp(**common, last=last, downwards=entry.direction == "down")
        case PictureEntry():
            return Photo(
                **common,
                picture=open_picture(entry.file),
                encoding=entry.encoding,
                primaries=entry.primaries,
                white_luminance=entry.white_luminance,
                fit=Fit(entry.fit),
            )
        case EllipseEntry():
            return Ellipse(**common)
        case _:
            return Box(**common)
