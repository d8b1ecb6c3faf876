"""Rates that a reader tells rounded."""

from fractions import Fraction

from knownlight.frame.rates import RATES

# Matroska keeps the length of a picture in whole nanoseconds: at 144 pictures a second that is off by
# 7e-8 of itself; some readers tell six digits after the point, 2e-8. 60 and 59.94 lie 1e-3 apart.
_ROUNDING = Fraction(1, 10**6)


def usual_rate(told: Fraction) -> Fraction:
    """The rate in pictures a second that a rounded one must be; itself where it is none of the usual ones."""
    return next((rate for rate in RATES.values() if abs(told - rate) <= rate * _ROUNDING), told)
