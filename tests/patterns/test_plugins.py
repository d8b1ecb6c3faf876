"""Families of other packages: real ones, each a module and its metadata on the path."""

import importlib
import json
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cli.app import app
from knownlight.errors import BadInput
from knownlight.frame.format import parse_signal_format
from patterns.family import Family
from patterns.plugins import GROUP, brought_families
from patterns.registry import FAMILIES, all_families, build, family_named

SIGNAL = parse_signal_format("720p50-sdr")
MODULE = '''
"""Somebody's family."""
from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.geometry import Rect
from patterns.parameters import count_parameter, level_parameter
from patterns.patches import Layout, Patch, PatchFamily


@dataclass(frozen=True, kw_only=True)
class Lamp(PatchFamily):
    """A square of light."""

    name: ClassVar[str] = "lamp"
    title: ClassVar[str] = "A square of light"
    source: ClassVar[str] = "common practice, no source"

    level: object = level_parameter(50.0, "the square")
    side: int = count_parameter(20, "of the square", minimum=2, maximum=100, unit="pixels")

    def layout(self, signal):
        """The square."""
        grey = signal.encoding.grey
        rect = Rect(40, 60, self.side, self.side)
        patch = Patch("lamp", rect, grey(self.code("level", signal)))
        return Layout(background=grey(signal.quantisation.black), patches=(patch,))


class Other(Lamp):
    """The same under a name of its own."""

    name = "other"


NOT_A_CLASS = 7
'''
Install = Callable[..., Path]


@pytest.fixture
def install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Install]:
    """Puts packages with entry points on the path, as an installer would, and forgets their modules after."""
    modules: list[str] = []

    def put(package: str, entries: str, text: str = MODULE) -> Path:
        folder = tmp_path / package
        metadata = folder / f"{package}-1.0.dist-info"
        metadata.mkdir(parents=True)
        (metadata / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {package}\nVersion: 1.0\n", "utf-8")
        (metadata / "entry_points.txt").write_text(f"[{GROUP}]\n{entries}\n", "utf-8")
        (folder / f"{package}.py").write_text(text, "utf-8")
        modules.append(package)
        monkeypatch.syspath_prepend(str(folder))
        importlib.invalidate_caches()
        return folder

    yield put
    for name in modules:
        sys.modules.pop(name, None)


def test_without_packages_there_are_the_programs_own() -> None:
    """Nothing is brought where nothing is installed."""
    assert {} == brought_families(FAMILIES)
    assert FAMILIES == all_families()


def test_a_family_of_a_package_is_one_of_ours(install: Install) -> None:
    """It is found by name, built from keys, drawn and claimed; it comes after the program's own."""
    install("lamps", "lamp = lamps:Lamp")
    pattern = build("lamp", {"side": "30", "signal_percent": "100"})
    claims = pattern.claims(SIGNAL)

    assert [*FAMILIES, "lamp"] == list(all_families())
    assert issubclass(family_named("lamp"), Family)
    assert {"signal_percent": 100.0, "side": 30} == pattern.parameters()
    assert {(16, 128, 128): 1280 * 720 - 900, (235, 128, 128): 900} == claims.areas
    assert (pattern.draw(SIGNAL).frame(0).planes[0][60:90, 40:70] == 235).all()


def test_several_packages_bring_families(install: Install) -> None:
    """All of them are there, in the order of their names, whoever brings them."""
    install("second", "other = second:Other")
    install("first", "lamp = first:Lamp")

    assert ["lamp", "other"] == list(brought_families(FAMILIES))
    assert ["other"] == [name for name, family in all_families().items() if family.__module__ == "second"]


def test_errors_are_those_of_any_family(install: Install) -> None:
    """A misspelt name is led to it, and its keys are checked as others are."""
    install("lamps", "lamp = lamps:Lamp")

    with pytest.raises(BadInput, match=r"^pattern 'lmp' is not known; did you mean lamp\?$"):
        family_named("lmp")
    with pytest.raises(BadInput, match=r"^lamp: sid is not a parameter; did you mean side\?$"):
        build("lamp", {"sid": 4})
    with pytest.raises(BadInput, match=r"^lamp: side=101 is out of range; use 2 to 100 pixels$"):
        build("lamp", {"side": 101})


def test_the_command_line_lists_it(install: Install) -> None:
    """`patterns` shows its title among the others, and its keys by its name."""
    install("lamps", "lamp = lamps:Lamp")
    listed, shown, told = (
        CliRunner().invoke(app, words)
        for words in (["patterns"], ["patterns", "lamp"], ["patterns", "lamp", "--json"])
    )

    assert [0, 0, 0] == [answer.exit_code for answer in (listed, shown, told)]
    assert "lamp" in [line.split()[0] for line in listed.stdout.splitlines()]
    assert "lamp: A square of light\nSource: common practice, no source\n" in shown.stdout
    assert "20" == next(
        row["default"] for row in json.loads(told.stdout)["parameters"] if row["key"] == "side"
    )


@pytest.mark.parametrize(
    ("entries", "words"),
    [
        ("lamp = lamps:NOT_A_CLASS", r"pattern 'lamp' of lamps is lamps:NOT_A_CLASS, which is no pat"),
        ("lamp = lamps:dataclass", r"pattern 'lamp' of lamps is lamps:dataclass, which is no .*; correct it"),
        ("lamp = lamps:Rect", r"pattern 'lamp' of lamps is lamps:Rect, which is no patterns\.family\.Family"),
        ("light = lamps:Lamp", r"pattern 'light' of lamps: its class calls itself 'lamp'; use one name"),
        ("lamp = lamps:Missing", r"pattern 'lamp' of lamps could not be loaded \(.*Missing.*\); mend"),
        ("lamp = nowhere:Lamp", r"pattern 'lamp' of lamps could not be loaded \(No module named 'nowhere'\)"),
    ],
)  # fmt: skip
def test_an_entry_that_is_no_family_is_refused(install: Install, entries: str, words: str) -> None:
    """What is named is missing, no class, no family, or has another name: entry, package and remedy."""
    install("lamps", entries)

    for ask in (all_families, lambda: family_named(entries.partition(" ")[0])):
        with pytest.raises(BadInput, match=f"^{words}"):
            ask()


@pytest.mark.parametrize(
    "text", ["raise OSError('no disk')", "import nothing_of_that_name", "1 / 0", "not python"]
)
def test_a_package_that_fails_is_refused(install: Install, text: str) -> None:
    """Whatever goes wrong in its module is told with the package's name; the program's own families go on."""
    install("lamps", "lamp = lamps:Lamp", text)

    with pytest.raises(
        BadInput, match=r"^pattern 'lamp' of lamps could not be loaded \(.+\); mend or uninstall"
    ):
        all_families()
    assert FAMILIES["window"] is family_named("window")
    answer = CliRunner().invoke(app, ["patterns"])
    assert 2 == answer.exit_code
    assert "pattern 'lamp' of lamps could not be loaded" in answer.stderr


@pytest.mark.parametrize("taken", ["window", "lamp"])
def test_a_name_that_is_taken_is_refused(install: Install, taken: str) -> None:
    """A name of the program's own, or of another package, cannot be taken again."""
    named = MODULE.replace('"lamp"', f'"{taken}"')
    install("lamps", f"{taken} = lamps:Lamp", named)
    if taken not in FAMILIES:
        install("more", f"{taken} = more:Lamp", named)

    words = rf"^pattern '{taken}' of (lamps|more): there is a pattern of that name already; give it another$"
    with pytest.raises(BadInput, match=words):
        all_families()


def test_the_programs_own_families_ask_no_package(install: Install) -> None:
    """A package is only loaded where it is wanted: a pattern of the program does not wait for it."""
    install("lamps", "lamp = lamps:Lamp")
    build("window", {})

    assert "lamps" not in sys.modules
    family_named("lamp")
    assert "lamps" in sys.modules
