"""avc-mp4: 8-bit AVC Main in MP4, for players without HEVC. Bounded: its largest error is measured.

Quantiser 0 would be exact but is High 4:4:4 Predictive, which consumer decoders lack; quantiser 1 with the
settings below is within a code or two, and exact on most flat patches.
"""

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
from knownlight.frame.sources import unrepeated_frames
from knownlight.metadata.levels import AvcLevel, avc_level
from knownlight.signal.encoding import Transfer

_COMMON = (
    "bframes=0",  # a group without reordering can be cut and repeated anywhere
    "scenecut=0",
    "open-gop=0",
    "ref=1",
    "aq-mode=0",
    "no-psy=1",
    "subme=10",  # with trellis=2: modes and coefficients that err least; greys come out right nearly always
    "trellis=2",
    "chroma-qp-offset=-12",  # colour difference at the finest step there is
    "no-deblock=1",
    "8x8dct=0",  # which makes it the Main profile
    "ipratio=1",
    "no-dct-decimate=1",  # together with the two dead zones: small residuals are kept
    "deadzone-inter=0",
    "deadzone-intra=0",
    "mbtree=0",
    "weightp=0",
    "no-fast-pskip=1",
    "aud=1",
    "force-cfr=1",
    "threads=1",  # the bytes depend on the number of threads
    "cpu-independent=1",
)
_QUANTISERS = (1, *range(4, 44, 2))
_FINEST = _QUANTISERS[0]
_PROBE_FRAMES = 8
_USER_DATA_SEI = "filter_units=remove_types=6"  # the encoder's name and settings
_FINEST_ERROR_LIMIT = 2  # codes of 8 bits at the finest quantiser


@dataclass(frozen=True)
class AvcMp4:
    """The delivery."""

    name: str = "avc-mp4"
    suffix: str = ".mp4"
    codec: str = "AVC Main"
    bits: tuple[int, ...] = (8,)
    exactness: str = "bounded; measured patches have their codes"
    encoder: str = "libx264"

    def refuse(self, signal: SignalFormat) -> None:
        """Raise CannotCarry for PQ, HLG, more than 8 bits, interlace and what passes the highest level."""
        if signal.transfer is not Transfer.SDR:
            raise CannotCarry(
                f"{self.name} carries 8-bit sdr, not {signal.transfer.value}; use hevc-mp4, or an sdr signal"
            )
        refuse_unless(signal, self.name, self.bits)
        avc_level(signal)

    def limits(self, signal: SignalFormat) -> Limits:
        """Rate and buffer of the level."""
        level = avc_level(signal)
        return Limits(level.max_bits_per_second, level.max_bits_per_second, 0)

    def write(self, order: Order, to: Path) -> Encoded:
        """Write the clip at the finest quantiser that its level allows."""
        self.refuse(order.signal)
        level = avc_level(order.signal)
        limits = self.limits(order.signal)
        different = order.source.unrepeated(order.frames)
        # never one picture alone that repeats: neighbouring key pictures would have the same idr_pic_id
        shortest = max(12, round(float(order.signal.rate) / 4))
        group = different if different > 1 else min(order.frames, shortest)
        base = order.work / f"{to.stem}.group.mp4"

        def encode(quantiser: int, frames: int) -> list[int]:
            _encode(order, level, quantiser, frames, base)
            return packet_sizes(base, order.stop)

        def probe_fits(quantiser: int) -> bool:
            sizes = encode(quantiser, min(group, _PROBE_FRAMES))
            expected = [*sizes, *[sizes[-1]] * (group - len(sizes))]
            return fits(expected, order.signal.rate, limits, frames=order.frames)

        def whole(quantiser: int) -> list[int] | None:
            sizes = encode(quantiser, group)
            return sizes if fits(sizes, order.signal.rate, limits, frames=order.frames) else None

        try:
            found = finest_stream(_QUANTISERS, probe_fits, whole)
            if found is None:
                raise CannotCarry(
                    f"{order.name}: no quantiser keeps {order.signal.name} inside AVC level {level.name}; "
                    "use a smaller size, a lower rate or calmer content"
                )
            quantiser, sizes = found
            repeat(
                base,
                to,
                group_frames=group,
                frames=order.frames,
                rate=order.signal.rate,
                tag="avc1",
                name=order.name,
                stop=order.stop,
            )
        finally:
            base.unlink(missing_ok=True)
        return Encoded(
            exactness=Exactness.BOUNDED,
            error_limit=_FINEST_ERROR_LIMIT if quantiser == _FINEST else error_limit(quantiser, 8),
            group=group,
            level=level.name,
            peak_rate=peak_rate(sizes, order.signal.rate),
            largest_picture=max(sizes),
            settings=f"qp={quantiser}",
        )


def _encode(order: Order, level: AvcLevel, quantiser: int, frames: int, base: Path) -> None:
    different = order.source.unrepeated(order.frames)
    interval = key_interval(frames, order.signal.rate)
    parameters = (*_COMMON, f"keyint={interval}", f"min-keyint={interval}", f"qp={quantiser}")
    ffmpeg.feed(
        [
            *("-v", "error", *raw_input(order.signal, order.hdr)),
            *("-vf", frame_filter(order.signal, hold=frames if different == 1 else 1)),
            *("-c:v", "libx264", "-preset", "fast", "-profile:v", "main", "-level:v", level.name),
            *("-x264-params", ":".join(parameters)),
            *("-bsf:v", _USER_DATA_SEI, "-tag:v", "avc1", *BIT_EXACT, "-f", "mp4", str(base)),
        ],
        (frame.planes for frame in unrepeated_frames(order.source, min(frames, different))),
        what=f"{order.name} could not be encoded",
        stop=order.stop,
        on_frames=lambda done: order.on_frames(done, frames),
    )
