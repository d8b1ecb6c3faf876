"""HEIC stills: lossless HEVC, 4:4:4 R'G'B' (matrix identity), by libheif and x265."""

from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np

from knownlight.encode.stills.delivery import StillOrder, refuse_components, refuse_narrow
from knownlight.encode.stills.samples import interleaved
from knownlight.errors import ToolFailed
from knownlight.frame.format import SignalFormat
from knownlight.metadata.light import HdrMetadata, MasteringDisplay
from knownlight.signal.code_range import DEPTHS

_LOSSLESS = -1


@dataclass(frozen=True)
class Heic:
    """Codes as they are, in HEVC's format range extensions."""

    name: str = "heic"
    suffixes: tuple[str, ...] = (".heic", ".heif")
    codec: str = "HEIC, lossless HEVC 4:4:4"
    bits: tuple[int, ...] = DEPTHS
    error_limit: int = 0
    exactness: str = "exact; declares the kind of signal and HDR metadata; a profile that phones may refuse"

    def why_not_here(self) -> str:
        """Why libheif is missing, if it is."""
        return "" if find_spec("pillow_heif") else "the package pillow-heif is not installed"

    def refuse(self, signal: SignalFormat) -> None:
        """Refuse other codes than R'G'B' of full range."""
        refuse_components(self.name, signal)
        refuse_narrow(self.name, signal, "the library that writes it turns narrow codes into others")

    def write(self, order: StillOrder, to: Path) -> None:
        """Write the picture and its metadata."""
        import pillow_heif  # noqa: PLC0415 - loads shared libraries

        signal = order.signal
        self.refuse(signal)
        codes = np.ascontiguousarray(interleaved(order.frame))
        mode = "RGB" if codes.dtype == np.uint8 else f"RGB;{signal.depth}"
        primaries, transfer, matrix = signal.code_points
        try:
            picture = pillow_heif.from_bytes(mode, (signal.width, signal.height), codes.tobytes())
            picture.save(
                to,
                format="HEIF",
                quality=_LOSSLESS,
                chroma=444,
                color_primaries=int(primaries),
                transfer_characteristics=int(transfer),
                matrix_coefficients=int(matrix),
                full_range_flag=1,
                **_hdr(order.hdr),
            )
        except (RuntimeError, ValueError) as error:  # what the library raises
            raise ToolFailed(f"{order.name} could not be encoded: libheif says: {error}") from error


def _hdr(hdr: HdrMetadata) -> dict[str, Any]:
    """Static metadata as the library takes it."""
    stated: dict[str, Any] = {}
    if hdr.light is not None:
        stated["content_light_level"] = {
            "max_content_light_level": hdr.light.max_cll,
            "max_pic_average_light_level": hdr.light.max_fall,
        }
    if hdr.mastering is not None:
        stated["mastering_display_colour_volume"] = _mastering(hdr.mastering)
    return stated


def _mastering(display: MasteringDisplay) -> dict[str, Any]:
    points = (display.green, display.blue, display.red)  # the order of the standard
    return {
        "display_primaries_x": [x for x, _ in points],
        "display_primaries_y": [y for _, y in points],
        "white_point_x": display.white[0],
        "white_point_y": display.white[1],
        "max_display_mastering_luminance": display.max_luminance,
        "min_display_mastering_luminance": display.min_luminance,
    }
