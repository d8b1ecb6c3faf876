"""A small ICC profile of an SDR or sRGB signal, for formats that state colour in no other way.

ICC.1:2010 (version 4.3): a display profile of three matrix columns and one parametric curve. The columns are
the primaries' XYZ adapted to D50 by the linear Bradford transform (Annex E); `chad` says so.
"""

import struct

import numpy as np

from knownlight.errors import CannotCarry
from knownlight.signal.arrays import FloatArray
from knownlight.signal.encoding import Transfer
from knownlight.signal.primaries import BT709
from knownlight.signal.transfer import bt1886

_HEADER_BYTES = 128
_ENTRY_BYTES = 12
_VERSION = 0x04300000
_MADE = (2000, 1, 1, 0, 0, 0)  # the same bytes each time
_D50 = np.array([0.9642, 1.0, 0.8249])  # clause 7.2.16
_BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
_GAMMA, _WITH_LINEAR_PART = 0, 3  # function types of clause 10.16
_CURVES: dict[Transfer, tuple[str, int, tuple[float, ...]]] = {
    Transfer.SDR: ("BT.709 primaries, BT.1886", _GAMMA, (bt1886.EXPONENT,)),
    Transfer.SRGB: (
        "sRGB (IEC 61966-2-1)",
        _WITH_LINEAR_PART,
        (2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.04045),
    ),
}


def icc_profile(transfer: Transfer) -> bytes:
    """The profile of R'G'B' codes of full range.

    Raises:
        CannotCarry: for PQ and HLG, which have more light than a profile's white.
    """
    if transfer not in _CURVES:
        raise CannotCarry(f"an ICC profile holds sdr and srgb, not {transfer.value}; use png or avif")
    words, kind, parameters = _CURVES[transfer]
    adapted = _adaptation(BT709.xyz_from_linear_rgb((1.0, 1.0, 1.0)))
    columns = (adapted @ BT709.xyz_from_rgb_matrix).T
    curve = b"para" + struct.pack(">IHH", 0, kind, 0) + _fixed(parameters)
    tags = {
        "desc": _text(words),
        "cprt": _text("No copyright"),
        "wtpt": b"XYZ " + bytes(4) + _fixed(_D50),
        "chad": b"sf32" + bytes(4) + _fixed(adapted.ravel()),
        **{f"{c}XYZ": b"XYZ " + bytes(4) + _fixed(column) for c, column in zip("rgb", columns, strict=True)},
        **{f"{c}TRC": curve for c in "rgb"},
    }
    return _assembled(tags)


def _adaptation(white: FloatArray) -> FloatArray:
    """3 by 3 matrix from XYZ of a white to XYZ of D50."""
    gains = (_BRADFORD @ _D50) / (_BRADFORD @ white)
    return np.asarray(np.linalg.inv(_BRADFORD) @ np.diag(gains) @ _BRADFORD)


def _fixed(values: FloatArray | tuple[float, ...]) -> bytes:
    """s15Fixed16Number."""
    return struct.pack(f">{len(values)}i", *(int(np.floor(value * 65536 + 0.5)) for value in values))


def _text(words: str) -> bytes:
    """MultiLocalizedUnicodeType of one record."""
    encoded = words.encode("utf-16-be")
    return b"mluc" + struct.pack(">III2s2sII", 0, 1, 12, b"en", b"US", len(encoded), 28) + encoded


def _assembled(tags: dict[str, bytes]) -> bytes:
    """Header, table of tags, and their data, the same data once."""
    start = _HEADER_BYTES + 4 + _ENTRY_BYTES * len(tags)
    places: dict[bytes, int] = {}
    data = b""
    for body in tags.values():
        if body not in places:
            places[body] = start + len(data)
            data += body + bytes(-len(body) % 4)
    table = b"".join(
        name.encode() + struct.pack(">II", places[body], len(body)) for name, body in tags.items()
    )
    header = struct.pack(
        ">I4xI4s4s4s6H4s28x", start + len(data), _VERSION, b"mntr", b"RGB ", b"XYZ ", *_MADE, b"acsp"
    ) + _fixed(_D50)
    return header.ljust(_HEADER_BYTES, b"\0") + struct.pack(">I", len(tags)) + table + data
