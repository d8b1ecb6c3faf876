"""What a run would do, before it does: sizes that are known, and guesses that say so."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from knownlight.encode.delivery import LoopFilter, PastLevel
from knownlight.errors import BadInput
from knownlight.frame.format import parse_signal_format
from knownlight.pack.estimate import estimate
from knownlight.pack.plan import State, check_room
from knownlight.pack.space import FAT_LARGEST, Copy
from knownlight.stress.labels import Severity
from knownlight.stress.poor import Poor
from patterns.registry import build
from tests.knownlight.pack import small_pack

FIRST = small_pack.FIRST
_NOISE = replace(
    small_pack.clip("noise", 10),
    pattern=build("fog", {}),
    signal=parse_signal_format("1080p24-sdr"),
    delivery="avc-mp4",
    seconds=Fraction(10),
)
_FACTOR = 10.0  # of a guess of so small files, whose containers weigh most


def test_a_plan_knows_what_is_there(tmp_path: Path) -> None:
    """In the folder and in the cache sizes are those of the files; of the rest they are guesses."""
    folder, cache = tmp_path / "stick", tmp_path / "cache"
    small_pack.rendered(FIRST[:2], folder, cache)
    (folder / FIRST[0].file).unlink()
    plan = small_pack.plan(FIRST, folder, cache)
    size = next(cache.glob("proven/*/010-grey.png")).stat().st_size

    assert [State.CACHED, State.THERE, State.TO_MAKE] == [each.state for each in plan.files]
    assert [size, (folder / FIRST[1].file).stat().st_size] == [each.bytes for each in plan.files[:2]]
    # Half a second at 29.97 frames a second is 14.985 frames, so 15 of 1001/30000 s.
    assert 15 * 1001 / 30000 == pytest.approx(plan.play_seconds)
    assert [0, 0] == [each.seconds for each in plan.files[:2]]
    assert plan.make_seconds > 0


def test_a_guess_is_near(tmp_path: Path) -> None:
    """Within a factor of ten of what is made, of a flat still and of a clip."""
    plan = small_pack.plan(FIRST, tmp_path / "stick", tmp_path / "cache")
    small_pack.rendered(FIRST, tmp_path / "stick", tmp_path / "cache")
    for planned in plan.files:
        made = (tmp_path / "stick" / planned.job.file).stat().st_size
        assert made / _FACTOR < planned.bytes < made * _FACTOR


def test_a_level_is_the_ceiling_of_a_guess() -> None:
    """Noise is coded up to the level's rate; what may pass it is larger, and coded once, so quicker to make.

    AVC's level 4: 24 Mb/s, ten seconds (H.264 table A-1: 20000 times 1200 bit/s).
    """
    bounded, marked = estimate(_NOISE), estimate(replace(_NOISE, past_level=PastLevel.MARKED))
    assert 10 * 24e6 / 8 == pytest.approx(bounded.bytes, rel=0.01)
    assert marked.bytes > bounded.bytes
    assert marked.seconds < bounded.seconds


def test_a_rate_that_is_asked_for_is_the_guess() -> None:
    """Three megabits for ten seconds."""
    poor = Poor(severity=None, megabits=3.0, loop_filter=LoopFilter.ON)
    assert 10 * 3e6 / 8 == pytest.approx(estimate(replace(_NOISE, poor=poor)).bytes, rel=0.01)
    mild, strong = (
        estimate(replace(_NOISE, poor=replace(poor, megabits=None, severity=severity))).bytes
        for severity in (Severity.MILD, Severity.STRONG)
    )
    assert mild > strong


def test_fat_ends_files_at_four_gib(fat_stick: Path, tmp_path: Path) -> None:
    """One byte more than its field of 32 bits can tell is refused there, and nowhere else."""
    on_fat = small_pack.plan(FIRST, fat_stick, tmp_path / "cache")
    on_disk = small_pack.plan(FIRST, tmp_path / "stick", tmp_path / "cache")
    check_room(on_fat, [Copy(bytes=FAT_LARGEST)])
    check_room(on_disk, [Copy(bytes=FAT_LARGEST + 1)])
    with pytest.raises(BadInput, match="FAT, which ends files at 4 GiB; format it as exFAT"):
        check_room(on_fat, [Copy(bytes=FAT_LARGEST + 1)])


def test_a_large_guess_warns(tmp_path: Path) -> None:
    """An hour at 24 Mb/s is more than FAT32 takes."""
    hour = replace(_NOISE, seconds=Fraction(3600))
    plan = small_pack.plan((hour,), tmp_path / "stick", tmp_path / "cache")
    assert f"FAT32 holds files of up to 4 GiB; {hour.file} may be larger: use exFAT" in plan.warnings
