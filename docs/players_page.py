"""The page of players: what those that were tried could do, from the tests' own table."""

from tests.players.known import UNABLE, VERSIONS, unable
from tests.players.samples import samples

_BEFORE = """# Players

**No television has been tried.** These are players on a computer, without a screen, that the tests let play a
short file of every delivery and kind of still, in every kind of signal that it carries, to the end:
{players}.

A cell says `yes` where the player opens the file, plays every picture of it to the end, in even steps of time
and without a complaint, and tells size, shape, rate, length, fields, colour, where chroma lies and light
level as they are.
Where it gets something wrong, or does not tell what other files let it tell, the cell says what.
Clips of `720p50-sdr` are joined of several pictures; the others repeat one group, cut short at the end.

The tests fail where a player gets anything else wrong, and where it gets right by now what stands here.
"""
_AFTER = """
What each can tell at all:

* **mpv** tells all of this, and is asked to jump to the middle; it plays unshown and as fast as it can.
* **GStreamer** decodes with what `decodebin` chooses; its command line cannot jump.
* **Chromium** plays in a page, sixteen times as fast, and jumps to the middle. A page hears nothing of rate,
  fields, where chroma lies or light levels, so they are not in its `yes`.

## Levels in a browser

Tried with Chromium, without a graphics processor.
Clips are shown by their codes, black as 0 and white as 255, those of PQ and HLG as well: nothing converts
them, so they look flat and grey.
Stills of `srgb` signals are shown by their codes.
SDR stills as PNG and JPEG are converted by BT.1886, so that their dark steps are darker than those of the
same clip (10 % of signal becomes 5 %); as AVIF and JPEG XL they are taken for sRGB and shown by their codes.
Stills of PQ and HLG are tone-mapped; as JPEG XL, which states no light levels, bright PQ is cut off.
So compare in a browser only files of one kind, and use `srgb` stills where levels matter.
"""


def players_page(made: str) -> str:
    """The page; `made` says what wrote it."""
    named = ", ".join(f"{name} {version}" for name, version in VERSIONS.items())
    players = f"{named}, each of Debian 12"
    lines = [f"| file | signal | {' | '.join(UNABLE)} |", f"| --- | --- |{' --- |' * len(UNABLE)}"]
    for sample in samples():
        cells = ["; ".join(each.why for each in unable(player, sample)) or "yes" for player in UNABLE]
        lines.append(f"| `{sample.delivery}` | {sample.signal} | {' | '.join(cells)} |")
    title, rest = _BEFORE.format(players=players).split("\n\n", 1)
    return "\n".join([title, "", made, rest, *lines, _AFTER])
