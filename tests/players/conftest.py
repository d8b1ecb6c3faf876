"""Players and samples, each made once a session."""

from collections.abc import Callable, Iterator

import pytest

from tests.players.chromium import Chromium
from tests.players.gstreamer import GStreamer
from tests.players.mpv import Mpv
from tests.players.samples import Sample
from tests.players.told import Asked, Player

PLAYERS: dict[str, type[Mpv | GStreamer | Chromium]] = {
    each.name: each for each in (Mpv, GStreamer, Chromium)
}


@pytest.fixture(scope="session")
def player_named() -> Iterator[Callable[[str], Player]]:
    """A player by its name; skips where it is absent."""
    open_ones: dict[str, Mpv | GStreamer | Chromium] = {}

    def player(name: str) -> Player:
        missing = PLAYERS[name].missing()
        if missing:
            pytest.skip(missing)
        if name not in open_ones:
            open_ones[name] = PLAYERS[name]()
        return open_ones[name]

    yield player
    for each in open_ones.values():
        if isinstance(each, Chromium):
            each.close()


@pytest.fixture(scope="session")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Callable[[Sample], Asked]:
    """A sample's file."""
    written: dict[Sample, Asked] = {}

    def ask(sample: Sample) -> Asked:
        if sample not in written:
            written[sample] = sample.write(tmp_path_factory.mktemp("players"))
        return written[sample]

    return ask
