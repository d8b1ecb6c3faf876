"""The codecs' tables of levels; only the rows that this program's sizes can need are here.

HEVC: ITU-T H.265 Tables A.8 and A.9, Main tier (read in the level table of an open encoder).
AVC: ITU-T H.264 Table A-1. AV1: bitstream specification, Annex A.3 (read in the reference encoder's table).
VP9: levels of the WebM project (read in its encoder's table). MPEG-2: ITU-T H.262 Tables 8-11 to 8-14, Main
profile (from memory; the buffer and rate of High level as an open encoder has them).
"""

import math

from knownlight.frame.format import SignalFormat
from knownlight.metadata.levels import Level, lowest_level

_HEVC_NAL_FACTOR = 1100  # bits of the NAL unit stream for a kbit of the table (clause A.4.2; from memory)
_AVC_NAL_FACTOR = 1200  # the same for Main profile (clause A.3.3; from memory)
_MACROBLOCK = 16


def _longest(picture: int) -> int:
    """No side of a HEVC or AVC picture may be longer than the root of eight times the largest one."""
    return math.isqrt(8 * picture)


def _hevc(name: str, picture: int, rate: int, kbits: int, min_compression: int) -> Level:
    return Level(
        name=name,
        picture=picture,
        rate=rate,
        width=_longest(picture),
        height=_longest(picture),
        bits_per_second=_HEVC_NAL_FACTOR * kbits,
        buffer_bits=_HEVC_NAL_FACTOR * kbits,
        min_compression=min_compression,
    )


def _avc(name: str, block_rate: int, blocks: int, kbits: int) -> Level:
    samples = _MACROBLOCK * _MACROBLOCK
    return Level(
        name=name,
        picture=samples * blocks,
        rate=samples * block_rate,
        width=_MACROBLOCK * math.isqrt(8 * blocks),
        height=_MACROBLOCK * math.isqrt(8 * blocks),
        bits_per_second=_AVC_NAL_FACTOR * kbits,
        buffer_bits=_AVC_NAL_FACTOR * kbits,  # the table's buffers are as large or larger
        block=_MACROBLOCK,
    )


def _av1(name: str, sizes: tuple[int, int, int], rate: int, megabits: int, compression: int) -> Level:
    """sizes: samples of a picture, and its longest sides."""
    bits = 1_000_000 * megabits
    return Level(
        name=name,
        picture=sizes[0],
        rate=rate,
        width=sizes[1],
        height=sizes[2],
        bits_per_second=bits,
        buffer_bits=bits,  # one second at the largest rate, Annex E
        min_compression=compression,
    )


def _vp9(name: str, rate: int, picture: int, side: int, kbits: tuple[int, int]) -> Level:
    """kbits: a second, and of the buffer."""
    return Level(
        name=name,
        picture=picture,
        rate=rate,
        width=side,
        height=side,
        bits_per_second=1000 * kbits[0],
        buffer_bits=1000 * kbits[1],
    )


def _mpeg2(name: str, width: int, height: int, rate: int, bits: tuple[int, int]) -> Level:
    """bits: a second, and of the buffer."""
    return Level(
        name=name,
        picture=width * height,
        rate=rate,
        width=width,
        height=height,
        bits_per_second=bits[0],
        buffer_bits=bits[1],
    )


HEVC_LEVELS = (
    _hevc("3", 552_960, 16_588_800, 6_000, 2),
    _hevc("3.1", 983_040, 33_177_600, 10_000, 2),
    _hevc("4", 2_228_224, 66_846_720, 12_000, 4),
    _hevc("4.1", 2_228_224, 133_693_440, 20_000, 4),
    _hevc("5", 8_912_896, 267_386_880, 25_000, 6),
    _hevc("5.1", 8_912_896, 534_773_760, 40_000, 8),
    _hevc("5.2", 8_912_896, 1_069_547_520, 60_000, 8),
    _hevc("6", 35_651_584, 1_069_547_520, 60_000, 8),
    _hevc("6.1", 35_651_584, 2_139_095_040, 120_000, 8),
    _hevc("6.2", 35_651_584, 4_278_190_080, 240_000, 6),
)
AVC_LEVELS = (
    _avc("3", 40_500, 1_620, 10_000),
    _avc("3.1", 108_000, 3_600, 14_000),
    _avc("3.2", 216_000, 5_120, 20_000),
    _avc("4", 245_760, 8_192, 20_000),
    _avc("4.1", 245_760, 8_192, 50_000),
    _avc("4.2", 522_240, 8_704, 50_000),
    _avc("5.1", 983_040, 36_864, 240_000),
    _avc("5.2", 2_073_600, 36_864, 240_000),
    _avc("6", 4_177_920, 139_264, 240_000),
    _avc("6.1", 8_355_840, 139_264, 480_000),
    _avc("6.2", 16_711_680, 139_264, 800_000),
)
AV1_LEVELS = (
    _av1("3.0", (665_856, 4352, 2448), 19_975_680, 6, 2),
    _av1("3.1", (1_065_024, 5504, 3096), 31_950_720, 10, 2),
    _av1("4.0", (2_359_296, 6144, 3456), 70_778_880, 12, 4),
    _av1("4.1", (2_359_296, 6144, 3456), 141_557_760, 20, 4),
    _av1("5.0", (8_912_896, 8192, 4352), 267_386_880, 30, 6),
    _av1("5.1", (8_912_896, 8192, 4352), 534_773_760, 40, 8),
    _av1("5.2", (8_912_896, 8192, 4352), 1_069_547_520, 60, 8),
    _av1("6.0", (35_651_584, 16384, 8704), 1_069_547_520, 60, 8),
    _av1("6.1", (35_651_584, 16384, 8704), 2_139_095_040, 100, 8),
    _av1("6.2", (35_651_584, 16384, 8704), 4_278_190_080, 160, 8),
)
VP9_LEVELS = (
    _vp9("3", 20_736_000, 552_960, 2048, (7_200, 6_000)),
    _vp9("3.1", 36_864_000, 983_040, 2752, (12_000, 10_000)),
    _vp9("4", 83_558_400, 2_228_224, 4160, (18_000, 16_000)),
    _vp9("4.1", 160_432_128, 2_228_224, 4160, (30_000, 18_000)),
    _vp9("5", 311_951_360, 8_912_896, 8384, (60_000, 36_000)),
    _vp9("5.1", 588_251_136, 8_912_896, 8384, (120_000, 46_000)),
    _vp9("5.2", 1_176_502_272, 8_912_896, 8384, (180_000, 90_000)),
    _vp9("6", 1_176_502_272, 35_651_584, 16832, (180_000, 90_000)),
    _vp9("6.1", 2_353_004_544, 35_651_584, 16832, (240_000, 180_000)),
    _vp9("6.2", 4_706_009_088, 35_651_584, 16832, (480_000, 360_000)),
)
MPEG2_LEVELS = (
    _mpeg2("Main", 720, 576, 10_368_000, (15_000_000, 1_835_008)),
    _mpeg2("High", 1920, 1152, 62_668_800, (80_000_000, 9_781_248)),
)


def hevc_level(signal: SignalFormat) -> Level:
    """The lowest HEVC level that holds this signal; CannotCarry where none does."""
    return lowest_level(HEVC_LEVELS, signal, "HEVC")


def avc_level(signal: SignalFormat) -> Level:
    """The lowest AVC level that holds this signal; CannotCarry where none does."""
    return lowest_level(AVC_LEVELS, signal, "AVC")


def av1_level(signal: SignalFormat) -> Level:
    """The lowest AV1 level that holds this signal; CannotCarry where none does."""
    return lowest_level(AV1_LEVELS, signal, "AV1")


def vp9_level(signal: SignalFormat) -> Level:
    """The lowest VP9 level that holds this signal; CannotCarry where none does."""
    return lowest_level(VP9_LEVELS, signal, "VP9")


def mpeg2_level(signal: SignalFormat) -> Level:
    """The lower MPEG-2 level that holds this signal; CannotCarry where none does."""
    return lowest_level(MPEG2_LEVELS, signal, "MPEG-2")
