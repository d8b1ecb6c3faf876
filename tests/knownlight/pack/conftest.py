"""Small file systems to write to, as a stick's: mounted for a test, where that is allowed."""

import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

_MIB = 1 << 20
_PLACES = f"{os.environ.get('PATH', '')}:/usr/sbin:/sbin"


def _mounted(command: list[str | Path], folder: Path) -> Iterator[Path]:
    folder.mkdir()
    finished = subprocess.run([*command, folder], capture_output=True, check=False)
    if finished.returncode:
        pytest.skip(f"{command[0]} may not mount here: {finished.stderr.decode().strip()}")
    try:
        yield folder
    finally:
        while os.path.ismount(folder):
            subprocess.run(["umount", folder], check=True)


@pytest.fixture
def small_stick(tmp_path: Path) -> Iterator[Path]:
    """A tmpfs of 8 MiB."""
    yield from _mounted(["mount", "-t", "tmpfs", "-o", "size=8m", "tmpfs"], tmp_path / "small")


@pytest.fixture
def fat_stick(tmp_path: Path) -> Iterator[Path]:
    """A FAT32 of 40 MiB, by fusefat: no links, no case, no renaming that refuses to replace."""
    tools = {name: shutil.which(name, path=_PLACES) for name in ("mkfs.vfat", "fusefat")}
    if None in tools.values():
        pytest.skip("mkfs.vfat or fusefat is absent; Debian's dosfstools and fusefat have them")
    image = tmp_path / "stick.img"
    with image.open("wb") as file:
        file.truncate(40 * _MIB)
    subprocess.run([str(tools["mkfs.vfat"]), "-F", "32", image], capture_output=True, check=True)
    yield from _mounted([str(tools["fusefat"]), "-o", "rw+", image], tmp_path / "fat")
