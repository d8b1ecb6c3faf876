"""Speeds of what moves: a share of the picture's width a second, as whole pixels a frame.

A speed in widths a second looks the same at every size and rate; whole pixels a frame keep every frame exact.
"""

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Any

from knownlight.frame.format import SignalFormat
from patterns.parameters import number_parameter

SLOWEST, FASTEST = 1, 256  # pixels a frame


def speed_parameter(numbers: str = "whole") -> Any:  # noqa: ANN401
    """A field for a speed in picture widths a second; `numbers`: of pixels a frame, in words."""
    return number_parameter(
        0.0,
        f"speed as the nearest {numbers} number of pixels a frame up to {FASTEST}; 0 takes pixels_per_frame",
        minimum=0.0,
        maximum=4.0,
        unit="picture widths a second",
    )


def exact_speed(widths_per_second: float, signal: SignalFormat) -> Fraction:
    """Pixels a frame of a speed, before rounding."""
    return Fraction(widths_per_second) * signal.width / signal.rate


def whole_speed(widths_per_second: float, signal: SignalFormat) -> int:
    """The nearest whole number of pixels a frame, halves up, held to what there is."""
    nearest = int(exact_speed(widths_per_second, signal) + Fraction(1, 2))
    return min(max(nearest, SLOWEST), FASTEST)


def speed_notes(pixels_per_frame: int, signal: SignalFormat) -> Mapping[str, float]:
    """What a whole speed really is."""
    return MappingProxyType(
        {
            "pixels_per_frame": pixels_per_frame,
            "widths_per_second": float(pixels_per_frame * signal.rate / signal.width),
        }
    )
