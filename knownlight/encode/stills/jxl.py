"""JPEG XL stills: lossless, with an enumerated colour encoding, by ffmpeg's libjxl.

Codes of 8 bits are stored in 8, longer ones widened to 16.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from knownlight import ffmpeg, pipes
from knownlight.encode.stills.delivery import StillOrder, refuse_components, refuse_narrow, refuse_standard
from knownlight.encode.stills.samples import interleaved, sample_bits, widened
from knownlight.frame.format import SignalFormat
from knownlight.signal.code_range import DEPTHS
from knownlight.signal.encoding import Transfer

_TRANSFERS = {
    Transfer.SDR: "bt709",
    Transfer.SRGB: "iec61966-2-1",
    Transfer.PQ: "smpte2084",
    Transfer.HLG: "arib-std-b67",
}
_LOSSLESS = ("-distance", "0")
_EFFORT = ("-effort", "7")  # at 3, a smooth PQ picture takes half the time and twenty times the room


@dataclass(frozen=True)
class JpegXl:
    """Samples of 8 or 16 bits."""

    name: str = "jxl"
    suffixes: tuple[str, ...] = (".jxl",)
    codec: str = "JPEG XL, lossless"
    bits: tuple[int, ...] = DEPTHS
    error_limit: int = 0
    exactness: str = "exact; declares the kind of signal, no HDR metadata"

    def why_not_here(self) -> str:
        """What the ffmpeg in use lacks, if anything."""
        return "" if ffmpeg.has_encoder("libjxl") else "the ffmpeg in use has no libjxl"

    def refuse(self, signal: SignalFormat) -> None:
        """Refuse other codes than R'G'B' of full range."""
        refuse_components(self.name, signal)
        refuse_standard(self.name, signal)
        refuse_narrow(self.name, signal, "JPEG XL has full range only")

    def write(self, order: StillOrder, to: Path) -> None:
        """Write the picture; colour is set on the frame, from where the encoder takes it."""
        signal = order.signal
        self.refuse(signal)
        wide = sample_bits(signal) != 8  # noqa: PLR2004
        samples = widened(interleaved(order.frame), signal).astype("<u2" if wide else np.uint8)
        primaries = "bt2020" if signal.is_hdr else "bt709"
        colour = f"color_primaries={primaries}:color_trc={_TRANSFERS[signal.transfer]}:colorspace=gbr"
        pipes.feed(
            [
                *("-v", "error", "-f", "rawvideo", "-pix_fmt", "rgb48le" if wide else "rgb24"),
                *("-video_size", f"{signal.width}x{signal.height}", "-i", "pipe:0"),
                *("-vf", f"setparams=range=full:{colour}", "-frames:v", "1", "-threads", "1"),
                *("-c:v", "libjxl", *_LOSSLESS, *_EFFORT, "-f", "image2", "-update", "1", str(to)),
            ],
            [[samples]],
            what=f"{order.name} could not be encoded",
            stop=order.stop,
            on_frames=lambda _done: None,
        )
