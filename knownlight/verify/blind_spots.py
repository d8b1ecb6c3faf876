"""What other readers say of a clip, and what they cannot say, each with the reason.

Everything else they must say rightly.
Found with the versions that DEVELOPERS.md names, on files of every kind made for the purpose.
"""

from dataclasses import dataclass
from typing import Any

from knownlight.readback.files import Container
from knownlight.readback.stated import Stated
from knownlight.verify.declared import flat


@dataclass(frozen=True, kw_only=True)
class BlindSpot:
    """Fields that a reader does not state of some files.

    fields: dotted names; a name stands for everything below it. codecs, containers: of which files; None of
    all. within: not blind but blurred, by so many units of each integer.
    """

    reader: str
    fields: tuple[str, ...]
    reason: str
    codecs: frozenset[str] | None = None
    containers: frozenset[Container] | None = None
    within: int | None = None

    def covers(self, reader: str, codec: str, container: Container, field: str) -> bool:
        """Whether it speaks of a field of such a file."""
        return (
            self.reader == reader
            and (self.codecs is None or codec in self.codecs)
            and (self.containers is None or container in self.containers)
            and any(field == name or field.startswith(f"{name}.") for name in self.fields)
        )


_MP4 = frozenset({Container.MP4})
_MATROSKA = frozenset({Container.MATROSKA})
_TRANSPORT = frozenset({Container.TRANSPORT_STREAM})

BLIND_SPOTS = (
    BlindSpot(
        reader="mkvmerge",
        fields=("profile", "level", "tier", "depth", "frames", "scan", "preferred_transfer"),
        reason="it looks at containers, not into the coded pictures",
    ),
    BlindSpot(
        reader="mkvmerge",
        fields=("tag", "rate", "pixel_aspect", "colour.full_range", "colour.chroma_location", "hdr"),
        containers=_MP4,
        reason="of MP4 it tells the size, the codec and the first three integers of colr",
    ),
    BlindSpot(
        reader="mkvmerge",
        fields=("tag", "rate", "pixel_aspect", "colour", "hdr"),
        containers=_TRANSPORT,
        reason="of a transport stream it tells the size and the codec",
    ),
    BlindSpot(
        reader="mkvmerge",
        fields=("pixel_aspect",),
        codecs=frozenset({"vp9"}),
        containers=_MATROSKA,
        reason="WebM holds the width to show in whole pixels, and it tells what follows from that",
    ),
    BlindSpot(
        reader="mpv",
        fields=("pixel_aspect",),
        codecs=frozenset({"vp9"}),
        containers=_MATROSKA,
        reason="WebM holds the width to show in whole pixels, and it tells what follows from that",
    ),
    BlindSpot(
        reader="mpv",
        fields=("tag", "profile", "level", "tier", "frames"),
        reason="it tells what it would show",
    ),
    BlindSpot(
        reader="mpv",
        fields=("hdr.mastering", "hdr.light.max_fall"),
        reason="it tells one peak: MaxCLL, where that is not known the mastering display's",
    ),
    BlindSpot(
        reader="mpv",
        fields=("colour.primaries", "colour.transfer", "colour.chroma_location", "hdr"),
        codecs=frozenset({"vp9"}),
        reason="VP9's own headers hold matrix and range alone, and it drops the container's for them",
    ),
    BlindSpot(
        reader="gstreamer",
        fields=("frames", "preferred_transfer", "colour.chroma_location"),
        reason="its capabilities of coded video have none of them",
    ),
    BlindSpot(
        reader="gstreamer",
        fields=("tag",),
        containers=_MATROSKA | _TRANSPORT,
        reason="its parser words every file of a codec as one sample entry of MP4",
    ),
    BlindSpot(
        reader="gstreamer",
        fields=("scan",),
        reason="it tells progressive pictures of some files alone, and of fields not which comes first",
    ),
    BlindSpot(
        reader="gstreamer",
        fields=("pixel_aspect",),
        codecs=frozenset({"av1", "vp9"}),
        reason="it reckons it from a width in whole pixels, and of Matroska tells none of square ones",
    ),
    BlindSpot(
        reader="gstreamer",
        fields=("colour.full_range",),
        codecs=frozenset({"hevc", "avc"}),
        containers=_MP4,
        reason="it has one word for the three integers of colr, and that word stands for narrow range",
    ),
    BlindSpot(
        reader="gstreamer",
        fields=("tag", "level", "tier"),
        codecs=frozenset({"av1"}),
        reason="it tells neither the sample entry nor the level of AV1",
    ),
    BlindSpot(
        reader="gstreamer",
        fields=("hdr",),
        codecs=frozenset({"av1"}),
        containers=_MP4 | _TRANSPORT,
        reason="it reads neither mdcv and clli beside av1C nor AV1's metadata OBUs",
    ),
    BlindSpot(
        reader="gstreamer",
        fields=("colour", "depth"),
        codecs=frozenset({"mpeg2"}),
        containers=_TRANSPORT | _MP4,
        reason="its parser passes the sequence display extension by",
    ),
    BlindSpot(
        reader="gstreamer",
        fields=("depth",),
        codecs=frozenset({"mpeg2"}),
        reason="MPEG-2 has 8 bits and no field for it",
    ),
    BlindSpot(
        reader="gstreamer",
        fields=("hdr.mastering.red", "hdr.mastering.green", "hdr.mastering.blue", "hdr.mastering.white"),
        containers=_MATROSKA,
        within=1,
        reason="it cuts Matroska's floating-point chromaticities to units of 0.00002; it does not round",
    ),
)


def differences(reader: str, stated: Stated, wanted: Stated, container: Container) -> list[str]:
    """Every field that a reader states otherwise than wanted, in words.

    A field that nothing is wanted of is not looked at, except static metadata: where none is wanted, none may
    be said.
    """
    read, asked = dict(flat(stated)), dict(flat(wanted))
    problems = []
    for name in dict.fromkeys([*asked, *read]):
        value, got = asked.get(name), read.get(name)
        if value is None and not name.startswith("hdr."):
            continue
        spots = [spot for spot in BLIND_SPOTS if spot.covers(reader, str(wanted.codec), container, name)]
        blurred = max((spot.within or 0 for spot in spots), default=0)
        if any(spot.within is None for spot in spots) or _same(got, value, blurred):
            continue
        asks = "nothing must be said" if value is None else f"it must be {value}"
        problems.append(f"{reader}: {name} is {'not stated' if got is None else got}, {asks}")
    return problems


def _same(got: Any, wanted: Any, within: int) -> bool:  # noqa: ANN401
    if within and isinstance(got, tuple) and isinstance(wanted, tuple):
        return all(abs(one - other) <= within for one, other in zip(got, wanted, strict=True))
    return bool(got == wanted)
