"""What a picture's samples mean, in words of ASCII, for formats that have no fields for it."""

from knownlight.frame.format import SignalFormat
from knownlight.signal.encoding import HLG_PEAK, SDR_WHITE, Transfer

_MEANINGS = {
    Transfer.SDR: f"BT.709 primaries, BT.1886 display, white {SDR_WHITE:g} cd/m2",
    Transfer.SRGB: f"sRGB (IEC 61966-2-1), white {SDR_WHITE:g} cd/m2",
    Transfer.PQ: "BT.2020 primaries, BT.2100 PQ (SMPTE ST 2084), absolute",
    Transfer.HLG: f"BT.2020 primaries, BT.2100 HLG, nominal peak {HLG_PEAK:g} cd/m2",
}


def code_words(signal: SignalFormat, stored_bits: int) -> str:
    """Of a picture of R'G'B' codes of full range, in samples of some bits."""
    widened = f", widened to {stored_bits}" if stored_bits != signal.depth else ""
    return f"R'G'B' codes of {signal.depth} bits, full range{widened}: {_MEANINGS[signal.transfer]}"


def light_words(signal: SignalFormat) -> str:
    """Of a picture of linear light."""
    return (
        f"Linear light in cd/m2 of R'G'B' codes of {signal.depth} bits, full range: "
        f"{_MEANINGS[signal.transfer]}"
    )
