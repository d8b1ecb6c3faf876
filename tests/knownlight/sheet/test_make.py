"""Making a sheet: nobody else writes the folder meanwhile."""

import shutil
from pathlib import Path

import pytest

from knownlight.errors import BadInput
from knownlight.ffmpeg import Stop
from knownlight.pack import stick
from knownlight.pack.manifest import read_manifest
from knownlight.pack.stick import alone_in
from knownlight.readings.display import Display
from knownlight.sheet.make import make_sheet
from knownlight.signal.encoding import Transfer


def test_no_run_may_list_a_clip_meanwhile(
    sheet_pack: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From reading the manifest to writing it the folder is held: a listing in between would be lost."""
    monkeypatch.setattr(stick, "_PATIENCE", 0.0)
    folder = Path(shutil.copytree(sheet_pack, tmp_path / "stick"))
    refused: list[str] = []

    def try_to_write(count: int) -> None:
        try:
            with alone_in(folder):
                refused.append("two were alone")
        except BadInput as error:
            refused.append(f"{count} {error}")

    measured = Display(kind=Transfer.SDR, peak=212.0)
    make_sheet(folder, cache=tmp_path / "cache", stop=Stop(), measured=measured, on_done=try_to_write)
    with alone_in(folder):
        displays = read_manifest(folder / "manifest.json").displays

    assert [f"8 {folder}: another run is writing to it; wait for its end"] * 8 == refused
    assert [("sdr", 212.0)] == [(each.kind, each.peak) for each in displays]
