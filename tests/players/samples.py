"""A short file of every delivery and kind of still, in every signal that it carries, made by the program.

What is known of each is written out here, from the standards and not from the program: sizes and rates of the
formats, code points of H.273 as BT.709, BT.601 and BT.2100 ask for them.
"""

import math
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from knownlight.encode.deliveries import DELIVERIES
from knownlight.encode.stills.formats import STILLS, suffix_of
from knownlight.errors import CannotCarry
from knownlight.ffmpeg import Stop
from knownlight.frame.claims import Pattern
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.pack.budget import MemoryBudget
from knownlight.pack.job import Job
from knownlight.pack.make import make
from patterns.registry import build
from tests.players.told import Asked, Colour

# Several repeats of a group of twelve pictures, the last of them cut short. In half the time one player would
# not trust an index of so few places, and another would find too few clock references to tell a length.
SECONDS = Fraction(3)
# Of a window of 1000 cd/m²: its code is 723 in 10 bits, 1004.2 cd/m² by BT.2100 Table 4; rounded up.
MAX_CLL = 1005
JOINED = "720p50-sdr"  # its clips are joined of pieces; the others repeat a group


@dataclass(frozen=True, kw_only=True)
class Known:
    """What is known of a signal. shown: size as shown, at 16:9."""

    size: tuple[int, int]
    shown: tuple[int, int]
    rate: Fraction
    scan: str
    colour: Colour


_PROGRESSIVE, _FIELDS = "progressive", "top field first"
_HD, _FULL_HD = (1280, 720), (1920, 1080)
SIGNALS = {
    "720p50-sdr": Known(
        size=_HD,
        shown=_HD,
        rate=Fraction(50),
        scan=_PROGRESSIVE,
        colour=Colour.BT709,
    ),
    "720p23.976-pq": Known(
        size=_HD,
        shown=_HD,
        rate=Fraction(24000, 1001),
        scan=_PROGRESSIVE,
        colour=Colour.PQ,
    ),
    "720p59.94-hlg": Known(
        size=_HD,
        shown=_HD,
        rate=Fraction(60000, 1001),
        scan=_PROGRESSIVE,
        colour=Colour.HLG,
    ),
    "720p50-srgb": Known(
        size=_HD,
        shown=_HD,
        rate=Fraction(50),
        scan=_PROGRESSIVE,
        colour=Colour.RGB_SRGB,
    ),
    "480p59.94-sdr": Known(
        size=(720, 480),
        shown=(853, 480),
        rate=Fraction(60000, 1001),
        scan=_PROGRESSIVE,
        colour=Colour.BT601_525,
    ),
    "1080i25-sdr": Known(size=_FULL_HD, shown=_FULL_HD, rate=Fraction(25), scan=_FIELDS, colour=Colour.BT709),
    "576i25-sdr": Known(
        size=(720, 576), shown=(1024, 576), rate=Fraction(25), scan=_FIELDS, colour=Colour.BT601_625
    ),
    "480i29.97-sdr": Known(
        size=(720, 480),
        shown=(853, 480),
        rate=Fraction(30000, 1001),
        scan=_FIELDS,
        colour=Colour.BT601_525,
    ),
}


FOR_STILLS = frozenset({"720p50-srgb"})  # signals that no clip carries
# Stills hold R'G'B' codes at full range; but OpenEXR holds light, and JPEG (JFIF) codes with BT.601's matrix.
STILL_COLOURS = {
    "720p50-sdr": Colour.RGB_BT709,
    "720p50-srgb": Colour.RGB_SRGB,
    "720p23.976-pq": Colour.RGB_PQ,
    "720p59.94-hlg": Colour.RGB_HLG,
}
_OTHER_COLOURS = {
    "exr": {
        Colour.RGB_BT709: Colour.LINEAR_BT709,
        Colour.RGB_SRGB: Colour.LINEAR_BT709,
        Colour.RGB_PQ: Colour.LINEAR_BT2020,
        Colour.RGB_HLG: Colour.LINEAR_BT2020,
    },
    "jpg": {Colour.RGB_BT709: Colour.JPEG_BT709, Colour.RGB_SRGB: Colour.JPEG_SRGB},
}
_NO_LIGHT_LEVELS = frozenset({"jxl", "exr", "tif", "jpg"})  # formats that have no place for them


@dataclass(frozen=True)
class Sample:
    """A delivery or kind of still of a signal, showing what its signal's clips show, or another pattern."""

    delivery: str
    signal: str
    pattern: str = ""

    @property
    def name(self) -> str:
        """As the page and the tables write it."""
        return f"{self.delivery} {self.signal}"

    @property
    def is_still(self) -> bool:
        """Whether it is a picture."""
        return self.delivery in STILLS

    def write(self, folder: Path) -> Asked:
        """Make the file and say what is known of it."""
        known = SIGNALS[self.signal]
        colour = known.colour
        if self.is_still:
            colour = STILL_COLOURS[self.signal]
            colour = _OTHER_COLOURS.get(self.delivery, {}).get(colour, colour)
        has_light = known.colour is Colour.PQ and self.delivery not in _NO_LIGHT_LEVELS
        job_signal = _still_form(self.signal) if self.is_still else parse_signal_format(self.signal)
        job = Job(
            id="sample",
            file=f"{self.delivery}-{self.signal}{suffix_of(self.delivery)}",
            pattern=self._pattern(),
            signal=job_signal,
            delivery=self.delivery,
            seconds=SECONDS,
        )
        path = folder / job.file
        make(job, path, work=folder, budget=MemoryBudget(1), stop=Stop(), listen=lambda _event: None)
        return Asked(
            path=path,
            still=self.is_still,
            pictures=1 if self.is_still else math.ceil(SECONDS * known.rate),
            size=known.size,
            shown=known.shown,
            rate=known.rate,
            scan=known.scan,
            colour=colour,
            max_cll=MAX_CLL if has_light else None,
        )

    def _pattern(self) -> Pattern:
        if self.pattern:
            return build(self.pattern, {})
        if self.signal == JOINED and not self.is_still:
            return build("flash", {"rest_seconds": 1.2, "flash_seconds": 1.0})
        return build("window", {"luminance": 1000.0} if self.signal.endswith("pq") else {})


def _still_form(signal: str) -> SignalFormat:
    return parse_signal_format(signal, code_range="full", components="rgb")


def samples() -> list[Sample]:
    """All of them, deliveries first."""
    clips = [
        Sample(name, signal)
        for name, delivery in DELIVERIES.items()
        for signal in SIGNALS
        if signal not in FOR_STILLS and not delivery.coder.problem(parse_signal_format(signal))
    ]
    stills = [Sample(name, signal) for name in STILLS for signal in STILL_COLOURS if _holds(name, signal)]
    return clips + stills


def _holds(still: str, signal: str) -> bool:
    try:
        STILLS[still].refuse(_still_form(signal))
    except CannotCarry:
        return False
    return True
