"""A job knows its length, its recipe and what cannot be made."""

from dataclasses import replace
from fractions import Fraction

import pytest

from knownlight.errors import BadInput, CannotCarry
from knownlight.frame.fields import Woven
from knownlight.frame.format import parse_signal_format
from knownlight.frame.sound import Beeps, Sound, Soundtrack
from knownlight.pack.job import Job
from patterns.registry import build

_JOB = Job(
    id="window",
    file="light/010-window.mp4",
    pattern=build("window", {}),
    signal=parse_signal_format("720p23.976-pq"),
    delivery="hevc-mp4",
    seconds=Fraction(10),
)


def test_length_is_whole_frames() -> None:
    """Ten seconds at 24000/1001 frames a second are 239.76 frames, so 240; a still has one."""
    assert 240 == _JOB.frames
    assert (
        1 == replace(_JOB, delivery="png", signal=parse_signal_format("720p24-pq", components="rgb")).frames
    )


def test_what_moves_is_shown_in_fields() -> None:
    """A job's frames are those of its pattern, woven where an interlaced signal shows it moving."""
    edge = build("moving-edge", {})
    for signal, kind in (("576i25-sdr", Woven), ("576p50-sdr", type(edge))):
        job = replace(_JOB, pattern=edge, signal=parse_signal_format(signal))
        assert isinstance(job.shown, kind)
        assert job.signal == job.shown.draw(job.signal).frame(0).signal


def test_a_job_knows_its_sound() -> None:
    """A silent track by default, a marker's beeps, and no track where none is asked for, and of a still."""
    marker = replace(_JOB, pattern=build("lip-sync", {}))
    assert Soundtrack() == _JOB.soundtrack
    # 24 frames of 1001/24000 s from beep to beep, the first in the middle
    beeps = Beeps(first=Fraction(1001, 2000), every=Fraction(1001, 1000))
    assert Soundtrack(beeps) == marker.soundtrack
    assert replace(marker, sound=Sound.NONE).soundtrack is None
    assert replace(_JOB, delivery="png").soundtrack is None


@pytest.mark.parametrize(
    "other",
    [
        replace(_JOB, pattern=build("window", {"area_percent": 11})),
        replace(_JOB, signal=parse_signal_format("720p24-pq")),
        replace(_JOB, signal=parse_signal_format("720p23.976-pq", content_primaries="p3-d65")),
        replace(_JOB, seconds=Fraction(11)),
        replace(_JOB, sound=Sound.NONE),
    ],
)
def test_the_recipe_changes_with_the_content(other: Job) -> None:
    """Whatever decides the bytes changes the recipe; the name does not."""
    assert _JOB.recipe() != other.recipe()
    assert _JOB.recipe() == replace(_JOB, id="other", file="light/020-other.mp4").recipe()


@pytest.mark.parametrize(
    ("job", "kind", "words"),
    [
        (replace(_JOB, file="light/" + 61 * "a" + ".mp4"), BadInput, "is not ASCII of at most 64 characters"),
        (replace(_JOB, file="light/fenêtre.mp4"), BadInput, "is not ASCII"),
        (replace(_JOB, delivery="png"), CannotCarry, "png: stills hold R'G'B' codes, not 4:2:0"),
        (
            replace(_JOB, signal=parse_signal_format("720p24-srgb")),
            CannotCarry,
            "window: srgb signals are for stills; use an sdr signal for a clip",
        ),
        (replace(_JOB, delivery="avc-mp4"), CannotCarry, "avc-mp4 carries sdr only, not pq"),
        (replace(_JOB, pattern=build("window", {"code": 1020})), BadInput, "code=1020"),
        (replace(_JOB, delivery="tape"), BadInput, "delivery 'tape' is not known"),
    ],
)
def test_what_cannot_be_made_is_refused(job: Job, kind: type[Exception], words: str) -> None:
    """Before any work, with the reason."""
    _JOB.check()
    with pytest.raises(kind, match=words):
        job.check()
