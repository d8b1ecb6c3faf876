"""Decoded pictures against drawn ones and against claims."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from knownlight.frame.claims import Claims, CodeTriple, LightLevels, mean_levels
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from knownlight.frame.light import LightMeter
from knownlight.frame.planes import Frame, Planes
from knownlight.signal.arrays import PlaneArray
from knownlight.signal.encoding import Components

BLOCK = 16  # pixels of a coder's block
Beside = Callable[[Frame, Frame], None]  # is shown each decoded picture and the drawn one
_ABOVE_ALL = 1 << 16
_PLANE_NAMES = {
    Components.YCBCR_420: ("Y", "Cb", "Cr"),
    Components.YCBCR_444: ("Y", "Cb", "Cr"),
    Components.RGB: ("R", "G", "B"),
}


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """What comparing a clip found.

    pictures: decoded and compared. largest_error: largest code difference from the drawn pixels anywhere.
    largest_region_error: largest code difference from a claimed region, of pictures that are not exact a
    block inside its edges. light: of the decoded pixels.
    codes: what each claimed region holds, by name; None where it is not of one code in all pictures.
    first_difference: in words, where there is any.
    """

    pictures: int
    largest_error: int
    largest_region_error: int
    light: LightLevels
    first_difference: str
    area_problem: str
    codes: Mapping[str, CodeTriple | None] = field(default_factory=dict)


NOTHING = Comparison(
    pictures=0,
    largest_error=0,
    largest_region_error=0,
    light=LightLevels(0.0, 0.0, 0.0, 0.0),
    first_difference="",
    area_problem="",
)


def together(results: Sequence[Comparison], frames: Sequence[int]) -> Comparison:
    """Comparisons of parts of a clip as one; `frames` are shown of each."""
    return Comparison(
        pictures=sum(result.pictures for result in results),
        largest_error=max(result.largest_error for result in results),
        largest_region_error=max(result.largest_region_error for result in results),
        light=mean_levels([(result.light, count) for result, count in zip(results, frames, strict=True)]),
        first_difference=next((r.first_difference for r in results if r.first_difference), ""),
        area_problem=next((r.area_problem for r in results if r.area_problem), ""),
    )


def compare(
    decoded: Iterable[Planes],
    drawn: Iterator[Frame],
    signal: SignalFormat,
    claims: Claims,
    beside: Beside | None = None,
) -> Comparison:
    """Compare every decoded picture with the drawn one at its place and with the claims.

    beside: looks at the same pictures.
    A drawn frame that is the same object as the one before is a held picture: where the decoded one is equal
    to it too, its regions and its light are those already counted.
    """
    meter = LightMeter()
    spans = _Spans(claims, signal)
    before: Frame | None = None
    pictures = largest = 0
    first, area_problem = "", ""
    for planes in decoded:
        frame = next(drawn)
        read = Frame(signal, planes)
        if beside is not None:
            beside(read, frame)
        error = _error(planes, frame.planes)
        if error and not first:
            first = f"frame {pictures}: {describe_difference(planes, frame)}"
        largest = max(largest, error)
        if frame is before and error == 0 and largest == 0:
            meter.add_again()
        else:
            spans.add(read, 0 if error == 0 else BLOCK)
            area_problem = area_problem or (_area_problem(read, claims) if error == 0 else "")
            meter.add(read)
        before = frame
        pictures += 1
    if not pictures:
        return NOTHING
    return Comparison(
        pictures=pictures,
        largest_error=largest,
        largest_region_error=spans.largest_error,
        light=meter.levels,
        first_difference=first,
        area_problem=area_problem,
        codes=spans.codes,
    )


def _error(read: Planes, drawn: Planes) -> int:
    """Largest difference of any sample; the common case, none at all, is found without arithmetic."""
    return max(_plane_error(a, b) for a, b in zip(read, drawn, strict=True))


def _plane_error(read: PlaneArray, drawn: PlaneArray) -> int:
    if np.array_equal(read, drawn):
        return 0
    return int((np.maximum(read, drawn) - np.minimum(read, drawn)).max())  # unsigned, without widening


def describe_difference(read: Planes, frame: Frame) -> str:
    """The first sample that differs, and how many do."""
    for name, got, wanted in zip(_PLANE_NAMES[frame.signal.components], read, frame.planes, strict=True):
        wrong = got != wanted
        if wrong.any():
            y, x = np.unravel_index(int(wrong.argmax()), wrong.shape)
            return (
                f"{name} plane differs at x={x} y={y}: expected {wanted[y, x]}, got {got[y, x]} "
                f"({int(wrong.sum()):,} of {wrong.size:,} samples)"
            )
    return "no difference"


class _Spans:
    """Lowest and highest code of every claimed region in each plane, over all pictures."""

    def __init__(self, claims: Claims, signal: SignalFormat) -> None:
        self._regions = claims.regions
        self._shared = signal.components is Components.YCBCR_420
        self._low = [[_ABOVE_ALL] * 3 for _ in claims.regions]
        self._high = [[-1] * 3 for _ in claims.regions]

    def add(self, frame: Frame, inset: int) -> None:
        """Count a picture.

        Where pixels are not exact, `inset` pixels are left out along the edges of regions that have the room:
        a coder's block that lies across an edge errs there, and no meter reads there.
        """
        for number, region in enumerate(self._regions):
            rect = region.rect
            if min(rect.width, rect.height) > 2 * inset:
                rect = Rect(rect.x + inset, rect.y + inset, rect.width - 2 * inset, rect.height - 2 * inset)
            rows, columns = rect.slices
            halved = (
                slice(rows.start // 2, -(-rows.stop // 2)),
                slice(columns.start // 2, -(-columns.stop // 2)),
            )
            low, high = self._low[number], self._high[number]
            for index, plane in enumerate(frame.planes):
                part = plane[halved if self._shared and index else (rows, columns)]
                low[index] = min(low[index], int(part.min()))
                high[index] = max(high[index], int(part.max()))

    @property
    def largest_error(self) -> int:
        """Largest difference of a sample from the code claimed for its region."""
        return max(
            (
                max(top - code, code - bottom)
                for region, low, high in zip(self._regions, self._low, self._high, strict=True)
                for code, bottom, top in zip(region.code, low, high, strict=True)
            ),
            default=0,
        )

    @property
    def codes(self) -> dict[str, CodeTriple | None]:
        """What each region holds; None where that is not one code."""
        return {
            region.name: (low[0], low[1], low[2]) if low == high else None
            for region, low, high in zip(self._regions, self._low, self._high, strict=True)
        }


def _area_problem(frame: Frame, claims: Claims) -> str:
    """Where the claimed pixel counts differ from the picture's, the first such code in words.

    Each plane is counted by itself; a chroma sample of 4:2:0 stands for four pixels.
    """
    if claims.areas is None:
        return ""
    grey = frame.signal.encoding.grey
    plain = frame.is_grey and all(code == grey(code[0]) for code in claims.areas)
    for index, name in enumerate(_PLANE_NAMES[frame.signal.components][: 1 if plain else 3]):
        counted = frame.counts(index) * (frame.planes[0].size // frame.planes[index].size)
        claimed = np.zeros_like(counted)
        for code, pixels in claims.areas.items():
            claimed[code[index]] += pixels
        wrong = np.flatnonzero(claimed != counted)
        if wrong.size:
            first = int(wrong[0])
            return f"{name} code {first} has {counted[first]:,} pixels, {claimed[first]:,} are claimed"
    return ""
