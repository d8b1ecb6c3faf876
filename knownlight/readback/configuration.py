"""Decoder configuration records: what a container's copy of the coder's parameters says.

ISO/IEC 14496-15 (hvcC, avcC) and the AV1 and VP9 bindings to ISO base media (av1C, vpcC); written from memory
and checked against MediaInfo and ffmpeg in the tests. Matroska holds the same records.
"""

from collections.abc import Callable, Iterator
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


_PARAMETER_SETS = (32, 33, 34)  # kinds of HEVC units: VPS, SPS, PPS
_HVCC_HEAD, _AV1C_HEAD = 22, 4  # bytes of a record before its arrays of units, or before its OBUs
_SEQUENCE_HEADER = 1  # kind of AV1 OBU


def setup_of(box: str, body: bytes) -> bytes:
    """What a configuration record sets a decoder up with: all of it but messages about light and display.

    Streams of the same setup can follow one another in one track.
    """
    match box:
        case "hvcC":
            return body[:_HVCC_HEAD] + b"".join(_parameter_sets(body))
        case "av1C":
            return body[:_AV1C_HEAD] + b"".join(_sequence_headers(body))
        case _:
            return body


def _parameter_sets(hvcc: bytes) -> Iterator[bytes]:
    """Each parameter set with its kind."""
    place = _HVCC_HEAD + 1
    for _ in range(hvcc[_HVCC_HEAD]):
        kind, count = hvcc[place] & 63, int.from_bytes(hvcc[place + 1 : place + 3], "big")
        place += 3
        for _ in range(count):
            end = place + 2 + int.from_bytes(hvcc[place : place + 2], "big")
            if kind in _PARAMETER_SETS:
                yield bytes([kind]) + hvcc[place:end]
            place = end


def _sequence_headers(av1c: bytes) -> Iterator[bytes]:
    """Sequence headers whole; every OBU of a record has a size (AV1 binding to ISO base media 2.3.3)."""
    place = _AV1C_HEAD
    while place < len(av1c):
        start, kind, has_extension = place, av1c[place] >> 3 & 15, av1c[place] >> 2 & 1
        place += 1 + has_extension
        size = shift = 0
        while True:  # leb128
            byte = av1c[place]
            size |= (byte & 127) << shift
            place, shift = place + 1, shift + 7
            if not byte & 128:
                break
        place += size
        if kind == _SEQUENCE_HEADER:
            yield av1c[start:place]


CONFIGURATIONS: dict[str, Callable[[bytes], Facts]] = {
    "hvcC": _hvcc,
    "avcC": _avcc,
    "av1C": _av1c,
    "vpcC": _vpcc,
}
