"""The ffmpeg arguments that hand raw pictures to an encoder, with colour on the frames.

Colour options on the output side are dropped by current ffmpeg, so the frames themselves must carry it.
"""

from collections.abc import Callable, Sequence

from knownlight.errors import CannotCarry
from knownlight.frame.format import Scan, SignalFormat
from knownlight.metadata.levels import Level
from knownlight.metadata.light import HdrMetadata
from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import Components, Transfer
from knownlight.signal.h273 import (
    ChromaSampleLocation,
    ColourPrimaries,
    MatrixCoefficients,
    TransferCharacteristics,
)

PLAIN = ["-fflags", "+bitexact", "-flags:v", "+bitexact", "-flags:a", "+bitexact"]  # no name of the program
BIT_EXACT = [*PLAIN, "-map_metadata", "-1"]

_PRIMARIES = {
    ColourPrimaries.BT709: "bt709",
    ColourPrimaries.BT601_625: "bt470bg",
    ColourPrimaries.BT601_525: "smpte170m",
    ColourPrimaries.BT2020: "bt2020",
}
_TRANSFER = {
    TransferCharacteristics.BT709: "bt709",
    TransferCharacteristics.BT601: "smpte170m",
    TransferCharacteristics.BT2020_10: "bt2020-10",
    TransferCharacteristics.PQ: "smpte2084",
    TransferCharacteristics.HLG: "arib-std-b67",
}
_MATRIX = {
    MatrixCoefficients.BT709: "bt709",
    MatrixCoefficients.BT601_625: "bt470bg",
    MatrixCoefficients.BT601_525: "smpte170m",
    MatrixCoefficients.BT2020_NCL: "bt2020nc",
}
_LOCATION = {ChromaSampleLocation.LEFT: "left", ChromaSampleLocation.TOP_LEFT: "topleft"}


def pixel_format(signal: SignalFormat) -> str:
    """Ffmpeg's word for the planes; the two 16-bit ones are little endian."""
    suffix = "" if signal.depth == 8 else f"{signal.depth}le"  # noqa: PLR2004
    return f"yuv420p{suffix}"


def problem_of(
    signal: SignalFormat,
    *,
    bits: Sequence[int],
    level: Callable[[SignalFormat], Level],
    scans: Sequence[Scan] = (Scan.PROGRESSIVE,),
    transfers: Sequence[Transfer] = tuple(Transfer),
) -> str:
    """Why no 4:2:0 clip of these can hold a signal, to be read after a delivery's name; empty where one can.

    level: finds the level of a signal, and raises CannotCarry where there is none.
    """
    if signal.scan not in scans:
        return "carries no interlaced pictures"
    if signal.components is not Components.YCBCR_420:
        return f"carries 4:2:0 only, not {signal.components.value}"
    if signal.transfer not in transfers:
        return f"carries {' and '.join(each.value for each in transfers)} only, not {signal.transfer.value}"
    if signal.depth not in bits:
        return f"carries {' or '.join(map(str, bits))} bits, not {signal.depth}"
    try:
        level(signal)
    except CannotCarry:
        return f"cannot hold {signal.name}: it passes the codec's highest level"
    return ""


def raw_input(signal: SignalFormat, hdr: HdrMetadata) -> list[str]:
    """Arguments for raw pictures on standard input."""
    return [
        *hdr_of_input(hdr),
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


def hdr_of_input(hdr: HdrMetadata) -> list[str]:
    """Arguments that give an input's pictures HDR metadata; they go before it, or the container lacks it."""
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
    return arguments


def frame_filter(
    signal: SignalFormat, *, hold: int = 1, transfer: TransferCharacteristics | None = None
) -> str:
    """The filter chain: hold one picture for `hold` frames, and write colour and field order on every frame.

    transfer: what is declared instead of the signal's own.
    """
    primaries, own, matrix = signal.code_points
    marks = (
        f"setparams=range={'full' if signal.code_range is CodeRange.FULL else 'limited'}"
        f":color_primaries={_PRIMARIES[primaries]}:color_trc={_TRANSFER[transfer or own]}"
        f":colorspace={_MATRIX[matrix]}:chroma_location={_LOCATION[signal.siting]}"
        f":field_mode={'tff' if signal.scan is Scan.INTERLACED else 'prog'}"
        f",setsar={signal.pixel_aspect.numerator}/{signal.pixel_aspect.denominator}"
    )
    return f"loop=loop={hold - 1}:size=1:start=0,{marks}" if hold > 1 else marks
