"""Poor clips, from the command line to labels that the written file earns."""

import hashlib
import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from pymediainfo import MediaInfo

Run = Callable[..., Any]
RunFfmpeg = Callable[..., bytes]

SIZE = (720, 1280)
# B8 of our scale: mild is about 2, strong 4 to 8, severe 14 and more (our own measurements, no source)
BANDS = {"mild": (1.5, 2.8), "strong": (4.0, 8.0), "severe": (14.0, np.inf)}
ROUNDED = 6e-4  # of a figure: half a unit of its last place, and every fifth picture summed in another order
RATE_TOLERANCE = 0.15  # of a rate that is asked for, as docs/stress.md has it
SHORT = ("--seconds", 2)


def _clip(run: Run, to: Path, *words: object) -> dict[str, Any]:
    answer = run("clip", *words, "--to", to, "--json")
    assert 0 == answer.code, answer.stderr
    return dict(answer.json)


def _luma(run_ffmpeg: RunFfmpeg, path: Path, frames: int) -> NDArray[np.uint8]:
    """Decoded luma by plain ffmpeg, (frames, rows, columns)."""
    data = run_ffmpeg("-i", path, "-frames:v", str(frames), "-f", "rawvideo", "-pix_fmt", "yuv420p", "-")
    pictures = np.frombuffer(data, np.uint8).reshape(frames, -1)
    return pictures[:, : SIZE[0] * SIZE[1]].reshape(frames, *SIZE)


def _blocking(pictures: NDArray[np.uint8]) -> float:
    """B8 by its definition: steps over the lines of the grid against steps elsewhere, in both directions."""
    ratios = []
    for picture in pictures[::5].astype(np.int16):
        over, beside = [], []
        for axis in (0, 1):
            steps = np.abs(np.diff(picture, axis=axis)).mean(axis=1 - axis)
            phases = [steps[phase::8].mean() for phase in range(8)]
            over.append(phases[7])
            beside.append(np.mean(phases[:7]))
        ratios.append((np.mean(over) + 0.05) / (np.mean(beside) + 0.05))
    return float(np.mean(ratios))


@pytest.fixture(scope="module")
def strong(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A strong clip of fog, made once by the program as a process."""
    to = tmp_path_factory.mktemp("strong") / "fog.mp4"
    words = ["clip", "fog", "severity=strong", "--signal", "720p24-sdr", "--delivery", "avc-mp4"]
    subprocess.run(
        [sys.executable, "-c", "from cli.app import main; main()", *words, "--seconds", "8", "--to", str(to)],
        check=True,
        capture_output=True,
    )
    return to


def _entry(path: Path) -> dict[str, Any]:
    return dict(json.loads((path.parent / (path.name + ".manifest.json")).read_text())["clips"][0])


@pytest.mark.parametrize("severity", ["mild", "severe"])
@pytest.mark.parametrize("seed", [11, 12])
def test_a_severity_is_earned_by_the_written_file(
    severity: str, seed: int, run: Run, run_ffmpeg: RunFfmpeg, tmp_path: Path
) -> None:
    """By plain ffmpeg and the definition, on seeds that nothing was tuned with."""
    words = (f"severity={severity}", f"seed={seed}", "fog_percent=2", "--signal", "720p24-sdr")
    entry = _clip(run, tmp_path / "fog.mp4", "fog", *words, "--delivery", "avc-mp4", *SHORT)
    ratio = _blocking(_luma(run_ffmpeg, tmp_path / "fog.mp4", 48))

    assert "degraded" == entry["exactness"]["class"]
    assert severity == entry["stress"]["blocking"]
    assert BANDS[severity][0] <= ratio < BANDS[severity][1]
    assert ratio == pytest.approx(entry["stress"]["areas"][0]["grids"][0]["ratio"], abs=ROUNDED * ratio)


def test_the_figures_are_those_of_the_file(strong: Path, run_ffmpeg: RunFfmpeg) -> None:
    """B8, flat blocks, codes, PSNR, rate and hash, each from plain ffmpeg and numpy."""
    stress = _entry(strong)["stress"]
    area = stress["areas"][0]
    pictures = _luma(run_ffmpeg, strong, 96)
    sampled = pictures[::5]
    blocks = sampled.reshape(len(sampled), 90, 8, 160, 8)
    listed = run_ffmpeg("-i", strong, "-map", "0:v", "-c", "copy", "-f", "framecrc", "-").decode()
    sizes = [int(line.split(",")[4]) for line in listed.splitlines() if not line.startswith("#")]

    assert "strong" == stress["blocking"]
    assert _blocking(pictures) == pytest.approx(area["grids"][0]["ratio"], rel=ROUNDED)
    assert (blocks.max((2, 4)) == blocks.min((2, 4))).mean() == pytest.approx(area["flat8"], abs=1e-4)
    assert np.unique(sampled).size == area["codes_in_use"]
    assert hashlib.sha256(pictures.tobytes()).hexdigest() == stress["luma_sha256"]
    assert round(8 * sum(sizes[:96]) / 4) == stress["bits_per_second"]


def test_a_poor_clip_verifies(strong: Path, run: Run) -> None:
    """From its manifest alone; the repeats are copies as in every clip."""
    answer = run("verify", strong, "--json")
    assert 0 == answer.code, answer.stdout
    assert (96, 96) == tuple(answer.json["files"][0][f"{kind}_frames"] for kind in ("decoded", "repeated"))


def test_the_stretched_picture_lies_beside_it(strong: Path, run_ffmpeg: RunFfmpeg) -> None:
    """Its pixels are those of the frame that it names, stretched between the codes that it names."""
    entry = _entry(strong)["stress"]["stretched"]
    beside = strong.parent / entry["file"]
    picture = np.asarray(Image.open(beside))
    luma = _luma(run_ffmpeg, strong, 96)[entry["picture"]].astype(int)
    low, high = entry["lowest_code"], entry["highest_code"]
    wanted = np.clip((luma - low) * 255 // (high - low), 0, 255)

    assert (luma[:600] >= low).mean() > 0.99
    assert np.array_equal(wanted[:600], picture[:600])  # the label lies below
    assert not np.array_equal(wanted[640:], picture[640:])


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda stress: stress.update(blocking="mild"), "manifest: stress is"),
        (lambda stress: stress.update(cambi=0.1), "manifest: stress is"),
        (lambda stress: stress.update(luma_sha256="0" * 64), "manifest: stress is"),
        (
            lambda stress: stress["asked"].update(severity="severe"),
            "severity severe is asked for, the file earns strong",
        ),
    ],
)
def test_a_label_that_is_not_earned_is_found(
    change: Callable[[dict[str, Any]], None], words: str, strong: Path, run: Run, tmp_path: Path
) -> None:
    """Whoever changes the figures, or asks for more than the file has, is told so by verify."""
    for file in strong.parent.iterdir():
        shutil.copy(file, tmp_path)
    manifest = tmp_path / "fog.mp4.manifest.json"
    data = json.loads(manifest.read_text())
    change(data["clips"][0]["stress"])
    manifest.write_text(json.dumps(data))
    answer = run("verify", tmp_path / "fog.mp4")
    assert 1 == answer.code
    assert words in answer.stdout


def test_a_missing_or_changed_stretched_picture_is_found(strong: Path, run: Run, tmp_path: Path) -> None:
    """It is part of what was made."""
    for file in strong.parent.iterdir():
        shutil.copy(file, tmp_path)
    beside = tmp_path / "fog.mp4.stretched.png"
    beside.write_bytes(beside.read_bytes()[:-1] + b"x")
    changed = run("verify", tmp_path / "fog.mp4")
    beside.unlink()
    missing = run("verify", tmp_path / "fog.mp4")
    assert (1, 1) == (changed.code, missing.code)
    assert "fog.mp4.stretched.png: its SHA-256 is not the manifest's" in changed.stdout
    assert "fog.mp4.stretched.png is missing" in missing.stdout


def test_a_file_of_the_users_is_not_overwritten(run: Run, tmp_path: Path) -> None:
    """Neither the clip nor the picture that would lie beside it."""
    mine = tmp_path / "fog.mp4.stretched.png"
    mine.write_bytes(b"mine")
    answer = run(
        *("clip", "fog", "severity=mild", "--signal", "720p24-sdr", "--delivery", "avc-mp4"),
        *("--to", tmp_path / "fog.mp4"),
    )
    assert 2 == answer.code
    assert f"{mine}: it is there and was not made by knownlight" in answer.stderr
    assert b"mine" == mine.read_bytes()


def test_the_same_settings_give_the_same_luma_on_one_processor(strong: Path, tmp_path: Path) -> None:
    """Hash of the decoded luma, whatever the threads that the machine would allow."""
    if shutil.which("taskset") is None:
        pytest.skip("taskset is not here (util-linux)")
    to = tmp_path / "fog.mp4"
    words = ["clip", "fog", "severity=strong", "--signal", "720p24-sdr", "--delivery", "avc-mp4"]
    rest = ["--seconds", "8", "--to", str(to)]
    subprocess.run(
        [*("taskset", "-c", "0", sys.executable, "-c", "from cli.app import main; main()"), *words, *rest],
        check=True,
        capture_output=True,
    )
    assert _entry(strong)["stress"] == _entry(to)["stress"]


@pytest.mark.parametrize(
    ("signal", "delivery", "megabits", "codec"),
    [
        ("720p25-sdr", "avc-mp4", 2, "AVC"),
        ("1080i25-sdr", "mpeg2-ts", 8, "MPEG Video"),
        ("1080i25-sdr", "avc-ts", 5, "AVC"),
        ("576i25-sdr", "mpeg2-ts", 1.5, "MPEG Video"),
        ("720p24-sdr", "hevc-mp4", 3, "HEVC"),
    ],
)
def test_a_rate_is_reached(
    signal: str, delivery: str, megabits: float, codec: str, *, run: Run, tmp_path: Path
) -> None:
    """What MediaInfo says of codec, rate, scan and field order is what was asked for."""
    to = tmp_path / f"fog.{delivery.partition('-')[2]}"
    words = ("fog", f"megabits={megabits}", "--signal", signal, "--delivery", delivery, *SHORT)
    entry = _clip(run, to, *words)
    video = MediaInfo.parse(str(to)).video_tracks[0]
    interlaced = "i" in signal.partition("-")[0]
    measured = float(video.bit_rate or video.nominal_bit_rate or 8 * video.stream_size / 2)

    assert codec == video.format
    assert megabits * 1e6 == pytest.approx(entry["stress"]["bits_per_second"], rel=RATE_TOLERANCE)
    assert megabits * 1e6 == pytest.approx(measured, rel=RATE_TOLERANCE + 0.03)
    assert ("TFF" if interlaced else None) == video.scan_order
    areas = [area["area"] for area in entry["stress"]["areas"]]
    assert (["picture, top field", "picture, bottom field"] if interlaced else ["picture"]) == areas
    assert 0 == run("verify", to).code


def test_a_loop_filter_trades_blocks_for_smear(run: Run, tmp_path: Path) -> None:
    """At the same rate, an AVC clip without it has far more blocks (our own measurements; no source)."""
    found = {}
    for filtering in ("on", "off"):
        words = ("fog", "megabits=0.6", f"loop_filter={filtering}", "--signal", "720p24-sdr", *SHORT)
        entry = _clip(run, tmp_path / f"{filtering}.mp4", *words, "--delivery", "avc-mp4")
        found[filtering] = entry["stress"]["areas"][0]["grids"][0]["ratio"]
    assert found["off"] > 3 * found["on"]


def test_coded_twice_is_worse_than_coded_once(run: Run, tmp_path: Path) -> None:
    """At the same rate, what went through another coder before is further from what was drawn."""
    psnr = {}
    for times in (1, 2):
        words = ("fog", "megabits=2", f"generations={times}", "--signal", "720p25-sdr", *SHORT)
        entry = _clip(run, tmp_path / f"{times}.mp4", *words, "--delivery", "avc-mp4")
        psnr[times] = entry["stress"]["areas"][0]["psnr"]
    assert psnr[2] < psnr[1] - 0.3


def test_a_clean_clip_is_exact_and_clean(run: Run, tmp_path: Path) -> None:
    """Past the level if need be, with the warning."""
    entry = _clip(run, tmp_path / "fog.mp4", "fog", "severity=clean", "--signal", "720p24-sdr", *SHORT)
    stress = entry["stress"]
    assert ("exact", "clean", "clean") == (
        entry["exactness"]["class"],
        stress["blocking"],
        stress["jumping"],
    )
    assert (0, None) == (stress["areas"][0]["largest_error"], stress["areas"][0]["psnr"])


def test_a_split_is_clean_on_one_side(run: Run, run_ffmpeg: RunFfmpeg, tmp_path: Path) -> None:
    """The clean side is as drawn to the code, by plain ffmpeg; the coded side earns the severity."""
    to = tmp_path / "fog.mp4"
    words = ("severity=strong", "split=avc-mp4", "--signal", "720p24-sdr")
    entry = _clip(run, to, "fog", *words, *SHORT)
    clean, coded = entry["stress"]["areas"]
    pictures = _luma(run_ffmpeg, to, 48)

    assert ("clean side", 0, None) == (clean["area"], clean["largest_error"], clean["psnr"])
    assert "strong" == entry["stress"]["blocking"]
    assert _blocking(pictures[:, :, :384]) < 1.05
    assert _blocking(pictures[:, :, 896:]) == pytest.approx(coded["grids"][0]["ratio"], rel=ROUNDED)
    assert BANDS["strong"][0] <= _blocking(pictures[:, :, 896:]) < BANDS["strong"][1]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("severity=strong", "--delivery", "hevc-mp4"), "the faults of hevc-mp4 are no blocks"),
        (("megabits=3", "--delivery", "av1-mp4"), "av1-mp4 has no poor coding; use hevc-mp4"),
        (("severity=clean", "--delivery", "avc-mp4"), "has no lossless coding; use hevc-mp4"),
        (("severity=severe", "split=nothing"), "delivery 'nothing' is not known"),
        (("severity=severe", "split=avc-mp4", "--depth", "10"), "avc-mp4 carries 8 bits, not 10"),
        (("severity=awful",), "clip: severity=awful is not known"),
    ],
)
def test_what_cannot_be_coded_so_is_refused(
    words: tuple[str, ...], told: str, run: Run, tmp_path: Path
) -> None:
    """In one line, with nothing left behind."""
    answer = run("clip", "fog", *words, "--signal", "720p24-sdr", *SHORT, "--to", tmp_path / "fog.mp4")
    assert 2 == answer.code
    assert told in answer.stderr
    assert not list(tmp_path.iterdir())


def test_what_is_out_of_reach_is_told_with_what_was_reached(run: Run, tmp_path: Path) -> None:
    """A flat field has no blocks to show, however poorly it is coded."""
    words = ("full-field", "signal_percent=5", "severity=strong", "--signal", "720p24-sdr", *SHORT)
    answer = run("clip", *words, "--delivery", "avc-mp4", "--to", tmp_path / "field.mp4")
    assert 2 == answer.code
    assert "blocking at 8 pixels came to 1 to 1.01 in" in answer.stderr
    assert not list(tmp_path.iterdir())


def test_a_clip_of_a_pack_that_earns_nothing_does_not_end_the_others(run: Run, tmp_path: Path) -> None:
    """It is told as failed and gets no name; the next one is made."""
    pack = tmp_path / "mine.toml"
    clips = "\n".join(
        f'[[chapters.clips]]\nid = "{name}"\npattern = "{name}"\nparameters = {parameters}\nlook = "x"\n'
        f'poor = {{ severity = "mild" }}\n'
        for name, parameters in (("full-field", "{ signal_percent = 5 }"), ("fog", "{}"))
    )
    pack.write_text(
        'schema = 1\nname = "mine"\ntitle = "x"\nsummary = "x"\nsignal = "720p24-sdr"\nseconds = 2\n'
        f'delivery = "avc-mp4"\n[[chapters]]\nname = "one"\ntitle = "x"\nanswers = "x"\n{clips}'
    )
    answer = run("render", pack, "--to", tmp_path / "stick")
    manifest = json.loads((tmp_path / "stick" / "manifest.json").read_text())
    assert 1 == answer.code
    assert "blocking at 8 pixels came to" in answer.stderr + answer.stdout
    assert ["fog"] == [clip["id"] for clip in manifest["clips"]]
    assert ["020-fog.mp4", "020-fog.mp4.stretched.png"] == sorted(
        path.name for path in (tmp_path / "stick" / "010-one").iterdir()
    )
    again = run("render", pack, "--only", "fog", "--to", tmp_path / "stick", "--json")
    assert (0, ["fog"]) == (again.code, again.json["reused"])
    (stretched,) = (tmp_path / "stick" / "010-one").glob("*.stretched.png")
    picture = stretched.read_bytes()
    stretched.write_bytes(b"damaged")
    mended = run("render", pack, "--only", "fog", "--to", tmp_path / "stick", "--json")
    assert (0, ["fog"], []) == (mended.code, mended.json["copied"], mended.json["stale"])
    assert picture == stretched.read_bytes(), "the cache keeps both of its files"


def test_drawn_blocks_are_the_same_on_every_path(run: Run, run_ffmpeg: RunFfmpeg, tmp_path: Path) -> None:
    """Exact in HEVC to the code, within the limit in AVC, and measured in a still; each verifies."""
    words = ("fog", "block_percent=100", "--signal", "720p24-sdr")
    exact = _clip(run, tmp_path / "hevc.mp4", *words, *SHORT, "--keep-exact")
    bounded = _clip(run, tmp_path / "avc.mp4", *words, *SHORT, "--delivery", "avc-mp4")
    still = run(
        *("still", "fog", "block_percent=100", "mean_signal_percent=12", "--signal", "720p24-sdr"),
        *("--to", tmp_path / "still.png", "--json"),
    ).json
    first, second = (_luma(run_ffmpeg, tmp_path / name, 48) for name in ("hevc.mp4", "avc.mp4"))
    blocks = first.reshape(48, 90, 8, 160, 8)

    assert np.array_equal(blocks.max((2, 4)), blocks.min((2, 4)))
    assert np.abs(first.astype(int) - second).max() <= bounded["exactness"]["limit"]
    assert ("exact", "severe") == (exact["exactness"]["class"], exact["stress"]["blocking"])
    assert (0, "severe") == (still["stress"]["areas"][0]["largest_error"], still["stress"]["blocking"])
    assert (None, None) == (still["stress"]["cambi"], still["stress"]["stretched"])
    assert 0 == run("verify", *(tmp_path / name for name in ("hevc.mp4", "avc.mp4", "still.png"))).code


def test_a_still_that_is_not_exact_is_not_measured(run: Run, tmp_path: Path) -> None:
    """What a picture format adds is not what a display is judged by."""
    to = tmp_path / "fog.jpg"
    still = run(
        *("still", "fog", "mean_signal_percent=12", "--signal", "720p24-srgb"), *("--to", to, "--json")
    ).json
    assert ("bounded", None) == (still["exactness"]["class"], still["stress"])
    assert 0 == run("verify", to).code


def test_a_clip_that_changes_keeps_to_the_rate_as_a_whole(run: Run, tmp_path: Path) -> None:
    """The first seconds of this fade ask for less than the rest (measured): the whole is what counts."""
    words = ("dark-fade", "megabits=0.5", "--signal", "720p24-sdr", "--delivery", "avc-mp4", "--seconds", 4)
    entry = _clip(run, tmp_path / "fade.mp4", *words)
    assert 0.5e6 == pytest.approx(entry["stress"]["bits_per_second"], rel=RATE_TOLERANCE)
