"""The proof of a still: decoded again by another library, compared, and its headers read."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from knownlight.errors import ToolFailed, UnreadableFile
from knownlight.ffmpeg import Stop
from knownlight.frame.claims import Claims, Pattern
from knownlight.frame.format import SignalFormat
from knownlight.metadata.light import LUMINANCE_UNITS, HdrMetadata
from knownlight.readback import mediainfo
from knownlight.readback.stills.exr import read_exr_header
from knownlight.readback.stills.heif import read_heif_header
from knownlight.readback.stills.jpeg import read_jpeg_header
from knownlight.readback.stills.jxl import read_jxl_header
from knownlight.readback.stills.png import read_png_header
from knownlight.readback.stills.samples import (
    Read,
    Samples,
    by_libjxl,
    by_libtiff,
    interleaved_by_ffmpeg,
    planes_by_ffmpeg,
)
from knownlight.readback.stills.stated import StillStated
from knownlight.readback.stills.tiff import read_tiff_header
from knownlight.verify import still_codes
from knownlight.verify.compare import BLOCK, NOTHING, Comparison, compare
from knownlight.verify.light import claimed_problems, declared_problems
from knownlight.verify.proof import Proof
from knownlight.verify.still_codes import Codes
from knownlight.verify.still_declared import (
    SEEN_BY_MEDIAINFO,
    expected_still,
    mediainfo_differences,
    still_differences,
)

_ARITHMETIC = 1e-3  # units of 0.0001 cd/m²; the two sums run in different orders
_FLAT_LIMIT = 1  # codes: a flat block errs by the rounding of Y', Cb and Cr alone
_GBR = (2, 0, 1)  # ffmpeg keeps planes of R'G'B' as G', B', R'
_AS_CODED = (0, 1, 2)
_FLOAT = dict.fromkeys((8, 10, 12), "<f4")


@dataclass(frozen=True, kw_only=True)
class Reading:
    """How a format is read back: its header, its samples, the codes in them, and by what."""

    header: Callable[[Path], StillStated]
    samples: Read
    codes: Callable[[Samples, SignalFormat], Codes]
    readers: tuple[str, ...]


READINGS = {
    "png": Reading(
        header=read_png_header,
        samples=interleaved_by_ffmpeg({8: "u1", 10: ">u2", 12: ">u2"}),
        codes=still_codes.widened,
        readers=("ffmpeg", "PNG chunks"),
    ),
    "avif": Reading(
        header=read_heif_header,
        samples=planes_by_ffmpeg({8: "u1", 10: "<u2", 12: "<u2"}, _GBR),
        codes=still_codes.stored,
        readers=("ffmpeg (dav1d)", "HEIF boxes"),
    ),
    "heic": Reading(
        header=read_heif_header,
        samples=planes_by_ffmpeg({8: "u1", 10: "<u2", 12: "<u2"}, _GBR),
        codes=still_codes.stored,
        readers=("ffmpeg", "HEIF boxes"),
    ),
    "jxl": Reading(
        header=read_jxl_header,
        samples=by_libjxl,
        codes=still_codes.widened,
        readers=("libjxl (imagecodecs)", "JPEG XL codestream"),
    ),
    "exr": Reading(
        header=read_exr_header,
        samples=planes_by_ffmpeg(_FLOAT, _GBR),
        codes=still_codes.light,
        readers=("ffmpeg", "OpenEXR attributes"),
    ),
    "tif": Reading(
        header=read_tiff_header,
        samples=by_libtiff,
        codes=still_codes.widened,
        readers=("libtiff (imagecodecs)", "TIFF fields"),
    ),
    "jpg": Reading(
        header=read_jpeg_header,
        samples=planes_by_ffmpeg({8: "u1"}, _AS_CODED),
        codes=still_codes.of_jfif,
        readers=("ffmpeg", "JPEG segments"),
    ),
}


@dataclass(frozen=True, kw_only=True)
class StillIntent:
    """What a still is meant to be.

    error_limit: largest code error allowed; 0 for an exact one. hdr: static metadata that it declares.
    """

    pattern: Pattern
    signal: SignalFormat
    delivery: str
    error_limit: int
    hdr: HdrMetadata


def prove_still(path: Path, intent: StillIntent, stop: Stop) -> Proof:
    """Read a still again and hold it against its intent.

    Raises:
        UnreadableFile, ToolFailed: where it cannot be read at all.
    """
    reading, signal = READINGS[intent.delivery], intent.signal
    wanted = expected_still(intent.delivery, signal, intent.hdr)
    stated = reading.header(path)
    problems = still_differences(intent.delivery, stated, wanted)
    readers = reading.readers
    if intent.delivery in SEEN_BY_MEDIAINFO:
        problems += mediainfo_differences(mediainfo.read_mediainfo(path), wanted)
        readers = (*readers, mediainfo.version())
    claims = intent.pattern.claims(signal)
    result = NOTHING
    try:
        codes = reading.codes(reading.samples(path, signal, stop), signal)
    except (ToolFailed, UnreadableFile) as error:
        stop.check()
        problems.append(f"pixels: {error}")
    else:
        result = compare([codes.planes], iter([intent.pattern.draw(signal).frame(0)]), signal, claims)
        problems += [f"pixels: {codes.problem}"] if codes.problem else []
        problems += _pixel_problems(result, claims, intent)
        problems += declared_problems(stated.hdr.light, signal, result.light, 0)
        problems += _fine_light_problems(stated, result)
    return Proof(
        problems=tuple(problems),
        decoded_frames=result.pictures,
        repeated_frames=0,
        largest_error=result.largest_error,
        largest_region_error=result.largest_region_error,
        light=result.light,
        readers=readers,
    )


def _pixel_problems(result: Comparison, claims: Claims, intent: StillIntent) -> list[str]:
    """Where pixels differ further than the format allows, or hold other light than is claimed."""
    limit = intent.error_limit
    problems = []
    if result.largest_error > limit:
        words = f"largest error {result.largest_error} codes, {limit} are allowed; " if limit else ""
        problems.append(f"pixels: {words}{result.first_difference}")
    in_regions = _region_limit(limit, claims)
    if result.largest_region_error > in_regions:
        problems.append(
            f"pixels: a claimed region is {result.largest_region_error} codes off, {in_regions} are allowed"
        )
    if limit == 0:
        problems += [f"pixels: {result.area_problem}"] if result.area_problem else []
        problems += claimed_problems(claims, intent.signal, result.light)
    return problems


def _region_limit(limit: int, claims: Claims) -> int:
    """Codes that regions may be off: fewer where each is measured a block inside its edges."""
    sides = [min(region.rect.width, region.rect.height) for region in claims.regions]
    return min(limit, _FLAT_LIMIT) if all(side > 2 * BLOCK for side in sides) else limit


def _fine_light_problems(stated: StillStated, result: Comparison) -> list[str]:
    """Levels that PNG declares must lie within one unit above the measured ones."""
    if stated.fine_light is None:
        return []
    return [
        f"light: {name} is declared as {units / LUMINANCE_UNITS}, the pixels have {measured}"
        for name, units, measured in (
            ("MaxCLL", stated.fine_light[0], result.light.max_cll),
            ("MaxFALL", stated.fine_light[1], result.light.max_fall),
        )
        if not -_ARITHMETIC <= units - measured * LUMINANCE_UNITS <= 1.0
    ]
