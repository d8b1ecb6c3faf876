"""`knownlight still`: every format by the ending of its name, with a manifest beside it that verifies."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import imagecodecs
import pytest
from PIL import Image

Run = Callable[..., Any]
PACK = """schema = 1
name = "mine"
title = "Mine"
summary = "One still of each format."
signal = "720p60-pq"
[[chapters]]
name = "stills"
title = "Stills"
answers = "What does a viewer show?"
"""
ENDINGS = ("png", "avif", "heic", "jxl", "exr", "tif")


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_still_is_made_and_verifies(run: Run, tmp_path: Path, ending: str) -> None:
    """A full-range 10-bit PQ still: 1000 cd/m² is code 769 (ST 2084 by hand), exact, read by two others."""
    to = tmp_path / f"w.{ending}"
    answer = run("still", "window", "luminance=1000", "--signal", "720p60-pq", "--to", to, "--json")

    assert (0, ending) == (answer.code, answer.json["delivery"])
    assert [769, 769, 769] == answer.json["claims"][0]["code"]
    assert {"class": "exact", "largest_error": 0, "largest_region_error": 0, "limit": 0} == answer.json[
        "exactness"
    ]
    assert 2 <= len(answer.json["proof"]["readers"])
    assert "1 passed, 0 failed" in run("verify", to).stdout


@pytest.mark.parametrize(
    ("name", "said", "light"),
    [
        ("pq.png", (9, 16, 0, 1), (999, 100)),
        ("pq.avif", (9, 16, 0, 1), (999, 100)),
        ("hlg.heic", (9, 18, 0, 1), (None, None)),
        ("pq.jxl", (9, 16, 0, 1), (None, None)),
        ("pq.exr", (9, 8, 0, 1), (None, None)),
        ("pq.tif", (9, 2, 0, 1), (None, None)),
        ("srgb.tif", (1, 13, 0, 1), (None, None)),
        ("sdr.jpg", (1, 1, 5, 1), (None, None)),
    ],
)
def test_the_manifest_says_what_the_file_does(
    run: Run, tmp_path: Path, name: str, said: tuple[int, ...], light: tuple[int | None, ...]
) -> None:
    """H.273 primaries, transfer, matrix and range; light levels only where the format has room for them."""
    signal = name.partition(".")[0]
    words = ("still", "window", *(["luminance=1000"] if signal == "pq" else []))
    answer = run(*words, "--signal", f"720p60-{signal}", "--to", tmp_path / name, "--json")
    declared = answer.json["declared"]

    assert said == tuple(declared[name] for name in ("primaries", "transfer", "matrix", "full_range"))
    assert light == (declared["max_cll"], declared["max_fall"])
    assert (light[0] is None) == (declared["mastering"] is None)


def test_srgb_stands_for_the_same_light(run: Run, tmp_path: Path) -> None:
    """50 cd/m²: BT.1886 has it at 255 (0.5)^(1 / 2.4) = 191.03, sRGB at 187.52 (IEC 61966-2-1)."""
    found = {}
    for signal in ("sdr", "srgb"):
        to = tmp_path / f"{signal}.png"
        words = ("still", "full-field", "luminance=50", "--signal", f"720p60-{signal}", "--to", to, "--json")
        (claim,) = run(*words).json["claims"]
        with Image.open(to) as image:
            assert ("RGB", tuple(claim["code"])) == (image.mode, image.getpixel((3, 3)))
        found[signal] = (claim["code"][0], claim["luminance"])

    assert (191, 188) == (found["sdr"][0], found["srgb"][0])
    for _, luminance in found.values():
        assert 50.0 == pytest.approx(luminance, abs=0.35)  # half a code


def test_a_jpeg_is_bounded_and_says_so(run: Run, tmp_path: Path) -> None:
    """Its measured error and its limit are in the manifest and in the words."""
    to = tmp_path / "p.jpg"
    answer = run("still", "picture", "--signal", "720p60-srgb", "--to", to)
    exactness = json.loads((tmp_path / "p.jpg.manifest.json").read_text())["clips"][0]["exactness"]

    assert ("bounded", 13) == (exactness["class"], exactness["limit"])
    assert 0 < exactness["largest_error"] <= 13
    assert f"bounded, largest error {exactness['largest_error']} codes (limit 13)" in answer.stdout
    assert "1 passed, 0 failed" in run("verify", to).stdout


@pytest.mark.parametrize(
    ("words", "remedy"),
    [
        (("--signal", "720p60-pq", "--to", "a.jpg"), "use avif or png, or an srgb signal"),
        (("--signal", "720p60-sdr", "--depth", 10, "--to", "a.jpg"), "use --depth 8, or avif or png"),
        (("--signal", "720p60-pq", "--range", "narrow", "--to", "a.avif"), "use --range full, or png"),
        (
            ("--signal", "720p60-srgb", "--range", "narrow", "--to", "a.png"),
            "use --range full, or an sdr signal",
        ),
        (("--signal", "720p60-pq", "--to", "a"), "stills end in one of .png, .avif, .heic"),
    ],
)
def test_what_cannot_be_held_is_refused(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], remedy: str
) -> None:
    """Before any work, in one line with the nearest that works; nothing is written."""
    monkeypatch.chdir(tmp_path)
    answer = run("still", "window", *words)

    assert 2 == answer.code
    assert remedy in answer.stderr
    assert 1 == len(answer.stderr.splitlines())
    assert [] == list(tmp_path.iterdir())


def test_a_clip_of_srgb_is_refused(run: Run, tmp_path: Path) -> None:
    """SRGB is for pictures."""
    answer = run("clip", "window", "--signal", "720p60-srgb", "--to", tmp_path / "a.mp4")

    assert 2 == answer.code
    assert "srgb signals are for stills; use an sdr signal for a clip" in answer.stderr


def test_a_changed_still_does_not_verify(run: Run, tmp_path: Path) -> None:
    """Somebody wrote the picture anew with one sample changed, losslessly and with the same headers."""
    to = tmp_path / "w.tif"
    run("still", "window", "--signal", "720p60-srgb", "--to", to)
    samples = imagecodecs.tiff_decode(to.read_bytes()).copy()
    samples[0, 0, 0] ^= 1
    to.write_bytes(imagecodecs.tiff_encode(samples))
    answer = run("verify", to)

    assert 1 == answer.code
    assert "w.tif: its SHA-256 is not the manifest's" in answer.stdout
    assert "w.tif: pixels: frame 0: R plane differs at x=0 y=0: expected 0, got 1 (1 of " in answer.stdout
    assert "w.tif: tif: words is not stated, it must be R'G'B' codes of 8 bits" in answer.stdout


def test_packs_hold_stills(run: Run, tmp_path: Path) -> None:
    """Each format by its name as delivery; the pack is rendered, reused and verified."""
    clips = [
        f'[[chapters.clips]]\nid = "{name}"\npattern = "window"\ndelivery = "{name}"\nlook = "One window."\n'
        for name in ENDINGS
    ]
    clips.append(
        '[[chapters.clips]]\nid = "jpg"\npattern = "window"\nsignal = "720p60-srgb"\ndelivery = "jpg"\n'
        'look = "One window."\n'
    )
    (tmp_path / "mine.toml").write_text(PACK + "".join(clips), encoding="utf-8")
    words = ("render", tmp_path / "mine.toml", "--to", tmp_path / "stick", "--json")

    assert [*ENDINGS, "jpg"] == sorted(run(*words).json["made"], key=[*ENDINGS, "jpg"].index)
    assert 7 == len(run(*words).json["reused"])
    files = sorted(path.name for path in (tmp_path / "stick" / "010-stills").iterdir())
    assert ["png", "avif", "heic", "jxl"] == [file.split("-")[1] for file in files[:4]]
    checked = run("verify", tmp_path / "stick", "--json").json
    assert (True, 7) == (checked["passed"], len(checked["files"]))
    plan = run("render", tmp_path / "mine.toml", "--to", tmp_path / "other", "--dry-run").stdout
    assert "010-stills/030-heic-window-signal-100.heic  720p60-pq  heic  1 frames" in plan


def test_a_pack_that_asks_for_what_cannot_be_is_refused(run: Run, tmp_path: Path) -> None:
    """With the clip, and what carries it; an unknown delivery with all there are."""
    for delivery, words in (
        ("jpg", "clip a: jpg carries 8-bit sdr and srgb, not pq; use avif or png"),
        ("gif", "clip a: delivery 'gif' is not known; use one of hevc-mp4"),
    ):
        clip = f'[[chapters.clips]]\nid = "a"\npattern = "window"\ndelivery = "{delivery}"\nlook = "One."\n'
        (tmp_path / "mine.toml").write_text(PACK + clip, encoding="utf-8")
        answer = run("render", tmp_path / "mine.toml", "--to", tmp_path / "stick")

        assert 2 == answer.code
        assert words in answer.stderr
