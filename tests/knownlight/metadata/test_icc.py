"""ICC profiles as littleCMS reads them (through Pillow): curve, primaries and white."""

import io

import numpy as np
import pytest
from PIL import Image, ImageCms

from knownlight.errors import CannotCarry
from knownlight.metadata.icc import icc_profile
from knownlight.signal.encoding import Transfer

FIXED_POINT = 2e-5  # numbers of a profile count 1/65536; half of that, and littleCMS's own rounding
ADAPTED = 1e-4  # XYZ of D65 has four decimals in ICC's own example of sRGB
# The sRGB profile that littleCMS builds by itself: columns adapted to D50.
_SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).profile


@pytest.mark.parametrize("transfer", [Transfer.SDR, Transfer.SRGB])
def test_columns_are_those_of_bt709(transfer: Transfer) -> None:
    """Red, green and blue are those that the library itself gives sRGB, whose primaries are BT.709's."""
    profile = ImageCms.ImageCmsProfile(io.BytesIO(icc_profile(transfer))).profile

    for name in ("red_colorant", "green_colorant", "blue_colorant"):
        expected, found = getattr(_SRGB, name), getattr(profile, name)
        np.testing.assert_allclose(expected[0], found[0], atol=FIXED_POINT + ADAPTED)
    assert profile.media_white_point is not None
    np.testing.assert_allclose((0.9642, 1.0, 0.8249), profile.media_white_point[0], atol=FIXED_POINT)
    assert (4.3, "RGB ", "XYZ ", "mntr") == (
        profile.version,
        profile.xcolor_space,
        profile.connection_space,
        profile.device_class,
    )
    assert profile.is_matrix_shaper


@pytest.mark.parametrize(("transfer", "other"), [(Transfer.SDR, False), (Transfer.SRGB, True)])
def test_srgb_is_srgb_and_sdr_is_not(transfer: Transfer, other: bool) -> None:  # noqa: FBT001
    """Turned into the library's own sRGB, codes of an sRGB profile stay as they are; BT.1886's get darker."""
    profile = ImageCms.ImageCmsProfile(io.BytesIO(icc_profile(transfer)))
    codes = np.repeat(np.arange(256, dtype=np.uint8)[None, :, None], 3, axis=2)
    shown = ImageCms.profileToProfile(
        Image.fromarray(codes),
        profile,
        ImageCms.createProfile("sRGB"),
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
    )

    assert other == bool(np.array_equal(codes, np.asarray(shown)))


@pytest.mark.parametrize("transfer", [Transfer.PQ, Transfer.HLG])
def test_hdr_has_no_profile(transfer: Transfer) -> None:
    """A profile's white is the most that it can say."""
    with pytest.raises(CannotCarry, match=rf"holds sdr and srgb, not {transfer.value}; use png or avif"):
        icc_profile(transfer)
