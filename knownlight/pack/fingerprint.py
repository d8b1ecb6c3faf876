"""A hash of the program itself: what an older one has proven is not taken for proven by a changed one."""

import hashlib
import subprocess
import sys
from functools import lru_cache
from importlib import metadata
from pathlib import Path

import knownlight
from knownlight.ffmpeg import binary
from knownlight.frame.claims import Pattern

# Whatever writes or reads samples beside ffmpeg.
_LIBRARIES = ("imagecodecs", "numpy", "OpenEXR", "pillow", "pillow-heif", "pymediainfo", "tifffile")


def program_hash(pattern: Pattern) -> str:
    """Of all that makes and proves a file of a pattern: the engine, the pattern's package, libraries, ffmpeg.

    Raises:
        BadInput: where there is no ffmpeg.
    """
    package = type(pattern).__module__.partition(".")[0]
    parts = (_sources(knownlight.__name__), _sources(package), _tools(binary()), *map(_version, _LIBRARIES))
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


@lru_cache(maxsize=8)
def _sources(package: str) -> str:
    """A hash of a package's sources, or of a single module's."""
    module = sys.modules.get(package)
    folders = [Path(folder) for folder in getattr(module, "__path__", [])]
    paths = sorted(path for folder in folders for path in folder.rglob("*.py"))
    if not folders and module is not None and module.__file__ is not None:
        paths = [Path(module.__file__)]
    digest = hashlib.sha256()
    for path in paths:
        data = path.read_bytes()
        digest.update(f"{path.name} {len(data)}\n".encode() + data)
    return digest.hexdigest()


@lru_cache(maxsize=8)
def _tools(ffmpeg: str) -> str:
    """What ffmpeg says of its version and of how it was built."""
    return subprocess.run([ffmpeg, "-version"], capture_output=True, check=False).stdout.decode(
        errors="replace"
    )


@lru_cache(maxsize=len(_LIBRARIES))
def _version(library: str) -> str:
    return f"{library} {metadata.version(library)}"
