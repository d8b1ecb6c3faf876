"""The pack of clips, joined once a session."""

import shutil
from pathlib import Path

import pytest

from knownlight.pack.manifest import Manifest, read_manifest
from tests.knownlight.pack.joined.joined_pack import CLIPS, JoinedPack, job_of, join, rendered


@pytest.fixture(scope="session")
def pack(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, JoinedPack]:
    """A pack whose clips were joined; tests read it and never change it."""
    folder = tmp_path_factory.mktemp("joined") / "somebody's pack"
    folder.mkdir()
    return folder, join(folder, rendered([job_of(*clip[:4], clip[4:]) for clip in CLIPS], folder))


@pytest.fixture
def copy(pack: tuple[Path, JoinedPack], tmp_path: Path) -> tuple[Path, Manifest]:
    """A copy of it, to be changed."""
    folder = tmp_path / "copy"
    shutil.copytree(pack[0], folder)
    return folder, read_manifest(folder / "manifest.json")
