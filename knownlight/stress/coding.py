"""Codes a clip poorly: tries quantisers until the faults are those asked for, and keeps the best try."""

import contextlib
import math
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import fmean

from knownlight.encode.deliveries import check_carries, delivery_named, poor_coder
from knownlight.encode.delivery import Coded, Exactness, LoopFilter, Order, PoorWay
from knownlight.encode.fitting import fits
from knownlight.errors import CannotCarry
from knownlight.frame import sources
from knownlight.frame.claims import Area
from knownlight.frame.format import SignalFormat
from knownlight.readback.decode import decoded_planes
from knownlight.stress.calibrate import Aim, Trial, calibrate
from knownlight.stress.decoded import decoded_source, luma_sha256
from knownlight.stress.labels import BLOCK, BLOCKING, Severity
from knownlight.stress.meter import Meter, relative_light
from knownlight.stress.poor import Poor
from knownlight.stress.split import Split

# pictures from key to key at up to 30 a second: half a second, two seconds; every fifth, which is measured,
# may be of any place in them
_BROADCAST, _WEB = 12, 48
_SLOW = 30  # pictures a second; of faster ones twice as many
_HELD = 2  # seconds of a picture that stands
_RATE_TOLERANCE = 0.15  # of the rate that is asked for: MPEG-2's coarse steps
_ABOVE = 1.15  # the target of a severity without an upper end, over its lower one
# what a clip went through before: a contribution by the other codec, with reordered pictures as those have
_BEFORE = {"mpeg2-ts": ("avc-ts", 20.0)}
_BEFORE_OTHERS = ("mpeg2-ts", 4.0)


def aim_of(poor: Poor) -> Aim:
    """The figure that a poor clip must have: blocking at the grid of 8 pixels, or Mb/s."""
    if poor.megabits is not None:
        low, high = 1.0 - _RATE_TOLERANCE, 1.0 + _RATE_TOLERANCE
        return Aim(
            lowest=low * poor.megabits, highest=high * poor.megabits, target=poor.megabits, rises=False
        )
    band = BLOCKING[poor.severity or Severity.CLEAN]
    target = math.sqrt(band.least * band.end) if math.isfinite(band.end) else _ABOVE * band.least
    return Aim(lowest=band.least, highest=band.end, target=target, rises=True)


def check_poor(poor: Poor, delivery: str, signal: SignalFormat) -> None:
    """Refuse what cannot be coded so, before any work.

    Raises:
        BadInput, CannotCarry: naming the key.
    """
    if not poor.is_coded_poorly:
        return
    by = poor.split or delivery
    check_carries(by, signal)
    coder = poor_coder(by)
    if poor.severity is not None and coder.blocks_up_to is None:
        raise CannotCarry(
            f"severity={poor.severity.value}: the faults of {by} are no blocks; use megabits=, or "
            f"{'split=' if poor.split else '--delivery '}avc-mp4, avc-ts or mpeg2-ts"
        )
    if poor.generations > 1:
        check_carries(_BEFORE.get(by, _BEFORE_OTHERS)[0], signal)


def sides_of(poor: Poor, areas: Sequence[Area], signal: SignalFormat) -> tuple[Area, ...]:
    """Where the faults of a clip are measured: as the pattern says, or on either side of a split."""
    if not poor.split:
        return tuple(areas)
    return _split(areas, signal).areas(areas[0].rect)


def _split(areas: Sequence[Area], signal: SignalFormat) -> Split:
    return Split(signal, axis=0 if len(areas) > 1 else 1)


@dataclass(frozen=True, kw_only=True)
class AsCoded:
    """How a clip was coded, as far as no reader finds it in the file.

    quantiser: None where it was coded as well as can be. side_bits_per_second: of a split, the mean rate of
    the coded side; else None. luma_sha256: of a split, what its decoded luma must hash to; else empty.
    """

    quantiser: float | None = None
    side_bits_per_second: int | None = None
    luma_sha256: str = ""


class PoorCoding:
    """Writes the group of one clip poorly, as a `Code` of `write_clip`; `result` says how it did."""

    def __init__(self, poor: Poor, delivery: str, areas: Sequence[Area]) -> None:
        self.result = AsCoded()
        self._poor = poor
        self._delivery = delivery_named(delivery)
        self._by = delivery_named(poor.split or delivery)
        self._coder = poor_coder(self._by.name)
        self._areas = areas

    def __call__(self, order: Order, group: Path) -> Coded:
        """Write the group.

        Raises:
            CannotCarry: where no quantiser gives what is asked for, with what they gave.
        """
        if isinstance(order.source, sources.Sequence):
            raise CannotCarry(
                f"{order.name}: pictures held in turn are not coded poorly; use another pattern"
            )
        with (
            tempfile.TemporaryDirectory(dir=order.work) as folder,
            contextlib.ExitStack() as stack,
        ):
            coded_file = Path(folder) / "coded"
            source = stack.enter_context(self._before(order, Path(folder) / "before"))
            coded = self._coded(replace(order, source=source), order.source, coded_file)
            if not self._poor.split:
                coded_file.replace(group)
                return coded
            frames = len(coded.sizes)
            poor = stack.enter_context(decoded_source(coded_file, order.signal, frames, order.stop))
            joined = _split(self._areas, order.signal).source(order.source, poor, frames)
            exact = self._delivery.coder.code(replace(order, source=joined), group)
            if exact.exactness is not Exactness.EXACT:
                raise CannotCarry(
                    f"{order.name}: split needs a delivery that holds both sides exactly; use hevc-mp4, or a "
                    "smaller size"
                )
            self.result = replace(
                self.result,
                side_bits_per_second=round(_rate(coded, order)),
                luma_sha256=luma_sha256(joined.frame, len(exact.sizes)),
            )
            return replace(exact, exactness=Exactness.DEGRADED, error_limit=coded.error_limit)

    @contextlib.contextmanager
    def _before(self, order: Order, file: Path) -> Iterator[sources.FrameSource]:
        """The pictures to code: those that are drawn, or what another coder made of them."""
        if self._poor.generations == 1:
            yield order.source
            return
        name, quantiser = _BEFORE.get(self._by.name, _BEFORE_OTHERS)
        way = PoorWay(quantiser=quantiser, loop_filter=LoopFilter.ON, interval=_BROADCAST, b_pictures=2)
        frames = _frames(order)
        poor_coder(name).code_poorly(order, file, frames, way)
        with decoded_source(file, order.signal, frames, order.stop) as source:
            yield source

    def _coded(self, order: Order, drawn: sources.FrameSource, to: Path) -> Coded:
        """The group as it was asked for, in the file. drawn: what faults are held against.

        Short tries first; where the whole then is not what its first pictures promised, tries of the whole.
        """
        frames, aim = _frames(order), aim_of(self._poor)
        # whole groups, so that key pictures weigh as much as they will
        short = min(frames, max(self._interval(order), _WEB))
        quantiser, coded = self._best(order, drawn, short, to)
        if short == frames:
            return coded
        coded = self._coder.code_poorly(order, to, frames, self._way(order, quantiser))
        if aim.takes(self._figure(order, drawn, coded, to)):
            return coded
        return self._best(order, drawn, frames, to)[1]

    def _best(self, order: Order, drawn: sources.FrameSource, frames: int, to: Path) -> tuple[float, Coded]:
        """The quantiser and the group of the best of some tries of so many pictures."""
        aim = aim_of(self._poor)
        tries: dict[float, tuple[Coded, Path]] = {}

        def attempt(quantiser: float) -> Trial:
            file = to.with_name(f"try{quantiser:g}")
            coded = self._coder.code_poorly(order, file, frames, self._way(order, quantiser))
            tries[quantiser] = coded, file
            usable = fits(coded.sizes, order.signal.rate, self._by.coder.limits(order.signal))
            return Trial(quantiser, self._figure(order, drawn, coded, file), usable)

        best, trials = calibrate(self._ladder(order.signal), aim, attempt)
        if best is None:
            figures = [trial.figure for trial in trials]
            what = "Mb/s" if self._poor.megabits is not None else f"blocking at {BLOCK} pixels"
            raise CannotCarry(
                f"{order.name}: {what} came to {min(figures):.3g} to {max(figures):.3g} in "
                f"{len(trials)} tries, never to {aim.lowest:.3g} to {aim.highest:.3g} inside the level; "
                "use stronger or other content, another size or delivery"
            )
        self.result = AsCoded(quantiser=best.quantiser)
        coded, file = tries[best.quantiser]
        file.replace(to)
        return best.quantiser, coded

    def _ladder(self, signal: SignalFormat) -> Sequence[float]:
        """Quantisers to try; for a severity those along which blocks grow."""
        quantisers, last = self._coder.quantisers(signal), self._coder.blocks_up_to
        if self._poor.severity is None or last is None:
            return quantisers
        return [quantiser for quantiser in quantisers if quantiser <= last]

    def _way(self, order: Order, quantiser: float) -> PoorWay:
        return PoorWay(
            quantiser=quantiser, loop_filter=self._poor.loop_filter, interval=self._interval(order)
        )

    def _interval(self, order: Order) -> int:
        """Pictures from one key picture to the next."""
        interval = _BROADCAST if self._by.container.is_stream else _WEB
        return interval if order.signal.rate <= _SLOW else 2 * interval

    def _figure(self, order: Order, drawn: sources.FrameSource, coded: Coded, file: Path) -> float:
        """What the aim is held against, of one try."""
        if self._poor.megabits is not None:
            return _rate(coded, order) / 1e6
        signal = order.signal
        meter = Meter(
            sides_of(self._poor, self._areas, signal)[-1:] if self._poor.split else self._areas[:1],
            depth=signal.depth,
            light=relative_light(signal.encoding),
            scan=signal.scan,
            periods=(BLOCK,),
        )
        for index, planes in enumerate(decoded_planes(file, signal, len(coded.sizes), order.stop)):
            meter.add(planes[0], drawn.frame(index).planes[0])
        return fmean(figures.grids[0].added for figures in meter.figures)


def _frames(order: Order) -> int:
    """Pictures of the group: those that differ; two seconds of one that stands."""
    if order.different > 1:
        return order.different
    return min(order.frames, round(_HELD * order.signal.rate))


def _rate(coded: Coded, order: Order) -> float:
    """Mean bit/s of a group."""
    return 8.0 * fmean(coded.sizes) * float(order.signal.rate)
