"""The measures on clips that a poor encoder made, against ffmpeg's own figures for the same clips."""

import re
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import pytest

from knownlight.ffmpeg import Stop
from knownlight.stress.any_file import Measured, measure
from knownlight.stress.cambi import cambi
from tests.knownlight.stress.conftest import CodeFog

LADDER = (8, 12, 16, 20, 24)  # constant rate factors; above 24 the picture collapses and the ratio falls back
AGREEMENT = 0.9  # rank correlation; our own earlier measurements of 320 encodes found 0.91 to 0.94
_BLOCK = re.compile(rb"lavfi\.block=([-\w.]+)")


def ratio(measured: Measured) -> float:
    """At 8 pixels."""
    grid = measured.parts[0].figures.grid(8)
    assert grid is not None
    return grid.ratio


def ranks_agree(first: Sequence[float], second: Sequence[float]) -> float:
    """Spearman's rank correlation of values without ties."""
    a, b = (np.argsort(np.argsort(values)) for values in (first, second))
    return float(np.corrcoef(a, b)[0, 1])


def test_rank_correlation_of_known_order() -> None:
    """Spearman: 1 - 6 * sum of squared rank differences / (n^3 - n), by hand, one swap in 4."""
    assert [1.0, -1.0, 0.8] == pytest.approx(
        [ranks_agree([1, 2, 3, 4], order) for order in ([1, 5, 6, 9], [4, 3, 2, 1], [1, 3, 2, 4])]
    )


@pytest.mark.parametrize("seed", [11, 12])
def test_the_ratio_grows_with_the_coarseness_of_coding(seed: int, code_fog: CodeFog, stop: Stop) -> None:
    """Seeds that no scale was made with: each step of the ladder is blockier and flatter."""
    found = [measure(code_fog(seed=seed, crf=crf), stop, period=8) for crf in LADDER]

    for rising in (
        [ratio(each) for each in found],
        [each.parts[0].figures.flat8 for each in found],
    ):
        assert sorted(rising) == rising
    assert ratio(found[0]) < 4.0
    assert ratio(found[-1]) > 8.0


def test_the_ratio_agrees_with_blockdetect_in_rank(
    code_fog: CodeFog, run_ffmpeg: Callable[..., bytes], stop: Stop
) -> None:
    """Muijs and Kirenko's measure as ffmpeg has it: other arithmetic, the same order of clips."""
    paths = [code_fog(seed=seed, crf=crf) for seed in (11, 12) for crf in LADDER[:4]]
    theirs = []
    for path in paths:
        words = run_ffmpeg(
            "-i", path, "-vf", "select=not(mod(n\\,5)),blockdetect,metadata=print:file=-", "-f", "null", "-"
        )
        values = [float(value) for value in _BLOCK.findall(words)]
        assert 3 == len(values)
        theirs.append(float(np.mean(values)))

    assert np.isfinite(theirs).all()
    assert AGREEMENT < ranks_agree([ratio(measure(path, stop)) for path in paths], theirs)


def test_the_grid_of_the_coder_is_found(code_fog: CodeFog, stop: Stop) -> None:
    """AVC with 8x8 transforms: 8 pixels from the corner, and not in the clip that is nearly as drawn."""
    part = measure(code_fog(seed=11, crf=20), stop).parts[0]

    assert (8, 0, 0) == (part.grid.period, part.grid.x, part.grid.y)
    assert part.found is not None
    assert min(part.found.across, part.found.down) > 0.9


def test_one_decode_measures_what_each_by_itself_does(code_fog: CodeFog, stop: Stop) -> None:
    """CAMBI beside the other measures is that of the file alone."""
    path = code_fog(seed=11, crf=20)

    assert cambi(path, frames=None, every=5, stop=stop) == measure(path, stop).banding.cambi


def test_a_crop_of_the_file_is_found_shifted(
    code_fog: CodeFog, run_ffmpeg: Callable[..., bytes], tmp_path: Path, stop: Stop
) -> None:
    """As a capture may be: 13 columns and 21 rows less, kept as they are."""
    path = tmp_path / "cropped.mkv"
    crop = "format=yuv444p,crop=640:400:13:21:exact=1"
    run_ffmpeg("-i", code_fog(seed=11, crf=20), "-vf", crop, "-c:v", "ffv1", path)

    part = measure(path, stop).parts[0]
    assert (8, -13 % 8, -21 % 8) == (part.grid.period, part.grid.x, part.grid.y)
    whole = measure(code_fog(seed=11, crf=20), stop, crop=(13, 21, 640, 400)).parts[0]
    assert whole.figures.grids[0].ratio == pytest.approx(part.figures.grids[0].ratio, rel=1e-12)
    assert (whole.figures.flat8, whole.figures.codes_in_use) == (
        part.figures.flat8,
        part.figures.codes_in_use,
    )
