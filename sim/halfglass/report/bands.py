"""Bands, bars and words of a flow picture as plain SVG: widths are given, corners are rounded."""

from __future__ import annotations

from html import escape

from halfglass.report import style

TYPE = 10.0
LINE = 11.5
BAR = 15.0
HEAD = 7.0
_LETTER = 5.7  # mean width of a letter of the page's type at this size


class Sheet:
    """What has been drawn so far, from back to front."""

    def __init__(self) -> None:
        self.back: list[str] = []
        self.front: list[str] = []
        self.lowest = 0.0

    def band(self, path: str, width: float, colour: str) -> None:
        """A band of a width along a path, with a fine edge."""
        line = f'<path d="{path}" fill="none" stroke='
        self.back.append(f'{line}"{style.FAINT}" stroke-width="{width + 0.8:.2f}"/>')
        self.back.append(f'{line}"{colour}" stroke-width="{max(width - 0.4, 0.6):.2f}"/>')

    def head(self, x: float, y: float, width: float, towards: str, colour: str) -> None:
        """An arrowhead whose base is at (x, y), pointing "right" or "down"."""
        half = width / 2 + 2.0
        ends = [(0.0, -half), (HEAD, 0.0), (0.0, half)]
        points = ends if towards == "right" else [(across, along) for along, across in ends]
        shape = " ".join(f"{x + dx:.2f},{y + dy:.2f}" for dx, dy in points)
        self.front.append(
            f'<polygon points="{shape}" fill="{colour}" stroke="{style.FAINT}" stroke-width="0.6"/>'
        )

    def bar(self, x: float, y: float, width: float, name: str, beside: str = "left") -> None:
        """A vessel; its name stands inside where there is room, or else beside it."""
        self.front.append(
            f'<rect x="{x:.2f}" y="{y:.2f}" width="{width:.2f}" height="{BAR:.2f}" fill="{style.INK}"/>'
        )
        if width > _LETTER * len(name) + 6.0:
            self.text(x + width / 2, y + 11.0, [name], "middle", "#fff")
        elif beside == "left":
            self.text(x - 4.0, y + 11.0, [name], "end")
        else:
            self.text(x + width + 4.0, y + 11.0, [name])

    def post(self, x: float, y: float, width: float, height: float, name: str) -> None:
        """A vessel standing upright, its name above."""
        self.front.append(
            f'<rect x="{x:.2f}" y="{y:.2f}" width="{width:.2f}" height="{height:.2f}" fill="{style.INK}"/>'
        )
        self.text(x + width / 2, y - 4.0, [name], "middle")

    def text(
        self, x: float, y: float, lines: list[str], anchor: str = "start", colour: str = style.INK
    ) -> None:
        """Lines of words, the first on its baseline at (x, y)."""
        parts = [
            f'<text x="{x:.2f}" y="{y + LINE * number:.2f}" text-anchor="{anchor}" fill="{colour}">'
            f"{escape(line)}</text>"
            for number, line in enumerate(lines)
        ]
        self.front += parts
        self.lowest = max(self.lowest, y + LINE * (len(lines) - 1) + 4.0)

    def svg(self, key: str, title: str, description: str, width: float) -> str:
        """The whole as an inline SVG with a name and a description."""
        inside = "\n".join((*self.back, *self.front))
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {self.lowest + 4.0:.0f}" '
            f'role="img" aria-labelledby="{key}-title {key}-desc" '
            f'font-family="DejaVu Sans, Verdana, sans-serif" font-size="{TYPE:g}">'
        )
        told = f'<title id="{key}-title">{escape(title)}</title>'
        told += f'<desc id="{key}-desc">{escape(description)}</desc>'
        return f"{head}{told}\n{inside}\n</svg>"


def bend(x: float, y: float, *corners: tuple[float, float], radius: float) -> str:
    """A path from (x, y) through corners, each rounded as far as its sides allow.

    >>> bend(0.0, 0.0, (0.0, 10.0), (20.0, 10.0), radius=4.0)
    'M0.00,0.00 L0.00,6.00 Q0.00,10.00 4.00,10.00 L20.00,10.00'
    """
    path = [f"M{x:.2f},{y:.2f}"]
    points = [(x, y), *corners]
    for before, corner, after in zip(points, points[1:], points[2:], strict=False):
        into, out = _towards(corner, before, radius), _towards(corner, after, radius)
        path.append(
            f"L{into[0]:.2f},{into[1]:.2f} Q{corner[0]:.2f},{corner[1]:.2f} {out[0]:.2f},{out[1]:.2f}"
        )
    path.append(f"L{points[-1][0]:.2f},{points[-1][1]:.2f}")
    return " ".join(path)


def curve(x: float, y: float, to_x: float, to_y: float) -> str:
    """A path that leaves and arrives level."""
    half = (x + to_x) / 2
    return f"M{x:.2f},{y:.2f} C{half:.2f},{y:.2f} {half:.2f},{to_y:.2f} {to_x:.2f},{to_y:.2f}"


def _towards(start: tuple[float, float], end: tuple[float, float], way: float) -> tuple[float, float]:
    """The point a way along from start to end, at most half of it."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = (dx * dx + dy * dy) ** 0.5
    share = min(0.5, way / length) if length > 0.0 else 0.0
    return start[0] + dx * share, start[1] + dy * share


def wrapped(text: str, letters: int) -> list[str]:
    """Words in lines of at most so many letters.

    >>> wrapped("safety valves, whistle, blower", 20)
    ['safety valves,', 'whistle, blower']
    """
    lines = [""]
    for word in text.split(" "):
        if lines[-1] and len(lines[-1]) + 1 + len(word) > letters:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines
