"""SignalFormat: size, scan, rate and what the codes mean.

Written SIZE SCAN RATE - TRANSFER: `2160p60-pq`, `1080p23.976-sdr`, `1080i25-sdr`; `1080p60-srgb` for stills.
The rate is that of whole frames. Depth, range, primaries and components are options beside it; each kind of
signal has its usual ones.
"""

import re
from dataclasses import dataclass, replace
from enum import Enum
from fractions import Fraction
from functools import cached_property
from typing import TypeVar

from knownlight.errors import BadInput
from knownlight.frame.rates import rate_from_text, text_from_rate
from knownlight.frame.sizes import SIZES, Scan, SdrColour, check_raster, is_standard, sdr_colour
from knownlight.signal import matrix, primaries
from knownlight.signal.code_range import CodeRange, Quantisation
from knownlight.signal.encoding import Components, Encoding, Transfer
from knownlight.signal.h273 import (
    ChromaSampleLocation,
    ColourPrimaries,
    MatrixCoefficients,
    TransferCharacteristics,
)
from knownlight.signal.primaries import Primaries

__all__ = ["Scan", "SignalFormat", "parse_signal_format"]

_USUAL_DEPTH = {Transfer.SDR: 8, Transfer.SRGB: 8, Transfer.PQ: 10, Transfer.HLG: 10}
_WRITTEN = re.compile(r"(?P<height>\d+)(?P<scan>[pi])(?P<rate>[\d.]+)-(?P<transfer>[a-z0-9]+)")
_WIDE = (primaries.BT2020, primaries.P3_D65)  # what PQ and HLG carry
_E = TypeVar("_E", bound=Enum)
_EXAMPLES = "2160p60-pq, 1080p23.976-sdr or 2160p50-hlg"
_SHOWN_ASPECT = Fraction(16, 9)  # of standard definition, whose pixels are not square


@dataclass(frozen=True, kw_only=True)
class SignalFormat:
    """A picture's size, rate and code meaning. Widths and heights are in pixels, the rate in frames/s."""

    width: int
    height: int
    scan: Scan
    rate: Fraction
    transfer: Transfer
    depth: int
    code_range: CodeRange = CodeRange.NARROW
    content_primaries: Primaries
    components: Components = Components.YCBCR_420

    def __post_init__(self) -> None:
        _ = self.quantisation  # refuses a depth that there is not
        if self.transfer is Transfer.SRGB and self.code_range is not CodeRange.FULL:
            raise BadInput("srgb codes are of full range (IEC 61966-2-1); use --range full, or an sdr signal")
        if self.is_hdr and self.code_range is CodeRange.FULL and self.depth < 10:  # noqa: PLR2004
            raise BadInput(
                f"{self.transfer.value} at full range needs 10 bits or more (H.273 and H.265 Annex E forbid "
                f"it at {self.depth}); use --depth 10 or --range narrow"
            )
        check_raster(self.height, self.scan, self.rate, self.transfer)
        carried = _WIDE if self.is_hdr else (self.sdr.primaries,)
        if self.content_primaries not in carried:
            wider = not self.is_hdr and self.content_primaries in _WIDE
            raise BadInput(
                f"{self.name} signals carry {' or '.join(each.name for each in carried)} primaries; "
                + ("use pq or hlg for wider ones" if wider else f"leave out {self.content_primaries.name}")
            )
        if self.width % 2 or self.height % 2:
            raise BadInput(f"size {self.width}x{self.height} is odd; 4:2:0 pictures need even sizes")

    @property
    def name(self) -> str:
        """The written form."""
        return f"{self.height}{self.scan.value}{text_from_rate(self.rate)}-{self.transfer.value}"

    @property
    def is_hdr(self) -> bool:
        """Whether it is a kind of BT.2100."""
        return self.transfer in (Transfer.PQ, Transfer.HLG)

    @property
    def sdr(self) -> SdrColour:
        """What SDR pictures of this size are made of."""
        return sdr_colour((self.width, self.height))

    @property
    def container_primaries(self) -> Primaries:
        """The primaries that the codes are relative to; P3 content still travels in BT.2020."""
        return primaries.BT2020 if self.is_hdr else self.sdr.primaries

    @property
    def fields(self) -> "SignalFormat":
        """The progressive format at the field rate whose pictures the fields are taken from.

        A progressive format is its own.
        """
        if self.scan is Scan.PROGRESSIVE:
            return self
        return replace(self, scan=Scan.PROGRESSIVE, rate=2 * self.rate)

    @property
    def pixel_aspect(self) -> Fraction:
        """Width of a pixel as shown over its height (sample aspect ratio).

        1, but for standard definition, of which all 720 pixels are shown at 16:9: 64/45 of 576 lines, 32/27
        of 480. That is common practice of DVB and ATSC, no source; 16/11 and 40/33 (H.264 Table E-1, from
        memory) are for the other view, that 16:9 is some 704 of the pixels.
        """
        if is_standard((self.width, self.height)):
            return _SHOWN_ASPECT * self.height / self.width
        return Fraction(1)

    @property
    def quantisation(self) -> Quantisation:
        """Depth and range together."""
        return Quantisation(depth=self.depth, code_range=self.code_range)

    @cached_property
    def encoding(self) -> Encoding:
        """What the codes mean in light."""
        return Encoding(
            transfer=self.transfer,
            quantisation=self.quantisation,
            primaries=self.container_primaries,
            matrix=matrix.BT2020_NCL if self.is_hdr else self.sdr.matrix,
            components=self.components,
        )

    @property
    def siting(self) -> ChromaSampleLocation:
        """BT.709 and BT.601 site 4:2:0 chroma left (type 0), BT.2020 and BT.2100 top left (type 2)."""
        return ChromaSampleLocation.TOP_LEFT if self.is_hdr else ChromaSampleLocation.LEFT

    @property
    def code_points(self) -> tuple[ColourPrimaries, TransferCharacteristics, MatrixCoefficients]:
        """H.273 primaries, transfer and matrix integers that a file of this format must declare."""
        transfer = {
            Transfer.SDR: self.sdr.transfer,
            Transfer.SRGB: TransferCharacteristics.SRGB,
            Transfer.PQ: TransferCharacteristics.PQ,
            Transfer.HLG: TransferCharacteristics.HLG,
        }[self.transfer]
        coefficients = self.encoding.matrix.code_point
        if self.components is Components.RGB:
            coefficients = MatrixCoefficients.IDENTITY
        return self.container_primaries.code_point, transfer, coefficients

    @property
    def options(self) -> dict[str, str | int]:
        """The options beside the written form, for a manifest."""
        return {
            "depth": self.depth,
            "range": self.code_range.value,
            "primaries": self.content_primaries.name,
            "components": self.components.value,
        }

    def resized(self, height: int) -> "SignalFormat":
        """The same format at another size."""
        size = _size(height, f"size {height}")
        own = sdr_colour(size).primaries if self.transfer is Transfer.SDR else self.content_primaries
        return replace(self, width=size[0], height=size[1], content_primaries=own)


def _size(height: int, where: str) -> tuple[int, int]:
    if height not in SIZES:
        raise BadInput(f"{where}: {height} is no known size; use one of {', '.join(map(str, SIZES))}")
    return SIZES[height]


def parse_signal_format(
    text: str,
    *,
    depth: int | None = None,
    code_range: str | None = None,
    content_primaries: str | None = None,
    components: str | None = None,
) -> SignalFormat:
    """Read the written form; options that are not given take the usual value of the kind of signal.

    Raises:
        BadInput: for anything that is no format, naming the part that is wrong.
    """
    match = _WRITTEN.fullmatch(text.strip())
    if match is None:
        raise BadInput(f"signal format {text!r} is not written SIZE SCAN RATE - TRANSFER; write {_EXAMPLES}")
    where = f"signal format {text!r}"
    width, height = _size(int(match["height"]), where)
    try:
        transfer = Transfer(match["transfer"])
    except ValueError:
        raise BadInput(f"{where}: {match['transfer']!r} is none of sdr, srgb, pq, hlg") from None
    try:
        rate = rate_from_text(match["rate"])
    except BadInput as error:
        raise BadInput(f"{where}: {error}") from None
    wide = transfer in (Transfer.PQ, Transfer.HLG)
    usual = primaries.BT2020 if wide else sdr_colour((width, height)).primaries
    usual_range = CodeRange.FULL if transfer is Transfer.SRGB else CodeRange.NARROW
    name = content_primaries or usual.name
    if name not in primaries.PRIMARIES:
        raise BadInput(f"primaries {name!r} are not known; use one of {', '.join(primaries.PRIMARIES)}")
    return SignalFormat(
        width=width,
        height=height,
        scan=Scan(match["scan"]),
        rate=rate,
        transfer=transfer,
        depth=_USUAL_DEPTH[transfer] if depth is None else depth,
        code_range=_member(CodeRange, code_range or usual_range.value, "range"),
        content_primaries=primaries.PRIMARIES[name],
        components=_member(Components, components or Components.YCBCR_420.value, "components"),
    )


def _member(kind: type[_E], value: str, option: str) -> _E:
    try:
        return kind(value)
    except ValueError:
        choices = ", ".join(str(member.value) for member in kind)
        raise BadInput(f"{option} {value!r} is not known; use one of {choices}") from None
