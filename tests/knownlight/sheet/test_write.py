"""Writing the sheet: nothing that is not ours is touched, and no reading is lost."""

import csv
import io
import shutil
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import msgspec
import pytest

from knownlight.errors import BadInput, UnreadableFile
from knownlight.pack.manifest import Manifest, read_manifest
from knownlight.readings.csv_file import read_table, write_rows
from knownlight.readings.display import Display
from knownlight.readings.table import Kind, Result, Row
from knownlight.sheet.build import displays_of, sheet_model, with_display
from knownlight.sheet.write import FILES, Written, check_sheet, write_sheet
from knownlight.signal.encoding import Transfer


@pytest.fixture
def folder(sheet_pack: Path, tmp_path: Path) -> Path:
    """A folder with the small pack's manifest alone: the sheet needs no more."""
    shutil.copy(sheet_pack / "manifest.json", tmp_path)
    return tmp_path


@pytest.fixture
def manifest(folder: Path) -> Manifest:
    """Its manifest."""
    return read_manifest(folder / "manifest.json")


def written(folder: Path, manifest: Manifest) -> Written:
    """Write the sheet as the command does."""
    return write_sheet(folder, manifest, sheet_model(manifest, displays_of(manifest), {}))


def rows_in(folder: Path, name: str = "readings.csv") -> tuple[Row, ...]:
    """The table that lies there."""
    return read_table((folder / name).read_bytes(), name).rows


def fill(folder: Path, clip: str, result: Result) -> None:
    """Fill a clip's first region, as a reader does."""
    rows = [
        replace(row, result=result) if (row.kind, row.clip) == (Kind.READING, clip) else row
        for row in rows_in(folder)
    ]
    (folder / "readings.csv").write_bytes(write_rows(rows))


def without(manifest: Manifest, clip: str) -> Manifest:
    """The pack without a clip."""
    return msgspec.structs.replace(manifest, clips=[each for each in manifest.clips if each.id != clip])


def test_three_files_are_written(folder: Path, manifest: Manifest) -> None:
    """The page, the table and the list; a second time they are the same to the byte, and stay untouched."""
    assert Written(carried=0) == written(folder, manifest)
    assert {"manifest.json", *FILES} == {path.name for path in folder.iterdir()}
    assert (
        (folder / "START-HERE.html")
        .read_bytes()
        .startswith(b"<!doctype html>\n<!-- knownlight run sheet -->\n")
    )
    times = [(folder / name).stat().st_mtime_ns for name in FILES]
    assert Written(carried=0) == written(folder, manifest)
    assert times == [(folder / name).stat().st_mtime_ns for name in FILES]


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize(
    "content", [b"", b"mine", b"<!doctype html>\n<p>mine", b"#EXTM3U\nmine.mp4\n", b"a,b\n1,2\n"]
)
def test_a_file_that_is_not_ours_is_refused(
    folder: Path, manifest: Manifest, name: str, content: bytes
) -> None:
    """In one line, before anything is written."""
    (folder / name).write_bytes(content)
    words = f"{folder / name}: it is there and knownlight did not make it; move it away, or rename it"
    with pytest.raises(BadInput) as caught:
        written(folder, manifest)
    assert words == str(caught.value)
    assert {"manifest.json", name} == {path.name for path in folder.iterdir()}
    assert content == (folder / name).read_bytes()


def test_a_folder_of_that_name_is_refused(folder: Path) -> None:
    """It is no file of ours either."""
    (folder / "START-HERE.html").mkdir()
    with pytest.raises(BadInput, match=r"START-HERE\.html: it is there and knownlight did not make it"):
        check_sheet(folder)


def test_what_a_program_saved_again_is_still_ours(folder: Path, manifest: Manifest) -> None:
    """A table with semicolons and quotes, a list with other line ends."""
    written(folder, manifest)
    table = list(csv.reader(io.StringIO((folder / "readings.csv").read_text("utf-8-sig"), newline="")))
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=";", quoting=csv.QUOTE_ALL).writerows(table)
    (folder / "readings.csv").write_text(text.getvalue(), encoding="utf-8")
    playlist = folder / "playlist.m3u8"
    playlist.write_bytes(playlist.read_bytes().replace(b"\n", b"\r\n"))
    assert Written(carried=0) == written(folder, manifest)


def test_readings_stay_when_targets_change(folder: Path, manifest: Manifest) -> None:
    """They are carried over into the table of the other display."""
    written(folder, manifest)
    fill(
        folder,
        "window-sdr",
        Result(luminance=Decimal("104.5"), xy=(Decimal("0.31"), Decimal("0.33")), note="=note"),
    )
    changed = with_display(manifest, Display(kind=Transfer.SDR, peak=212.0))
    assert Written(carried=1) == written(folder, changed)
    (row,) = [row for row in rows_in(folder) if (row.kind, row.clip) == (Kind.READING, "window-sdr")]
    assert (
        Result(luminance=Decimal("104.5"), xy=(Decimal("0.31"), Decimal("0.33")), note="=note") == row.result
    )
    assert row.target is not None
    assert pytest.approx(212.0 * (164 / 219) ** 2.4, rel=1e-5) == row.target.luminance  # BT.1886 Annex 1
    assert {"manifest.json", *FILES} == {path.name for path in folder.iterdir()}


def test_readings_that_have_no_place_are_kept(folder: Path, manifest: Manifest) -> None:
    """The whole old table, under the first free name; what still has a place is carried over as well."""
    written(folder, manifest)
    fill(folder, "window-pq", Result(luminance=Decimal("987.0")))
    fill(folder, "window-sdr", Result(luminance=Decimal("104.5")))
    old = (folder / "readings.csv").read_bytes()
    (folder / "readings.1.csv").write_bytes(b"another")

    expected = Written(carried=1, kept="readings.2.csv", why="1 of its filled rows")
    assert expected == written(folder, without(manifest, "window-pq"))
    assert old == (folder / "readings.2.csv").read_bytes()
    assert b"another" == (folder / "readings.1.csv").read_bytes()
    assert [104.5] == [row.result.luminance for row in rows_in(folder) if row.result.luminance]


def test_a_run_that_was_killed_is_made_good(folder: Path, manifest: Manifest) -> None:
    """What it had kept is not kept again; halves of its files go, also where nothing is written anew."""
    written(folder, manifest)
    fill(folder, "window-pq", Result(luminance=Decimal("987.0")))
    shutil.copy(folder / "readings.csv", folder / "readings.1.csv")  # and there it ended
    kept = written(folder, without(manifest, "window-pq")).kept
    for name in (*FILES, "readings.2.csv"):
        (folder / f"{name}.part").write_bytes(b"half")
    again = written(folder, without(manifest, "window-pq")).kept

    assert ("readings.1.csv", None) == (kept, again)
    assert {"manifest.json", "readings.1.csv", *FILES} == {path.name for path in folder.iterdir()}


def test_columns_of_ones_own_are_kept(folder: Path, manifest: Manifest) -> None:
    """The new table has none; one that is empty is no loss."""
    written(folder, manifest)
    lines = (folder / "readings.csv").read_text("utf-8-sig").splitlines()
    (folder / "readings.csv").write_text(
        "\n".join([lines[0] + ",mine,empty", lines[1] + ",word,", *(f"{line},," for line in lines[2:])])
    )
    assert Written(carried=0, kept="readings.1.csv", why="column mine") == written(folder, manifest)


def test_a_table_that_cannot_be_read_stops_all(folder: Path, manifest: Manifest) -> None:
    """With its line and column, also before a run begins; nothing is written."""
    written(folder, manifest)
    fill(folder, "window-sdr", Result(luminance=Decimal("104.5")))
    path = folder / "readings.csv"
    spoilt = path.read_bytes().replace(b"104.5", b"about 100")
    path.write_bytes(spoilt)
    (folder / "START-HERE.html").unlink()
    for refused in (lambda: written(folder, manifest), lambda: check_sheet(folder)):
        with pytest.raises(UnreadableFile, match="measured_luminance: 'about 100' is no number"):
            refused()
    assert spoilt == path.read_bytes()
    assert not (folder / "START-HERE.html").exists()
