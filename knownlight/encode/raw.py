"""The ffmpeg arguments that hand raw pictures to an encoder, with colour on the frames.

Colour options on the output side are dropped by current ffmpeg, so the frames themselves must carry it.
"""

from collections.abc import Sequence

from knownlight.errors import CannotCarry
from knownlight.frame.format import Scan, SignalFormat
from knownlight.metadata.light import HdrMetadata
from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import Components
from knownlight.signal.h273 import (
    ChromaSampleLocation,
    ColourPrimaries,
    MatrixCoefficients,
    TransferCharacteristics,
)

BIT_EXACT = ["-fflags", "+bitexact", "-flags:v", "+bitexact", "-flags:a", "+bitexact", "-map_metadata", "-1"]

_PRIMARIES = {ColourPrimaries.BT709: "bt709", ColourPrimaries.BT2020: "bt2020"}
_TRANSFER = {
    TransferCharacteristics.BT709: "bt709",
    TransferCharacteristics.PQ: "smpte2084",
    TransferCharacteristics.HLG: "arib-std-b67",
}
_MATRIX = {MatrixCoefficients.BT709: "bt709", MatrixCoefficients.BT2020_NCL: "bt2020nc"}
_LOCATION = {ChromaSampleLocation.LEFT: "left", ChromaSampleLocation.TOP_LEFT: "topleft"}


def pixel_format(signal: SignalFormat) -> str:
    """Ffmpeg's word for the planes; the two 16-bit ones are little endian."""
    suffix = "" if signal.depth == 8 else f"{signal.depth}le"  # noqa: PLR2004
    return f"yuv420p{suffix}"


def refuse_unless(signal: SignalFormat, name: str, depths: Sequence[int]) -> None:
    """Raise CannotCarry for what no 4:2:0 progressive clip of these depths can hold."""
    if signal.scan is Scan.INTERLACED:
        raise CannotCarry(f"{name} carries no interlaced pictures; use {signal.name.replace('i', 'p')}")
    if signal.components is not Components.YCBCR_420:
        raise CannotCarry(f"{name} carries 4:2:0 only; leave out --components, or make a still")
    if signal.depth not in depths:
        words = " or ".join(map(str, depths))
        raise CannotCarry(f"{name} carries {words} bits, not {signal.depth}; use --depth {depths[-1]}")


def raw_input(signal: SignalFormat, hdr: HdrMetadata) -> list[str]:
    """Arguments for raw pictures on standard input; HDR metadata goes before the input, or boxes lack it."""
    arguments: list[str] = []
    if hdr.mastering is not None:
        m = hdr.mastering
        arguments += [
            "-mastering_display",
            f"G({m.green[0]},{m.green[1]})B({m.blue[0]},{m.blue[1]})R({m.red[0]},{m.red[1]})"
            f"WP({m.white[0]},{m.white[1]})L({m.max_luminance},{m.min_luminance})",
        ]
    if hdr.light is not None:
        arguments += ["-content_light", f"{hdr.light.max_cll},{hdr.light.max_fall}"]
    return [
        *arguments,
        *(
            "-thread_queue_size",
            "1",
            "-f",
            "rawvideo",
            "-pix_fmt",
            pixel_format(signal),
            "-s",
            f"{signal.width}x{signal.height}",
        ),
        *("-framerate", f"{signal.rate.numerator}/{signal.rate.denominator}", "-i", "pipe:0"),
    ]


def frame_filter(signal: SignalFormat, *, hold: int = 1) -> str:
    """The filter chain: hold one picture for `hold` frames, and write colour on every frame."""
    primaries, transfer, matrix = signal.code_points
    marks = (
        f"setparams=range={'full' if signal.code_range is CodeRange.FULL else 'limited'}"
        f":color_primaries={_PRIMARIES[primaries]}:color_trc={_TRANSFER[transfer]}"
        f":colorspace={_MATRIX[matrix]}:chroma_location={_LOCATION[signal.siting]}:field_mode=prog"
    )
    return f"loop=loop={hold - 1}:size=1:start=0,{marks}" if hold > 1 else marks
