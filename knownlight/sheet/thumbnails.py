"""A small picture of each file of a pack, from what is decoded of it: tone-mapped, for orientation only."""

import base64
import contextlib
import io
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from knownlight import ffmpeg
from knownlight.errors import KnownlightError, ToolFailed
from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import sample_type
from knownlight.pack.folders import PART
from knownlight.pack.manifest_entries import ClipEntry
from knownlight.pack.recheck import signal_of
from knownlight.sheet.tone_map import bt709_light, srgb_picture
from knownlight.signal.arrays import FloatArray
from knownlight.signal.encoding import Components

WIDTH, HEIGHT = 384, 216  # pixels; every signal is shown at 16:9
_LOOK = 1  # of the picture: a cache holds those of this look only
_QUALITIES = (70, 40, 20, 5)  # of WebP, tried until it is small: noise takes the most
_SMALL = 8_000  # bytes
_WORKERS = 2
_DARK = 0.01  # of the brightest pixel of the whole clip: a picture without more says little of it
_MOST_PICTURES = 150  # that are looked through for a light one


def thumbnails(
    entries: Iterable[ClipEntry],
    folder: Path,
    *,
    cache: Path,
    stop: ffmpeg.Stop,
    on_done: Callable[[str], None] = lambda _: None,
) -> dict[str, str]:
    """Small pictures of files, as data URIs by id; empty of a file that is missing or does not decode.

    folder: of the pack. cache: a folder that keeps them by the file's SHA-256.
    on_done: is told each id, from other threads.

    Raises:
        Cancelled: where a stop was asked for.
    """
    with contextlib.suppress(OSError):  # without a cache they are made each time
        cache.mkdir(parents=True, exist_ok=True)

    def one(entry: ClipEntry) -> tuple[str, str]:
        kept = cache / f"{entry.sha256}-{_LOOK}.webp"
        try:
            data = kept.read_bytes() if kept.is_file() else _made(entry, folder, kept, stop)
        except (KnownlightError, OSError):
            stop.check()
            return entry.id, ""
        on_done(entry.id)
        return entry.id, "data:image/webp;base64," + base64.b64encode(data).decode()

    with ThreadPoolExecutor(max_workers=_WORKERS) as pool:
        try:
            return dict(pool.map(one, entries))
        except BaseException:  # Ctrl-C included: the others would be waited for
            stop.ask()
            raise


def _made(entry: ClipEntry, folder: Path, to: Path, stop: ffmpeg.Stop) -> bytes:
    data = _webp(thumbnail(entry, folder / entry.file, stop))
    part = to.with_name(to.name + PART)
    with contextlib.suppress(OSError):
        part.write_bytes(data)
        part.replace(to)
    return data


def _webp(picture: NDArray[np.uint8]) -> bytes:
    from PIL import Image  # noqa: PLC0415 - slow to import

    data = b""
    for quality in _QUALITIES:
        file = io.BytesIO()
        Image.fromarray(picture).save(file, format="WEBP", quality=quality, method=4)
        data = file.getvalue()
        if len(data) <= _SMALL:
            break
    return data


def thumbnail(entry: ClipEntry, path: Path, stop: ffmpeg.Stop) -> NDArray[np.uint8]:
    """SRGB samples of a file, (216, 384, 3).

    Of a clip they are a picture at its moment; where that is dark beside the rest, the lightest of its first.

    Raises:
        ToolFailed, UnreadableFile: where it does not decode.
    """
    signal = signal_of(entry)
    if entry.is_still:
        return _tone_mapped(_small_still(entry, path, signal, stop), signal)
    pictures = _small_pictures(path, signal, stop, second=moment(entry), count=1)
    if not pictures or signal.encoding.rgb_light(pictures[0]).max() < _DARK * entry.light.max_cll:
        count = min(max(entry.group, 1), _MOST_PICTURES)
        pictures = _small_pictures(path, signal, stop, second=0.0, count=count)
    if not pictures:
        raise ToolFailed(f"{path}: no picture of it decodes; render the pack again")
    return _tone_mapped(max(pictures, key=lambda codes: float(codes[..., 0].sum())), signal)


def _tone_mapped(codes: FloatArray, signal: SignalFormat) -> NDArray[np.uint8]:
    return srgb_picture(bt709_light(signal.encoding.xyz(codes), signal.transfer))


def moment(entry: ClipEntry) -> float:
    """The second to show: the middle of a clip; of a sequence that of the longest piece that is not dark.

    Of pieces of one length it is the brightest.
    """
    brightest: dict[tuple[float, float], float] = {}
    for claim in entry.claims:
        if claim.seconds is not None:
            brightest[claim.seconds] = max(claim.luminance, brightest.get(claim.seconds, 0.0))
    if not brightest:
        return entry.seconds / 2.0
    dark = _DARK * max(brightest.values())
    start, end = max(
        brightest,
        key=lambda piece: (brightest[piece] > dark, round(piece[1] - piece[0], 3), brightest[piece]),
    )
    return (start + end) / 2.0


def _small_pictures(
    path: Path, signal: SignalFormat, stop: ffmpeg.Stop, *, second: float, count: int
) -> list[FloatArray]:
    """Codes of a clip's pictures, scaled as they are, (rows, columns, 3); fewer where it ends before."""
    layout = "gbrp" if signal.components is Components.RGB else "yuv444p"
    layout += "" if signal.depth == 8 else f"{signal.depth}le"  # noqa: PLR2004
    arguments = [
        *("-v", "error", "-threads", "2", "-noautorotate", "-ss", f"{second:.3f}", "-i", str(path)),
        *("-map", "0:v:0", "-frames:v", str(count), "-fps_mode", "passthrough", "-f", "rawvideo"),
        *("-pix_fmt", layout, "-vf", f"scale={WIDTH}:{HEIGHT}:flags=area+accurate_rnd", "pipe:1"),
    ]
    output, _ = ffmpeg.run(arguments, what=f"{path} could not be decoded", stop=stop)
    samples = np.frombuffer(output, dtype=sample_type(signal.depth))
    order = [2, 0, 1] if signal.components is Components.RGB else [0, 1, 2]
    pictures = samples.reshape(-1, 3, HEIGHT, WIDTH)[:, order]
    return [np.moveaxis(picture, 0, -1).astype(np.float64) for picture in pictures]


def _small_still(entry: ClipEntry, path: Path, signal: SignalFormat, stop: ffmpeg.Stop) -> FloatArray:
    """Codes of a still, averaged over areas; (rows, columns, 3)."""
    from PIL import Image  # noqa: PLC0415 - slow to import

    from knownlight.verify.still import READINGS  # noqa: PLC0415 - with it all readers of stills

    reading = READINGS[entry.delivery]
    planes = reading.codes(reading.samples(path, signal, stop), signal).planes
    small = [
        np.asarray(Image.fromarray(plane.astype(np.float32)).resize((WIDTH, HEIGHT), Image.Resampling.BOX))
        for plane in planes
    ]
    return np.stack(small, axis=-1).astype(np.float64)
