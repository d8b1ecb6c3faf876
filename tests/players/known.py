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

_NOT_SRGB = ("sdr", "pq", "hlg")
_TINTED = "takes R'G'B' for Y'CbCr: green and magenta"
_SRGB_IN_A_PAGE = "bt709 iec61966-2-1 rgb full"


def _srgb(samples: str, why: str) -> Inability:
    """Taken for sRGB by mpv."""
    return Inability(samples, "colour", tells="bt.709 srgb rgb full", why=why)


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
        *(_srgb(f"png *-{kind}", "overlooks the colour (cICP), takes it for sRGB") for kind in _NOT_SRGB),
        Inability("png *-pq", "max_cll", tells=203, why="overlooks the light level"),
        Inability("avif *-pq", "max_cll", tells=10000, why="overlooks the light level"),
        Inability("avif *-sdr", "colour", tells="bt.709 bt.1886 bt.709 full", why=_TINTED),
        Inability("avif *-pq", "colour", tells="bt.2020 pq bt.709 full", why=_TINTED),
        Inability("avif *-hlg", "colour", tells="bt.2020 hlg bt.709 full", why=_TINTED),
        Inability("heic *", "opened", tells=False, why="does not open it"),
        _srgb("exr *", "takes the light for sRGB codes"),
        *(_srgb(f"tif *-{kind}", "overlooks the profile, takes it for sRGB") for kind in _NOT_SRGB),
        Inability(
            "jpg *-srgb",
            "colour",
            tells="bt.709 bt.1886 bt.601 full",
            why="overlooks the profile, takes it for BT.1886",
        ),
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
        *(
            Inability(f"{name} *", "opened", tells=False, why="does not open it")
            for name in ("avif", "heic", "jxl")
        ),
        Inability("tif *", "opened", tells=False, why="does not decode it"),
        Inability("exr *", "colour", tells="0:1:0:0", why="does not tell the colour"),
        Inability("jpg *", "colour", tells="1:4:0:0", why="does not tell primaries and curve"),
    ),
    "Chromium": (
        Inability(
            "hevc-mp4 *", "opened", tells=False, why="plays sound only: this build has no decoder for HEVC"
        ),
        Inability(
            "hevc-mkv *", "opened", tells=False, why="plays sound only: this build has no decoder for HEVC"
        ),
        Inability("*-ts *", "opened", tells=False, why="plays no transport streams"),
        Inability("png *-sdr", "colour", tells="bt709 None rgb full", why="has no word for the curve"),
        Inability("jpg *-sdr", "colour", tells="bt709 None rgb full", why="has no word for the curve"),
        Inability("avif *-sdr", "colour", tells=_SRGB_IN_A_PAGE, why="takes BT.709's curve for sRGB"),
        Inability("jxl *-sdr", "colour", tells=_SRGB_IN_A_PAGE, why="takes BT.709's curve for sRGB"),
        *(
            Inability(f"{name} *", "opened", tells=False, why="does not open it")
            for name in ("heic", "exr", "tif")
        ),
    ),
}


def unable(player: str, sample: Sample) -> list[Inability]:
    """What a player is known to get wrong of a sample."""
    return [each for each in UNABLE[player] if fnmatchcase(sample.name, each.samples)]
