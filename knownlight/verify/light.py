"""Declared light levels against those of the decoded pixels, and claimed ones against measured."""

from knownlight.frame.claims import Claims, LightLevels
from knownlight.frame.format import SignalFormat
from knownlight.metadata.light import ContentLight, content_light

_ARITHMETIC = 1e-9  # relative; sums of ten million float64 terms in two different orders


def claimed_problems(claims: Claims, signal: SignalFormat, measured: LightLevels) -> list[str]:
    """Where the light that a pattern claims is not what exact pixels hold."""
    claimed = claims.light(signal.encoding)
    if claimed is None:
        return []
    return [
        f"light: {name} is claimed as {wanted:.9g}, the decoded pixels have {got:.9g}"
        for name, wanted, got in (
            ("MaxCLL", claimed.max_cll, measured.max_cll),
            ("MaxFALL", claimed.max_fall, measured.max_fall),
            ("FALL", claimed.fall, measured.fall),
            ("APL", claimed.apl_percent, measured.apl_percent),
        )
        if abs(wanted - got) > _ARITHMETIC * max(1.0, abs(wanted))
    ]


def declared_problems(
    declared: ContentLight | None, signal: SignalFormat, measured: LightLevels, error_limit: int
) -> list[str]:
    """Where the light levels that a file declares are not those of its pixels.

    Exact clips must declare the measured levels, rounded up. Pixels of bounded clips may lie `error_limit`
    codes off, and so may what is declared.
    """
    if declared is None:
        return []
    problems = []
    for name, stated, got in (
        ("MaxCLL", declared.max_cll, measured.max_cll),
        ("MaxFALL", declared.max_fall, measured.max_fall),
    ):
        low, high = _moved(signal, got, -error_limit), _moved(signal, got, error_limit)
        lowest, highest = _rounded_up(low), _rounded_up(high)
        if not lowest <= stated <= highest:
            wanted = f"{lowest}" if lowest == highest else f"{lowest} to {highest}"
            problems.append(f"light: {name} is declared as {stated}, the decoded pixels ask for {wanted}")
    return problems


def _rounded_up(level: float) -> int:
    return content_light(LightLevels(level, level, level, 0.0)).max_cll


def _moved(signal: SignalFormat, level: float, codes: int) -> float:
    """A level some codes further, as a grey."""
    if codes == 0:
        return level
    encoding, quantisation = signal.encoding, signal.quantisation
    code = encoding.grey_code_from_luminance(level) + codes
    return encoding.grey_luminance(min(max(code, quantisation.black), quantisation.white))
