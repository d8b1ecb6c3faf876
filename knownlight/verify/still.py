"""The proof of a PNG still."""

from pathlib import Path

import numpy as np

from knownlight.ffmpeg import Stop
from knownlight.frame.claims import Pattern
from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import Planes, sample_type
from knownlight.metadata.light import LUMINANCE_UNITS, HdrMetadata
from knownlight.readback.png import PngStated, read_png_chunks, read_png_samples
from knownlight.signal.arrays import PlaneArray
from knownlight.signal.code_range import CodeRange
from knownlight.verify.compare import Comparison, compare
from knownlight.verify.light import claimed_problems
from knownlight.verify.proof import Proof

_SAMPLE_BITS = 16
_TRUECOLOUR = 2
_ARITHMETIC = 1e-3  # units of 0.0001 cd/m²; the two sums run in different orders
_ORDER = ("IHDR", "cICP", "mDCV", "cLLI", "sBIT", "IDAT", "IEND")  # PNG third edition, clause 5.6


def prove_still(path: Path, pattern: Pattern, signal: SignalFormat, hdr: HdrMetadata, stop: Stop) -> Proof:
    """Read a still again and hold it against its pattern.

    Raises:
        UnreadableFile, ToolFailed: where it cannot be read at all.
    """
    stated = read_png_chunks(path)
    problems = _header_problems(stated, signal, hdr)
    claims = pattern.claims(signal)
    samples = read_png_samples(path, signal.width, signal.height, stop)
    planes, widened_rightly = _codes(samples, signal)
    if not widened_rightly:
        problems.append("pixels: some samples are no widened codes of the signal's depth")
    result = compare([planes], iter([pattern.draw(signal).frame(0)]), signal, claims)
    if result.largest_error:
        problems.append(f"pixels: {result.first_difference}")
    problems += [f"pixels: {result.area_problem}"] if result.area_problem else []
    problems += claimed_problems(claims, signal, result.light)
    problems += _light_problems(stated, result)
    return Proof(
        problems=tuple(problems),
        decoded_frames=1,
        repeated_frames=0,
        largest_error=result.largest_error,
        largest_region_error=result.largest_region_error,
        light=result.light,
        readers=("ffmpeg", "PNG chunks"),
    )


def _codes(samples: PlaneArray, signal: SignalFormat) -> tuple[Planes, bool]:
    """Codes from 16-bit samples, and whether each sample is exactly a code's."""
    wide = samples.astype(np.int64)
    if signal.code_range is CodeRange.NARROW:
        shift = _SAMPLE_BITS - signal.depth
        codes, again = wide >> shift, (wide >> shift) << shift
    else:
        largest, most = (1 << signal.depth) - 1, (1 << _SAMPLE_BITS) - 1
        codes = (2 * wide * largest + most) // (2 * most)
        again = (2 * codes * most + largest) // (2 * largest)
    kept: PlaneArray = codes.astype(sample_type(signal.depth))
    planes = (kept[..., 0], kept[..., 1], kept[..., 2])
    return planes, bool(np.array_equal(again, wide))


def _header_problems(stated: PngStated, signal: SignalFormat, hdr: HdrMetadata) -> list[str]:
    primaries, transfer, matrix = signal.code_points
    cicp = (int(primaries), int(transfer), int(matrix), int(signal.code_range is CodeRange.FULL))
    wanted = {
        "width": signal.width,
        "height": signal.height,
        "sample_bits": _SAMPLE_BITS,
        "colour_type": _TRUECOLOUR,
        "significant_bits": (signal.depth,) * 3,
        "cicp": cicp,
        "mastering": hdr.mastering,
        "order": tuple(k for k in _ORDER if hdr.mastering is not None or k not in ("mDCV", "cLLI")),
    }
    return [
        f"PNG: {name} is {getattr(stated, name)}, it must be {value}"
        for name, value in wanted.items()
        if getattr(stated, name) != value
    ]


def _light_problems(stated: PngStated, result: Comparison) -> list[str]:
    """Declared levels must lie within one unit above the measured ones."""
    if stated.light is None:
        return []
    problems = []
    for name, units, measured in (
        ("MaxCLL", stated.light[0], result.light.max_cll),
        ("MaxFALL", stated.light[1], result.light.max_fall),
    ):
        if not -_ARITHMETIC <= units - measured * LUMINANCE_UNITS <= 1.0:
            problems.append(
                f"light: {name} is declared as {units / LUMINANCE_UNITS}, the pixels have {measured}"
            )
    return problems
