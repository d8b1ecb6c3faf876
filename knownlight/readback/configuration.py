"""Decoder configuration records: what a container's copy of the coder's parameters says.

ISO/IEC 14496-15 (hvcC, avcC) and the AV1 and VP9 bindings to ISO base media (av1C, vpcC); written from memory
and checked against MediaInfo and ffmpeg in the tests. Matroska holds the same records.
"""

from collections.abc import Callable
from typing import Any

from knownlight.readback.stated import av1_level_text, avc_profile, hevc_profile, level_text

Facts = dict[str, Any]


def _hvcc(body: bytes) -> Facts:
    profile_byte, level = body[1], body[12]
    return {
        "codec": "hevc",
        "profile": hevc_profile(profile_byte & 31),
        "tier": "High" if profile_byte & 32 else "Main",
        "level": level_text(level, 30),
        "depth": (body[17] & 7) + 8,
    }


def _avcc(body: bytes) -> Facts:
    return {"codec": "avc", "profile": avc_profile(body[1]), "level": level_text(body[3], 10)}


def _av1c(body: bytes) -> Facts:
    tier_byte = body[2]
    return {
        "codec": "av1",
        "profile": "Main" if body[1] >> 5 == 0 else f"profile {body[1] >> 5}",
        "level": av1_level_text(body[1] & 31),
        "tier": "High" if tier_byte & 128 else "Main",
        "depth": 10 if tier_byte & 64 else 8,
    }


def _vpcc(body: bytes) -> Facts:
    """A full box: version and flags come first."""
    return {
        "codec": "vp9",
        "profile": str(body[4]),
        "level": level_text(body[5], 10),
        "depth": body[6] >> 4,
    }


CONFIGURATIONS: dict[str, Callable[[bytes], Facts]] = {
    "hvcC": _hvcc,
    "avcC": _avcc,
    "av1C": _av1c,
    "vpcC": _vpcc,
}
