"""Hashes of coded pictures: proof that the copied part of a clip is the part that was decoded."""

import hashlib
from collections.abc import Sequence
from pathlib import Path

from knownlight.errors import UnreadableFile
from knownlight.readback.track import Sample


def packet_hashes(path: Path, samples: Sequence[Sample]) -> list[bytes]:
    """One hash a coded picture, in decoding order."""
    hashes = []
    with path.open("rb") as file:
        for sample in samples:
            if sample.digest:
                hashes.append(sample.digest)
                continue
            file.seek(sample.offset)
            data = file.read(sample.size)
            if len(data) != sample.size:
                raise UnreadableFile(f"{path}: a picture lies past the end; the file is cut short")
            hashes.append(hashlib.blake2b(data, digest_size=16).digest())
    return hashes


def file_sha256(path: Path) -> str:
    """SHA-256 of a file, in hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
