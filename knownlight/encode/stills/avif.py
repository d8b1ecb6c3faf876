"""AVIF stills: lossless AV1, 4:4:4 R'G'B' (matrix identity), by libavif and libaom.

The codec is asked for one thread: with more, the bytes of a file depend on how many there are. The library
writes no HDR metadata, so its boxes are put in after.
"""

from dataclasses import dataclass
from pathlib import Path

from knownlight.encode.stills.delivery import StillOrder, refuse_components, refuse_narrow
from knownlight.encode.stills.heif_boxes import with_hdr_boxes
from knownlight.encode.stills.samples import interleaved
from knownlight.errors import ToolFailed
from knownlight.frame.format import SignalFormat
from knownlight.signal.code_range import DEPTHS

_LOSSLESS = 100
_SPEED = 9  # lossless at 6 is 1 % smaller and takes three times as long (measured on noise at 720p)


@dataclass(frozen=True)
class Avif:
    """Codes as they are, in AV1's High profile, or Professional at 12 bits."""

    name: str = "avif"
    suffixes: tuple[str, ...] = (".avif",)
    codec: str = "AVIF, lossless AV1 4:4:4"
    bits: tuple[int, ...] = DEPTHS
    error_limit: int = 0
    exactness: str = "exact; declares the kind of signal and HDR metadata"

    def why_not_here(self) -> str:
        """Why libavif is missing, if it is."""
        import imagecodecs  # noqa: PLC0415 - slow to import

        return "" if imagecodecs.AVIF.available else "the imagecodecs in use has no libavif"

    def refuse(self, signal: SignalFormat) -> None:
        """Refuse other codes than R'G'B' of full range."""
        refuse_components(self.name, signal)
        refuse_narrow(self.name, signal, "the library that writes it declares full range only")

    def write(self, order: StillOrder, to: Path) -> None:
        """Write the picture and its metadata."""
        import imagecodecs  # noqa: PLC0415 - slow to import

        self.refuse(order.signal)
        primaries, transfer, matrix = order.signal.code_points
        try:
            data = imagecodecs.avif_encode(
                interleaved(order.frame),
                level=_LOSSLESS,
                speed=_SPEED,
                bitspersample=order.signal.depth,
                pixelformat="444",
                codec="aom",
                primaries=int(primaries),
                transfer=int(transfer),
                matrix=int(matrix),
                numthreads=1,
            )
        except RuntimeError as error:  # what the library raises
            raise ToolFailed(f"{order.name} could not be encoded: libavif says: {error}") from error
        to.write_bytes(with_hdr_boxes(bytes(data), order.hdr))
