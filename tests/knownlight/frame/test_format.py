"""The written form of signal formats and what each kind of signal declares (vectors/h273.toml)."""

import copy
import tomllib
from fractions import Fraction
from itertools import product
from pathlib import Path
from typing import Any

import pytest

from knownlight.errors import BadInput
from knownlight.frame.format import parse_signal_format
from knownlight.frame.rates import RATES
from knownlight.frame.sizes import SIZES, Scan
from knownlight.signal import matrix, primaries
from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import Components, Transfer

VECTORS = tomllib.loads((Path(__file__).parents[2] / "vectors" / "h273.toml").read_text("utf-8"))


# Sizes: BT.709 (1080), BT.2020 (2160, 4320), SMPTE ST 296 (720), BT.601 (576, 480), from memory. Usual
# depths and primaries of SDR, PQ and HLG signals: common practice, no source; of old SDR: BT.601-7.
@pytest.mark.parametrize(
    ("text", "size", "rate", "transfer", "usual"),
    [
        ("2160p60-pq", (3840, 2160), Fraction(60), Transfer.PQ, (10, "bt2020")),
        ("1080p23.976-sdr", (1920, 1080), Fraction(24000, 1001), Transfer.SDR, (8, "bt709")),
        ("4320p50-hlg", (7680, 4320), Fraction(50), Transfer.HLG, (10, "bt2020")),
        ("720p59.94-sdr", (1280, 720), Fraction(60000, 1001), Transfer.SDR, (8, "bt709")),
        ("576p50-sdr", (720, 576), Fraction(50), Transfer.SDR, (8, "bt601-625")),
        ("480p29.97-sdr", (720, 480), Fraction(30000, 1001), Transfer.SDR, (8, "bt601-525")),
    ],
)
def test_written_form_with_usual_options(
    text: str, size: tuple[int, int], rate: Fraction, transfer: Transfer, usual: tuple[int, str]
) -> None:
    """The written form alone gives size, rate, transfer and the usual options."""
    signal = parse_signal_format(text)
    assert size == (signal.width, signal.height)
    assert rate == signal.rate
    assert transfer is signal.transfer
    assert text == signal.name
    depth, content = usual
    assert {"depth": depth, "range": "narrow", "primaries": content, "components": "4:2:0"} == signal.options
    assert Scan.PROGRESSIVE is signal.scan


def test_interlaced_and_spaces_around() -> None:
    """An i is interlaced; spaces around the written form are ignored."""
    signal = parse_signal_format(" 1080i25-sdr\n")
    assert Scan.INTERLACED is signal.scan
    expected = "1080i25-sdr"
    assert expected == signal.name


# Interlaced: BT.709-6 and BT.601-7 have 1080, 576 and 480 lines; BT.2100 is progressive. The rates of
# standard definition are those of 625 and 525 lines, whole frames and fields (common practice).
OLD = {
    "480p29.97-sdr", "480p59.94-sdr", "480i29.97-sdr", "576p25-sdr", "576p50-sdr", "576i25-sdr",
    "1080i25-sdr", "1080i29.97-sdr", "1080i30-sdr",
}  # fmt: skip


def test_every_name_is_read_again_or_a_real_one_is_named() -> None:
    """Each combination of size, scan, rate and transfer is written as it was read, or refused.

    What is refused names a format that there is. All of progressive high definition is one.
    """
    read, named = set(), set()
    for height, scan, rate, transfer in product(SIZES, Scan, RATES, Transfer):
        name = f"{height}{scan.value}{rate}-{transfer.value}"
        try:
            signal = parse_signal_format(name)
        except BadInput as error:
            named.add(str(error).rpartition("; use ")[2])
        else:
            assert name == signal.name
            read.add(name)
    high = {
        f"{height}p{rate}-{kind.value}"
        for height in (720, 1080, 2160, 4320)
        for rate in RATES
        for kind in Transfer
    }
    assert high | OLD == read
    assert named < read


@pytest.mark.parametrize(
    ("frames", "fields"),
    [
        ("1080i25-sdr", "1080p50-sdr"),
        ("1080i29.97-sdr", "1080p59.94-sdr"),
        ("576i25-sdr", "576p50-sdr"),
        ("480i29.97-sdr", "480p59.94-sdr"),
        ("720p24-sdr", "720p24-sdr"),
    ],
)
def test_fields_are_taken_from_twice_as_many_pictures(frames: str, fields: str) -> None:
    """Two fields a frame (BT.709-6, BT.601-7); a progressive format is its own. Options stay."""
    assert parse_signal_format(fields, depth=10) == parse_signal_format(frames, depth=10).fields


@pytest.mark.parametrize(
    ("name", "aspect"),
    [
        ("576i25-sdr", Fraction(64, 45)),
        ("480i29.97-sdr", Fraction(32, 27)),
        ("1080i25-sdr", Fraction(1)),
        ("2160p60-pq", Fraction(1)),
    ],
)
def test_pixels_are_square_but_of_standard_definition(name: str, aspect: Fraction) -> None:
    """720 pixels are shown at 16:9 (common practice, no source): 16/9 · 576/720 and 16/9 · 480/720."""
    signal = parse_signal_format(name)
    assert aspect == signal.pixel_aspect
    assert Fraction(16, 9) == signal.pixel_aspect * signal.width / signal.height


# IEC 61966-2-1: 8 bits from 0 to 255, primaries of BT.709.
def test_srgb_is_of_full_range() -> None:
    """An sRGB signal is of 8 bits and full range unless told, and no kind of HDR."""
    signal = parse_signal_format("1080p60-srgb")
    expected = {"depth": 8, "range": "full", "primaries": "bt709", "components": "4:2:0"}
    assert expected == signal.options
    hdr = {text: parse_signal_format(f"1080p60-{text}").is_hdr for text in ("sdr", "srgb", "pq", "hlg")}
    assert {"sdr": False, "srgb": False, "pq": True, "hlg": True} == hdr


def test_options_are_kept() -> None:
    """Given options replace the usual ones and come out again for a manifest."""
    signal = parse_signal_format(
        "2160p24-pq", depth=12, code_range="full", content_primaries="p3-d65", components="rgb"
    )
    options = {"depth": 12, "range": "full", "primaries": "p3-d65", "components": "rgb"}
    assert options == signal.options
    assert CodeRange.FULL is signal.quantisation.code_range
    expected = (12, 4095)
    assert expected == (signal.quantisation.depth, signal.quantisation.white)


@pytest.mark.parametrize(
    ("name", "row"),
    [
        ("1080p50-sdr", "sdr"),
        ("1080i25-sdr", "sdr"),
        ("1080p50-srgb", "srgb"),
        ("1080p50-pq", "pq"),
        ("1080p50-hlg", "hlg"),
        ("576i25-sdr", "sdr-625"),
        ("480p59.94-sdr", "sdr-525"),
    ],
)
def test_declared_code_points(name: str, row: str) -> None:
    """Primaries, transfer, matrix and chroma location are the integers of the vectors."""
    signal = parse_signal_format(name)
    assert VECTORS["declared"][row] == [*map(int, signal.code_points), int(signal.siting)]


def test_rgb_declares_the_identity_matrix() -> None:
    """R'G'B' components declare matrix 0 (H.273 Table 4) and the same primaries and transfer."""
    expected = (9, 16, 0)
    assert expected == parse_signal_format("1080p50-pq", components="rgb").code_points


def test_p3_content_travels_in_bt2020() -> None:
    """Codes of P3 content are relative to BT.2020, and so is what the file declares."""
    signal = parse_signal_format("2160p24-pq", content_primaries="p3-d65")
    assert primaries.P3_D65 is signal.content_primaries
    assert primaries.BT2020 is signal.container_primaries is signal.encoding.primaries
    expected = 9
    assert expected == signal.code_points[0]


def test_encoding_follows_the_kind_of_signal() -> None:
    """SDR is BT.709 or BT.601 throughout, PQ and HLG are BT.2020 non-constant luminance."""
    old = [parse_signal_format(name).encoding for name in ("576i25-sdr", "480i29.97-sdr")]
    assert [primaries.BT601_625, primaries.BT601_525] == [encoding.primaries for encoding in old]
    assert [matrix.BT601_625, matrix.BT601_525] == [encoding.matrix for encoding in old]
    sdr, pq = parse_signal_format("1080p50-sdr"), parse_signal_format("1080p50-pq")
    assert primaries.BT709 is sdr.encoding.primaries
    assert matrix.BT709 is sdr.encoding.matrix
    assert primaries.BT2020 is pq.encoding.primaries
    assert matrix.BT2020_NCL is pq.encoding.matrix
    assert Components.YCBCR_420 is pq.encoding.components
    assert pq.quantisation == pq.encoding.quantisation


def test_another_size() -> None:
    """Only the size changes."""
    signal = parse_signal_format("2160p24-pq", depth=12, content_primaries="p3-d65")
    expected = parse_signal_format("720p24-pq", depth=12, content_primaries="p3-d65")
    assert expected == signal.resized(720)
    expected = parse_signal_format("576p50-sdr", depth=10)
    assert expected == parse_signal_format("1080p50-sdr", depth=10).resized(576)


@pytest.mark.parametrize("text", ["2160p24-pq", "2160p24-sdr"])
def test_a_copy_is_as_good_as_the_format(text: str) -> None:
    """A deep copy, as one that went through another process, is equal and can be resized."""
    signal = parse_signal_format(text)
    again = copy.deepcopy(signal)
    assert signal == again
    assert signal.resized(1080) == again.resized(1080)


# SDR in BT.709 primaries and PQ and HLG in wider ones is this program's choice; the size rule is its own too.
@pytest.mark.parametrize(
    ("text", "options", "words"),
    [
        (
            "2160p60",
            {},
            r"signal format '2160p60' is not written SIZE SCAN RATE - TRANSFER; write 2160p60-pq",
        ),
        ("pq", {}, r"is not written SIZE SCAN RATE - TRANSFER"),
        ("2160P60-PQ", {}, r"is not written SIZE SCAN RATE - TRANSFER"),
        ("480p60-sdr", {}, r"480p60-sdr: 480p comes at 29.97, 59.94 frames a second; use 480p59.94-sdr$"),
        ("576i50-sdr", {}, r"576i50-sdr: 576i comes at 25 frames a second; use 576i25-sdr$"),
        ("1080i60-sdr", {}, r"1080i60-sdr: 1080i comes at 25, 29.97, 30 frames a second; use 1080i30-sdr$"),
        ("720i25-sdr", {}, r"pictures have 1080, 576 or 480 lines \(BT.709, BT.601\); use 720p50-sdr$"),
        ("1080i25-hlg", {}, r"hlg has progressive pictures of high definition only; use 1080p50-hlg$"),
        ("576p50-pq", {}, r"pq has progressive pictures of high definition only; use 720p50-pq$"),
        ("576p50-srgb", {}, r"srgb has progressive pictures of high definition only; use 720p50-srgb$"),
        ("1440p60-pq", {}, r"'1440p60-pq': 1440 is no known size; use one of 480, 576, 720, 1080, 2160"),
        ("2160p60-dv", {}, r"'2160p60-dv': 'dv' is none of sdr, srgb, pq, hlg"),
        ("2160p61-pq", {}, r"'2160p61-pq': frame rate '61' is not known; use one of 23\.976, 24"),
        (
            "2160p60-pq",
            {"depth": 8, "code_range": "full"},
            r"pq at full range needs 10 bits or more .* forbid it at 8\); use --depth 10 or --range narrow",
        ),
        ("2160p60-hlg", {"depth": 8, "code_range": "full"}, r"hlg at full range needs 10 bits or more"),
        ("2160p60-pq", {"code_range": "tv"}, r"range 'tv' is not known; use one of narrow, full"),
        (
            "2160p60-pq",
            {"components": "4:2:2"},
            r"components '4:2:2' is not known; use one of 4:2:0, 4:4:4, rgb",
        ),
        (
            "2160p60-pq",
            {"content_primaries": "dci"},
            r"primaries 'dci' are not known; use one of bt709, p3-d65, bt2020, bt601-625, bt601-525",
        ),
        ("576p50-sdr", {"content_primaries": "bt709"}, r"carry bt601-625 primaries; leave out bt709$"),
        ("480i29.97-sdr", {"content_primaries": "bt601-625"}, r"carry bt601-525 primaries; leave out bt601"),
        ("1080i25-sdr", {"content_primaries": "bt601-625"}, r"carry bt709 primaries; leave out bt601-625$"),
        ("2160p24-hlg", {"content_primaries": "bt601-525"}, r"bt2020 or p3-d65 primaries; leave out bt601"),
        ("1080p60-sdr", {"content_primaries": "bt2020"}, r"sdr signals carry bt709 primaries; use pq or hlg"),
        ("1080p60-srgb", {"content_primaries": "p3-d65"}, r"srgb signals carry bt709 primaries"),
        ("1080p60-srgb", {"code_range": "narrow"}, r"srgb codes are of full range .*; use --range full"),
        (
            "1080p60-pq",
            {"content_primaries": "bt709"},
            r"pq signals carry bt2020 or p3-d65 primaries; leave out bt709",
        ),
        ("1080p60-sdr", {"depth": 9}, r"depth 9 is not a bit depth of these standards; use 8, 10 or 12"),
    ],
)
def test_what_is_no_format_is_refused(text: str, options: dict[str, Any], words: str) -> None:
    """Anything that is no format is refused at once, with the part that is wrong and the remedy."""
    with pytest.raises(BadInput, match=words):
        parse_signal_format(text, **options)


@pytest.mark.parametrize("size", [(1921, 1080), (1920, 1081)])
def test_odd_sizes_are_refused(size: tuple[int, int]) -> None:
    """Odd sizes have no 4:2:0 planes."""
    width, height = size
    signal = parse_signal_format("1080p60-sdr")
    with pytest.raises(BadInput, match=rf"size {width}x{height} is odd; 4:2:0 pictures need even sizes"):
        type(signal)(
            width=width,
            height=height,
            scan=signal.scan,
            rate=signal.rate,
            transfer=signal.transfer,
            depth=signal.depth,
            content_primaries=signal.content_primaries,
        )


# H.264 clause E.2.1: transfer 16 and 18 are forbidden with full range below 10 bits, and only then.
def test_pq_at_8_bits_narrow_and_10_bits_full_are_allowed() -> None:
    """The refusal above is not wider than the standard's."""
    allowed = [
        parse_signal_format("1080p60-pq", depth=8),
        parse_signal_format("1080p60-pq", depth=10, code_range="full"),
        parse_signal_format("1080p60-sdr", depth=8, code_range="full"),
    ]
    expected = [235, 1023, 255]
    assert expected == [signal.quantisation.white for signal in allowed]
