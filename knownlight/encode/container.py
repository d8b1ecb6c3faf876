"""Containers: what a file wraps its pictures and its sound in, and the arguments that make it so."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Container:
    """One kind of file.

    sound_encoder, sound_rate: of the track that the container's players expect. arguments: of ffmpeg, for
    writing.
    """

    name: str
    suffix: str
    sound_encoder: str
    sound_rate: str
    arguments: tuple[str, ...]

    @property
    def sound(self) -> tuple[str, ...]:
        """Arguments of ffmpeg for the sound."""
        return ("-c:a", self.sound_encoder, "-b:a", self.sound_rate)

    @property
    def is_stream(self) -> bool:
        """Whether it is a transport stream: it has no index, and no chapter marks."""
        return self.suffix == ".ts"


MP4 = Container(
    name="MP4",
    suffix=".mp4",
    sound_encoder="aac",
    sound_rate="96k",
    arguments=("-movflags", "+faststart", "-f", "mp4"),  # the index first: a player need not seek for it
)
MKV = Container(
    name="Matroska",
    suffix=".mkv",
    sound_encoder="aac",
    sound_rate="96k",
    arguments=("-cues_to_front", "1", "-f", "matroska"),
)
WEBM = Container(
    name="WebM",
    suffix=".webm",
    sound_encoder="libopus",
    sound_rate="96k",
    arguments=("-cues_to_front", "1", "-f", "webm"),
)
# System B and AC-3 are what DVB has beside AVC and HEVC (ETSI TS 101 154; from memory).
# A clock reference every 20 ms, the timing that a broadcast has; the standard allows 100.
_TS = (
    *("-metadata", "service_name=knownlight", "-metadata", "service_provider=knownlight"),
    *("-mpegts_flags", "+system_b", "-pcr_period", "20", "-f", "mpegts"),
)
HEVC_TS = Container(
    name="transport stream",
    suffix=".ts",
    sound_encoder="ac3",
    sound_rate="192k",
    arguments=("-mpegts_service_type", "hevc_digital_hdtv", *_TS),
)
AVC_TS = Container(
    name="transport stream",
    suffix=".ts",
    sound_encoder="ac3",
    sound_rate="192k",
    arguments=("-mpegts_service_type", "advanced_codec_digital_hdtv", *_TS),
)
MPEG2_TS = Container(
    name="transport stream",
    suffix=".ts",
    sound_encoder="mp2",
    sound_rate="256k",  # at 192 the first wave of a beep is lost: it seems 0.2 ms early
    arguments=("-mpegts_service_type", "digital_tv", *_TS),
)
