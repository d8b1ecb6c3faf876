"""One clip and one still, from the command line to a proven file."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pymediainfo import MediaInfo

Run = Callable[..., Any]


def test_the_window_of_the_readme(run: Run, tmp_path: Path) -> None:
    """A minute of a 10 % window at 1000 cd/m² is code 723 on 64 (standards: BT.2100), HDR10 in MediaInfo."""
    path = tmp_path / "w.mp4"
    answer = run(
        *("clip", "window", "area_percent=10", "luminance=1000", "--signal", "2160p60-pq"),
        *("--seconds", 60, "--to", path, "--json"),
    )
    entry = answer.json
    video = MediaInfo.parse(str(path)).video_tracks[0]

    assert 0 == answer.code
    assert (3600, 60.0, "5.1") == (entry["frames"], entry["seconds"], entry["level"])
    assert {"class": "exact", "largest_error": 0, "largest_region_error": 0, "limit": 0} == entry["exactness"]
    assert [723, 512, 512] == entry["claims"][0]["code"]
    assert {64} == {claim["code"][0] for claim in entry["claims"][1:]}
    assert (1005, 101) == (entry["declared"]["max_cll"], entry["declared"]["max_fall"])
    assert ("HDR10", "hvc1") == (video.hdr_format_compatibility, video.codec_id)
    assert "Main 10@L5.1@Main" == video.format_profile
    assert "1005 cd/m2" == video.maximum_content_light_level
    assert "min: 0.0001 cd/m2, max: 1000 cd/m2" == video.mastering_display_luminance


def test_levels_go_by_their_own_names(run: Run, tmp_path: Path) -> None:
    """Area, APL and FALL of a 10 % window of PQ 1000: 10 %, 7.5 % of signal, 100 cd/m² (standards §7)."""
    entry = run(
        *("clip", "window", "luminance=1000", "--signal", "1080p60-pq", "--seconds", 1),
        *("--to", tmp_path / "w.mp4", "--json"),
    ).json

    assert 10.0 == pytest.approx(entry["notes"]["area_percent"], abs=0.05)
    assert 7.5 == pytest.approx(entry["light"]["apl_percent"], abs=0.05)
    assert 100.0 == pytest.approx(entry["light"]["fall"], abs=1.0)


def test_a_clip_is_told_in_words(run: Run, tmp_path: Path) -> None:
    """People read what was made, what it holds and its cautions; the cautions go to standard error."""
    path = tmp_path / "bars.mp4"
    answer = run("clip", "pan", "--signal", "720p24-sdr", "--seconds", 2, "--to", path)

    assert 0 == answer.code
    assert f"{path}: 48 frames, 2 s, level 3.1" in answer.stdout
    assert "exact: " in answer.stdout
    assert "Caution, stripes: " in answer.stderr


def test_a_single_file_has_a_manifest_and_verifies(run: Run, tmp_path: Path) -> None:
    """The manifest lies beside the file, and verify needs nothing else; a second make replaces both."""
    path = tmp_path / "ramp.mp4"
    for _ in range(2):
        assert 0 == run("clip", "ramp", "--signal", "720p25-hlg", "--seconds", 1, "--to", path).code
    answer = run("verify", path)
    names = sorted(entry.name for entry in tmp_path.iterdir())

    assert (0, "ok      ramp.mp4\n1 passed, 0 failed\n") == (answer.code, answer.stdout)
    assert ["ramp.mp4", "ramp.mp4.manifest.json"] == names


def test_the_same_words_give_the_same_bytes(run: Run, tmp_path: Path) -> None:
    """Two runs write the same file."""
    paths = [tmp_path / "one.mp4", tmp_path / "two.mp4"]
    for path in paths:
        run("clip", "near-black", "--signal", "720p50-pq", "--seconds", 1, "--to", path)

    assert paths[0].read_bytes() == paths[1].read_bytes()


def test_a_still_is_made_and_verifies(run: Run, tmp_path: Path) -> None:
    """A full-range 10-bit PQ still: 1000 cd/m² is code 769 (standards §2.1), exact."""
    path = tmp_path / "w.png"
    answer = run("still", "window", "luminance=1000", "--signal", "720p60-pq", "--to", path, "--json")

    assert 0 == answer.code
    assert [769, 769, 769] == answer.json["claims"][0]["code"]
    assert 0 == run("verify", path).code


def test_json_stands_alone_on_standard_output(run: Run, tmp_path: Path) -> None:
    """One object on standard output, everything else on standard error."""
    answer = run(
        "clip", "pan", "--signal", "720p24-sdr", "--seconds", 1, "--to", tmp_path / "a.mp4", "--json"
    )

    assert ["stripes"] == [caution["name"] for caution in json.loads(answer.stdout)["safety"]]
    assert "Caution, stripes" in answer.stderr
