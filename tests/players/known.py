"""What the players that were tried could not do: the one table of it, from which docs/players.md is made.

The tests hold it against what the players do: whatever is wrong must be here, and what is here must be wrong.
"""

from dataclasses import KW_ONLY, dataclass
from fnmatch import fnmatchcase

from tests.players.samples import Sample


@dataclass(frozen=True)
class Inability:
    """Something a player gets wrong. samples: which, with `*`. field, tells: of `Told`. why: in words."""

    samples: str
    field: str
    _: KW_ONLY
    tells: object
    why: str


# The players of Debian 12 that this was written with; the tests want these or newer ones.
VERSIONS = {"mpv": "0.35.1", "GStreamer": "1.22.0", "Chromium": "156.0"}

UNABLE: dict[str, tuple[Inability, ...]] = {
    "mpv": (
        Inability(
            "avc-ts *", "middle", tells=False, why="jumps late, to the next place where decoding can start"
        ),
        Inability(
            "mpeg2-ts *", "middle", tells=False, why="jumps late, to the next place where decoding can start"
        ),
        Inability(
            "hevc-ts *",
            "middle",
            tells=False,
            why="after a jump, shows pictures that lack those they refer to",
        ),
        Inability("vp9-webm *-pq", "chroma", tells="mpeg2/4/h264", why="overlooks where chroma lies"),
        Inability("vp9-webm *-hlg", "chroma", tells="mpeg2/4/h264", why="overlooks where chroma lies"),
        Inability(
            "png *",
            "colour",
            tells="bt.709 srgb rgb full",
            why="overlooks the colour (cICP), takes it for sRGB",
        ),
        Inability("png *-pq", "max_cll", tells=203, why="overlooks the light level"),
    ),
    "GStreamer": (
        Inability(
            "hevc-ts *-hlg",
            "colour",
            tells="bt2020-10",
            why="overlooks the message that prefers HLG: BT.2020 SDR",
        ),
        Inability("av1-*", "chroma", tells=None, why="does not tell where chroma lies"),
        Inability("av1-mp4 *-pq", "max_cll", tells=None, why="overlooks the light level"),
        Inability("vp9-webm *", "chroma", tells=None, why="does not tell where chroma lies"),
        Inability("mpeg2-ts *i*-sdr", "scan", tells="mixed", why="says fields and frames may be mixed"),
        Inability("png *", "colour", tells="0:1:0:0", why="does not tell the colour"),
        Inability("png *-pq", "max_cll", tells=None, why="does not tell the light level"),
    ),
    "Chromium": (
        Inability(
            "hevc-mp4 *", "opened", tells=False, why="plays sound only: this build has no decoder for HEVC"
        ),
        Inability(
            "hevc-mkv *", "opened", tells=False, why="plays sound only: this build has no decoder for HEVC"
        ),
        Inability("*-ts *", "opened", tells=False, why="plays no transport streams"),
        Inability(
            "png *-sdr",
            "colour",
            tells="bt709 None rgb full",
            why="has no word for BT.709's curve in a picture",
        ),
    ),
}


def unable(player: str, sample: Sample) -> list[Inability]:
    """What a player is known to get wrong of a sample."""
    return [each for each in UNABLE[player] if fnmatchcase(sample.name, each.samples)]
