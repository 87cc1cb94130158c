"""Draws accuracy against noise as an SVG picture, one line a voice family."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from xml.sax.saxutils import escape

WIDTH, HEIGHT, LEFT, TOP, RIGHT, BOTTOM = 640, 400, 56, 36, 150, 48
COLOURS = ("#0b5394", "#b45309", "#38761d", "#741b47", "#444444", "#7f6000")
DASHES = ("", "6 3", "2 3", "8 3 2 3", "1 4", "10 4")


def draw(
    lines: Mapping[str, Sequence[float]], levels: Sequence[str], title: str, file: Path
) -> None:
    """One line of shares in % over the levels for each name; a share that is nan is left out."""
    across = (WIDTH - LEFT - RIGHT) / max(1, len(levels) - 1)

    def place(at: int, share: float) -> tuple[float, float]:
        return LEFT + at * across, TOP + (100 - share) / 100 * (HEIGHT - TOP - BOTTOM)

    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" '
        'font-family="sans-serif" font-size="13">',
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="white"/>',
        f'<text x="{LEFT}" y="20" font-size="15">{escape(title)}</text>',
    ]
    for share in range(0, 101, 20):
        x, y = place(0, share)
        parts.append(f'<line x1="{x}" y1="{y:.1f}" x2="{WIDTH - RIGHT}" y2="{y:.1f}" '
                     'stroke="#ddd"/>')  # fmt: skip
        parts.append(f'<text x="{x - 8}" y="{y + 4:.1f}" text-anchor="end">{share} %</text>')
    for at, level in enumerate(levels):
        x, y = place(at, 0)
        told = level if level == "clean" else f"{level} dB"
        parts.append(f'<text x="{x:.1f}" y="{y + 20:.1f}" text-anchor="middle">{told}</text>')
    for number, (name, shares) in enumerate(lines.items()):
        colour, dash = COLOURS[number % len(COLOURS)], DASHES[number % len(DASHES)]
        points = [place(at, share) for at, share in enumerate(shares) if share == share]
        told = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        parts.append(f'<polyline points="{told}" fill="none" stroke="{colour}" '
                     f'stroke-width="2.5" stroke-dasharray="{dash}"/>')  # fmt: skip
        parts += [f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.5" fill="{colour}"/>' for x, y in points]
        y = TOP + 12 + 20 * number
        parts.append(f'<line x1="{WIDTH - RIGHT + 12}" y1="{y - 4}" x2="{WIDTH - RIGHT + 40}" '
                     f'y2="{y - 4}" stroke="{colour}" stroke-width="2.5" '
                     f'stroke-dasharray="{dash}"/>')  # fmt: skip
        parts.append(f'<text x="{WIDTH - RIGHT + 46}" y="{y}">{escape(name)}</text>')
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text("\n".join([*parts, "</svg>", ""]), encoding="utf-8")
