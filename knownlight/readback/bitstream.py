"""What the coded video itself says: sequence headers and SEI, as ffmpeg's `trace_headers` prints them.

The values come from the parsed syntax elements of H.264 and H.265, named as the standards name them.
"""

import re
from fractions import Fraction
from pathlib import Path

from knownlight import ffmpeg
from knownlight.errors import UnreadableFile
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import ContentLight, HdrMetadata, MasteringDisplay
from knownlight.readback.stated import Stated, avc_profile, hevc_profile, level_text

_LINE = re.compile(r"\[trace_headers[^\]]*\] (?P<text>.*)")
_FIELD = re.compile(r"\d+ +(?P<name>[a-z]\w*(?:\[\d+\])*) .*= (?P<value>-?\d+)$")
_SECTIONS = {
    "Sequence Parameter Set": "sps",
    "Content Light Level Information": "light",
    "Mastering Display Colour Volume": "mastering",
}

Fields = dict[str, int]


def read_both_copies(path: Path, stop: ffmpeg.Stop) -> tuple[Stated, Stated]:
    """Headers as the container's copy has them, and as they stand with the first picture.

    A container may hold copies of parameter sets and SEI messages; those that come with the pictures are the
    ones that decoders obey, and the same where the pictures bring none.

    Raises:
        ToolFailed, UnreadableFile: where there is no HEVC or AVC video.
    """
    _, words = ffmpeg.run(
        [
            *("-i", str(path), "-map", "0:v:0", "-c", "copy", "-frames:v", "1"),
            *("-bsf:v", "trace_headers", "-f", "null", "-"),
        ],
        what=f"{path}: the headers could not be read",
        stop=stop,
    )
    first, last = _sections(words)
    if not first.get("sps"):
        raise UnreadableFile(
            f"{path}: no sequence parameter set was found; the video is neither HEVC nor AVC"
        )
    return _stated(first), _stated(last)


def _sections(words: str) -> tuple[dict[str, Fields], dict[str, Fields]]:
    """Fields by section, as printed first and as printed last."""
    first: dict[str, Fields] = {}
    last: dict[str, Fields] = {}
    section = ""
    for line in words.splitlines():
        match = _LINE.match(line)
        if match is None:
            continue
        text = match["text"]
        field = _FIELD.match(text)
        if field:
            first.setdefault(section, {}).setdefault(field["name"], int(field["value"]))
            last.setdefault(section, {})[field["name"]] = int(field["value"])
        elif not text[:1].isdigit():
            section = _SECTIONS.get(text.strip(), text.strip())
    return first, last


def _stated(sections: dict[str, Fields]) -> Stated:
    sps = sections["sps"]
    return _hevc(sps, sections) if "general_profile_idc" in sps else _avc(sps)


def _colour(sps: Fields) -> ColourDescription:
    """VUI; what the standards infer where a flag is off is filled in only for chroma location (0)."""
    signalled = bool(sps.get("video_signal_type_present_flag"))
    described = bool(sps.get("colour_description_present_flag"))
    return ColourDescription(
        primaries=sps.get("colour_primaries") if described else None,
        transfer=sps.get("transfer_characteristics") if described else None,
        matrix=sps.get("matrix_coefficients") if described else None,
        full_range=sps.get("video_full_range_flag") if signalled else None,
        chroma_location=sps.get("chroma_sample_loc_type_top_field", 0),
    )


def _hdr(sections: dict[str, Fields]) -> HdrMetadata:
    light, mastering = sections.get("light"), sections.get("mastering")

    def point(index: int) -> tuple[int, int]:
        assert mastering is not None  # noqa: S101 - only called where it is there
        return mastering[f"display_primaries_x[{index}]"], mastering[f"display_primaries_y[{index}]"]

    return HdrMetadata(
        mastering=MasteringDisplay(
            green=point(0),
            blue=point(1),
            red=point(2),
            white=(mastering["white_point_x"], mastering["white_point_y"]),
            max_luminance=mastering["max_display_mastering_luminance"],
            min_luminance=mastering["min_display_mastering_luminance"],
        )
        if mastering
        else None,
        light=ContentLight(
            max_cll=light["max_content_light_level"], max_fall=light["max_pic_average_light_level"]
        )
        if light
        else None,
    )


def _hevc(sps: Fields, sections: dict[str, Fields]) -> Stated:
    ticks = sps.get("vui_num_units_in_tick")
    return Stated(
        codec="hevc",
        profile=hevc_profile(sps["general_profile_idc"]),
        level=level_text(sps["general_level_idc"], 30),
        tier="High" if sps.get("general_tier_flag") else "Main",
        width=sps["pic_width_in_luma_samples"] - 2 * _cropped(sps, "left", "right", prefix="conf_win"),
        height=sps["pic_height_in_luma_samples"] - 2 * _cropped(sps, "top", "bottom", prefix="conf_win"),
        rate=Fraction(sps["vui_time_scale"], ticks) if ticks else None,
        depth=sps["bit_depth_luma_minus8"] + 8,
        colour=_colour(sps),
        hdr=_hdr(sections),
    )


def _avc(sps: Fields) -> Stated:
    ticks = sps.get("num_units_in_tick")
    return Stated(
        codec="avc",
        profile=avc_profile(sps["profile_idc"]),
        level=level_text(sps["level_idc"], 10),
        width=16 * (sps["pic_width_in_mbs_minus1"] + 1)
        - 2 * _cropped(sps, "left", "right", prefix="frame_crop"),
        height=16 * (sps["pic_height_in_map_units_minus1"] + 1)
        - 2 * _cropped(sps, "top", "bottom", prefix="frame_crop"),
        rate=Fraction(sps["time_scale"], 2 * ticks) if ticks else None,
        depth=sps.get("bit_depth_luma_minus8", 0) + 8,
        colour=_colour(sps),
    )


def _cropped(sps: Fields, first: str, second: str, *, prefix: str) -> int:
    """Cropping of one direction in units of two luma samples (4:2:0)."""
    return sps.get(f"{prefix}_{first}_offset", 0) + sps.get(f"{prefix}_{second}_offset", 0)
