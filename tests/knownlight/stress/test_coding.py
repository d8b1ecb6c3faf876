"""What a poor clip aims at, where it is measured, and what the tries leave behind."""

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from knownlight.encode.delivery import Exactness, LoopFilter, Order
from knownlight.errors import CannotCarry
from knownlight.ffmpeg import Stop
from knownlight.frame.claims import Area
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.geometry import Rect
from knownlight.frame.planes import Planes
from knownlight.frame.sources import Still, unrepeated_frames
from knownlight.metadata.light import HdrMetadata
from knownlight.stress.calibrate import MOST_TRIALS
from knownlight.stress.coding import PoorCoding, aim_of, check_poor, sides_of
from knownlight.stress.decoded import decoded_source
from knownlight.stress.poor import Poor, poor_of
from patterns.registry import build

SIGNAL = parse_signal_format("720p24-sdr")
WHOLE = Area("picture", Rect(0, 0, 1280, 720))
HALVES = (Area("dark half", Rect(0, 0, 640, 720)), Area("busy half", Rect(640, 0, 640, 720)))


def _poor(**values: object) -> Poor:
    poor = poor_of(values, "test")
    assert poor is not None
    return poor


def _order(work: Path, frames: int = 24, pattern: str = "fog", **parameters: object) -> Order:
    return Order(
        name="clip",
        signal=SIGNAL,
        source=build(pattern, parameters).draw(SIGNAL),
        frames=frames,
        hdr=HdrMetadata(mastering=None, light=None),
        work=work,
        stop=Stop(),
        on_frames=lambda _done, _total: None,
    )


@pytest.mark.parametrize(
    ("severity", "lowest", "highest"), [("mild", 1.5, 2.8), ("strong", 4.0, 8.0), ("severe", 14.0, math.inf)]
)
def test_a_severity_aims_inside_its_band(severity: str, lowest: float, highest: float) -> None:
    """The bands are ours (docs/stress.md); the target keeps away from both ends."""
    aim = aim_of(_poor(severity=severity))
    assert (lowest, highest, True) == (aim.lowest, aim.highest, aim.rises)
    assert 1.1 * lowest < aim.target < highest / 1.1


def test_a_rate_aims_at_itself() -> None:
    """Within 15 %, which the coarse quantiser of MPEG-2 needs; it falls with coarser quantisers."""
    aim = aim_of(_poor(megabits=4))
    assert (4.0, False) == (aim.target, aim.rises)
    assert (3.4, 4.6) == pytest.approx((aim.lowest, aim.highest))


@pytest.mark.parametrize(
    ("values", "delivery", "signal", "words"),
    [
        (
            {"severity": "mild"},
            "hevc-mp4",
            "720p24-sdr",
            "severity=mild: the faults of hevc-mp4 are no blocks",
        ),
        ({"megabits": 3}, "vp9-webm", "720p24-sdr", "vp9-webm has no poor coding; use"),
        ({"severity": "mild"}, "avc-mp4", "720p24-pq", "avc-mp4 carries sdr only, not pq"),
        ({"megabits": 3, "generations": 2}, "avc-mp4", "720p48-sdr", "mpeg2-ts has no such frame rate"),
        (
            {"severity": "mild", "split": "hevc-mp4"},
            "hevc-mp4",
            "720p24-sdr",
            "split=avc-mp4, avc-ts or mpeg2-ts",
        ),
    ],
)
def test_what_cannot_be_coded_poorly_is_refused(
    values: dict[str, object], delivery: str, signal: str, words: str
) -> None:
    """Before any work."""
    with pytest.raises(CannotCarry) as caught:
        check_poor(_poor(**values), delivery, parse_signal_format(signal))
    assert words in str(caught.value)


def test_faults_are_measured_where_the_pattern_says() -> None:
    """Or on both sides of a split: side by side, and one above the other inside a half."""
    split = _poor(severity="severe", split="avc-mp4")
    beside = sides_of(split, (WHOLE,), SIGNAL)
    above = sides_of(split, HALVES, SIGNAL)
    assert HALVES == sides_of(_poor(severity="mild"), HALVES, SIGNAL)
    assert ["clean side", "coded side"] == [area.name for area in beside]
    assert [720, 720] == [area.rect.height for area in beside]
    assert [(0, 640), (0, 640)] == [(area.rect.x, area.rect.width) for area in above]


def test_tries_leave_one_group_behind(tmp_path: Path, all_pictures: Callable[..., list[Planes]]) -> None:
    """Of as many pictures as differ, and nothing else in the folder; it says its quantiser."""
    tried = []
    coding = PoorCoding(_poor(megabits=2), "avc-mp4", (WHOLE,))
    order = replace(_order(tmp_path), on_frames=lambda done, total: tried.append(done == total))
    coded = coding(order, tmp_path / "group")
    assert (Exactness.DEGRADED, 255, 24) == (coded.exactness, coded.error_limit, len(coded.sizes))
    assert ["group"] == [path.name for path in tmp_path.iterdir()]
    assert 24 == len(all_pictures(tmp_path / "group", SIGNAL))
    assert coding.result.quantiser is not None
    assert f"quantiser {coding.result.quantiser:g}" == coded.settings
    assert 1 <= sum(tried) <= MOST_TRIALS


def test_a_picture_that_stands_is_coded_too(tmp_path: Path) -> None:
    """Two seconds of it, at the longest: what the coder makes of it settles in that time."""
    still = Still(build("fog", {}).draw(SIGNAL).frame(0))
    order = replace(_order(tmp_path, 96), source=still)
    coded = PoorCoding(_poor(megabits=0.3), "avc-mp4", (WHOLE,))(order, tmp_path / "group")
    assert 48 == len(coded.sizes)


def test_pictures_held_in_turn_are_refused(tmp_path: Path) -> None:
    """They are joined of pieces, which would each be coded by itself."""
    order = _order(tmp_path, 240, "grey-sequence")
    with pytest.raises(CannotCarry, match="pictures held in turn are not coded poorly"):
        PoorCoding(_poor(megabits=1), "avc-mp4", (WHOLE,))(order, tmp_path / "group")


def test_decoded_pictures_are_a_source(
    tmp_path: Path, all_pictures: Callable[[Path, SignalFormat], list[Planes]]
) -> None:
    """In order, over and over, and again from the start: the same as plain ffmpeg decodes."""
    PoorCoding(_poor(megabits=1), "avc-mp4", (WHOLE,))(_order(tmp_path), tmp_path / "group")
    wanted = all_pictures(tmp_path / "group", SIGNAL)
    with decoded_source(tmp_path / "group", SIGNAL, 24, Stop()) as source:
        for _ in range(2):
            for index, frame in enumerate(unrepeated_frames(source, 1000)):
                assert all(map(np.array_equal, wanted[index], frame.planes))
        for index in (3, 3, 20, 5, 26):
            assert all(map(np.array_equal, wanted[index % 24], source.frame(index).planes))


def test_the_loop_filter_is_what_was_asked() -> None:
    """Blocks without, rates with it, unless told otherwise."""
    assert LoopFilter.OFF is _poor(severity="mild").loop_filter
    assert LoopFilter.ON is _poor(megabits=1).loop_filter
