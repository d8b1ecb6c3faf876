"""Hashes of coded pictures, against packets that ffmpeg cut out."""

import hashlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from knownlight.errors import UnreadableFile
from knownlight.readback.boxes import read_mp4
from knownlight.readback.packets import file_sha256, packet_hashes

if TYPE_CHECKING:
    from tests.conftest import MakeClip


@pytest.mark.parametrize("name", ["hevc-pq-metadata", "avc-sdr-sound"])
def test_every_hash_is_that_of_the_packet(
    name: str, independent_clip: Callable[[str], Path], run_ffmpeg: Callable[..., bytes]
) -> None:
    """Ffmpeg copies out all packets end to end; cut at its own sizes, they have the same hashes in order."""
    path = independent_clip(name)
    whole = run_ffmpeg("-i", path, "-map", "0:v", "-c", "copy", "-f", "data", "-")
    listed = run_ffmpeg("-i", path, "-map", "0:v", "-c", "copy", "-f", "framecrc", "-").decode()
    expected, position = [], 0
    for line in (line for line in listed.splitlines() if not line.startswith("#")):
        size = int(line.split(",")[4])
        expected.append(hashlib.blake2b(whole[position : position + size], digest_size=16).digest())
        position += size
    assert (20, len(whole)) == (len(expected), position)
    assert expected == packet_hashes(path, read_mp4(path).samples)


def test_repeats_have_the_hashes_of_the_group(shared_clip: "MakeClip") -> None:
    """Thirty pictures in groups of twelve: the hashes come round, and the twelve differ."""
    path = shared_clip("ramp", "720p24-pq", 30).path
    hashes = packet_hashes(path, read_mp4(path).samples)
    assert hashes[:12] + hashes[:12] + hashes[:6] == hashes
    assert 12 == len(set(hashes))


def test_a_picture_past_the_end_is_found(independent_clip: Callable[[str], Path]) -> None:
    """A sample table that points past the end belongs to a file cut short."""
    path = independent_clip("avc-sdr-sound")
    samples = read_mp4(path).samples
    beyond = replace(samples[-1], offset=path.stat().st_size - 1)
    with pytest.raises(UnreadableFile) as caught:
        packet_hashes(path, [*samples[:-1], beyond])
    assert f"{path}: a picture lies past the end; the file is cut short" == str(caught.value)


def test_the_hash_of_a_file_is_sha_256(tmp_path: Path) -> None:
    """The one-block example of FIPS 180-4: "abc"."""
    path = tmp_path / "abc"
    path.write_bytes(b"abc")
    assert "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" == file_sha256(path)
