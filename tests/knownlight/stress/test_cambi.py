"""CAMBI against the same library asked in another way, and what happens to files that it does not take."""

import tempfile
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from knownlight.errors import BadInput
from knownlight.ffmpeg import Stop
from knownlight.frame.format import Scan
from knownlight.frame.geometry import Rect
from knownlight.stress.cambi import cambi, cambi_series
from tests.knownlight.stress.conftest import CodeFog

PRINTED = 1e-5  # the logs have six decimals


def of_library(run: Callable[..., bytes], path: Path, folder: Path, before: str = "null") -> list[float]:
    """CAMBI of every picture beside a whole VMAF, in the other format of log: no option of ours."""
    log = folder / "log.xml"
    both = f"{before},split[a][b];[a][b]libvmaf=feature=name=cambi:log_fmt=xml:log_path={log}"
    run("-i", path, "-vf", both, "-f", "null", "-")
    return [float(frame.attrib["cambi"]) for frame in ET.parse(log).iter("frame")]  # noqa: S314 - just written


def test_each_picture_has_the_librarys_own_figure(
    code_fog: CodeFog, run_ffmpeg: Callable[..., bytes], tmp_path: Path, stop: Stop
) -> None:
    """Every fifth picture of a file, and the mean of them."""
    path = code_fog(seed=1, crf=20)
    expected = of_library(run_ffmpeg, path, tmp_path)[::5]

    series = cambi_series(path, frames=None, every=5, stop=stop)
    assert expected == pytest.approx(series, abs=PRINTED)
    assert 3 == len(series)
    assert sum(expected) / 3 == pytest.approx(cambi(path, frames=None, every=5, stop=stop), abs=PRINTED)
    assert expected[:2] == pytest.approx(cambi_series(path, frames=6, every=5, stop=stop), abs=PRINTED)
    assert expected[0] > 1.0  # there is something to find


def test_a_part_is_looked_at_by_itself(
    code_fog: CodeFog, run_ffmpeg: Callable[..., bytes], tmp_path: Path, stop: Stop
) -> None:
    """An odd place and size are widened to whole chroma samples."""
    path = code_fog(seed=1, crf=20)
    expected = of_library(run_ffmpeg, path, tmp_path, "crop=302:222:100:30")[:1]

    part = Rect(101, 31, 300, 220)
    assert expected == pytest.approx(cambi_series(path, frames=1, every=1, stop=stop, crop=part), abs=PRINTED)


def test_interlaced_pictures_are_looked_at_field_by_field(
    code_fog: CodeFog, run_ffmpeg: Callable[..., bytes], tmp_path: Path, stop: Stop
) -> None:
    """Both fields of every fifth picture; the library is given fields one above the other."""
    path = code_fog(seed=1, crf=20)
    top = of_library(run_ffmpeg, path, tmp_path, "il=l=d:c=d,crop=720:240:0:0")[::5]
    bottom = of_library(run_ffmpeg, path, tmp_path, "il=l=d:c=d,crop=720:240:0:240")[::5]

    found = cambi_series(path, frames=None, every=5, stop=stop, scan=Scan.INTERLACED)
    assert [value for pair in zip(top, bottom, strict=True) for value in pair] == pytest.approx(
        found, abs=PRINTED
    )


def test_ten_bits_are_taken(
    run_ffmpeg: Callable[..., bytes], tmp_path: Path, code_fog: CodeFog, stop: Stop
) -> None:
    """Codes of 10 bits, losslessly coded."""
    path = tmp_path / "ten.mkv"
    run_ffmpeg(
        "-i", code_fog(seed=1, crf=20), "-frames:v", "2", "-pix_fmt", "yuv420p10le", "-c:v", "ffv1", path
    )
    expected = of_library(run_ffmpeg, path, tmp_path)

    assert expected == pytest.approx(cambi_series(path, frames=None, every=1, stop=stop), abs=PRINTED)


def test_the_log_may_lie_anywhere(
    code_fog: CodeFog, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, stop: Stop
) -> None:
    """A folder whose name has every sign that filters give a meaning."""
    odd = tmp_path / "it's [one], two; 3:4=\\5"
    odd.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(odd))

    assert 1 == len(cambi_series(code_fog(seed=1, crf=20), frames=1, every=5, stop=stop))


def test_what_is_too_small_is_refused(stop: Stop, tmp_path: Path, run_ffmpeg: Callable[..., bytes]) -> None:
    """A part, before anything runs; a whole file, when it has nothing to say."""
    with pytest.raises(BadInput, match="200x100 is too small for CAMBI"):
        cambi(tmp_path / "absent.mp4", frames=None, every=5, stop=stop, crop=Rect(0, 0, 200, 100))
    small = tmp_path / "small.mp4"
    run_ffmpeg("-f", "lavfi", "-i", "testsrc2=s=160x90", "-frames:v", "1", small)
    with pytest.raises(BadInput, match="under 216 pixels"):
        cambi(small, frames=None, every=5, stop=stop)
