"""Clips of held pictures: what plays is the plan, frame by frame."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from knownlight.encode.deliveries import write_clip
from knownlight.encode.delivery import Exactness, Order
from knownlight.errors import CannotCarry, CheckFailed
from knownlight.ffmpeg import Stop
from knownlight.frame.format import parse_signal_format
from knownlight.frame.planes import grey_frame
from knownlight.frame.sources import Hold, Sequence
from knownlight.metadata.light import HdrMetadata
from knownlight.readback.decode import decoded_planes
from knownlight.verify.proof import prove
from patterns.canvas import luma_plane
from patterns.noise import white_noise
from tests.conftest import MakeClip


def test_every_frame_is_the_planned_one(make_clip: MakeClip) -> None:
    """A decoder that reads from the first frame to the last sees each picture exactly as long as planned."""
    clip = make_clip("flash", "720p24-pq", 100, flash_seconds=0.5, rest_seconds=1)
    lumas = [
        int(planes[0][0, 0])
        for planes in decoded_planes(clip.path, clip.intent.signal, 100, Stop())
        if planes[0].min() == planes[0].max()
    ]

    assert [64 if index % 36 < 24 else 940 for index in range(100)] == lumas


@pytest.mark.parametrize(
    ("signal", "delivery", "exactness"),
    [
        ("720p59.94-pq", "hevc-mp4", Exactness.EXACT),
        ("720p23.976-hlg", "hevc-mp4", Exactness.EXACT),
        ("720p25-sdr", "avc-mp4", Exactness.BOUNDED),
    ],
)
def test_a_sequence_is_proven(
    make_clip: MakeClip, stop: Stop, signal: str, delivery: str, exactness: Exactness
) -> None:
    """Each picture is decoded for a moment and compared; all other packets are proven copies of those."""
    clip = make_clip("grey-sequence", signal, 200, delivery, count=3, step_seconds=1.1)
    proof = prove(clip.path, clip.intent, stop)

    assert () == proof.problems
    assert exactness is clip.encoded.exactness
    assert sum(clip.encoded.pieces) == clip.encoded.group == proof.decoded_frames
    assert 200 - proof.decoded_frames == proof.repeated_frames > 100


def test_light_counts_how_long_each_picture_is_held(make_clip: MakeClip, stop: Stop) -> None:
    """FALL of 24 black frames and 12 of code 723 (1004.19 cd/m², ST 2084) is a third of that."""
    clip = make_clip(
        "flash", "720p24-pq", 36, flash_seconds=0.5, rest_seconds=1, luminance=1000, rest_luminance=0
    )
    light = prove(clip.path, clip.intent, stop).light

    assert light.max_fall == pytest.approx(1004.19, abs=0.01)
    assert light.fall == pytest.approx(1004.19 / 3, abs=0.01)


def test_a_wrong_order_is_found(make_clip: MakeClip, stop: Stop) -> None:
    """A clip whose pictures stand in another order than intended does not pass."""
    clip = make_clip("flash", "720p24-sdr", 72, flash_seconds=1, rest_seconds=1)
    source = clip.intent.source
    assert isinstance(source, Sequence)
    swapped = replace(clip.intent, source=replace(source, holds=source.holds[::-1]))
    fewer = replace(clip.intent, source=replace(source, holds=(Hold(0, 72),)))
    again = replace(source, holds=(Hold(0, 24), Hold(1, 24), Hold(1, 24)))

    assert prove(clip.path, swapped, stop).problems
    with pytest.raises(CheckFailed, match="2 are stated, the pattern has 1 in 72 frames"):
        prove(clip.path, fewer, stop)
    problems = prove(clip.path, replace(clip.intent, source=again), stop).problems
    assert ("packets: picture 48 is no copy of picture 24",) == problems


def test_pictures_too_unlike_are_refused(tmp_path: Path, stop: Stop) -> None:
    """Pictures that no one setting of the coder suits are refused, and nothing is left behind."""
    signal = parse_signal_format("720p60-pq")
    noise = white_noise(signal.height, signal.width, 1, 0)
    rough = (500 + 20 * np.clip(noise, -4.0, 4.0)).astype(np.uint16)
    pictures = [grey_frame(signal, luma_plane(signal, 64)), grey_frame(signal, rough)]
    source = Sequence(pictures.__getitem__, (Hold(0, 24), Hold(1, 24)))
    order = Order(
        name="clip.mp4",
        signal=signal,
        source=source,
        frames=48,
        hdr=HdrMetadata(mastering=None, light=None),
        work=tmp_path,
        stop=stop,
        on_frames=lambda _done, _of: None,
    )

    with pytest.raises(CannotCarry, match="too unlike to be coded alike"):
        write_clip("hevc-mp4", order, tmp_path / "clip.mp4")
    assert [] == list(tmp_path.iterdir())
