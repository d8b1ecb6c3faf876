"""The search for the way to code a clip, with a coder of numbers instead of pictures."""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest

from knownlight.encode.delivery import Coded, Exactness, Order, PastLevel
from knownlight.encode.search import Way, Ways, code_group
from knownlight.errors import Cancelled, CannotCarry
from knownlight.ffmpeg import Stop
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.planes import Frame, plane_shapes
from knownlight.frame.sources import Cycle, FrameSource, Levels, Run, Still
from knownlight.metadata.levels import Level
from knownlight.metadata.light import HdrMetadata

SIGNAL = parse_signal_format("720p24-sdr")
DRAINED = 1_000  # bytes a picture at the lowest level's rate
BUFFER = 5_000  # bytes of the lowest level's buffer
QUICK, THOROUGH = Way(("quick",)), Way(("thorough",))
LOSSY = [Way((f"q{number}",), error_limit=number + 1) for number in range(8)]

Sizes = Callable[[int], "list[int] | None"]  # bytes of each of so many pictures


def level(name: str, times: int) -> Level:
    """A level of so many times the lowest one's rate and buffer; all hold the signal."""
    return Level(
        name=name,
        picture=SIGNAL.width * SIGNAL.height,
        rate=100 * SIGNAL.width * SIGNAL.height,
        width=SIGNAL.width,
        height=SIGNAL.height,
        bits_per_second=8 * DRAINED * 24 * times,
        buffer_bits=8 * BUFFER * times,
    )


LEVELS = (level("1", 1), level("2", 2), level("3", 4))


@dataclass
class Coder:
    """Answers with the sizes of a table, and keeps what it was asked: way, pictures, interval, level."""

    table: dict[str, Sizes]
    asked: list[tuple[str, int, int, str]] = field(default_factory=list)

    def __call__(self, way: Way, frames: int, interval: int, at: Level) -> list[int] | None:
        self.asked.append((way.arguments[0], frames, interval, at.name))
        return self.table[way.arguments[0]](frames)


def large_first(first: int, following: int) -> Sizes:
    """A key picture and small ones after it."""
    return lambda frames: [first, *[following] * (frames - 1)]


def even(size: int) -> Sizes:
    """Pictures of one size."""
    return large_first(size, size)


def not_exact(_frames: int) -> None:
    """Pictures that do not decode to what was drawn."""


def drawn(signal: SignalFormat) -> Frame:
    """Any picture."""
    planes = [np.zeros(shape, np.uint8) for shape in plane_shapes(signal)]
    return Frame(signal, (planes[0], planes[1], planes[2]))


PICTURE = drawn(SIGNAL)
STILL = Still(PICTURE)
PERIOD = 48
MOVING = Cycle(PERIOD, lambda _index: PICTURE, Levels.CHANGING)


def search(
    coder: Coder,
    source: FrameSource,
    *,
    frames: int,
    lossless: tuple[Way, ...] = (QUICK, THOROUGH),
    past_level: PastLevel = PastLevel.BOUNDED,
    stop: Stop | None = None,
) -> Coded:
    """Code a clip of so many frames at the lowest level."""
    order = Order(
        name="clip.mp4",
        signal=SIGNAL,
        source=source,
        frames=frames,
        hdr=HdrMetadata(),
        work=Path(),
        stop=stop or Stop(),
        on_frames=lambda _done, _of: None,
        past_level=past_level,
    )
    return code_group(order, LEVELS[0], Ways(lossless=lossless, lossy=LOSSY, levels=LEVELS), coder)


def test_lossless_pictures_that_fit_are_taken_at_once() -> None:
    """A still whose key picture drains within the shortest group of twelve is coded once."""
    coder = Coder({"quick": large_first(3_000, 0)})
    coded = search(coder, STILL, frames=240)
    assert [("quick", 12, 12, "1")] == coder.asked
    assert (Exactness.EXACT, 0, "1", "quick", "") == (
        coded.exactness, coded.error_limit, coded.level, coded.settings, coded.warning,
    )  # fmt: skip
    assert (3_000, *[0] * 11) == coded.sizes


def test_a_still_of_fewer_frames_has_a_group_of_as_many() -> None:
    """Five frames are a group of five."""
    coder = Coder({"quick": even(100)})
    assert 5 == len(search(coder, STILL, frames=5).sizes)


def test_a_large_first_picture_gets_a_longer_group() -> None:
    """5 000 bytes and 800 after them: 25 pictures spare 200 each, and a tenth more is kept."""
    coder = Coder({"quick": large_first(5_000, 800)})
    coded = search(coder, STILL, frames=240)
    assert [12, 28] == [frames for _, frames, _, _ in coder.asked]
    assert (Exactness.EXACT, 28) == (coded.exactness, len(coded.sizes))
    assert sum(coded.sizes) <= DRAINED * 28


def test_a_second_effort_is_made_where_the_first_is_too_large() -> None:
    """A key picture that passes the buffer is coded again in the thorough way."""
    coder = Coder({"quick": large_first(BUFFER + 1, 0), "thorough": large_first(BUFFER, 0)})
    coded = search(coder, STILL, frames=240)
    assert ["quick", "thorough"] == [way for way, _, _, _ in coder.asked]
    assert (Exactness.EXACT, "thorough") == (coded.exactness, coded.settings)


def test_a_way_that_is_not_exact_is_left_for_the_next() -> None:
    """None is no size: the next way is tried with the interval that it asks for."""
    keys = Way(("keys",), interval=1)
    coder = Coder({"quick": not_exact, "keys": even(900)})
    coded = search(coder, MOVING, frames=480, lossless=(QUICK, keys))
    assert [("quick", 4, 4, "1"), ("keys", 4, 1, "1"), ("keys", 48, 1, "1")] == coder.asked
    assert (Exactness.EXACT, "keys") == (coded.exactness, coded.settings)


def test_a_way_that_stops_being_exact_is_left_too() -> None:
    """Exact in the first four pictures and not in all: it is not called exact."""
    coder = Coder(
        {"quick": lambda frames: None if frames > 4 else [500] * frames, "thorough": not_exact}
        | {way.arguments[0]: even(500) for way in LOSSY}
    )
    coded = search(coder, MOVING, frames=480)
    assert (Exactness.BOUNDED, "q0", 1) == (coded.exactness, coded.settings, coded.error_limit)


def test_hopeless_content_goes_straight_to_losses() -> None:
    """More than twice the level's rate after the first picture: no second effort, no whole lossless pass."""
    table = {way.arguments[0]: even(900) for way in LOSSY}
    coder = Coder({"quick": even(2 * DRAINED + 1)} | table)
    coded = search(coder, MOVING, frames=480)
    assert ("quick", 4, 4, "1") == coder.asked[0]
    assert {"quick"} == {way for way, _, _, _ in coder.asked} - set(table)
    assert (Exactness.BOUNDED, "q0") == (coded.exactness, coded.settings)


def test_content_that_is_not_hopeless_gets_the_second_effort() -> None:
    """Just twice the rate is tried in the thorough way."""
    coder = Coder({"quick": even(2 * DRAINED), "thorough": even(DRAINED)})
    assert "thorough" == search(coder, MOVING, frames=480).settings


@pytest.mark.parametrize("finest", range(8))
def test_the_finest_losses_that_fit_are_taken(finest: int) -> None:
    """Whichever step is the first to keep to the rate; what was coded last is what stays."""
    table = {f"q{number}": even(1_001 - number + finest - (number >= finest)) for number in range(8)}
    coder = Coder({"quick": even(9_000)} | table)
    coded = search(coder, MOVING, frames=480)
    assert (Exactness.BOUNDED, f"q{finest}", finest + 1) == (
        coded.exactness,
        coded.settings,
        coded.error_limit,
    )
    assert (f"q{finest}", 48, 48, "1") == coder.asked[-1]


def test_a_probe_that_hopes_too_much_is_put_right_by_the_whole() -> None:
    """Four pictures fit and the whole does not: the next coarser step is taken."""
    growing = {
        "q0": lambda frames: [900] * 4 + [3_000] * (frames - 4),
        "q1": even(900),
    }
    coder = Coder({"quick": even(9_000)} | growing | {way.arguments[0]: even(800) for way in LOSSY[2:]})
    assert "q1" == search(coder, MOVING, frames=480).settings


def test_nothing_that_fits_is_refused() -> None:
    """The refusal names the clip, the signal, the level and what to do."""
    coder = Coder({"quick": even(9_000)} | {way.arguments[0]: even(1_100) for way in LOSSY})
    with pytest.raises(CannotCarry) as caught:
        search(coder, MOVING, frames=480)
    assert (
        "clip.mp4: no quantiser keeps 720p24-sdr inside level 1; use a smaller size, a lower rate or calmer "
        "content"
    ) == str(caught.value)


def test_marked_clips_get_the_lowest_level_that_holds_them() -> None:
    """One and a half times the rate needs level 2: coded once more with it, and a warning says so."""
    coder = Coder({"quick": even(1_500), "thorough": even(1_400)})
    coded = search(coder, MOVING, frames=480, past_level=PastLevel.MARKED)
    assert (Exactness.EXACT, "2") == (coded.exactness, coded.level)
    assert coder.asked[-1][1:] == (48, 48, "2")
    assert (
        "exact pictures need level 2, 720p24-sdr asks for 1: a player may refuse it, or stutter"
    ) == coded.warning


@pytest.mark.parametrize(
    ("sizes", "settings", "pictures"),
    [
        ({"quick": large_first(3_000, 0)}, "quick", 12),
        ({"quick": large_first(5_000, 800)}, "quick", 28),
        ({"quick": large_first(6_000, 0), "thorough": large_first(3_000, 0)}, "thorough", 12),
    ],
    ids=["at once", "in a longer group", "with a second effort"],
)
def test_a_marked_clip_that_fits_is_not_marked(sizes: dict[str, Sizes], settings: str, pictures: int) -> None:
    """What can be exact at the usual level is, and carries no warning."""
    coded = search(Coder(sizes), STILL, frames=240, past_level=PastLevel.MARKED)
    assert (Exactness.EXACT, "1", "") == (coded.exactness, coded.level, coded.warning)
    assert (settings, pictures) == (coded.settings, len(coded.sizes))


def test_a_marked_clip_past_every_level_is_refused() -> None:
    """More than the highest level's rate, four times the lowest one's."""
    coder = Coder({"quick": even(4_001), "thorough": even(4_001)})
    with pytest.raises(CannotCarry, match=r"^clip\.mp4: no level holds its lossless pictures; "):
        search(coder, MOVING, frames=480, past_level=PastLevel.MARKED)


def test_a_coder_without_lossless_ways_cannot_mark() -> None:
    """The refusal names a delivery that can be exact."""
    with pytest.raises(CannotCarry) as caught:
        search(Coder({}), MOVING, frames=480, lossless=(), past_level=PastLevel.MARKED)
    assert "clip.mp4: this delivery has no lossless coding; use hevc-mp4" == str(caught.value)


def test_a_long_clip_has_a_key_picture_every_second() -> None:
    """More than two seconds that differ are no single group: 24 pictures from key to key."""
    coder = Coder({"quick": even(500)})
    search(coder, Run(lambda _index: PICTURE), frames=49)
    assert ("quick", 49, 24, "1") == coder.asked[-1]


def test_a_clip_that_plays_once_may_empty_the_buffer() -> None:
    """Pictures above the rate that never repeat: 48 times 100 bytes too many stay in a buffer of 5 000."""
    once = Run(lambda _index: PICTURE)
    assert Exactness.EXACT is search(Coder({"quick": even(1_100)}), once, frames=39).exactness
    table = {way.arguments[0]: even(900) for way in LOSSY}
    coder = Coder({"quick": even(1_101), "thorough": even(1_101)} | table)
    assert Exactness.BOUNDED is search(coder, once, frames=48).exactness


def test_a_stop_ends_the_search() -> None:
    """Asked for before a pass, nothing more is coded."""
    stop, coder = Stop(), Coder({"quick": even(500)})
    stop.ask()
    with pytest.raises(Cancelled):
        search(coder, STILL, frames=24, stop=stop)
    assert [] == coder.asked
