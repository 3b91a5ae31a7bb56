"""Makes the drawings in this folder that other programs write. See README.md."""

import subprocess
from pathlib import Path

import ezdxf

HERE = Path(__file__).parent


def converted():
    pdf = HERE / "smock.pdf"
    subprocess.run(["rsvg-convert", "-f", "pdf", HERE / "smock.svg", "-o", pdf], check=True)
    subprocess.run(["pdftocairo", "-svg", pdf, HERE / "smock-pdftocairo.svg"], check=True)
    subprocess.run(["mutool", "convert", "-F", "svg", "-o", HERE / "smock-mutool.svg", pdf], check=True)
    (HERE / "smock-mutool1.svg").rename(HERE / "smock-mutool.svg")
    pdf.unlink()


def gaiters():
    """Blocks for each piece and size, layers as in ASTM D6673 (from memory)."""
    document = ezdxf.new("R12")
    for size, width in [("small", 150.0), ("large", 180.0)]:
        for name, tall, quantity in [("gaiter", 300.0, 4), ("strap", 30.0, 2)]:
            block = document.blocks.new(f"{name}-{size}".upper())
            block.add_polyline2d([(0, 0), (width, 0), (width - 10, tall), (10, tall)], close=True, dxfattribs={"layer": "1"})
            block.add_line((20, tall / 2), (width - 20, tall / 2), dxfattribs={"layer": "7"})
            block.add_point((width / 2, tall), dxfattribs={"layer": "4"})
            block.add_point((width / 2, tall / 3), dxfattribs={"layer": "13"})
            if name == "gaiter":
                block.add_line((0, 0), (width, 0), dxfattribs={"layer": "6"})
                block.add_circle((width / 2, 200), 6, dxfattribs={"layer": "11"})
            for row, text in enumerate([f"Piece Name: {name}", f"Size: {size}", f"Quantity: {quantity}"]):
                block.add_text(text, height=5, dxfattribs={"layer": "1"}).set_placement((30, 10 + 6 * row))
            document.modelspace().add_blockref(block.name, (0, 0))
    document.modelspace().add_text("Units: METRIC", dxfattribs={"layer": "1"})
    document.saveas(HERE / "gaiters.dxf")


def mitten():
    """An ordinary drawing in inches: bulges, a spline, a block put in turned, layers with names."""
    document = ezdxf.new("R2010", units=ezdxf.units.IN)
    space = document.modelspace()
    # A stadium: two half circles of radius 2 in on a square of 4 in.
    space.add_lwpolyline([(0, 0, 0), (4, 0, 1), (4, 4, 0), (0, 4, 1)], format="xyb", close=True, dxfattribs={"layer": "palm"})
    space.add_line((1, 2), (3, 2), dxfattribs={"layer": "grain"})
    thumb = document.blocks.new("THUMB")
    thumb.add_spline(dxfattribs={"layer": "thumb"}).control_points = [(0, 0), (1, 3), (3, 3), (4, 0)]
    spline = thumb[0]
    spline.dxf.degree = 3
    spline.knots = [0, 0, 0, 0, 1, 1, 1, 1]
    thumb.add_line((4, 0), (0, 0), dxfattribs={"layer": "thumb"})
    thumb.add_line((2, 0.5), (2, 2), dxfattribs={"layer": "grain"})
    space.add_blockref("THUMB", (12, 0), dxfattribs={"rotation": 90})
    document.saveas(HERE / "mitten.dxf")


converted()
gaiters()
mitten()
