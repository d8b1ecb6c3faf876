"""Frame rates as exact fractions: 23.976 is 24000/1001, as SMPTE ST 2036-1 and BT.2020 have it."""

from fractions import Fraction

from knownlight.errors import BadInput

RATES: dict[str, Fraction] = {
    "23.976": Fraction(24000, 1001),
    "24": Fraction(24),
    "25": Fraction(25),
    "29.97": Fraction(30000, 1001),
    "30": Fraction(30),
    "48": Fraction(48),
    "50": Fraction(50),
    "59.94": Fraction(60000, 1001),
    "60": Fraction(60),
    "100": Fraction(100),
    "119.88": Fraction(120000, 1001),
    "120": Fraction(120),
    "144": Fraction(144),
}


def rate_from_text(text: str) -> Fraction:
    """The exact rate of a written one, in frames a second.

    Raises:
        BadInput: for a rate that is none of the known ones.
    """
    try:
        return RATES[text]
    except KeyError:
        raise BadInput(f"frame rate {text!r} is not known; use one of {', '.join(RATES)}") from None


def text_from_rate(rate: Fraction) -> str:
    """The written form of an exact rate.

    Raises:
        BadInput: for a rate that is none of the known ones.
    """
    for text, value in RATES.items():
        if value == rate:
            return text
    raise BadInput(f"frame rate {rate} is not known; use one of {', '.join(RATES)}")


def frames_in(seconds: Fraction, rate: Fraction) -> int:
    """Whole frames in a length: the nearest number, at least one."""
    return max(1, int(seconds * rate + Fraction(1, 2)))
