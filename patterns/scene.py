"""A scene of the user's own: boxes, ellipses, ramps, grids, text and pictures, standing or moving.

The file is read by a floor above; here it is drawn. Without a file a small built-in scene is shown.
"""

from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import ClassVar

from knownlight.errors import BadInput
from knownlight.frame.claims import Claims, Region
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from knownlight.frame.planes import Frame
from knownlight.frame.rates import frames_in
from knownlight.frame.sources import Cycle, Levels, Still
from knownlight.signal.arrays import PlaneArray
from patterns.family import Family
from patterns.parameters import Level, LevelUnit, file_parameter
from patterns.patches import Layout, Patch, frame_of, layout_claims, overlap, painted, writable_planes
from patterns.scene_parts import Box, Ellipse, Key, Paint, Part, Text

_LONGEST = 3600  # frames of a scene that moves


@dataclass(frozen=True, kw_only=True)
class SceneContent:
    """What a scene file holds.

    name: the file as the user wrote it. sha256: of the file. seconds: after which what moves begins again.
    """

    name: str
    sha256: str
    background: Paint
    parts: tuple[Part, ...]
    seconds: Fraction


def _grey(percent: float) -> Paint:
    return Paint(level=Level(LevelUnit.SIGNAL_PERCENT, percent))


BUILT_IN = SceneContent(
    name="",
    sha256="",
    background=_grey(10.0),
    parts=(
        Box(name="box", rect=(10.0, 15.0, 20.0, 30.0), paint=_grey(40.0)),
        Ellipse(
            name="ball",
            rect=(60.0, 40.0, 11.25, 20.0),
            paint=_grey(60.0),
            keys=(
                Key(at=Fraction(0), place=(60.0, 40.0), paint=_grey(60.0)),
                Key(at=Fraction(1, 2), place=(75.0, 40.0), paint=_grey(30.0)),
                Key(at=Fraction(1), place=(60.0, 40.0), paint=_grey(60.0)),
            ),
        ),
        Text(name="title", rect=(10.0, 70.0, 80.0, 6.0), paint=_grey(50.0), text="A SCENE OF YOUR OWN"),
    ),
    seconds=Fraction(1),
)


@dataclass(frozen=True, kw_only=True)
class Scene(Family):
    """A scene file."""

    name: ClassVar[str] = "scene"
    title: ClassVar[str] = "A scene of your own from a TOML file: docs/scenes.md tells how to write one"
    source: ClassVar[str] = "none: what it shows is yours"

    file: SceneContent | None = file_parameter(
        "the scene; without one a built-in scene is shown", kinds="TOML"
    )

    def draw(self, signal: SignalFormat) -> Still | Cycle:
        """One picture, or one round of what moves."""
        content = self._content()
        layout = self._layout(signal)
        if layout is not None:
            return Still(painted(signal, layout))
        standing = next((i for i, part in enumerate(content.parts) if part.keys), len(content.parts))
        ground = writable_planes(signal, content.background.code("background", signal))
        for part in content.parts[:standing]:
            part.draw(ground, signal, Fraction(0))
        if standing == len(content.parts):
            return Still(frame_of(signal, ground))

        def draw_frame(index: int) -> Frame:
            planes: list[PlaneArray] = [plane.copy() for plane in ground]
            for part in content.parts[standing:]:
                part.draw(planes, signal, index / signal.rate)
            return frame_of(signal, planes)

        return Cycle(self._period(signal), draw_frame, Levels.CHANGING)

    def claims(self, signal: SignalFormat) -> Claims:
        """Boxes that stand still in one colour and that nothing comes to lie on.

        A scene of nothing but such boxes claims the pixels of every colour too.
        """
        self.natural_seconds(signal)
        try:
            return self._claims(signal)
        except BadInput as error:
            raise self._refused(str(error)) from None

    def _claims(self, signal: SignalFormat) -> Claims:
        layout = self._layout(signal)
        if layout is not None:
            return layout_claims(signal, layout)
        content = self._content()
        codes = [content.background.code("background", signal)[0]]
        regions = []
        for index, part in enumerate(content.parts):
            codes += part.luma_codes(signal)
            later = [reach for other in content.parts[index + 1 :] for reach in other.reach(signal)]
            if isinstance(part, Box) and not part.keys:
                rect = _seen(part, signal)
                if rect is not None and not any(overlap(rect, other) for other in later):
                    regions.append(Region(part.name, rect, part.paint.code(part.name, signal), part.purpose))
        notes = {"lowest_code": min(codes), "highest_code": max(codes)}
        return Claims(regions=tuple(regions), notes=MappingProxyType(notes))

    def natural_seconds(self, signal: SignalFormat) -> Fraction | None:
        """A round of what moves."""
        content = self._content()
        moves = any(part.keys for part in content.parts)
        return Fraction(self._period(signal)) / signal.rate if moves else None

    def _content(self) -> SceneContent:
        return self.file or BUILT_IN

    def _refused(self, problem: str) -> BadInput:
        """An error that names the scene's file."""
        return self.refuse(f"{self._content().name or 'built-in'}: {problem}")

    def _period(self, signal: SignalFormat) -> int:
        frames = frames_in(self._content().seconds, signal.rate)
        if frames > _LONGEST:
            raise self._refused(f"seconds: {frames} frames are more than {_LONGEST}; make it shorter")
        return frames

    def _layout(self, signal: SignalFormat) -> Layout | None:
        """The scene as flat patches, where it is nothing else."""
        content = self._content()
        patches = []
        for part in content.parts:
            if not isinstance(part, Box) or part.keys:
                return None
            rect = _seen(part, signal)
            code = part.paint.code(part.name, signal)
            if rect is not None:
                patches.append(Patch(part.name, rect, code, part.purpose))
        return Layout(background=content.background.code("background", signal), patches=tuple(patches))


def _seen(part: Box, signal: SignalFormat) -> Rect | None:
    """What of a standing box lies inside the picture."""
    rect = part.rect_at(signal, Fraction(0))
    x, y = max(0, rect.x), max(0, rect.y)
    right, bottom = min(signal.width, rect.right), min(signal.height, rect.bottom)
    return Rect(x, y, right - x, bottom - y) if x < right and y < bottom else None
