"""What readers say of a clip, and what they cannot say, each with the reason.

Everything else they must say rightly. The standard readers are those of containers, the bitstream's headers
and MediaInfo; what the others cannot say was found with the versions that DEVELOPERS.md names, on files of
every kind made for the purpose.
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

_HEVC, _AVC, _AV1, _VP9, _MPEG2 = (frozenset({codec}) for codec in ("hevc", "avc", "av1", "vp9", "mpeg2"))

_STANDARD = (
    *(
        BlindSpot(
            reader=reader,
            fields=("scan", "pixel_aspect"),
            reason="the size to show at is checked by itself; neither is read from it otherwise",
        )
        for reader in (Container.MATROSKA.value, Container.TRANSPORT_STREAM.value)
    ),
    BlindSpot(
        reader=Container.MP4.value,
        fields=("scan",),
        codecs=_AVC,
        reason="its coder does not name fields to the one who writes the box",
    ),
    BlindSpot(
        reader=Container.MP4.value,
        fields=("colour.chroma_location", "preferred_transfer"),
        reason="MP4 has no place for either",
    ),
    BlindSpot(
        reader=Container.MP4.value,
        fields=("depth",),
        codecs=_AVC,
        reason="the record of Main and High has no depth",
    ),
    BlindSpot(
        reader=Container.MATROSKA.value,
        fields=("preferred_transfer",),
        reason="Matroska has no place for it",
    ),
    BlindSpot(
        reader=Container.MATROSKA.value,
        fields=("profile", "level", "depth"),
        codecs=_VP9,
        reason="WebM keeps no record of the coder's parameters here",
    ),
    BlindSpot(
        reader=Container.TRANSPORT_STREAM.value,
        fields=(
            *("profile", "level", "tier", "width", "height", "depth", "preferred_transfer"),
            *("colour", "hdr"),
        ),
        reason="its tables name the codec; all else is in the stream",
    ),
    BlindSpot(
        reader="bitstream",
        fields=("tag", "frames"),
        reason="both are the container's",
    ),
    BlindSpot(
        reader="bitstream",
        fields=("rate", "pixel_aspect"),
        codecs=_AV1 | _VP9,
        reason="the sequence header as it is written holds no timing, and none knows a shape of pixels",
    ),
    BlindSpot(
        reader="bitstream",
        fields=("level", "colour.transfer", "colour.chroma_location", "hdr"),
        codecs=_VP9,
        reason="its one code of colour names primaries and matrix; there is no place for the rest",
    ),
    BlindSpot(
        reader="bitstream",
        fields=("colour.full_range", "colour.chroma_location"),
        codecs=_MPEG2,
        reason="the sequence display extension has neither",
    ),
    BlindSpot(
        reader="MediaInfo",
        fields=("preferred_transfer",),
        containers=_MP4 | _MATROSKA,
        reason="it words it only where it differs from the transfer described",
    ),
    BlindSpot(
        reader="MediaInfo",
        fields=("scan",),
        codecs=_HEVC | _AV1 | _VP9,
        containers=_MATROSKA | _TRANSPORT,
        reason="it takes it from the container, which does not say",
    ),
    BlindSpot(
        reader="MediaInfo",
        fields=("frames",),
        containers=_TRANSPORT,
        reason="it counts the pictures of a stream by their times, and is one off at times",
    ),
    BlindSpot(
        reader="MediaInfo",
        fields=("colour.chroma_location",),
        codecs=_AVC | _AV1 | _VP9 | _MPEG2,
        reason="it reports no location of these codecs, or none of type 0",
    ),
    BlindSpot(
        reader="MediaInfo",
        fields=("profile", "level", "tier", "depth"),
        codecs=_AV1,
        reason="it misses them in the files of this encoder",
    ),
    BlindSpot(
        reader="MediaInfo",
        fields=("level",),
        codecs=_VP9,
        reason="the stream has none",
    ),
    BlindSpot(
        reader="MediaInfo",
        fields=("colour.full_range",),
        codecs=_MPEG2,
        reason="the stream has none",
    ),
)
_OTHERS = (
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
BLIND_SPOTS = (*_STANDARD, *_OTHERS)

_NOTHING_ELSE = ("hdr.", "preferred_transfer")  # what may not be said where it is not wanted
# Values that a reader drops where a file has them: it reports no light level of 0.
DROPPED = {("MediaInfo", "hdr.light.max_cll"): 0, ("MediaInfo", "hdr.light.max_fall"): 0}


def is_blind(reader: str, codec: str, container: Container, name: str) -> bool:
    """Whether a reader need not say a field of such a file at all."""
    return any(spot.within is None and spot.covers(reader, codec, container, name) for spot in BLIND_SPOTS)


def differences(reader: str, stated: Stated, wanted: Stated, container: Container) -> list[str]:
    """Every field that a reader states otherwise than wanted, in words.

    A field that nothing is wanted of is not looked at, except static metadata and a preferred transfer: where
    none is wanted, none may be said.
    """
    read, asked, codec = dict(flat(stated)), dict(flat(wanted)), str(wanted.codec)
    problems = []
    for name in dict.fromkeys([*asked, *read]):
        value, got = asked.get(name), read.get(name)
        if value is None and not name.startswith(_NOTHING_ELSE):
            continue
        if is_blind(reader, codec, container, name):
            continue
        if _same(got, value, _blur(reader, codec, container, name)):
            continue
        if got is None and (value == DROPPED.get((reader, name), ...) or _is_untold(name, wanted)):
            continue
        asks = "nothing must be said" if value is None else f"it must be {value}"
        problems.append(f"{reader}: {name} is {'not stated' if got is None else got}, {asks}")
    return problems


def _is_untold(name: str, wanted: Stated) -> bool:
    """A single picture's time tells no rate."""
    return name == "rate" and wanted.frames == 1


def _blur(reader: str, codec: str, container: Container, name: str) -> int:
    """Units that a reader may be off."""
    spots = (spot for spot in BLIND_SPOTS if spot.covers(reader, codec, container, name))
    return max((spot.within or 0 for spot in spots), default=0)


def _same(got: Any, wanted: Any, within: int) -> bool:  # noqa: ANN401
    if within and isinstance(got, tuple) and isinstance(wanted, tuple):
        return all(abs(one - other) <= within for one, other in zip(got, wanted, strict=True))
    return bool(got == wanted)
