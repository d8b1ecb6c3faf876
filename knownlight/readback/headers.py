"""The headers of each codec, from their syntax elements by the names that the standards give them.

H.264 and H.265 Annex E (VUI) and D (SEI), H.262 clause 6.2.2, AV1 clause 5.5 and 5.8, VP9 clause 6.2.
"""

from collections.abc import Callable
from fractions import Fraction

from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import (
    CHROMATICITY_UNITS,
    LUMINANCE_UNITS,
    ContentLight,
    HdrMetadata,
    MasteringDisplay,
)
from knownlight.readback.stated import (
    BOTTOM_FIRST,
    PROGRESSIVE,
    TOP_FIRST,
    Stated,
    av1_level_text,
    avc_profile,
    hevc_profile,
    level_text,
)

Fields = dict[str, int]
Sections = dict[str, Fields]

_SPS = "Sequence Parameter Set"
_SEQUENCE = "Sequence Header"
# H.262 Table 6-4 and clause 6.3.3; display aspect ratios, and the code 1 for square pixels
_MPEG2_RATES = {
    1: Fraction(24000, 1001), 2: Fraction(24), 3: Fraction(25), 4: Fraction(30000, 1001), 5: Fraction(30),
    6: Fraction(50), 7: Fraction(60000, 1001), 8: Fraction(60),
}  # fmt: skip
_MPEG2_ASPECTS = {2: Fraction(4, 3), 3: Fraction(16, 9)}
_MPEG2_PROFILES = {4: "Main"}  # profile and level of Table 8-2 and 8-3
_MPEG2_LEVELS = {4: "High", 8: "Main"}
# H.264 Table E-1, the ratios that this program writes
_ASPECTS = {1: Fraction(1), 4: Fraction(16, 11), 5: Fraction(40, 33)}
_EXTENDED_ASPECT = 255
# VP9 color_space names primaries and matrix together, and no transfer: BT.601 is 1, BT.709 2, SMPTE 170 3 and
# BT.2020 5 (clause 7.2.2)
_VP9_SPACES = {1: (5, 5), 2: (1, 1), 3: (6, 6), 5: (9, 9)}
# AV1 counts chromaticities in 2^-16, the largest luminance in 2^-8 and the smallest in 2^-14 cd/m²
_AV1_CHROMATICITY, _AV1_HIGH, _AV1_LOW = 1 << 16, 1 << 8, 1 << 14


def stated_by(sections: Sections) -> Stated | None:
    """What headers say; None where there is no sequence header of a known kind."""
    for section, mark, read in _READERS:
        if mark in sections.get(section, {}):
            return read(sections)
    return None


def _vui_colour(sps: Fields) -> ColourDescription:
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


def _aspect(sps: Fields) -> Fraction | None:
    if not sps.get("aspect_ratio_info_present_flag"):
        return None
    if sps["aspect_ratio_idc"] == _EXTENDED_ASPECT:
        return Fraction(sps["sar_width"], sps["sar_height"])
    return _ASPECTS.get(sps["aspect_ratio_idc"])


def _sei_hdr(sections: Sections) -> HdrMetadata:
    light = sections.get("Content Light Level Information")
    mastering = sections.get("Mastering Display Colour Volume")
    return HdrMetadata(
        mastering=MasteringDisplay(
            green=_point(mastering, 0),
            blue=_point(mastering, 1),
            red=_point(mastering, 2),
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


def _point(mastering: Fields, index: int) -> tuple[int, int]:
    return mastering[f"display_primaries_x[{index}]"], mastering[f"display_primaries_y[{index}]"]


def _hevc(sections: Sections) -> Stated:
    sps = sections[_SPS]
    ticks = sps.get("vui_num_units_in_tick")
    alternative = sections.get("Alternative Transfer Characteristics", {})
    return Stated(
        codec="hevc",
        profile=hevc_profile(sps["general_profile_idc"]),
        level=level_text(sps["general_level_idc"], 30),
        tier="High" if sps.get("general_tier_flag") else "Main",
        width=sps["pic_width_in_luma_samples"] - 2 * _cropped(sps, "left", "right", prefix="conf_win"),
        height=sps["pic_height_in_luma_samples"] - 2 * _cropped(sps, "top", "bottom", prefix="conf_win"),
        rate=Fraction(sps["vui_time_scale"], ticks) if ticks else None,
        depth=sps["bit_depth_luma_minus8"] + 8,
        scan=None if sps.get("field_seq_flag") else PROGRESSIVE,
        pixel_aspect=_aspect(sps),
        preferred_transfer=alternative.get("preferred_transfer_characteristics"),
        colour=_vui_colour(sps),
        hdr=_sei_hdr(sections),
    )


def _avc(sections: Sections) -> Stated:
    """A map unit of a stream with fields is two macroblocks high (clause 7.4.2.1.1)."""
    sps = sections[_SPS]
    ticks = sps.get("num_units_in_tick")
    units = 1 if sps["frame_mbs_only_flag"] else 2
    cropped = 2 * units * _cropped(sps, "top", "bottom", prefix="frame_crop")
    structure = sections.get("Picture Timing", {}).get("pic_struct")
    fields = {3: TOP_FIRST, 4: BOTTOM_FIRST}.get(structure or 0)
    return Stated(
        codec="avc",
        profile=avc_profile(sps["profile_idc"]),
        level=level_text(sps["level_idc"], 10),
        width=16 * (sps["pic_width_in_mbs_minus1"] + 1)
        - 2 * _cropped(sps, "left", "right", prefix="frame_crop"),
        height=16 * units * (sps["pic_height_in_map_units_minus1"] + 1) - cropped,
        rate=Fraction(sps["time_scale"], 2 * ticks) if ticks else None,
        depth=sps.get("bit_depth_luma_minus8", 0) + 8,
        scan=PROGRESSIVE if units == 1 else fields,
        pixel_aspect=_aspect(sps),
        colour=_vui_colour(sps),
    )


def _cropped(sps: Fields, first: str, second: str, *, prefix: str) -> int:
    """Cropping of one direction in units of two luma samples (4:2:0)."""
    return sps.get(f"{prefix}_{first}_offset", 0) + sps.get(f"{prefix}_{second}_offset", 0)


def _av1(sections: Sections) -> Stated:
    sequence = sections[_SEQUENCE]
    described = bool(sequence.get("color_description_present_flag"))
    # 0 is unknown, 1 on the left ("vertical"), 2 on the top left sample ("colocated")
    location = {1: 0, 2: 2}.get(sequence.get("chroma_sample_position", 0))
    return Stated(
        codec="av1",
        profile="Main" if sequence["seq_profile"] == 0 else f"profile {sequence['seq_profile']}",
        level=av1_level_text(sequence["seq_level_idx[0]"]),
        tier="High" if sequence.get("seq_tier[0]") else "Main",
        width=sequence["max_frame_width_minus_1"] + 1,
        height=sequence["max_frame_height_minus_1"] + 1,
        depth=10 if sequence["high_bitdepth"] else 8,
        scan=PROGRESSIVE,
        colour=ColourDescription(
            primaries=sequence.get("color_primaries") if described else None,
            transfer=sequence.get("transfer_characteristics") if described else None,
            matrix=sequence.get("matrix_coefficients") if described else None,
            full_range=sequence.get("color_range"),
            chroma_location=location,
        ),
        hdr=_obu_hdr(sections),
    )


def _obu_hdr(sections: Sections) -> HdrMetadata:
    light, volume = sections.get("HDR CLL Metadata"), sections.get("HDR MDCV Metadata")
    return HdrMetadata(
        mastering=_obu_mastering(volume) if volume else None,
        light=ContentLight(max_cll=light["max_cll"], max_fall=light["max_fall"]) if light else None,
    )


def _obu_mastering(volume: Fields) -> MasteringDisplay:
    """Red, green, blue; in other fractions than ST 2086 has, so its nearest units are meant."""

    def units(x: str, y: str) -> tuple[int, int]:
        scale = CHROMATICITY_UNITS / _AV1_CHROMATICITY
        return round(volume[x] * scale), round(volume[y] * scale)

    red, green, blue = (
        units(f"primary_chromaticity_x[{index}]", f"primary_chromaticity_y[{index}]") for index in range(3)
    )
    return MasteringDisplay(
        red=red,
        green=green,
        blue=blue,
        white=units("white_point_chromaticity_x", "white_point_chromaticity_y"),
        max_luminance=round(volume["luminance_max"] * LUMINANCE_UNITS / _AV1_HIGH),
        min_luminance=round(volume["luminance_min"] * LUMINANCE_UNITS / _AV1_LOW),
    )


def _vp9(sections: Sections) -> Stated:
    frame = sections["Frame"]
    profile = frame["profile_low_bit"] + 2 * frame["profile_high_bit"]
    primaries, matrix = _VP9_SPACES.get(frame["color_space"], (None, None))
    depth = 12 if frame.get("ten_or_twelve_bit") else 10
    return Stated(
        codec="vp9",
        profile=str(profile),
        width=frame["frame_width_minus_1"] + 1,
        height=frame["frame_height_minus_1"] + 1,
        depth=8 if profile < 2 else depth,  # noqa: PLR2004 - profiles 2 and 3 are those of more bits
        scan=PROGRESSIVE,
        colour=ColourDescription(primaries=primaries, matrix=matrix, full_range=frame.get("color_range")),
    )


def _mpeg2(sections: Sections) -> Stated:
    sequence, extension = sections[_SEQUENCE], sections.get("Sequence Extension", {})
    display = sections.get("Sequence Display Extension", {})
    described = bool(display.get("colour_description"))
    width, height = sequence["horizontal_size_value"], sequence["vertical_size_value"]
    code = extension.get("profile_and_level_indication", 0)
    fields = BOTTOM_FIRST
    if sections.get("Picture Coding Extension", {}).get("top_field_first"):
        fields = TOP_FIRST
    aspect = sequence["aspect_ratio_information"]
    shape = _MPEG2_ASPECTS.get(aspect)
    return Stated(
        codec="mpeg2",
        profile=_MPEG2_PROFILES.get(code >> 4 & 7),
        level=_MPEG2_LEVELS.get(code & 15),
        width=width,
        height=height,
        rate=_MPEG2_RATES.get(sequence["frame_rate_code"]),
        depth=8,
        scan=PROGRESSIVE if extension.get("progressive_sequence") else fields,
        pixel_aspect=shape * height / width if shape else (Fraction(1) if aspect == 1 else None),
        colour=ColourDescription(
            primaries=display.get("colour_primaries") if described else None,
            transfer=display.get("transfer_characteristics") if described else None,
            matrix=display.get("matrix_coefficients") if described else None,
        ),
    )


# Section and a field that only this codec has in it.
_READERS: tuple[tuple[str, str, Callable[[Sections], Stated]], ...] = (
    (_SPS, "general_profile_idc", _hevc),
    (_SPS, "profile_idc", _avc),
    (_SEQUENCE, "seq_profile", _av1),
    (_SEQUENCE, "horizontal_size_value", _mpeg2),
    ("Frame", "frame_marker", _vp9),
)
