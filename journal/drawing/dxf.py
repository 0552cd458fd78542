"""Drawings as DXF, for whoever has a cutter: mm, a layer for each pen."""

from __future__ import annotations

import io

from journal.drawing.model import Circle, Drawing, Line, Pen, Words

#: Layer of what is read, which no cutter follows.
WORDS = "WORDS"
#: Line type and colour (of the index that all readers know) of each layer.
_LAYERS = {
    Pen.CUT: ("CONTINUOUS", 7),
    Pen.THIN: ("CONTINUOUS", 8),
    Pen.FOLD: ("DASHED", 5),
    Pen.CENTRE: ("CENTER", 1),
    Pen.MARK: ("CONTINUOUS", 3),
}


def layer_of(pen: Pen) -> str:
    """Name of the layer on which what is drawn with a pen lies."""
    return str(pen).upper()


def dxf_of(drawing: Drawing) -> str:
    """The whole drawing, its title below it."""
    from ezdxf import units
    from ezdxf.enums import TextEntityAlignment
    from ezdxf.filemanagement import new

    document = new("R2010", setup=["linetypes"], units=units.MM)
    for pen, (kind, colour) in _LAYERS.items():
        document.layers.add(layer_of(pen), color=colour, linetype=kind)
    document.layers.add(WORDS, color=6)
    space = document.modelspace()
    at = {
        "start": TextEntityAlignment.LEFT, "middle": TextEntityAlignment.CENTER, "end": TextEntityAlignment.RIGHT,
    }  # fmt: skip
    of = drawing.bounds
    for part in (*drawing.parts, Words((of.left, of.bottom - 8.0), drawing.title, 4.0)):
        if isinstance(part, Line):
            space.add_lwpolyline(part.points, close=part.closed, dxfattribs={"layer": layer_of(part.pen)})
        elif isinstance(part, Circle):
            space.add_circle(part.centre, part.radius, dxfattribs={"layer": layer_of(part.pen)})
        else:
            text = space.add_text(part.text, height=part.height, rotation=part.turn, dxfattribs={"layer": WORDS})
            text.set_placement(part.at, align=at[part.anchor])
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue()
