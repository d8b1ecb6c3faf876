"""`--declare`: files that say other than the truth on purpose, and are held to exactly that."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pymediainfo import MediaInfo

Run = Callable[..., Any]
CLIP = ("clip", "window", "luminance=1000", "--signal", "720p24-pq", "--seconds", 1)


@pytest.mark.parametrize(
    ("words", "levels", "peak"),
    [
        ("none", (None, None), None),
        ("max_cll=400,max_fall=50", ("400 cd/m2", "50 cd/m2"), None),
        ("mastering=4000,max_cll=4000,max_fall=1000", ("4000 cd/m2", "1000 cd/m2"), "max: 4000 cd/m2"),
        ("mastering=1000,max_cll=0,max_fall=0", (None, None), "max: 1000 cd/m2"),
    ],
)
def test_a_file_says_what_was_asked(
    run: Run, tmp_path: Path, words: str, levels: tuple[str | None, str | None], peak: str | None
) -> None:
    """MediaInfo reads it (it reports no levels of 0); the manifest says that it was on purpose."""
    to = tmp_path / "a.mp4"
    entry = run(*CLIP, "--declare", words, "--to", to, "--json").json
    track = MediaInfo.parse(to).video_tracks[0]

    assert levels == (track.maximum_content_light_level, track.maximum_frameaverage_light_level)
    shown = track.mastering_display_luminance
    assert shown is None if peak is None else peak in shown
    assert entry["declared"]["on_purpose"]
    assert 1004 < entry["light"]["max_cll"] < 1005
    assert "1 passed, 0 failed" in run("verify", to).stdout


def test_the_truth_is_no_purpose(run: Run, tmp_path: Path) -> None:
    """Without it a file declares what its pixels hold, and says so."""
    entry = run(*CLIP, "--to", tmp_path / "a.mp4", "--json").json
    assert not entry["declared"]["on_purpose"]
    assert 1005 == entry["declared"]["max_cll"]


def test_a_file_that_says_something_else_is_found(run: Run, tmp_path: Path) -> None:
    """Verify accepts the declaration of the manifest and no other, not even the truth."""
    said, other = tmp_path / "a.mp4", tmp_path / "b.mp4"
    run(*CLIP, "--declare", "mastering=1000,max_cll=400,max_fall=50", "--to", said)
    run(*CLIP, "--to", other)
    said.write_bytes(other.read_bytes())
    answer = run("verify", said)

    assert 1 == answer.code
    assert "hdr.light.max_cll is 1005, it must be 400" in answer.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("max_cl=4", "use mastering, max_cll and max_fall"),
        ("max_cll=4.5", "whole cd/m"),
        ("max_cll", "KEY=VALUE"),
    ],
)
def test_wrong_words_are_refused(run: Run, tmp_path: Path, words: str, said: str) -> None:
    """A key that there is not, a broken figure, a key without one."""
    answer = run(*CLIP, "--declare", words, "--to", tmp_path / "a.mp4")
    assert 2 == answer.code
    assert said in answer.stderr
    assert [] == list(tmp_path.iterdir())


def test_a_pack_may_declare(run: Run, tmp_path: Path) -> None:
    """A series of the same pixels with other declarations is one pack."""
    clips = "".join(
        f'[[chapters.clips]]\nid = "cll-{level}"\npattern = "window"\nlook = "The same window."\n'
        "parameters = { luminance = 1000 }\n"
        f"declare = {{ mastering = 1000, max_cll = {level}, max_fall = 50 }}\n"
        for level in (100, 4000)
    )
    head = 'schema = 1\nname = "m"\ntitle = "M"\nsummary = "S."\nsignal = "720p24-pq"\nseconds = 1\n'
    chapter = '[[chapters]]\nname = "tone"\ntitle = "T"\nanswers = "A."\n'
    (tmp_path / "m.toml").write_text(head + chapter + clips)
    run("render", tmp_path / "m.toml", "--to", tmp_path / "stick")
    manifest = json.loads((tmp_path / "stick" / "manifest.json").read_text())
    assert [(100, True), (4000, True)] == [
        (clip["declared"]["max_cll"], clip["declared"]["on_purpose"]) for clip in manifest["clips"]
    ]
