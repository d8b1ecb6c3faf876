"""The page of deliveries: what each file is, from the code, and which player wants which, from experience."""

from collections.abc import Iterable

from knownlight.encode.deliveries import DELIVERIES
from knownlight.encode.delivery import Delivery
from knownlight.errors import CannotCarry
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.metadata.level_tables import av1_level, avc_level, hevc_level, mpeg2_level, vp9_level

_KINDS = {"SDR": "720p50-sdr", "PQ": "720p50-pq", "HLG": "720p50-hlg"}
_SIZES = {
    "480i": "480i29.97-sdr", "480p": "480p59.94-sdr", "576i": "576i25-sdr", "576p": "576p50-sdr", "720p": "720p50-sdr", "1080i": "1080i25-sdr",
    "1080p": "1080p25-sdr", "2160p": "2160p50-sdr", "4320p": "4320p50-sdr",
}  # fmt: skip
_LEVELLED = (
    "480i29.97", "576i25", "720p50", "720p59.94", "1080i25", "1080p24", "1080p60", "2160p24", "2160p60",
    "2160p120", "4320p60",
)  # fmt: skip
_LEVELS = {
    "HEVC": hevc_level, "AVC": avc_level, "AV1": av1_level, "VP9": vp9_level, "MPEG-2": mpeg2_level,
}  # fmt: skip
_FIELDS = {"AVC", "MPEG-2"}  # codecs whose deliveries hold fields

_BEFORE = """# Deliveries

A delivery is one kind of file: a codec in a container, with settings that were chosen for known pixels.
`knownlight deliveries` says which of them this machine can make; `--delivery NAME` chooses one.
"""
_PLAYERS = """## Which one for which player

No television has been tried: what follows is common practice, without a source, beside what CI sees in players on a
computer ([players.md](players.md)).
Begin with `first-look`: its first clip says by itself whether bits, range and the kind of signal arrive.

| where it plays | take | if that does not play |
| --- | --- | --- |
| a set's own player, stick, PQ and HLG | `hevc-mp4` | `hevc-mkv`, then `hevc-ts` |
| a set's own player, stick, SDR | `hevc-mp4` (exact) | `avc-mp4` (bounded, plays nearly everywhere) |
| a streaming stick or box | `hevc-mp4` | `av1-mp4` |
| a console | `avc-mp4` for SDR, `hevc-mp4` for HDR | `av1-mp4` |
| a browser | `av1-mp4`, `vp9-webm` | `avc-mp4` for SDR |
| as a broadcast would come, HD | `avc-ts` (720p, 1080i) | `mpeg2-ts` |
| as a broadcast would come, standard definition | `mpeg2-ts` (576i, 480i) | `avc-ts` |
| as a broadcast would come, HLG | `hevc-ts` | |

* **Measure with `exact` files.** `avc-*` and `mpeg2-ts` are `bounded`: the manifest claims for each region the code that
  the file really holds there, and does not send a meter to a region that has no single code.
* **AVC is 8-bit SDR here.** The codec has more, but few players do.
* **4:2:0 only**, for the same reason; stills hold R'G'B'.
* **Sound.** Some players fail on a file without sound, so there is a silent track unless `--sound none` asks for none.
* **A stick in FAT32** takes no file of 4 GiB or more; a minute of a window has a few megabytes.
* **Repeating** is each player's own business, and many pause or go black between rounds: ask for a longer clip instead.

## Levels

A file declares the lowest level that holds its size and rate, and stays inside that level's bit rate, buffer and
largest picture (Main tier); the manifest has the measured rate and the largest picture.
Players that look at levels expect that level for a size, so a clip whose lossless pictures would pass it is coded with
losses that are measured (`bounded`).
`--keep-exact` keeps it exact: it declares the lowest level that holds it, and the manifest and the command warn.
Published limits of players are wider (one maker names 80 Mb/s for HEVC, 60 for AVC, 40 for AV1, 20 for MPEG-2), but
those of the standards hold everywhere.
"""
_AFTER = """
## What else to know

* **Lossless HEVC** is ordinary Main and Main 10 syntax (transquant bypass). A decoder that does not know it would show
  damage at once, in the first clip.
* **HLG in `hevc-ts`** is declared as DVB broadcasts do: the stream's own description says 14 (BT.2020), and a message in it
  prefers 18 (HLG). A player that reads only the first shows SDR in BT.2020, which then is what it does with broadcasts.
  `hevc-mp4` and `hevc-mkv` say 18 in every place.
* **AV1** is exact where a picture stands or moves by whole pixels. Every lossless group is decoded again while it is
  made; where other motion is not exact, the clip is made of key pictures, and where that passes the level it is bounded.
* **VP9** has no place for HDR metadata in its stream: transfer, mastering display and light levels are in the container
  only.
* **MPEG-2** is never exact, and errors add up along a group where something moves: it is for looking. Codes go with the
  range as broadcasts have it; the stream cannot say that a range is full.
* **Interlaced** pictures are drawn at field times, top field first, and say so. `avc-ts` codes them in frames whose blocks
  may be of fields (MBAFF).
* **Standard definition** is BT.601 in colour and codes, shown at 16:9.
* **Transport streams** have no index: a player starts them at their beginning, or guesses.
"""


def deliveries_page(made: str) -> str:
    """The page.

    Args:
        made: the line that says how it came about.
    """
    parts = [
        _BEFORE,
        made,
        _table(
            ("delivery", "file", "codec", "bits", "kinds", "sizes", "sound", "exactness"),
            (_row(delivery) for delivery in DELIVERIES.values()),
        ),
        "",
        _PLAYERS,
        _table(("signal", *_LEVELS), (_levels(name) for name in _LEVELLED)),
        _AFTER.rstrip("\n"),
        "",
    ]
    return "\n".join(parts)


def _row(delivery: Delivery) -> tuple[str, ...]:
    kinds, sizes = (
        ", ".join(
            words for words, name in table.items() if not delivery.coder.problem(parse_signal_format(name))
        )
        for table in (_KINDS, _SIZES)
    )
    return (
        f"`{delivery.name}`",
        delivery.suffix,
        delivery.coder.codec,
        " and ".join(map(str, delivery.coder.bits)),
        kinds,
        sizes,
        delivery.container.sound_encoder.removeprefix("lib"),
        delivery.coder.exactness,
    )


def _levels(name: str) -> tuple[str, ...]:
    signal = parse_signal_format(f"{name}-sdr")
    return (name, *(_level(codec, signal) for codec in _LEVELS))


def _level(codec: str, signal: SignalFormat) -> str:
    if signal.fields != signal and codec not in _FIELDS:
        return ""
    try:
        level = _LEVELS[codec](signal)
    except CannotCarry:
        return ""
    return f"{level.name} ({level.bits_per_second / 1e6:.4g} Mb/s)"


def _table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    lines = [head, tuple("---" for _ in head), *rows]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)
