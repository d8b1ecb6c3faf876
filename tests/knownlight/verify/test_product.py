"""Every delivery in every kind of signal and every size: written, read by every reader, all fields equal.

What a reader cannot see of a codec is named in one table, `BLIND_SPOTS`; everything else that a file must say
each reader has to find in it: our readers of containers, ffmpeg's of the stream, MediaInfo, and whichever
other programs the machine has. Decoders that share no code with ffmpeg must find the same pixels.
"""

from typing import TYPE_CHECKING

import pytest

from knownlight.encode.deliveries import DELIVERIES, check_carries
from knownlight.errors import CannotCarry
from knownlight.ffmpeg import Stop
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.verify.other_readers import READERS, check, find_readers
from knownlight.verify.proof import prove

if TYPE_CHECKING:
    from tests.conftest import MakeClip

SIGNALS = (
    "480i29.97-sdr", "480p59.94-sdr", "576i25-sdr", "576p50-sdr", "720p23.976-sdr", "720p50-sdr",
    "720p59.94-pq", "720p60-hlg", "1080i25-sdr", "1080i29.97-sdr", "1080p25-sdr", "1080p29.97-hlg",
    "1080p60-pq", "1080p60-sdr", "2160p50-hlg", "2160p60-pq",
)  # fmt: skip
OPTIONS: tuple[tuple[str, dict[str, str | int]], ...] = (
    ("720p25-sdr", {"depth": 10}),
    ("720p25-sdr", {"code_range": "full"}),
    ("720p25-pq", {"code_range": "full"}),
    ("720p25-hlg", {"code_range": "full"}),
    ("720p25-pq", {"content_primaries": "p3-d65"}),
)
FORMATS = {name: parse_signal_format(name) for name in SIGNALS} | {
    f"{name} {'-'.join(map(str, options.values()))}": parse_signal_format(name, **options)  # type: ignore[arg-type]
    for name, options in OPTIONS
}
PAIRS = [(delivery, name) for delivery in DELIVERIES for name in FORMATS]


def carried(delivery: str, signal: SignalFormat) -> bool:
    """Whether a delivery says that it can hold a signal."""
    return not DELIVERIES[delivery].coder.problem(signal)


@pytest.mark.parametrize(("delivery", "name"), [pair for pair in PAIRS if carried(pair[0], FORMATS[pair[1]])])
def test_every_reader_finds_what_was_written(
    delivery: str, name: str, make_clip: "MakeClip", stop: Stop
) -> None:
    """Pixels, every field of container and stream, places, times and repeats, at every size and kind."""
    frames = 14 if FORMATS[name].height < 2160 else 4  # repeats do not depend on the size
    clip = make_clip("grey-steps", FORMATS[name], frames, delivery)
    proof = prove(clip.path, clip.intent, stop)
    assert () == proof.problems
    assert 0 == proof.largest_region_error
    assert () == check(clip.path, clip.intent, find_readers().readers, stop).problems


def test_every_other_reader_is_there() -> None:
    """So that the test above asks all of them; one that is absent is named."""
    absent = find_readers().absent
    if absent:
        pytest.skip(f"absent: {', '.join(absent)}")
    assert len(READERS) == len(find_readers().readers)


@pytest.mark.parametrize(
    ("delivery", "name"), [pair for pair in PAIRS if not carried(pair[0], FORMATS[pair[1]])]
)
def test_every_other_signal_is_refused(delivery: str, name: str) -> None:
    """Before any work, with something that works instead."""
    with pytest.raises(CannotCarry, match=rf"^{delivery} .+; use \S+"):
        check_carries(delivery, FORMATS[name])


def test_the_sizes_and_kinds_that_the_deliveries_are_for() -> None:
    """Broadcast sizes in MPEG-2 and AVC streams, HDR in HEVC, AV1 and VP9 at every progressive size."""
    held = {
        delivery: {name for name in SIGNALS if carried(delivery, FORMATS[name])} for delivery in DELIVERIES
    }
    fields = {name for name in SIGNALS if "i" in name.split("-")[0]}
    hdr = {name for name in SIGNALS if not name.endswith("-sdr")}
    assert set(SIGNALS) - hdr - {"1080p60-sdr"} == held["mpeg2-ts"]
    assert set(SIGNALS) - hdr == held["avc-ts"]
    for delivery in ("hevc-mp4", "hevc-mkv", "hevc-ts", "av1-mp4", "av1-mkv", "vp9-webm"):
        assert set(SIGNALS) - fields == held[delivery]
