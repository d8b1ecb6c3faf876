"""Small pictures: places and colours of what is drawn, by colour-science's transfer functions."""

import base64
import io
import shutil
import subprocess
import warnings
from collections.abc import Callable
from pathlib import Path

import imageio_ffmpeg
import msgspec
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from knownlight.errors import Cancelled
from knownlight.ffmpeg import Stop
from knownlight.pack.manifest import Manifest, read_manifest
from knownlight.pack.manifest_entries import ClipEntry
from knownlight.sheet import thumbnails as module
from knownlight.sheet.thumbnails import HEIGHT, WIDTH, moment, thumbnail, thumbnails

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour.models

SCALED = 2  # sRGB codes: ffmpeg's scaler rounds codes of 8 bits, of which one is up to two of sRGB
WEBP = 6  # sRGB codes of a plain area: WebP codes with losses


@pytest.fixture(scope="session")
def manifest(sheet_pack: Path) -> Manifest:
    """Of the small pack."""
    return read_manifest(sheet_pack / "manifest.json")


@pytest.fixture
def picture(sheet_pack: Path, manifest: Manifest) -> Callable[[str], NDArray[np.uint8]]:
    """The small picture of a clip."""

    def of(identity: str) -> NDArray[np.uint8]:
        entry = manifest.clip(identity)
        assert entry is not None
        return thumbnail(entry, sheet_pack / entry.file, Stop())

    return of


def srgb(light: float) -> int:
    """The code of light relative to white."""
    return int(np.floor(255.0 * float(colour.models.eotf_inverse_sRGB(light)) + 0.5))


def lit(picture: NDArray[np.uint8]) -> tuple[int, int, int, int]:
    """First and last column and row that are lighter than half of the lightest."""
    rows, columns = np.nonzero(picture[..., 1] > picture[..., 1].max() // 2)
    return int(columns.min()), int(columns.max()), int(rows.min()), int(rows.max())


@pytest.mark.parametrize(
    ("identity", "share", "light"),
    [
        ("window-pq", 0.1, 1.0),  # the brightest of a picture beyond diffuse white is white
        ("window-sdr", 0.1, float(colour.models.eotf_BT1886(164 / 219, L_B=0, L_W=1))),
        ("window-sd", 0.25, float(colour.models.eotf_BT1886(164 / 219, L_B=0, L_W=1))),
    ],
)
def test_a_window_lies_where_it_is_and_is_as_light(
    picture: Callable[[str], NDArray[np.uint8]], identity: str, share: float, light: float
) -> None:
    """In a picture of 16:9, whatever the pixels' shape; the root of the area share of both sides."""
    shown = picture(identity)
    assert (HEIGHT, WIDTH, 3) == shown.shape
    assert abs(srgb(light) - int(shown[HEIGHT // 2, WIDTH // 2, 1])) <= SCALED
    assert shown[5, 5].max() <= SCALED
    wide, high = WIDTH * share**0.5, HEIGHT * share**0.5
    expected = ((WIDTH - wide) / 2, (WIDTH + wide) / 2 - 1, (HEIGHT - high) / 2, (HEIGHT + high) / 2 - 1)
    assert pytest.approx(expected, abs=1.0) == lit(shown)


def test_steps_of_a_still_are_as_light_as_their_codes(picture: Callable[[str], NDArray[np.uint8]]) -> None:
    """Five steps of HLG by colour-science, compressed from a brightest of 1000 / 203."""
    shown = picture("steps-still")
    brightest = 1000.0 / 203.0
    for step, code in enumerate((0, 256, 512, 767, 1023)):
        light = float(colour.models.eotf_BT2100_HLG([code / 1023.0] * 3, L_W=1000)[0]) / 203.0
        mapped = light * (1.0 + light / brightest**2) / (1.0 + light)
        centre = int(shown[HEIGHT // 4, WIDTH * (2 * step + 1) // 10, 0])
        assert abs(srgb(mapped) - centre) <= SCALED


def test_a_sequence_shows_a_piece_that_is_not_dark(
    picture: Callable[[str], NDArray[np.uint8]], manifest: Manifest
) -> None:
    """Of ten seconds of black and two of white, the white."""
    entry = manifest.clip("flash")
    assert entry is not None
    assert 11.0 == moment(entry)
    assert 255 == picture("flash").min()


def test_where_the_middle_is_dark_the_lightest_picture_is_shown(manifest: Manifest, tmp_path: Path) -> None:
    """A clip made by ffmpeg alone: half a second of black, half of white, then black to the end."""
    entry = manifest.clip("window-sdr")
    assert entry is not None
    path = tmp_path / "blink.mp4"
    parts = [("black", 0.5), ("white", 0.5), ("black", 3.0)]
    inputs = [f"-f lavfi -i color={colour}:s=1280x720:r=50:d={seconds}" for colour, seconds in parts]
    words = f"-v error {' '.join(inputs)} -lavfi concat=n=3 -pix_fmt yuv420p -c:v libx264 -preset ultrafast"
    subprocess.run([imageio_ffmpeg.get_ffmpeg_exe(), *words.split(), path], check=True)

    blink = msgspec.structs.replace(entry, claims=[], seconds=4.0, group=100)
    assert 2.0 == moment(blink)
    assert thumbnail(blink, path, Stop()).min() >= 255 - SCALED
    shorter = msgspec.structs.replace(blink, group=20)  # only as many are looked through as differ
    assert thumbnail(shorter, path, Stop()).max() <= SCALED


def test_a_dark_picture_can_be_recognised(picture: Callable[[str], NDArray[np.uint8]]) -> None:
    """Fog of 0.36 cd/m² at most: a fifth of white somewhere, and more than one level of grey."""
    shown = picture("drawn")
    assert shown.max() > 90
    assert np.unique(shown).size > 10


def test_they_are_kept_by_the_hash_of_the_file(
    sheet_pack: Path, manifest: Manifest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """WebP of a few kB as data URIs; the second time nothing is decoded."""
    chosen = [entry for entry in manifest.clips if entry.id in ("window-sdr", "steps-still")]
    done: list[str] = []
    first = thumbnails(chosen, sheet_pack, cache=tmp_path / "a" / "b", stop=Stop(), on_done=done.append)
    assert ["steps-still", "window-sdr"] == sorted(first) == sorted(done)
    data = base64.b64decode(first["window-sdr"].removeprefix("data:image/webp;base64,"))
    assert len(data) < 10_000
    with Image.open(io.BytesIO(data)) as image:
        assert ("WEBP", (WIDTH, HEIGHT)) == (image.format, image.size)
        centre = np.asarray(image.convert("RGB"))[HEIGHT // 2, WIDTH // 2]
    expected = srgb(float(colour.models.eotf_BT1886(164 / 219, L_B=0, L_W=1)))
    assert np.abs(centre.astype(int) - expected).max() <= WEBP

    def fails(_entry: ClipEntry, _path: Path, _stop: Stop) -> NDArray[np.uint8]:
        raise AssertionError("it was kept")

    monkeypatch.setattr(module, "thumbnail", fails)
    assert first == thumbnails(chosen, sheet_pack, cache=tmp_path / "a" / "b", stop=Stop())


@pytest.mark.parametrize("damage", ["missing", "empty", "cut"])
def test_a_file_that_does_not_decode_has_none(
    sheet_pack: Path, manifest: Manifest, tmp_path: Path, damage: str
) -> None:
    """The sheet is still made; `verify` tells what is wrong with the file."""
    entries = [entry for entry in manifest.clips if entry.id in ("window-sdr", "window-sd")]
    stick = Path(shutil.copytree(sheet_pack, tmp_path / "stick"))
    path = stick / entries[0].file
    if damage == "missing":
        path.unlink()
    else:
        path.write_bytes(b"" if damage == "empty" else path.read_bytes()[:900])
    found = thumbnails(entries, stick, cache=tmp_path / "cache", stop=Stop())
    assert ("", True) == (found["window-sdr"], found["window-sd"].startswith("data:image/webp;base64,"))


def test_without_a_cache_they_are_made_all_the_same(
    sheet_pack: Path, manifest: Manifest, tmp_path: Path
) -> None:
    """A file has the name of the cache's folder."""
    (tmp_path / "cache").write_bytes(b"")
    found = thumbnails(manifest.clips[1:2], sheet_pack, cache=tmp_path / "cache", stop=Stop())
    assert found["window-sdr"]


def test_a_stop_ends_them(sheet_pack: Path, manifest: Manifest, tmp_path: Path) -> None:
    """It is no missing picture."""
    stop = Stop()
    stop.ask()
    with pytest.raises(Cancelled):
        thumbnails(manifest.clips[1:2], sheet_pack, cache=tmp_path, stop=stop)
