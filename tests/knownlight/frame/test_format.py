"""The written form of signal formats and what each kind of signal declares (vectors/h273.toml)."""

import copy
import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.format import SIZES, Scan, parse_signal_format
from knownlight.frame.rates import RATES
from knownlight.signal import matrix, primaries
from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import Components, Transfer

STEADY = settings(deadline=None, derandomize=True)
VECTORS = tomllib.loads((Path(__file__).parents[2] / "vectors" / "h273.toml").read_text("utf-8"))


# Sizes: BT.709 (1080), BT.2020 (2160, 4320), SMPTE ST 296 (720), from memory. Usual depths and primaries of
# SDR, PQ and HLG signals: common practice, no source.
@pytest.mark.parametrize(
    ("text", "size", "rate", "transfer", "usual"),
    [
        ("2160p60-pq", (3840, 2160), Fraction(60), Transfer.PQ, (10, "bt2020")),
        ("1080p23.976-sdr", (1920, 1080), Fraction(24000, 1001), Transfer.SDR, (8, "bt709")),
        ("4320p50-hlg", (7680, 4320), Fraction(50), Transfer.HLG, (10, "bt2020")),
        ("720p59.94-sdr", (1280, 720), Fraction(60000, 1001), Transfer.SDR, (8, "bt709")),
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


@STEADY
@given(
    st.sampled_from(sorted(SIZES)),
    st.sampled_from([scan.value for scan in Scan]),
    st.sampled_from(sorted(RATES)),
    st.sampled_from([transfer.value for transfer in Transfer]),
)
def test_every_name_is_read_again(height: int, scan: str, rate: str, transfer: str) -> None:
    """Each combination of size, scan, rate and transfer is written as it was read."""
    name = f"{height}{scan}{rate}-{transfer}"
    assert name == parse_signal_format(name).name


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


@pytest.mark.parametrize("transfer", ["sdr", "srgb", "pq", "hlg"])
def test_declared_code_points(transfer: str) -> None:
    """Primaries, transfer, matrix and chroma location are the integers of the vectors."""
    signal = parse_signal_format(f"1080p50-{transfer}")
    assert VECTORS["declared"][transfer] == [*map(int, signal.code_points), int(signal.siting)]


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
    """SDR is BT.709 throughout, PQ and HLG are BT.2020 non-constant luminance."""
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
        ("480p60-sdr", {}, r"'480p60-sdr': standard definition is not made by this version; use 720 or more"),
        ("576i25-sdr", {}, r"'576i25-sdr': standard definition is not made by this version"),
        ("1440p60-pq", {}, r"'1440p60-pq': 1440 is no known size; use one of 720, 1080, 2160, 4320"),
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
            r"primaries 'dci' are not known; use one of bt709, p3-d65, bt2020",
        ),
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
