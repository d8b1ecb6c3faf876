"""Players open a sample of everything, play it to its end, and tell size, rate, length and colour right.

What a player gets wrong is listed in known.py, each thing with the words that the player has for it; the
tests fail as well where something that is listed is right by now.
"""

from collections.abc import Callable

import pytest

from tests.players.known import UNABLE, VERSIONS, unable
from tests.players.samples import SIGNALS, Sample, samples
from tests.players.told import Asked, Player, differences, right

PAIRS = [(player, sample) for sample in samples() for player in UNABLE]


@pytest.mark.parametrize(("name", "sample"), PAIRS, ids=lambda value: getattr(value, "name", value))
def test_a_player_gets_right_what_it_can(
    name: str,
    sample: Sample,
    player_named: Callable[[str], Player],
    asked: Callable[[Sample], Asked],
) -> None:
    """Everything that it tells is so, but for what it is known to be unable to."""
    player = player_named(name)
    file = asked(sample)
    told = player.play(file)
    wanted = {each.field: each.tells for each in unable(name, sample)}
    found = differences(told, right(player, file))
    assert wanted == found, f"{told}"


@pytest.mark.parametrize("name", UNABLE)
def test_a_player_is_no_older_than_the_page_says(name: str, player_named: Callable[[str], Player]) -> None:
    """docs/players.md names the versions that were tried."""
    numbers = [int(part) for part in player_named(name).version().split(".") if part.isdecimal()]
    assert [int(part) for part in VERSIONS[name].split(".")] <= numbers


def test_every_inability_is_of_some_sample() -> None:
    """No line of the table is about samples that there are not, or twice about one."""
    for player, listed in UNABLE.items():
        used = [each for sample in samples() for each in unable(player, sample)]
        assert [] == [each for each in listed if each not in used]
        for sample in samples():
            fields = [each.field for each in unable(player, sample)]
            assert len(set(fields)) == len(fields)


def test_every_signal_is_tried() -> None:
    """Each signal of the table has a sample."""
    assert set(SIGNALS) == {sample.signal for sample in samples()}
