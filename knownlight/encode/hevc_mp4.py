"""hevc-mp4: HEVC Main or Main 10 in MP4, exact unless the level forbids it.

Only lossless coding is exact (the finest quantiser still errs by several codes). It is ordinary Main and
Main 10 syntax (transquant bypass), which every conforming decoder reads.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from knownlight import ffmpeg
from knownlight.encode.delivery import Encoded, Exactness, Order
from knownlight.encode.fitting import (
    Limits,
    error_limit,
    finest_stream,
    fits,
    key_interval,
    packet_sizes,
    peak_rate,
)
from knownlight.encode.raw import BIT_EXACT, frame_filter, raw_input, refuse_unless
from knownlight.encode.repeat import repeat
from knownlight.errors import CannotCarry
from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import Frame
from knownlight.frame.sources import unrepeated_frames
from knownlight.metadata.levels import HevcLevel, hevc_level

_COMMON = (
    "log-level=none",
    "info=0",  # no encoder name in the stream: the same bytes everywhere
    "repeat-headers=1",
    "aud=1",
    "open-gop=0",
    "scenecut=0",
    "bframes=0",  # a group without reordering can be cut and repeated anywhere
    "ref=1",
    "rc-lookahead=0",
    "pools=2",
    "frame-threads=1",
    "wpp=1",  # on or off changes the bytes; the number of threads does not
    "weightp=1",  # a fade takes a third of the time and half the bytes; other content does not notice
    "me=umh",  # finds a whole-pixel pan of any texture; the default search does not
)
_QUANTISERS = tuple(range(2, 40, 2))
_PROBE_FRAMES = 4
_HOPELESS = 2.0  # times the level's rate, where lossless pictures after the first are so large


@dataclass(frozen=True)
class _Settings:
    """What differs between one way of coding and another."""

    preset: str
    parameters: tuple[str, ...]


# rd=4 looks at every mode of a block: key pictures of fine stripes come out three times smaller. The second
# effort, a third slower, makes them ten times smaller; it is tried where the first passes the level.
_LOSSLESS_EFFORTS = (
    _Settings("superfast", ("lossless=1", "rd=4")),
    _Settings("fast", ("lossless=1", "rd=4")),
)


@dataclass(frozen=True)
class HevcMp4:
    """The delivery."""

    name: str = "hevc-mp4"
    suffix: str = ".mp4"
    codec: str = "HEVC Main, Main 10"
    bits: tuple[int, ...] = (8, 10)
    exactness: str = "exact; bounded where lossless pictures would pass the level"
    encoder: str = "libx265"

    def refuse(self, signal: SignalFormat) -> None:
        """Raise CannotCarry for interlace, 12 bits, 4:4:4 and what passes the highest level."""
        refuse_unless(signal, self.name, self.bits)
        hevc_level(signal)

    def limits(self, signal: SignalFormat) -> Limits:
        """Rate and buffer of the level, and its largest picture."""
        level = hevc_level(signal)
        return Limits(level.max_bits_per_second, level.buffer_bits, level.largest_first_picture(signal))

    def write(self, order: Order, to: Path) -> Encoded:
        """Write the clip: lossless where its level allows that, else the best that it allows."""
        self.refuse(order.signal)
        return _Writing(order, hevc_level(order.signal), self.limits(order.signal), to).write()


class _Writing:
    """One clip on its way into one file."""

    def __init__(self, order: Order, level: HevcLevel, limits: Limits, to: Path) -> None:
        self._order = order
        self._level = level
        self._to = to
        self._base = order.work / f"{to.stem}.group.mp4"
        self._different = order.source.unrepeated(order.frames)
        self._hopeless = False  # whether more effort cannot help either
        self._limits = limits

    def write(self) -> Encoded:
        try:
            return self._lossless() or self._bounded()
        finally:
            self._base.unlink(missing_ok=True)

    def _lossless(self) -> Encoded | None:
        """The exact clip, or None where it would pass the level."""
        for effort in _LOSSLESS_EFFORTS:
            encoded = self._lossless_by(effort)
            if encoded is not None or self._hopeless:
                return encoded
        return None

    def _lossless_by(self, settings: _Settings) -> Encoded | None:
        if self._different > _PROBE_FRAMES:
            sizes = self._encode(settings, _PROBE_FRAMES)
            if not self._may_fit(sizes):
                following = 8.0 * sizes[-1] * float(self._order.signal.rate)
                self._hopeless = following > _HOPELESS * self._limits.bits_per_second
                return None
            group = self._different
        else:
            group = self._shortest_group()
        sizes = self._encode(settings, group)
        if self._is_still and not self._fits(sizes):
            longer = self._group_for(sizes)
            if longer <= group:
                return None
            group, sizes = longer, self._encode(settings, longer)
        if not self._fits(sizes):
            return None
        return self._finish(settings, group, sizes, Exactness.EXACT, 0)

    def _bounded(self) -> Encoded:
        """The finest quantiser whose stream keeps to the level."""
        group = self._different if not self._is_still else self._shortest_group()
        probe = min(group, _PROBE_FRAMES)

        def encode(quantiser: int) -> list[int] | None:
            sizes = self._encode(_quantised(quantiser), group)
            return sizes if self._fits(sizes) else None

        found = finest_stream(
            _QUANTISERS, lambda qp: self._may_fit(self._encode(_quantised(qp), probe)), encode
        )
        if found is not None:
            quantiser, sizes = found
            limit = error_limit(quantiser, self._order.signal.depth)
            return self._finish(_quantised(quantiser), group, sizes, Exactness.BOUNDED, limit)
        raise CannotCarry(
            f"{self._order.name}: no quantiser keeps {self._order.signal.name} inside level "
            f"{self._level.name} Main tier; use a smaller size, a lower rate or calmer content"
        )

    @property
    def _is_still(self) -> bool:
        return self._different == 1

    def _shortest_group(self) -> int:
        """A fifth of a second, at least twelve pictures: few enough to be quick, enough to be small."""
        if not self._is_still:
            return self._different
        return min(self._order.frames, max(12, round(float(self._order.signal.rate) / 5)))

    def _group_for(self, sizes: list[int]) -> int:
        """Pictures a still's group needs so that its large first picture keeps to the level's rate."""
        following = sizes[-1] if len(sizes) > 1 else 0
        spare = self._limits.bits_per_second / float(self._order.signal.rate) / 8.0 - following
        needed = int(1.1 * sizes[0] / spare) + 1 if spare > 0 else 0
        return min(self._order.frames, needed, int(4 * self._order.signal.rate))

    def _key_interval(self, group: int) -> int:
        """As the group has it, but never 1: the encoder would declare an intra profile of the extensions."""
        return max(2, key_interval(group, self._order.signal.rate))

    def _fits(self, sizes: list[int]) -> bool:
        return fits(sizes, self._order.signal.rate, self._limits, frames=self._order.frames)

    def _may_fit(self, sizes: list[int]) -> bool:
        """From the first pictures: whether the rest, like the last of them, would keep to the level."""
        interval = self._key_interval(self._different)
        return self._fits([*sizes, *([sizes[-1]] * max(0, interval - len(sizes)))])

    def _encode(self, settings: _Settings, group: int) -> list[int]:
        """Encode the first `group` frames into the base file and return the bytes of each picture."""
        order = self._order
        order.stop.check()
        interval = self._key_interval(group)
        parameters = (*_COMMON, f"keyint={interval}", f"min-keyint={interval}", *settings.parameters)
        hold = group if self._is_still else 1
        ffmpeg.feed(
            [
                *("-v", "error", *raw_input(order.signal, order.hdr)),
                *("-vf", frame_filter(order.signal, hold=hold)),
                *("-c:v", "libx265", "-preset", settings.preset, "-x265-params", ":".join(parameters)),
                # lossless coding declares level 8.5, which players that look at levels refuse
                *("-bsf:v", f"hevc_metadata=level={self._level.name}", "-tag:v", "hvc1"),
                *(*BIT_EXACT, "-f", "mp4", str(self._base)),
            ],
            (frame.planes for frame in self._pictures(group)),
            what=f"{order.name} could not be encoded",
            stop=order.stop,
            on_frames=lambda done: order.on_frames(done, group),
        )
        return packet_sizes(self._base, order.stop)

    def _pictures(self, group: int) -> Iterator[Frame]:
        return unrepeated_frames(self._order.source, min(group, self._different))

    def _finish(
        self, settings: _Settings, group: int, sizes: list[int], exactness: Exactness, limit: int
    ) -> Encoded:
        order = self._order
        repeat(
            self._base,
            self._to,
            group_frames=group,
            frames=order.frames,
            rate=order.signal.rate,
            tag="hvc1",
            name=order.name,
            stop=order.stop,
        )
        return Encoded(
            exactness=exactness,
            error_limit=limit,
            group=group,
            level=self._level.name,
            peak_rate=peak_rate(sizes, order.signal.rate),
            largest_picture=max(sizes),
            settings=" ".join((settings.preset, *settings.parameters)),
        )


def _quantised(quantiser: int) -> _Settings:
    """Constant quantiser: the same bytes on every machine, and errors even over the picture."""
    return _Settings("superfast", (f"qp={quantiser}", "aq-mode=0", "psy-rd=0", "ipratio=1.0"))
