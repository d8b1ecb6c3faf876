"""The user's own picture: encodings and primaries against colour-science, pans by whole pixels by hand."""

import warnings
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.picture import Decode, Fit, placed, scaled_size
from knownlight.frame.sources import Cycle, Levels, Still
from knownlight.signal.arrays import FloatArray
from patterns.picture import DECODERS, BuiltIn, Picture
from patterns.registry import build
from tests.patterns.outside_light import fine_signal, xyz_of

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour

STEADY = settings(deadline=None, derandomize=True)
SMALL = replace(parse_signal_format("720p50-sdr"), width=64, height=36)
SPACES = {"bt709": "ITU-R BT.709", "p3-d65": "P3-D65", "bt2020": "ITU-R BT.2020"}
CURVES = 1e-14  # relative; measured 0
CODE_LIGHT = 1.3e-3  # of Y: half a code of 12 bits in each of R', G', B'; measured 1.28e-3, of PQ


@dataclass(frozen=True)
class Flat:
    """A picture of one colour."""

    sample: tuple[float, float, float]
    shape: tuple[int, int] = (36, 64)
    name: str = "flat.png"
    sha256: str = "0"

    def fitted(self, rows: int, columns: int, fit: Fit, decode: Decode) -> FloatArray:
        """Linear light, all over its place."""
        height, width = scaled_size(self.shape, rows, columns, fit)
        return placed(decode(np.broadcast_to(np.array(self.sample), (height, width, 3))), rows, columns)


@dataclass(frozen=True)
class Noise:
    """A picture whose columns all differ."""

    shape: tuple[int, int]
    name: str = "noise.png"
    sha256: str = "0"

    def fitted(self, rows: int, columns: int, fit: Fit, decode: Decode) -> FloatArray:  # noqa: ARG002
        """Linear light that only the size decides."""
        return decode(np.random.default_rng(7).random((rows, columns, 3)))


def triple(pattern: Picture, signal: SignalFormat, row: int = 0, column: int = 0) -> tuple[int, int, int]:
    """Codes of a place, by luma row and column."""
    planes = pattern.draw(signal).frame(0).planes
    first, second, third = (
        int(plane[row * plane.shape[0] // signal.height, column * plane.shape[1] // signal.width])
        for plane in planes
    )
    return first, second, third


def fine(transfer: str) -> SignalFormat:
    """Few pixels of the finest codes."""
    return replace(fine_signal(transfer), width=8, height=4)


def flat(sample: float | tuple[float, float, float], **keys: Any) -> Picture:
    """A flat picture with some parameters."""
    colour_of = sample if isinstance(sample, tuple) else (sample, sample, sample)
    return Picture(file=Flat(colour_of), **keys)


def test_encodings_agree_with_colour_science() -> None:
    """What samples mean in cd/m²: sRGB and linear by the white, PQ by itself."""
    samples = np.linspace(0.0, 1.0, 1025)
    expected = {
        "srgb": 203.0 * colour.models.eotf_sRGB(samples),
        "linear": 203.0 * samples,
        "pq": colour.models.eotf_ST2084(samples),
    }
    assert set(expected) == set(DECODERS)
    for name, light in expected.items():
        np.testing.assert_allclose(light, DECODERS[name](samples, 203.0), rtol=CURVES)


# colour-science: sRGB 188 / 255 is 0.50289 of white, so 50.289 cd/m² of 100 and 102.09 of 203.
@pytest.mark.parametrize(("transfer", "white"), [("sdr", 100.0), ("pq", 203.0), ("hlg", 203.0)])
def test_white_is_the_usual_one_unless_stated(transfer: str, white: float) -> None:
    """Sample 1 is 100 cd/m² in SDR, 203 in PQ and HLG (BT.2408, second-hand); a stated white goes first."""
    half = float(colour.models.eotf_sRGB(188.0 / 255.0))
    assert pytest.approx(0.50289, abs=1e-5) == half
    signal = fine(transfer)
    for keys, expected in (({}, white), ({"white_luminance": 80.0}, 80.0)):
        for sample, share in ((1.0, 1.0), (188.0 / 255.0, half)):
            found = xyz_of(signal, triple(flat(sample, **keys), signal))
            np.testing.assert_allclose(share * expected, found[1], rtol=CODE_LIGHT)


# By hand: 0.25 of 100 cd/m² is code 139 in 8-bit SDR (BT.1886), 1 is 235; more than white is cut to white.
@pytest.mark.parametrize(("sample", "code"), [(0.0, 16), (0.25, 139), (1.0, 235), (7.5, 235), (-1.0, 16)])
def test_linear_samples(sample: float, code: int) -> None:
    """Linear samples are light at once; what the signal does not hold is clipped."""
    assert (code, 128, 128) == triple(flat(sample, encoding="linear"), SMALL)


# BT.2408 (second-hand): 203 cd/m² is 58 % of PQ and 75 % of HLG; ST 2084: 0.58 of signal is 201.7 cd/m².
def test_pq_samples() -> None:
    """PQ samples pass into a PQ signal as they are, by no white; in HLG they are the same light."""
    pattern = flat(0.58, encoding="pq", white_luminance=50.0)
    pq, hlg = parse_signal_format("720p50-pq"), fine("hlg")
    assert (64 + 508, 512, 512) == triple(pattern, replace(pq, width=8, height=4))  # 0.58 * 876 = 508.08
    np.testing.assert_allclose(
        float(colour.models.eotf_ST2084(0.58)), xyz_of(hlg, triple(pattern, hlg))[1], rtol=CODE_LIGHT
    )


@pytest.mark.parametrize("transfer", ["pq", "hlg"])
@pytest.mark.parametrize("primaries", SPACES)
def test_primaries_are_converted(transfer: str, primaries: str) -> None:
    """The X, Y, Z of the codes are those that colour-science's matrix of the stated primaries gives."""
    sample = (0.5, 0.3, 0.1)
    space = colour.RGB_COLOURSPACES[SPACES[primaries]]
    matrix = colour.normalised_primary_matrix(space.primaries, space.whitepoint)
    expected = matrix @ (203.0 * np.array(sample))
    signal = fine(transfer)
    found = xyz_of(signal, triple(flat(sample, encoding="linear", primaries=primaries), signal))
    np.testing.assert_allclose(expected, found, rtol=0.0, atol=CODE_LIGHT * expected[1])


# By hand: 4:3 in 64 by 36 is 48 by 36 inside, 64 by 48 cut to 36 filled; 20 by 20 lies at 22, 8.
@pytest.mark.parametrize(
    ("shape", "fit", "box"),
    [
        ((30, 40), "inside", (8, 0, 48, 36)),
        ((30, 40), "fill", (0, 0, 64, 36)),
        ((20, 20), "pixels", (22, 8, 20, 20)),
        ((10, 100), "inside", (0, 15, 64, 6)),
        ((100, 100), "pixels", (0, 0, 64, 36)),
    ],
)
def test_fits(shape: tuple[int, int], fit: str, box: tuple[int, int, int, int]) -> None:
    """Where a picture of another shape lies; around it is black."""
    x, y, width, height = box
    luma = Picture(file=Flat((1.0, 1.0, 1.0), shape), fit=fit).draw(SMALL).frame(0).planes[0]
    expected = np.full((36, 64), 16)
    expected[y : y + height, x : x + width] = 235
    np.testing.assert_array_equal(expected, luma)


def test_a_picture_stands_still_unless_told() -> None:
    """Without a speed it is one frame."""
    source = Picture(file=Noise((36, 64))).draw(SMALL)
    assert isinstance(source, Still)
    assert set() == set(Picture(file=Noise((36, 64))).claims(SMALL).notes) - {"lowest_code", "highest_code"}


# By hand: the picture is as high as the frame, 36 rows, and as wide as its shape makes it, 64 columns at
# least; the period is that width over its greatest common divisor with the speed.
@pytest.mark.parametrize(
    ("shape", "speed", "width", "period"),
    [
        ((36, 64), 2, 64, 32),
        ((36, 64), 4, 64, 16),
        ((36, 64), 6, 64, 32),
        ((36, 128), 8, 128, 16),
        ((72, 200), 10, 100, 10),
        ((360, 100), 256, 64, 1),
        ((36, 64), 24, 64, 8),
    ],
)
def test_a_pan(shape: tuple[int, int], speed: int, width: int, period: int) -> None:
    """Every frame is the one before moved left by the speed, in each plane; the last leads to the first."""
    source = Picture(file=Noise(shape), pixels_per_frame=speed).draw(SMALL)
    assert isinstance(source, Cycle)
    assert (period, Levels.CHANGING) == (source.period, source.levels)
    still = replace(SMALL, width=width)
    whole = Picture(file=Noise((36, width))).draw(still).frame(0).planes
    for index in (0, 1, period // 2, period - 1, period, period + 1):
        for plane, full in zip(source.frame(index).planes, whole, strict=True):
            each = 36 // plane.shape[0]
            columns = (np.arange(64 // each) + index * speed // each) % (width // each)
            np.testing.assert_array_equal(full[:, columns], plane)
    assert 0 == period * speed % width


# By hand: 0.5 widths of 1280 at 50 frames a second are 12.8 pixels, 12 to the nearest even; 0.75 at 60: 16.
# 1.07 are 27.39, nearer to 28 than to 26; 13/25.6 are 13, halfway, and go up. The ends are 2 and 256: 4
# widths of 1920 at 24 would be 320.
@pytest.mark.parametrize(
    ("written", "widths", "speed"),
    [
        ("720p50-sdr", 0.5, 12),
        ("720p60-sdr", 0.75, 16),
        ("720p50-sdr", 1.07, 28),
        ("720p50-sdr", 1.05, 26),
        ("720p50-sdr", 0.5078125, 14),
        ("720p50-sdr", 0.001, 2),
        ("720p24-sdr", 4.0, 214),
        ("1080p24-sdr", 4.0, 256),
    ],
)
def test_a_speed_in_widths(written: str, widths: float, speed: int) -> None:
    """Widths a second become whole even pixels a frame, which the notes tell; they go before pixels."""
    signal = parse_signal_format(written)
    pattern = Picture(file=Flat((1.0, 1.0, 1.0), (72, 128)), widths_per_second=widths, pixels_per_frame=2)
    notes = pattern.claims(signal).notes
    assert speed == notes["pixels_per_frame"]
    assert float(Fraction(speed) * signal.rate / signal.width) == notes["widths_per_second"]
    source = pattern.draw(signal)
    assert isinstance(source, Cycle)
    assert signal.width // np.gcd(signal.width, speed) == source.period


@STEADY
@given(
    widths=st.floats(0.001, 4.0), written=st.sampled_from(["720p23.976-sdr", "720p50-sdr", "1080p120-sdr"])
)
def test_a_speed_in_widths_is_the_nearest_even_one(widths: float, written: str) -> None:
    """No even speed from 2 to 256 is nearer to what was asked for, in exact fractions."""
    signal = parse_signal_format(written)
    asked = Fraction(widths) * signal.width / signal.rate
    speed = (
        Picture(file=Flat((1.0, 1.0, 1.0)), widths_per_second=widths).claims(signal).notes["pixels_per_frame"]
    )

    assert speed in range(2, 257, 2)
    assert min(abs(even - asked) for even in range(2, 257, 2)) == abs(int(speed) - asked)


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"pixels_per_frame": 3}, r"^picture: pixels_per_frame=3 is odd; use an even number$"),
        ({"pixels_per_frame": 258}, r"^picture: pixels_per_frame=258 is out of range; use 0 to 256"),
        ({"fit": "stretch"}, r"^picture: fit=stretch is not known; use one of inside, fill, pixels$"),
        ({"encoding": "hlg"}, r"^picture: encoding=hlg is not known; use one of srgb, linear, pq$"),
        ({"white_luminance": 10001}, r"^picture: white_luminance=10001 is out of range; use 0 to 10000 cd"),
        ({"file": "a.png"}, r"^picture: file=a\.png: no file can be opened here; leave it out$"),
    ],
)  # fmt: skip
def test_what_is_refused(keys: dict[str, object], words: str) -> None:
    """An odd speed, which 4:2:0 cannot move by, and words or numbers that there are not."""
    with pytest.raises(BadInput, match=words):
        build("picture", keys).claims(SMALL)


# By hand: 2402 columns in steps of 2 are 1201 frames.
def test_a_pan_that_takes_too_long_is_refused() -> None:
    """More than 1200 frames are refused, with both ways out; claims and drawing agree."""
    long, fits = (Picture(file=Noise((36, width)), pixels_per_frame=2) for width in (2402, 2400))
    for ask in (long.claims, long.draw):
        with pytest.raises(
            BadInput, match=r"^picture: the pan takes 1201 frames .* faster one.* divides 2402$"
        ):
            ask(SMALL)
    assert 1200 == fits.draw(SMALL).unrepeated(10**6)


def test_nothing_is_claimed_of_its_pixels() -> None:
    """The pixels are the user's: only the ends of the signal are told, and no code drawn lies past them."""
    for written, ends in (("720p50-sdr", (16, 235)), ("720p50-pq", (64, 940))):
        signal = replace(parse_signal_format(written), width=64, height=36)
        pattern = Picture(file=Noise((36, 64)), encoding="linear", white_luminance=10000.0)
        claims = pattern.claims(signal)
        assert not claims.regions
        assert claims.areas is None
        assert list(ends) == [claims.notes["lowest_code"], claims.notes["highest_code"]]
        luma = pattern.draw(signal).frame(0).planes[0]
        assert ends[0] <= luma.min() <= luma.max() <= ends[1]


def test_the_built_in_picture() -> None:
    """Without a file there are five discs from black to white across the middle (our own drawing)."""
    signal = parse_signal_format("720p50-sdr")
    planes = Picture(fit="inside").draw(signal).frame(0).planes
    middle = [int(planes[0][360, 160 + int((index + 0.5) * 192)]) for index in range(5)]
    # sRGB of 0, 1/4, 2/4, 3/4 and 1 by colour-science, then BT.1886 of 100 cd/m² on 219 steps above 16
    light = 100.0 * colour.models.eotf_sRGB(np.arange(5) / 4.0)
    expected = 16.0 + 219.0 * colour.models.eotf_inverse_BT1886(light, L_B=0.0, L_W=100.0)
    assert [int(code + 0.5) for code in expected] == middle
    assert [16] == np.unique(planes[0][:, :160]).tolist()
    assert {"encoding": "srgb"}.items() <= build("picture", {}).parameters().items()
    assert "file" not in Picture().parameters()
    assert BuiltIn().shape == (1080, 1440)


def test_a_file_is_a_parameter_with_its_digest() -> None:
    """The manifest holds the file as it was written, and its SHA-256."""
    assert {"file": "flat.png", "file_sha256": "0"}.items() <= flat(1.0).parameters().items()
