"""Rules of the source that a reader could break without any other test failing."""

import ast
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SOURCES = ("knownlight", "patterns", "presets", "cli", "tests", "benchmarks")
SIGNALS = ("knownlight/signal", "knownlight/frame", "patterns")
ROUNDING = "knownlight/signal/rounding.py"
NOT_SIGNALS = {  # a rate in frames and a number of stripes: nothing that becomes a code
    ("patterns/pan.py", "round(float(signal.rate))"),
    ("patterns/pan.py", "round(self._tile_width(signal) / pitch)"),
}
LONGEST = 400  # lines
MACHINE_PATH = re.compile(r"(?<![\w.:/-])(?:/(?:home|root|work|opt|tmp|Users|mnt)/|[A-Z]:\\)\w")


def name(path: Path) -> str:
    """A file by its place in the project."""
    return path.relative_to(ROOT).as_posix()


def python_files(*folders: str) -> list[Path]:
    """Every Python file under some folders of the project."""
    return sorted(path for folder in folders for path in (ROOT / folder).rglob("*.py"))


def calls(path: Path) -> Iterator[ast.Call]:
    """Every call in a file."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Call):
            yield node


def rounds(call: ast.Call) -> bool:
    """Whether a call rounds in numpy's or Python's way, which is half to even."""
    if isinstance(call.func, ast.Name):
        return call.func.id in ("round", "rint")
    return isinstance(call.func, ast.Attribute) and call.func.attr in ("round", "around", "rint")


def casts_to_int(call: ast.Call) -> bool:
    """Whether a call is `.astype(int)`, which cuts off instead of rounding."""
    return (
        isinstance(call.func, ast.Attribute)
        and call.func.attr == "astype"
        and any(isinstance(value, ast.Name) and value.id == "int" for value in call.args)
    )


def found_in(path: Path, call: ast.Call) -> str:
    """Where a call is, for the failure."""
    return f"{name(path)}:{call.lineno} {ast.unparse(call)}"


def test_the_scan_sees_what_it_bans() -> None:
    """Each banned spelling is recognised, and the project's own rounding and geometry are not."""
    banned = ["round(x)", "np.round(x)", "numpy.rint(x)", "x.round()", "np.around(x)"]
    allowed = ["round_half_away(x)", "around(rect, 2, 2)", "x.astype(np.int64)"]
    parsed = {text: ast.parse(text, mode="eval").body for text in [*banned, *allowed, "x.astype(int)"]}
    seen = [text for text, node in parsed.items() if isinstance(node, ast.Call) and rounds(node)]
    assert banned == seen
    cast = [text for text, node in parsed.items() if isinstance(node, ast.Call) and casts_to_int(node)]
    assert cast == ["x.astype(int)"]


def test_signals_are_rounded_in_one_place() -> None:
    """Half to even is not the standards' rounding: signals go through signal/rounding.py alone."""
    found = [
        found_in(path, call)
        for path in python_files(*SIGNALS)
        if name(path) != ROUNDING
        for call in calls(path)
        if rounds(call) and (name(path), ast.unparse(call)) not in NOT_SIGNALS
    ]
    assert not found


def test_nothing_is_cast_to_int_unrounded() -> None:
    """`.astype(int)` cuts off and depends on the platform; it is not used anywhere in the program."""
    program = python_files("knownlight", "patterns", "presets", "cli")
    assert not [found_in(path, call) for path in program for call in calls(path) if casts_to_int(call)]


@pytest.mark.parametrize("path", python_files(*SOURCES), ids=name)
def test_files_are_short(path: Path) -> None:
    """Every Python file stays under the limit, tests included."""
    assert len(path.read_text("utf-8").splitlines()) < LONGEST


def test_no_path_of_one_machine() -> None:
    """No tracked file names an absolute path of the machine that it was written on."""
    git = shutil.which("git")
    if git is None or not (ROOT / ".git").exists():
        pytest.skip("no git checkout here")
    listed = subprocess.run(
        [git, "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        check=True,
    )
    files = [ROOT / text for text in listed.stdout.decode().split("\0") if text]
    assert ROOT / "pyproject.toml" in files
    found = []
    for path in files:
        data = path.read_bytes() if path.is_file() else b""
        text = "" if b"\0" in data else data.decode("utf-8", errors="replace")
        found += [f"{name(path)}: {match.group()}" for match in MACHINE_PATH.finditer(text)]
    assert not found
