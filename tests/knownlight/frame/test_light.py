"""Light of pixels: CTA-861.3 as H.264 clause D.2.31 restates it, by hand and against scalar claims."""

from dataclasses import replace

import numpy as np
import pytest

from knownlight.frame.claims import Claims, LightLevels, content_light, luma_signal
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.light import LightMeter, frame_light, light_levels
from knownlight.frame.planes import Frame, grey_frame, plane_shapes, sample_type
from knownlight.signal.arrays import PlaneArray

AGAINST_CLAIMS = (
    3e-13  # relative, measured 3.5e-16; over all codes powers of arrays and single numbers: 1.4e-13
)
MEAN_AGAINST_EXACT = 1e-15  # relative, measured 2e-16
WIDTH, HEIGHT = 32, 130  # more rows than two stripes of 64, and a last one that is not whole


def small(text: str, components: str = "4:2:0") -> SignalFormat:
    """A format of few pixels."""
    return replace(parse_signal_format(text, components=components), width=WIDTH, height=HEIGHT)


def flat(signal: SignalFormat, codes: tuple[int, int, int]) -> Frame:
    """A picture of one colour."""
    kind = sample_type(signal.depth)
    first, second, third = (
        np.full(shape, code, dtype=kind) for shape, code in zip(plane_shapes(signal), codes, strict=True)
    )
    return Frame(signal, (first, second, third))


def figures(levels: LightLevels) -> list[float]:
    """The four figures in order."""
    return [levels.max_cll, levels.max_fall, levels.fall, levels.apl_percent]


@pytest.mark.parametrize("text", ["720p60-sdr", "720p60-pq", "720p60-hlg"])
def test_grey_picture_has_the_light_of_its_claims(text: str) -> None:
    """A picture of two greys measures as its scalar claims say."""
    signal = small(text)
    white, black = signal.quantisation.white - 9, signal.quantisation.black + 3
    luma: PlaneArray = np.full((HEIGHT, WIDTH), black, dtype=sample_type(signal.depth))
    luma[10:80, 4:20] = white
    grey = signal.encoding.grey
    lit = 70 * 16
    claimed = Claims(areas={grey(white): lit, grey(black): WIDTH * HEIGHT - lit}).light(signal.encoding)
    assert claimed is not None
    np.testing.assert_allclose(
        figures(claimed), figures(light_levels([grey_frame(signal, luma)])), rtol=AGAINST_CLAIMS
    )


@pytest.mark.parametrize("text", ["720p60-sdr", "720p60-pq", "720p60-hlg"])
@pytest.mark.parametrize("components", ["4:2:0", "4:4:4", "rgb"])
def test_coloured_picture_has_the_light_of_its_colour(text: str, components: str) -> None:
    """A flat colour measures as the largest component of its light, and as its own luma."""
    signal = small(text, components)
    scale = 1 << (signal.depth - 8)
    codes = (100 * scale, 140 * scale, 120 * scale)
    expected = [
        content_light(signal.encoding, codes),
        content_light(signal.encoding, codes),
        100.0 * luma_signal(signal.encoding, codes),
    ]
    np.testing.assert_allclose(expected, frame_light(flat(signal, codes)), rtol=AGAINST_CLAIMS)


# By hand: KB of BT.2020 is 0.0593; code 721 in PQ is (721 - 64) / 876 = 0.75 of signal.
def test_pure_blue_counts_as_a_grey() -> None:
    """Content light is max(R, G, B): pure blue counts as the grey of its level (D.2.31 note 2)."""
    signal = small("720p60-pq", "rgb")
    largest, mean, apl = frame_light(flat(signal, (64, 64, 721)))
    expected = signal.encoding.grey_luminance(721)
    np.testing.assert_allclose([expected, expected], [largest, mean], rtol=AGAINST_CLAIMS)
    np.testing.assert_allclose(100.0 * 0.0593 * 657 / 876, apl, rtol=MEAN_AGAINST_EXACT)


def test_a_neutral_picture_measures_alike_on_both_ways() -> None:
    """One coloured pixel sends a picture the long way, and moves the figures by no more than that pixel."""
    signal = small("720p60-pq", "4:4:4")
    grey = flat(signal, (509, 512, 512))
    first = grey.planes[1].copy()
    first[0, 0] = 513
    coloured = Frame(signal, (grey.planes[0], first, grey.planes[2]))
    short, long = frame_light(grey), frame_light(coloured)
    one_pixel = (content_light(signal.encoding, (509, 513, 512)) - short[1]) / (WIDTH * HEIGHT)
    np.testing.assert_allclose(short[1] + one_pixel, long[1], rtol=AGAINST_CLAIMS)
    np.testing.assert_allclose(short[2], long[2], rtol=AGAINST_CLAIMS)


# By hand: one red chroma sample in the middle of a picture is interpolated over three columns and four rows
# at the left siting; the site itself has it whole across, and 3/4 of it in its two nearest rows.
def test_subsampled_chroma_is_interpolated_first() -> None:
    """At 4:2:0 the brightest pixel is that of the interpolated 4:4:4 picture, not of the stored sample."""
    signal = small("720p60-sdr")
    frame = flat(signal, (126, 128, 128))
    red = frame.planes[2].copy()
    red[20, 8] = 168
    nearest = content_light(signal.encoding, (126, 128, 128 + 30))
    largest, _, _ = frame_light(Frame(signal, (frame.planes[0], frame.planes[1], red)))
    np.testing.assert_allclose(nearest, largest, rtol=AGAINST_CLAIMS)


# By hand: black and white by turns in SDR. MaxFALL is of the brightest frame, FALL and APL of all.
def test_levels_of_several_frames() -> None:
    """MaxCLL and MaxFALL are the largest of any frame, FALL and APL the means of all."""
    signal = small("720p60-sdr")
    frames = [flat(signal, (code, 128, 128)) for code in (16, 235, 16, 16)]
    expected = [100.0, 100.0, 25.0, 25.0]
    np.testing.assert_allclose(expected, figures(light_levels(frames)), rtol=MEAN_AGAINST_EXACT)


def test_a_held_frame_counts_again() -> None:
    """Counting the last frame again is the same as looking at it again."""
    signal = small("720p60-sdr")
    frames = [flat(signal, (code, 128, 128)) for code in (16, 235)]
    meter = LightMeter()
    for frame in frames:
        meter.add(frame)
    meter.add_again()
    meter.add_again()
    expected = light_levels([*frames, frames[-1], frames[-1]])
    assert expected == meter.levels
