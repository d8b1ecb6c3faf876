"""The deliveries there are, by name; which of them holds a signal, and which this machine can make."""

import contextlib
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from knownlight import ffmpeg
from knownlight.encode import container, mux
from knownlight.encode.av1 import Av1
from knownlight.encode.avc import Avc
from knownlight.encode.delivery import Code, Delivery, Encoded, Order, PoorCoder
from knownlight.encode.fitting import peak_rate
from knownlight.encode.hevc import Hevc, HlgSignalling
from knownlight.encode.mpeg2 import Mpeg2
from knownlight.encode.sequence import write_sequence
from knownlight.encode.vp9 import Vp9
from knownlight.errors import BadInput, CannotCarry
from knownlight.frame.format import SignalFormat
from knownlight.frame.sizes import SIZES, Scan
from knownlight.frame.sources import Sequence
from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import Components, Transfer

DELIVERIES: dict[str, Delivery] = {
    delivery.name: delivery
    for delivery in (
        Delivery("hevc-mp4", Hevc(), container.MP4),
        Delivery("hevc-mkv", Hevc(), container.MKV),
        Delivery("hevc-ts", Hevc(HlgSignalling.COMPATIBLE), container.HEVC_TS),
        Delivery("avc-mp4", Avc(), container.MP4),
        Delivery("avc-ts", Avc((Scan.PROGRESSIVE, Scan.INTERLACED)), container.AVC_TS),
        Delivery("av1-mp4", Av1(), container.MP4),
        Delivery("av1-mkv", Av1(), container.MKV),
        Delivery("vp9-webm", Vp9(), container.WEBM),
        Delivery("mpeg2-ts", Mpeg2(), container.MPEG2_TS),
    )
}
DEFAULT = "hevc-mp4"


def delivery_named(name: str) -> Delivery:
    """The delivery of a name.

    Raises:
        BadInput: where there is none.
    """
    try:
        return DELIVERIES[name]
    except KeyError:
        raise BadInput(f"delivery {name!r} is not known; use one of {', '.join(DELIVERIES)}") from None


def check_carries(name: str, signal: SignalFormat) -> None:
    """Refuse a signal that a delivery cannot hold.

    Raises:
        BadInput: where there is no such delivery.
        CannotCarry: naming the nearest delivery that can, else the nearest signal.
    """
    delivery = delivery_named(name)
    problem = delivery.coder.problem(signal)
    if problem:
        raise CannotCarry(f"{name} {problem}; use {' or '.join(_remedies(delivery, signal))}")


def _remedies(asked: Delivery, signal: SignalFormat) -> Iterator[str]:
    """What works instead: the nearest other delivery, and the nearest other signal."""
    able = _able(asked, signal)
    if able:
        yield f"--delivery {able[0].name}"
    for words, other in _nearest(signal):
        if not asked.coder.problem(other):
            yield words
            return
    if not able:
        yield "a still, which holds any signal"


def _able(asked: Delivery, signal: SignalFormat) -> list[Delivery]:
    """Deliveries that hold a signal: of the same coder first, then in the same container."""
    able = [each for each in DELIVERIES.values() if not each.coder.problem(signal)]
    able.sort(key=lambda each: (each.coder.encoder != asked.coder.encoder, each.suffix != asked.suffix))
    return able


def _nearest(signal: SignalFormat) -> Iterator[tuple[str, SignalFormat]]:
    """Signals like a given one and how they are asked for: with one thing changed, then with more."""
    for words, changes in (
        ("4:2:0 (leave out --components)", {"components": Components.YCBCR_420}),
        ("--depth 10", {"depth": 10}),
        ("--depth 8", {"depth": 8}),
        ("--range narrow", {"code_range": CodeRange.NARROW}),
    ):
        with contextlib.suppress(BadInput):  # what no signal can be
            yield words, replace(signal, **changes)
    frames = replace(signal, scan=Scan.PROGRESSIVE)
    plain = replace(
        frames,
        transfer=Transfer.SDR,
        depth=8,
        code_range=CodeRange.NARROW,
        content_primaries=frames.sdr.primaries,
    )
    for other in (frames, plain, *_smaller(signal), *_smaller(plain)):
        yield other.name, other


def _smaller(signal: SignalFormat) -> Iterator[SignalFormat]:
    """The same at every smaller size that there is with its scan and rate."""
    for height in sorted((height for height in SIZES if height < signal.height), reverse=True):
        with contextlib.suppress(BadInput):
            yield signal.resized(height)


def why_not_here(delivery: Delivery) -> str:
    """Why a delivery cannot be made on this machine; empty where it can."""
    for encoder in (delivery.coder.encoder, delivery.container.sound_encoder):
        if not ffmpeg.has_encoder(encoder):
            return f"the ffmpeg in use has no {encoder}"
    # a clip that cannot be decoded cannot be proven, and is not made
    if not any(map(ffmpeg.has_decoder, delivery.coder.decoders)):
        return f"the ffmpeg in use cannot decode it ({' or '.join(delivery.coder.decoders)})"
    return ""


def check_here(clips: Iterable[tuple[str, SignalFormat]]) -> None:
    """Refuse deliveries of signals that this machine cannot make, before any work.

    Raises:
        CannotCarry: naming the nearest that it can, and the way to another ffmpeg.
    """
    for name, signal in dict.fromkeys(clips):
        delivery = delivery_named(name)
        problem = why_not_here(delivery)
        if problem:
            here = [each.name for each in _able(delivery, signal) if not why_not_here(each)]
            other = f"use --delivery {here[0]}, or " if here else ""
            raise CannotCarry(f"{name}: {problem}; {other}set {ffmpeg.ENVIRONMENT_VARIABLE} to one that has")


def poor_coder(name: str) -> PoorCoder:
    """The coder of a delivery, as one that also codes poorly.

    Raises:
        BadInput: where there is no such delivery.
        CannotCarry: where its coder does not, naming those that do.
    """
    coder = delivery_named(name).coder
    if isinstance(coder, PoorCoder):
        return coder
    able = [each.name for each in DELIVERIES.values() if isinstance(each.coder, PoorCoder)]
    raise CannotCarry(f"{name} has no poor coding; use {', '.join(able)}")


def write_clip(name: str, order: Order, to: Path, code: Code | None = None) -> Encoded:
    """Write a clip of any source by the delivery of a name; `to` is a temporary name of the caller's.

    code: writes the group, instead of the delivery's coder at its best; its pictures are in no sequence.

    Raises:
        CannotCarry: where it cannot hold the signal or the content.
        ToolFailed: where ffmpeg could not write it.
    """
    check_carries(name, order.signal)
    delivery = delivery_named(name)
    if code is None and isinstance(order.source, Sequence):
        return write_sequence(delivery, order, order.source, to)
    group = order.work / f"{to.stem}.group"
    try:
        coded = (code or delivery.coder.code)(order, group)
        mux.repeat(
            group,
            to,
            group_frames=len(coded.sizes),
            frames=order.frames,
            rate=order.signal.rate,
            container=delivery.container,
            sound=order.sound,
            name=order.name,
            stop=order.stop,
        )
    finally:
        group.unlink(missing_ok=True)
    return Encoded(
        exactness=coded.exactness,
        error_limit=coded.error_limit,
        group=len(coded.sizes),
        level=coded.level,
        peak_rate=peak_rate(coded.sizes, order.signal.rate),
        largest_picture=max(coded.sizes),
        warning=coded.warning,
    )
