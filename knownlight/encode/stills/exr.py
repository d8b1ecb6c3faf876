"""OpenEXR stills: the light that the codes mean, in cd/m² of the container's primaries.

whiteLuminance is "the luminance, in nits, of the RGB value (1.0, 1.0, 1.0)" (OpenEXR standard attributes): of
values in cd/m² it is 1. Samples are of 32 bits: those of 16 have 11 bits of precision, which is fewer than PQ
at 12 bits needs, and end at 65504.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from knownlight.encode.stills.delivery import StillOrder, refuse_components, refuse_narrow
from knownlight.errors import ToolFailed
from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import Frame
from knownlight.metadata.words import light_words
from knownlight.signal.code_range import DEPTHS

_STRIPE = 64  # rows at a time, so that an 8K picture needs little memory
_UNIT_LUMINANCE = 1.0  # cd/m²


@dataclass(frozen=True)
class OpenExr:
    """Floats of 32 bits, packed by ZIP."""

    name: str = "exr"
    suffixes: tuple[str, ...] = (".exr",)
    codec: str = "OpenEXR, linear light in cd/m², 32-bit float"
    bits: tuple[int, ...] = DEPTHS
    error_limit: int = 0
    exactness: str = "exact: each sample is the float nearest to its code's light; states primaries and unit"

    def why_not_here(self) -> str:
        """It can be made everywhere."""
        return ""

    def refuse(self, signal: SignalFormat) -> None:
        """Refuse other codes than R'G'B' of full range."""
        refuse_components(self.name, signal)
        refuse_narrow(self.name, signal, "codes below black and above white have no light of their own")

    def write(self, order: StillOrder, to: Path) -> None:
        """Write the picture."""
        import OpenEXR  # noqa: PLC0415 - slow to import, and only needed here

        signal = order.signal
        self.refuse(signal)
        primaries = signal.container_primaries
        header = {
            "compression": OpenEXR.ZIP_COMPRESSION,
            "type": OpenEXR.scanlineimage,
            "chromaticities": (*primaries.red, *primaries.green, *primaries.blue, *primaries.white),
            "whiteLuminance": _UNIT_LUMINANCE,
            "comments": light_words(signal),
        }
        channels = dict(zip("RGB", _light(order.frame), strict=True))
        try:
            with OpenEXR.File(header, channels) as file:
                file.write(str(to))
        except RuntimeError as error:  # what the library raises, also where the disk is full
            raise ToolFailed(
                f"{order.name} could not be written: {error} Free some space, or choose another folder"
            ) from error


def _light(frame: Frame) -> NDArray[np.float32]:
    """R, G, B planes in cd/m²; (3, rows, columns)."""
    encoding = frame.signal.encoding
    result = np.empty((3, *frame.planes[0].shape), dtype=np.float32)
    for row in range(0, result.shape[1], _STRIPE):
        codes = np.stack([plane[row : row + _STRIPE] for plane in frame.planes], axis=-1)
        result[:, row : row + _STRIPE] = np.moveaxis(encoding.rgb_light(codes), -1, 0)
    return result
