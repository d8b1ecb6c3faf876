"""`knownlight sheet`: the run sheet anew, with targets for the reader's display."""

import json
import shutil
import warnings
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from knownlight.pack.manifest import digest, read_manifest
from knownlight.readings.csv_file import read_table
from knownlight.readings.table import Kind, Row

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour.models

Run = Callable[..., Any]
FILES = ["START-HERE.html", "readings.csv", "playlist.m3u8"]


@pytest.fixture
def stick(sheet_pack: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the small pack without a sheet, and a cache of its own."""
    monkeypatch.setenv("KNOWNLIGHT_CACHE", str(tmp_path / "cache"))
    stick = Path(shutil.copytree(sheet_pack, tmp_path / "stick"))
    for name in FILES:
        (stick / name).unlink(missing_ok=True)
    return stick


def reading(stick: Path, clip: str) -> Row:
    """The first region of a clip in the table that lies there."""
    rows = read_table((stick / "readings.csv").read_bytes(), "readings.csv").rows
    return next(row for row in rows if (row.kind, row.clip) == (Kind.READING, clip))


def test_it_makes_three_files(run: Run, stick: Path) -> None:
    """With thumbnails in the page; the manifest stays as it was, to the byte, and the cache is used."""
    before = (stick / "manifest.json").read_bytes()
    answer = run("sheet", stick)
    assert 0 == answer.code
    assert answer.stdout.startswith(
        f"{stick}: START-HERE.html, readings.csv, playlist.m3u8; targets for peak"
    )
    assert 8 == (stick / "START-HERE.html").read_text("utf-8").count("data:image/webp;base64,")
    assert before == (stick / "manifest.json").read_bytes()
    assert 8 == len(list((stick.parent / "cache" / "thumbnails").glob("*.webp")))
    assert "" == answer.stderr


def test_displays_add_up(run: Run, stick: Path) -> None:
    """Two calls, two displays in the sealed manifest; targets by colour-science's BT.1886 and ST 2084."""
    run("sheet", stick, "--display", "sdr", "--peak", 212, "--black", 0.05)
    told = run("sheet", stick, "--display", "pq", "--peak", 800, "--json").json
    manifest = read_manifest(stick / "manifest.json")
    assert digest(manifest) == manifest.digest
    assert [("sdr", 212.0, 0.05), ("pq", 800.0, 0.0)] == [
        (each.kind, each.peak, each.black) for each in manifest.displays
    ]
    assert {
        "folder": str(stick),
        "files": FILES,
        "displays": [
            {"kind": "sdr", "peak": 212.0, "black": 0.05},
            {"kind": "hlg", "peak": 1000.0, "black": 0.0},
            {"kind": "pq", "peak": 800.0, "black": 0.0},
        ],
        "readings_carried": 0,
        "old_table": None,
    } == told
    sdr, pq = reading(stick, "window-sdr").target, reading(stick, "window-pq").target
    assert sdr is not None
    assert pq is not None
    expected = float(colour.models.eotf_BT1886(164 / 219, L_B=0.05, L_W=212.0))
    assert pytest.approx(expected, rel=1e-5) == sdr.luminance
    expected = float(colour.models.eotf_ST2084(659 / 876))
    assert pytest.approx(expected, rel=1e-5) == pq.luminance
    assert "above peak" == pq.basis.value


def test_readings_stay(run: Run, stick: Path) -> None:
    """What was filled in is told and kept; where its clip is gone, the old table is."""
    run("sheet", stick)
    path = stick / "readings.csv"
    text = path.read_text("utf-8-sig")
    (line,) = [line for line in text.splitlines() if line.startswith("reading,window-sdr,")]
    path.write_text(
        text.replace(line, line.replace("BT.1886,,,,,,", "BT.1886,51.50,0.31,0.33,,,fine")), "utf-8"
    )
    answer = run("sheet", stick, "--display", "sdr", "--peak", 120)
    assert "filled rows of the old readings.csv in the new one: 1" in answer.stdout
    assert (Decimal("51.50"), (Decimal("0.31"), Decimal("0.33")), "fine") == (
        *(getattr(reading(stick, "window-sdr").result, name) for name in ("luminance", "xy", "note")),
    )
    assert b",51.50,0.31,0.33," in path.read_bytes()  # as it was typed

    old = path.read_bytes().replace(b"reading,window-sdr,", b"reading,no-more,")
    path.write_bytes(old)
    answer = run("sheet", stick, "--json")
    assert (0, "readings.1.csv") == (answer.json["readings_carried"], answer.json["old_table"])
    assert (
        "readings.1.csv: the old table, for the new one has no place for 1 of its filled rows"
        in answer.stderr
    )
    assert old == (stick / "readings.1.csv").read_bytes()


@pytest.mark.parametrize(
    ("words", "problem"),
    [
        (["--display", "oled", "--peak", "100"], "display 'oled' is not known; use one of sdr, hlg, pq"),
        (["--display", "sdr"], "--display sdr: give its --peak in cd/m² as it was measured"),
        (["--peak", "100"], "--peak: of which display? Give --display sdr, hlg or pq as well"),
        (["--black", "0"], "--black: of which display?"),
        (["--display", "pq", "--peak", "20000"], "peak 20000 cd/m² is none of a display; use 10 to 10000"),
        (["--display", "hlg", "--peak", "-5"], "peak -5 cd/m² is none of a display; use 10 to 10000"),
        (["--display", "hlg", "--peak", "nan"], "peak nan cd/m² is none of a display"),
        (["--display", "sdr", "--peak", "100", "--black", "100"], "black 100 cd/m² is not from 0 to below"),
    ],
)
def test_what_is_no_display_is_refused(run: Run, stick: Path, words: list[str], problem: str) -> None:
    """One line, exit 2, and nothing is written."""
    answer = run("sheet", stick, *words)
    assert (2, 1) == (answer.code, answer.stderr.count("\n"))
    assert answer.stderr.startswith(f"knownlight: {problem}")
    assert not [name for name in FILES if (stick / name).exists()]


def test_a_folder_without_a_pack_is_refused(run: Run, tmp_path: Path) -> None:
    """It says where it looked."""
    answer = run("sheet", tmp_path)
    assert (2, True) == (
        answer.code,
        f"{tmp_path / 'manifest.json'}: no manifest could be read" in answer.stderr,
    )


def test_a_changed_manifest_is_not_sealed_again(run: Run, stick: Path) -> None:
    """A display would be written with a new seal: what somebody changed must not get one."""
    path = stick / "manifest.json"
    data = json.loads(path.read_text("utf-8"))
    data["clips"][0]["seconds"] = 61.0
    path.write_text(json.dumps(data), "utf-8")
    changed = path.read_bytes()
    answer = run("sheet", stick, "--display", "sdr", "--peak", 212)
    assert (1, True) == (answer.code, "the manifest was changed after it was written" in answer.stderr)
    assert changed == path.read_bytes()
    assert not (stick / "readings.csv").exists()


def test_a_foreign_file_stops_it(run: Run, stick: Path) -> None:
    """Before the manifest is touched."""
    (stick / "readings.csv").write_text("date,price\n", "utf-8")
    before = (stick / "manifest.json").read_bytes()
    answer = run("sheet", stick, "--display", "sdr", "--peak", 212)
    assert (2, True) == (
        answer.code,
        "readings.csv: it is there and knownlight did not make it" in answer.stderr,
    )
    assert before == (stick / "manifest.json").read_bytes()
    assert not (stick / "START-HERE.html").exists()


def test_a_missing_file_is_told(run: Run, stick: Path) -> None:
    """The sheet is made without its picture."""
    next((stick / "010-light").glob("020-*")).unlink()
    answer = run("sheet", stick)
    assert (0, 1) == (answer.code, answer.stderr.count("\n"))
    assert answer.stderr.startswith("window-sdr: no picture of it could be made; knownlight verify tells")
    assert 7 == (stick / "START-HERE.html").read_text("utf-8").count("data:image/webp;base64,")


def test_a_display_that_was_typed_is_the_packs(run: Run, stick: Path) -> None:
    """The page exports white and black as rows: targets and manifest follow; an option goes before them."""
    run("sheet", stick, "--display", "sdr", "--peak", 212, "--black", 0.05)
    path = stick / "readings.csv"
    path.write_text(
        path.read_text("utf-8-sig")
        .replace("display-sdr-peak,1,,,,,,,,,,,,,,,,212", 'display-sdr-peak,1,,,,,,,,,,,,,,,,"203,5"')
        .replace("display-sdr-black,1,,,,,,,,,,,,,,,,0.05", "display-sdr-black,1,,,,,,,,,,,,,,,,0.03"),
        "utf-8",
    )
    told = run("sheet", stick, "--json").json
    assert {"kind": "sdr", "peak": 203.5, "black": 0.03} == told["displays"][0]
    assert [("sdr", 203.5, 0.03)] == [
        (each.kind, each.peak, each.black) for each in read_manifest(stick / "manifest.json").displays
    ]
    target = reading(stick, "window-sdr").target
    assert target is not None
    expected = float(colour.models.eotf_BT1886(164 / 219, L_B=0.03, L_W=203.5))
    assert pytest.approx(expected, rel=1e-5) == target.luminance
    path.write_bytes(path.read_bytes().replace(b",203.5\r\n", b",100\r\n").replace(b",0.03\r\n", b",0\r\n"))
    told = run("sheet", stick, "--json").json
    assert {"kind": "sdr", "peak": 203.5, "black": 0.03} == told["displays"][0]  # 100 and 0 are nobody's
    told = run("sheet", stick, "--display", "SDR", "--peak", 150, "--json").json
    assert {"kind": "sdr", "peak": 150.0, "black": 0.0} == told["displays"][0]


@pytest.mark.parametrize(
    ("typed", "problem"),
    [
        ("bright", "display-sdr-peak: 'bright' is no number; write cd/m² as 212 or 0.05, or leave it empty"),
        ("3", "display-sdr-peak: peak 3 cd/m² is none of a display; use 10 to 10000"),
    ],
)
def test_a_typed_display_that_is_none_is_refused(run: Run, stick: Path, typed: str, problem: str) -> None:
    """With file and row; nothing is written."""
    run("sheet", stick, "--display", "sdr", "--peak", 212)
    path = stick / "readings.csv"
    changed = path.read_bytes().replace(b",212\r\n", f",{typed}\r\n".encode())
    path.write_bytes(changed)
    answer = run("sheet", stick)
    assert (2, f"knownlight: {path}: {problem}\n") == (answer.code, answer.stderr)
    assert changed == path.read_bytes()
