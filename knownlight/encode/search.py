"""How finely a coder may code a clip: lossless where the level allows that, else the finest that it allows.

Every coder has the same questions: does the group keep to the level's rate, buffer and largest picture; how
long must a still's group be so that its large first picture is spread; would more effort help. A few pictures
are asked first, so that a hopeless way costs little.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from knownlight.encode.delivery import Coded, Exactness, Order, PastLevel
from knownlight.encode.fitting import finest_stream, fits, key_interval
from knownlight.errors import CannotCarry
from knownlight.metadata.levels import Level, Limits

_PROBE_FRAMES = 4
_SHORTEST_GROUP = 12  # pictures; never one alone that repeats: AVC's neighbouring key pictures must differ
_HOPELESS = 2.0  # times the level's rate, where lossless pictures after the first are so large
_NO_LIMITS = Limits(1 << 60, 1 << 60, 0)


@dataclass(frozen=True)
class Way:
    """One way of coding.

    arguments: of ffmpeg, that differ from those of another way. interval: pictures from one key picture to
    the next, where the group does not say it. error_limit: codes; 0 for a lossless way.
    """

    arguments: tuple[str, ...]
    interval: int = 0
    error_limit: int = 0


# Codes the first pictures of the clip in one way at a level, and returns the bytes of each; None where they
# do not decode to what was drawn although the way promises it.
Encode = Callable[[Way, int, int, Level], "list[int] | None"]


@dataclass(frozen=True, kw_only=True)
class Ways:
    """lossless: from quick to thorough, or empty. lossy: from fine to coarse. levels: from low to high."""

    lossless: Sequence[Way]
    lossy: Sequence[Way]
    levels: Sequence[Level]


def code_group(order: Order, level: Level, ways: Ways, encode: Encode) -> Coded:
    """Code the closed group of a clip in the best of some ways.

    Args:
        order: the clip.
        level: that its size and rate ask for.
        ways: to code it.
        encode: does it; what it coded last is what stays.

    Raises:
        CannotCarry: where no way keeps to the level.
    """
    return _Search(order, level, ways, encode).run()


class _Search:
    """One clip on its way into one group."""

    def __init__(self, order: Order, level: Level, ways: Ways, encode: Encode) -> None:
        self._order = order
        self._level = level
        self._limits = level.limits(order.signal)
        self._ways = ways
        self._encode_by = encode
        self._different = order.different
        self._hopeless = False  # whether more effort cannot help either

    def run(self) -> Coded:
        if self._order.past_level is PastLevel.MARKED:
            return self._marked()
        return self._lossless() or self._lossy()

    def _lossless(self) -> Coded | None:
        """The exact group, or None where it would pass the level."""
        for way in self._ways.lossless:
            coded = self._lossless_by(way)
            if coded is not None or self._hopeless:
                return coded
        return None

    def _lossless_by(self, way: Way) -> Coded | None:
        if self._different > _PROBE_FRAMES:
            sizes = self._encode(way, _PROBE_FRAMES)
            if sizes is None or not self._may_fit(sizes, way):
                self._hopeless = sizes is not None and self._is_hopeless(sizes)
                return None
            group = self._different
        else:
            group = self._shortest_group()
        sizes = self._encode(way, group)
        if sizes is not None and self._is_still and not self._fits(sizes):
            longer = self._group_for(sizes)
            if longer <= group:
                return None
            group, sizes = longer, self._encode(way, longer)
        if sizes is None or not self._fits(sizes):
            return None
        return self._coded(way, sizes, self._level)

    def _marked(self) -> Coded:
        """The exact group at the lowest level that holds it, whatever its size and rate ask for."""
        coded = self._lossless()
        if coded is not None:
            return coded
        usual, self._limits, self._hopeless = self._limits, _NO_LIMITS, False
        coded = self._lossless()
        if coded is None:
            raise CannotCarry(f"{self._order.name}: this delivery has no lossless coding; use hevc-mp4")
        signal, sizes = self._order.signal, list(coded.sizes)
        if fits(sizes, signal.rate, usual, frames=self._order.frames):
            return coded
        for level in self._ways.levels:
            limits = level.limits(signal)
            if level.holds(signal) and fits(sizes, signal.rate, limits, frames=self._order.frames):
                return self._at(level, coded)
        raise CannotCarry(
            f"{self._order.name}: no level holds its lossless pictures; leave out --keep-exact, or use a "
            "smaller size, a lower rate or calmer content"
        )

    def _at(self, level: Level, coded: Coded) -> Coded:
        """The same group once more, with the level that it needs."""
        way = next(way for way in self._ways.lossless if coded.settings == _words(way))
        sizes = self._encode(way, len(coded.sizes), level)
        if sizes is None:
            raise CannotCarry(f"{self._order.name}: it could not be coded again at level {level.name}")
        return self._coded(
            way,
            sizes,
            level,
            warning=f"exact pictures need level {level.name}, {self._order.signal.name} asks for "
            f"{self._level.name}: a player may refuse it, or stutter",
        )

    def _lossy(self) -> Coded:
        """The finest way whose stream keeps to the level."""
        group = self._different if not self._is_still else self._shortest_group()
        probe = min(group, _PROBE_FRAMES)

        def may_fit(number: int) -> bool:
            way = self._ways.lossy[number]
            sizes = self._encode(way, probe)
            return sizes is not None and self._may_fit(sizes, way)

        def whole(number: int) -> list[int] | None:
            sizes = self._encode(self._ways.lossy[number], group)
            return sizes if sizes is not None and self._fits(sizes) else None

        found = finest_stream(range(len(self._ways.lossy)), may_fit, whole)
        if found is not None:
            number, sizes = found
            return self._coded(self._ways.lossy[number], sizes, self._level)
        raise CannotCarry(
            f"{self._order.name}: no quantiser keeps {self._order.signal.name} inside level "
            f"{self._level.name}; use a smaller size, a lower rate or calmer content"
        )

    @property
    def _is_still(self) -> bool:
        return self._different == 1

    def _shortest_group(self) -> int:
        """A fifth of a second, at least twelve pictures: few enough to be quick, enough to be small."""
        if not self._is_still:
            return self._different
        return min(self._order.frames, max(_SHORTEST_GROUP, round(float(self._order.signal.rate) / 5)))

    def _group_for(self, sizes: list[int]) -> int:
        """Pictures a still's group needs so that its large first picture keeps to the level's rate."""
        following = sizes[-1] if len(sizes) > 1 else 0
        spare = self._limits.bits_per_second / float(self._order.signal.rate) / 8.0 - following
        needed = int(1.1 * sizes[0] / spare) + 1 if spare > 0 else 0
        return min(self._order.frames, needed, int(4 * self._order.signal.rate))

    def _fits(self, sizes: list[int]) -> bool:
        return fits(sizes, self._order.signal.rate, self._limits, frames=self._order.frames)

    def _may_fit(self, sizes: list[int], way: Way) -> bool:
        """From the first pictures: whether the rest, like the last of them, would keep to the level."""
        interval = way.interval or key_interval(self._different, self._order.signal.rate)
        return self._fits([*sizes, *([sizes[-1]] * max(0, interval - len(sizes)))])

    def _is_hopeless(self, sizes: list[int]) -> bool:
        following = 8.0 * sizes[-1] * float(self._order.signal.rate)
        return following > _HOPELESS * self._limits.bits_per_second

    def _encode(self, way: Way, frames: int, level: Level | None = None) -> list[int] | None:
        self._order.stop.check()
        interval = way.interval or key_interval(frames, self._order.signal.rate)
        return self._encode_by(way, frames, interval, level or self._level)

    def _coded(self, way: Way, sizes: list[int], level: Level, warning: str = "") -> Coded:
        return Coded(
            exactness=Exactness.BOUNDED if way.error_limit else Exactness.EXACT,
            error_limit=way.error_limit,
            sizes=tuple(sizes),
            level=level.name,
            settings=_words(way),
            warning=warning,
        )


def _words(way: Way) -> str:
    return " ".join(way.arguments)
