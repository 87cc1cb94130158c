"""Progress of practice as one picture: a strip a case, a sign a coupon, in the order they were cut.

SVG text of our own, black on white. The height of a sign is its travel against what was asked for,
whose range is the grey band; a full disc passed, a ring was a good cut at another pace, a cross was
no good cut. Nothing is told by colour.
"""

from collections.abc import Iterator, Sequence
from typing import Final
from xml.sax.saxutils import escape, quoteattr

from handsfree.values.timing import Coupon, CutResult, Progress

WIDTH: Final = 760.0  # narrow, so that its letters are large on a page
STRIP: Final = 230.0  # height of one case
_LEFT: Final = 90.0
_RIGHT: Final = 40.0
_HEAD: Final = 110.0
_ROOM: Final = 130.0  # of a strip, for the signs
LATEST: Final = 30  # coupons of a case that are drawn
SPAN: Final = (0.5, 1.5)  # travel over the middle that was asked for
_EVERY: Final = 5


def practice_plot(progress: Progress) -> str:
    """The picture of one person's practice as an SVG document."""
    return "\n".join(_lines(progress)) + "\n"


def _lines(progress: Progress) -> Iterator[str]:
    cases = list(dict.fromkeys(coupon.case for coupon in progress.coupons))
    height = _HEAD + STRIP * max(1, len(cases)) + 110
    title = f"Practice of {progress.who}"
    yield (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {height:g}" '
        f'role="img" aria-label={quoteattr(title)}>'
    )
    yield f"<title>{escape(title)}</title>"
    yield f"<desc>{escape(described(progress))}</desc>"
    yield '<rect width="100%" height="100%" fill="#ffffff"/>'
    yield _text(20, 50, title, 36)
    yield _text(20, 88, "Travel against what was asked for, coupon by coupon", 24)
    for number, case in enumerate(cases):
        own = [coupon for coupon in progress.coupons if coupon.case is case]
        yield from _strip(_HEAD + STRIP * number, case.value, own)
    yield from _legend(height - 74)
    yield "</svg>"


def _strip(top: float, name: str, coupons: Sequence[Coupon]) -> Iterator[str]:
    passed = sum(coupon.passed for coupon in coupons)
    yield _text(20, top + 36, f"{name}: {passed} of {len(coupons)} passed", 28)
    high, low = top + 55, top + 55 + _ROOM
    drawn = coupons[-LATEST:]
    step = (WIDTH - _LEFT - _RIGHT) / max(len(drawn), 10)
    first = len(coupons) - len(drawn)
    for place, coupon in enumerate(drawn):
        x = _LEFT + step * (place + 0.5)
        middle = (coupon.low + coupon.high) / 2
        ends = [_height(end / middle, high, low) for end in (coupon.high, coupon.low)]
        yield (
            f'<rect x="{x - step / 2:g}" y="{ends[0]:.1f}" width="{step:g}" '
            f'height="{max(1.0, ends[1] - ends[0]):.1f}" fill="#d0d0d0"/>'
        )
    for share in (0.5, 1.0, 1.5):
        y = _height(share, high, low)
        yield _line(_LEFT, y, WIDTH - _RIGHT, y, 1 if share != 1.0 else 3)
        yield _text(_LEFT - 12, y + 8, f"{share:.0%}", 22, "end")
    for place, coupon in enumerate(drawn):
        x = _LEFT + step * (place + 0.5)
        middle = (coupon.low + coupon.high) / 2
        yield from _sign(x, _height(coupon.speed / middle, high, low), coupon)
        number = first + place + 1
        if number == 1 or number % _EVERY == 0:
            yield _text(x, low + 28, str(number), 22, "middle")


def _height(share: float, high: float, low: float) -> float:
    """Where a travel stands; one outside the span stands at its edge."""
    inside = min(SPAN[1], max(SPAN[0], share))
    return low - (low - high) * (inside - SPAN[0]) / (SPAN[1] - SPAN[0])


def _sign(x: float, y: float, coupon: Coupon) -> Iterator[str]:
    if coupon.passed:
        yield f'<circle cx="{x:g}" cy="{y:.1f}" r="9"/>'
    elif coupon.result is CutResult.GOOD:
        yield (
            f'<circle cx="{x:g}" cy="{y:.1f}" r="8" fill="#ffffff" stroke="#000000" '
            'stroke-width="4"/>'
        )
    else:
        yield (
            f'<path d="M{x - 8:g} {y - 8:.1f}l16 16m0 -16l-16 16" stroke="#000000" '
            'stroke-width="5"/>'
        )


def _legend(y: float) -> Iterator[str]:
    yield f'<circle cx="{_LEFT:g}" cy="{y - 8:g}" r="9"/>'
    yield _text(_LEFT + 22, y, "passed", 24)
    yield (
        f'<circle cx="{_LEFT + 190:g}" cy="{y - 8:g}" r="8" fill="#ffffff" stroke="#000000" '
        'stroke-width="4"/>'
    )
    yield _text(_LEFT + 212, y, "good cut, other pace", 24)
    y += 44
    at = f"M{_LEFT - 8:g} {y - 16:g}"
    yield f'<path d="{at}l16 16m0 -16l-16 16" stroke="#000000" stroke-width="5"/>'
    yield _text(_LEFT + 22, y, "not a good cut", 24)


def _line(x: float, y: float, to_x: float, to_y: float, width: float) -> str:
    return (
        f'<line x1="{x:g}" y1="{y:.1f}" x2="{to_x:g}" y2="{to_y:.1f}" stroke="#000000" '
        f'stroke-width="{width:g}"/>'
    )


def _text(x: float, y: float, words: str, size: int, anchor: str = "start") -> str:
    return (
        f'<text x="{x:g}" y="{y:.1f}" text-anchor="{anchor}" font-family="sans-serif" '
        f'font-size="{size}">{escape(words)}</text>'
    )


def described(progress: Progress) -> str:
    """The picture in words, for those who cannot see it.

    >>> described(Progress("cutter one", ()))
    'No coupon of cutter one.'
    """
    if not progress.coupons:
        return f"No coupon of {progress.who}."
    said = []
    for case in dict.fromkeys(coupon.case for coupon in progress.coupons):
        own = [coupon for coupon in progress.coupons if coupon.case is case]
        signs = ["passed" if coupon.passed else coupon.result.value for coupon in own]
        said.append(f"{case.value}: {', '.join(signs)}")
    return ". ".join(said) + "."
