"""Drawings as SVG, in mm: whole, for a cutter or a shop with a wide printer, and sheet by sheet."""

from __future__ import annotations

from typing import Any

from journal.drawing.letters import CAPITAL
from journal.drawing.model import Circle, Drawing, Extent, Line, Part, Words
from journal.drawing.pdf import PENS
from journal.drawing.sheets import MEASURE, Page, ruler

#: White around a drawing. [mm]
_EDGE = 5.0


def svg_of(drawing: Drawing) -> str:
    """The whole drawing at true size, the ruler to check it below."""
    of = drawing.bounds
    below = of.bottom - 24.0
    parts = (
        *drawing.parts,
        *(ruler(of.left, below + 6.0) if drawing.true_size else ()),
        *((Words((of.left, below + 1.0), MEASURE, 1.7),) if drawing.true_size else ()),
    )
    whole = Drawing(drawing.title, (), parts).bounds
    size = Extent(whole.left - _EDGE, whole.bottom - _EDGE, whole.right + _EDGE, whole.top + _EDGE)
    return _text(size, [(parts, None)], (drawing.title, *drawing.notes))


def svg_of_page(page: Page) -> str:
    """One sheet."""
    layers = [(layer.parts, layer.window) for layer in page.layers]
    return _text(Extent(0.0, 0.0, page.width, page.height), layers, ())


def _text(size: Extent, layers: list[tuple[tuple[Part, ...], Extent | None]], told: tuple[str, ...]) -> str:
    import drawsvg

    image: Any = drawsvg.Drawing(_short(size.width), _short(size.height), origin=(_short(size.left), _short(-size.top)))
    image.set_render_size(f"{size.width:.3f}mm", f"{size.height:.3f}mm")
    if told:
        image.append(drawsvg.Raw(f"<desc>{_escaped(' '.join(told))}</desc>"))
    for parts, window in layers:
        group: Any = drawsvg.Group(**({} if window is None else {"clip_path": _clip(window)}))
        for part in parts:
            group.append(_element(part))
        image.append(group)
    text: str = image.as_svg()
    return text


def _clip(of: Extent) -> Any:
    import drawsvg

    clip: Any = drawsvg.ClipPath()
    clip.append(drawsvg.Rectangle(_short(of.left), _short(-of.top), _short(of.width), _short(of.height)))
    return clip


def _element(part: Part) -> Any:
    import drawsvg

    if isinstance(part, Words):
        x, y = part.at
        turn = {"transform": f"rotate({-part.turn:g} {x:.3f} {-y:.3f})"} if part.turn else {}
        return drawsvg.Text(
            part.text, _short(part.height / CAPITAL), _short(x), _short(-y), text_anchor=part.anchor,
            font_family="DejaVu Sans, Arial, sans-serif", **turn,
        )  # fmt: skip
    width, dashes = PENS[part.pen]
    style: dict[str, Any] = {"fill": "none", "stroke": "black", "stroke_width": width, "class": str(part.pen)}
    if dashes:
        style["stroke_dasharray"] = " ".join(f"{d:g}" for d in dashes)
    if isinstance(part, Circle):
        return drawsvg.Circle(_short(part.centre[0]), _short(-part.centre[1]), _short(part.radius), **style)
    return drawsvg.Lines(*_flat(part), close=part.closed, **style)


def _flat(line: Line) -> list[float]:
    return [_short(v) for x, y in line.points for v in (x, -y)]


def _short(value: float) -> float:
    """Thousandths of a millimetre are more than anybody cuts."""
    return round(value, 4) + 0.0


def _escaped(text: str) -> str:
    from markupsafe import escape

    return str(escape(text))
