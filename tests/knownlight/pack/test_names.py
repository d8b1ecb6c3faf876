"""Names that FAT, exFAT and players take: Microsoft, "Naming Files, Paths, and Namespaces", from memory."""

from pathlib import Path

import pytest

from knownlight.errors import BadInput, InTheWay
from knownlight.pack.names import check_names, check_neighbours, name_problem


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("what?.mp4", "holds '?'"),
        ("a:b.mp4", "holds ':'"),
        ("tab\t.mp4", "holds '\\t'"),
        ("dot.", "ends with a dot"),
        (" blank.mp4", "begins or ends with a blank"),
        ("nul.mp4", "device's name"),
        ("COM7", "device's name"),
        ("fenêtre.mp4", "is not ASCII"),
        (61 * "a" + ".mp4", "at most 64"),
    ],
)
def test_a_name_is_refused(name: str, words: str) -> None:
    """With the file and the reason."""
    assert words in name_problem(name)
    with pytest.raises(BadInput, match="give it another name"):
        check_names([f"010-light/{name}"])


def test_plain_names_pass() -> None:
    """Names that merely look like those above."""
    check_names(["010-light/nulls.mp4", "010-light/com.mp4", "010-light/" + 60 * "a" + ".mp4", "a.b/c"])


@pytest.mark.parametrize(
    "files",
    [
        ["a/b.mp4", "a/B.mp4"],
        ["a/b.mp4", "A/c.mp4"],
        ["a/b.mp4", "a/b.mp4"],
        ["a", "a/b.mp4"],
        ["a/b.mp4", "A"],
        ["Manifest.json"],
    ],
)
def test_two_names_that_are_one_on_a_stick_are_refused(files: list[str]) -> None:
    """FAT and exFAT ignore case; a folder and a file cannot share a name either."""
    with pytest.raises(BadInput, match="is the same name on a stick"):
        check_names(files)


def test_players_limits() -> None:
    """255 files a folder and 8 folders deep; common practice, no source."""
    check_names([f"a/{number}.mp4" for number in range(255)])
    check_names(["/".join("abcdefgh") + "/i.mp4"])
    with pytest.raises(BadInput, match="a: 256 files; some players show 255 a folder"):
        check_names([f"a/{number}.mp4" for number in range(256)])
    with pytest.raises(BadInput, match="deeper than 8 folders"):
        check_names(["/".join("abcdefghi") + "/j.mp4"])


@pytest.mark.parametrize("there", ["010-Light/film.mp4", "010-light/010-WINDOW.mp4"])
def test_a_neighbour_that_differs_by_case_is_in_the_way(there: str, tmp_path: Path) -> None:
    """On FAT it would be the same file; it is named, other neighbours do not matter."""
    path = tmp_path / there
    path.parent.mkdir()
    path.write_bytes(b"film")
    with pytest.raises(InTheWay, match=there.rpartition("/")[2] if "WINDOW" in there else "010-Light"):
        check_neighbours(tmp_path, ["010-light/010-window.mp4"])
    check_neighbours(tmp_path, ["020-light/010-window.mp4"])
