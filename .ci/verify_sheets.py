#!/usr/bin/env python3
"""Looks at the sheets with programs that are no part of this one: poppler renders and reads the PDFs, Chromium opens the page.

    verify_sheets.py FOLDER

FOLDER holds plan/ (sheets.html, sheets.pdf, SVG, *.full-size.pdf), a4/ and one-page/ (pieces.pdf) and dxf/ (pieces.dxf) of one project.
Needs poppler-utils, chromium and numpy. Exit status 0 when all holds.
"""

import functools
import http.server
import re
import subprocess
import sys
import tempfile
import threading
from pathlib import Path

import numpy as np

PAPER = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
BORDER, OVERLAP = 12.0, 10.0  # as the map's words say: borders of 12 mm, neighbours share 10 mm
DPMM = 10  # 254 dpi: ten dots to the millimetre


def run(*command):
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def sizes(pdf):
    """Width and height of every page in mm."""
    found = re.findall(r"Page +\d+ size: +([\d.]+) x ([\d.]+) pts", run("pdfinfo", "-f", "1", "-l", "9999", str(pdf)))
    return [(float(w) * 25.4 / 72, float(h) * 25.4 / 72) for w, h in found]


def rendered(pdf, page, dpi):
    """Darkness of a page, 0 to 1."""
    with tempfile.TemporaryDirectory() as folder:
        run("pdftoppm", "-gray", "-r", str(dpi), "-f", str(page), "-l", str(page), "-singlefile", str(pdf), f"{folder}/page")
        data = Path(folder, "page.pgm").read_bytes()
    header = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", data)
    width, height = int(header[1]), int(header[2])
    return 1.0 - np.frombuffer(data, np.uint8, offset=header.end()).reshape(height, width) / 255.0


def edges(dark, side, dpmm):
    """Centres of the level lines that are as long as `side` (mm), with where each begins."""
    lines = []
    for y in np.flatnonzero((dark > 0.4).sum(axis=1) > 0.9 * side * dpmm):
        padded = np.concatenate(([0], (dark[y] > 0.4).astype(np.int8), [0]))
        change = np.diff(padded)
        for begin, end in zip(np.flatnonzero(change == 1), np.flatnonzero(change == -1)):
            if abs((end - begin) / dpmm - side - 0.25) < 0.3:
                lines.append((y, begin, dark[y, begin:end].mean()))
    clusters = []
    for y, begin, weight in lines:
        if clusters and y - clusters[-1][-1][0] <= 2 and abs(begin - clusters[-1][-1][1]) <= 4:
            clusters[-1].append((y, begin, weight))
        else:
            clusters.append([(y, begin, weight)])
    return [sum(y * w for y, _, w in c) / sum(w for *_, w in c) for c in clusters]


def check_squares(pdf):
    dpmm = 300 / 25.4
    dark = rendered(pdf, 1, 300)
    for side in (100.0, 101.6):
        for way, image in (("height", dark), ("width", dark.T)):
            found = edges(image, side, dpmm)
            assert len(found) == 2, f"{pdf}: {len(found)} lines of {side} mm for the {way} of a square"
            measured = (found[1] - found[0]) / dpmm
            assert abs(measured - side) < 0.1, f"{pdf}: the {way} of the {side} mm square measures {measured:.3f} mm"
            print(f"{pdf.parent.name}/{pdf.name}: {way} of the {side} mm square: {measured:.3f} mm at 300 dpi")


def polygons(dxf):
    """Cut lines by block, in mm."""
    lines = [line.strip() for line in Path(dxf).read_text().splitlines()]
    pairs = list(zip(lines[::2], lines[1::2]))
    blocks, block, kind, layer, ring, at = {}, None, None, None, [], {}
    for code, value in pairs:
        if code == "0":
            if kind == "VERTEX":
                ring.append((float(at["10"]), float(at["20"])))
            if value == "POLYLINE":
                ring, layer = [], None
            elif value == "SEQEND" and block and layer == "1" and ring:
                blocks.setdefault(block, np.array(ring))
            kind, at = value, {}
        else:
            at[code] = value
            if kind == "BLOCK" and code == "2":
                block = value
            elif kind == "POLYLINE" and code == "8":
                layer = value
    return blocks


def joined(pdf, paper):
    """All tiles laid over one another by their names, ten dots to the millimetre."""
    width, height = (side - 2 * BORDER for side in PAPER[paper])
    tiles = []
    for page in range(2, len(sizes(pdf)) + 1):
        words = run("pdftotext", "-f", str(page), "-l", str(page), "-layout", str(pdf), "-")
        # The name stands alone in the margin below, before the title.
        name = re.findall(r"^ *([A-Z]+)(\d+) +\S", words, re.MULTILINE)[-1]
        row = functools.reduce(lambda n, c: n * 26 + ord(c) - 64, name[0], 0) - 1
        tiles.append((page, row, int(name[1]) - 1))
    step = [int((side - OVERLAP) * DPMM) for side in (width, height)]
    size = [int(side * DPMM) for side in (width, height)]
    rows, columns = (max(t[i] for t in tiles) + 1 for i in (1, 2))
    paper_image = np.zeros((step[1] * rows + size[1], step[0] * columns + size[0]), np.float32)
    border = int(BORDER * DPMM)
    for page, row, column in tiles:
        image = rendered(pdf, page, 254)
        # A hair inside the window: its own frame is no part of the drawing.
        inside = image[border + 3 : border + size[1] - 3, border + 3 : border + size[0] - 3]
        y, x = row * step[1] + 3, column * step[0] + 3
        part = paper_image[y : y + inside.shape[0], x : x + inside.shape[1]]
        np.maximum(part, inside, out=part)
    return paper_image


def sampled(ring, every):
    """Points along a ring with the normal at each; corners are kept clear of."""
    points, normals = [], []
    for a, b in zip(ring, np.roll(ring, -1, axis=0)):
        length = np.hypot(*(b - a))
        if length == 0:
            continue
        along = (b - a) / length
        for t in np.arange(every / 2, length, every) if length > every else [length / 2]:
            points.append(a + along * t)
            normals.append((-along[1], along[0]))
    return np.array(points), np.array(normals)


def check_outlines(pdf, paper, dxf):
    image = joined(pdf, paper)
    coarse = 10
    h, w = (n // coarse * coarse for n in image.shape)
    small = image[:h, :w].reshape(h // coarse, coarse, w // coarse, coarse).max(axis=(1, 3))
    shape = [2 ** int(np.ceil(np.log2(n))) for n in small.shape]
    spectrum = np.fft.rfft2(small, shape)
    worst = 0.0
    blocks = polygons(dxf)
    assert blocks, "no pieces in the DXF"
    for name, ring in blocks.items():
        # On paper the grain is upright: x of the piece runs up, y to the left.
        turned = np.stack([-ring[:, 1], -ring[:, 0]], axis=1)
        turned -= turned.min(axis=0)
        points, normals = sampled(turned, 1.0)
        mask = np.zeros(small.shape)
        cells = np.floor(points).astype(int)
        if (cells[:, 1].max() >= mask.shape[0]) or (cells[:, 0].max() >= mask.shape[1]):
            raise AssertionError(f"{name} is larger than the sheets together")
        mask[cells[:, 1], cells[:, 0]] = 1
        fit = np.fft.irfft2(spectrum * np.conj(np.fft.rfft2(mask, shape)), shape)
        y0, x0 = np.unravel_index(fit.argmax(), fit.shape)
        best = max(
            ((image_at(image, points + (x0 + dx / 10, y0 + dy / 10)).mean(), dx, dy) for dx in range(-15, 16) for dy in range(-15, 16)),
        )
        placed = points + (x0 + best[1] / 10, y0 + best[2] / 10)
        off = deviations(image, placed, normals)
        usable = ~np.isnan(off)
        assert usable.mean() > 0.6, f"{name}: only {usable.mean():.0%} of its outline is found on the joined sheets"
        # The place was found to a tenth of a millimetre only: what is common to all is not the joining's.
        shift = np.linalg.lstsq(normals[usable], off[usable], rcond=None)[0]
        assert np.hypot(*shift) < 0.3, f"{name}: {shift}"
        off = np.abs(off - normals @ shift)
        worst = max(worst, np.nanmax(off))
        assert np.nanmax(off) < 0.2, f"{name}: {np.nanmax(off):.3f} mm off on the joined sheets"
    print(f"{pdf.parent.name}/{pdf.name}: {len(blocks)} outlines on {len(sizes(pdf)) - 1} sheets joined, at most {worst:.3f} mm off")


def image_at(image, points):
    x, y = np.round(points[:, 0] * DPMM).astype(int), np.round(points[:, 1] * DPMM).astype(int)
    inside = (x >= 0) & (y >= 0) & (x < image.shape[1]) & (y < image.shape[0])
    out = np.zeros(len(points))
    out[inside] = image[y[inside], x[inside]]
    return out


def deviations(image, points, normals):
    """How far the middle of the drawn line (0.5 mm, on a fold 1.4) lies from each point, in mm; none where another line meets it."""
    steps = np.arange(-1.2, 1.2001, 0.05)
    profile = np.stack([image_at(image, points + normals * s) for s in steps], axis=1) > 0.5
    out, wide = np.full(len(points), np.nan), np.zeros(len(points), bool)
    for i, dark in enumerate(profile):
        change = np.diff(np.concatenate(([0], dark.astype(np.int8), [0])))
        begins, ends = np.flatnonzero(change == 1), np.flatnonzero(change == -1)
        if len(begins) == 1 and begins[0] > 0 and ends[0] < len(steps):
            width = (ends[0] - begins[0]) * 0.05
            wide[i] = 1.2 <= width <= 1.6
            if wide[i] or 0.3 <= width <= 0.75:
                out[i] = (steps[begins[0]] + steps[ends[0] - 1]) / 2
    # A fold is wide for a long way; where two lines meet it only looks so.
    fold = np.logical_and.reduce([np.roll(wide, shift) for shift in range(-4, 5)])
    out[wide & ~fold] = np.nan
    return out


def check_pdf(pdf, words, paper=None):
    pages = sizes(pdf)
    if paper:
        for page in pages:
            assert any(np.allclose(page, way, atol=0.2) for way in (PAPER[paper], PAPER[paper][::-1])), f"{pdf}: {page}"
    text = " ".join(run("pdftotext", str(pdf), "-").split())
    for word in words:
        assert word in text, f"{pdf} does not say {word!r}"
    fonts = run("pdffonts", str(pdf)).splitlines()[2:]
    assert fonts and all(re.search(r"\byes +yes +yes\b|\byes +no +yes\b", font) for font in fonts), fonts
    assert pdf.stat().st_size < 1_000_000
    print(f"{pdf.parent.name}/{pdf.name}: {len(pages)} pages, {pdf.stat().st_size // 1000} kB, fonts embedded")


def chromium(*arguments):
    return run(
        "chromium", "--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--virtual-time-budget=4000",
        *arguments,
    )


def check_html(page, cloths):
    asked = []

    class Handler(http.server.SimpleHTTPRequestHandler):
        def log_message(self, *_):
            asked.append(self.path)

    with tempfile.TemporaryDirectory() as folder:
        text = page.read_text()
        Path(folder, "sheets.html").write_text(text)
        for width in (360, 1280):
            Path(folder, f"{width}.html").write_text(
                f'<iframe src="sheets.html" style="width:{width}px;height:900px;border:0"></iframe><p id="out"></p><script>'
                "onload=()=>{const w=document.querySelector('iframe').contentWindow,d=w.document.documentElement;"
                "document.getElementById('out').textContent='is '+d.scrollWidth+' in '+d.clientWidth"
                "+' and fetched '+w.performance.getEntriesByType('resource').length}</script>"
            )
        server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Handler, directory=folder))
        threading.Thread(target=server.serve_forever, daemon=True).start()
        base = f"http://127.0.0.1:{server.server_port}"
        for width in (360, 1280):
            log = Path(folder, "net.json")
            dom = chromium(f"--log-net-log={log}", f"--window-size={width + 100},1000", "--dump-dom", f"{base}/{width}.html")
            found = re.search(r"is (\d+) in (\d+) and fetched (\d+)", dom)
            assert found and int(found[1]) <= int(found[2]), f"{page} overflows at {width} px: {found and found[0]}"
            assert found[3] == "0", f"{page} fetches {found[3]} resources"
            # The browser itself asks its makers for news at every start; whatever else it asks for, the page did.
            hosts = set(re.findall(r'"url":"https?://([^/"]+)', log.read_text())) - {base.removeprefix("http://")}
            hosts = {host for host in hosts if not re.search(r"(^|\.)(google|gvt1|googleapis|gstatic)\.com$", host)}
            assert not hosts, f"{page} asks for {hosts}"
            print(f"{page.name}: {found[0]} px at {width} px, nothing else asked for")
        assert set(asked) <= {"/", "/360.html", "/1280.html", "/sheets.html", "/favicon.ico"}, asked
        for paper in ("A4", "Letter"):
            Path(folder, "sheets.html").write_text(text.replace("@page{", f"@page{{size:{paper};", 1).replace("size:landscape", f"size:{paper} landscape"))
            pdf = Path(folder, f"{paper}.pdf")
            chromium(f"--print-to-pdf={pdf}", "--no-pdf-header-footer", f"{base}/sheets.html")
            pages = [run("pdftotext", "-f", str(n + 1), "-l", str(n + 1), str(pdf), "-") for n in range(len(sizes(pdf)))]
            pages = [" ".join(page.split()) for page in pages]
            for cloth in cloths:
                # Head and foot of a drawing on one page: it is not cut.
                assert any(f"Cloth: {cloth} · lay" in p and "blade of a rotary cutter when it is idle" in p for p in pages), (
                    f"{page}: the drawing of {cloth} is cut in print on {paper}"
                )
            print(f"{page.name}: printed on {paper}, {len(pages)} pages, no drawing cut")
        server.shutdown()


def main():
    folder = Path(sys.argv[1])
    cloths = sorted(path.stem for path in (folder / "plan").glob("*.svg"))
    assert cloths
    check_html(folder / "plan" / "sheets.html", cloths)
    check_pdf(folder / "plan" / "sheets.pdf", ["To buy", "To cut", "At the table", "Take care", *cloths], "a4")
    for cloth in cloths:
        check_pdf(folder / "plan" / f"{cloth}.full-size.pdf", ["scale 1 : 1", cloth])
    blocks = polygons(folder / "dxf" / "pieces.dxf")
    names = [name.lower() for name in blocks]
    for kind in ("a4", "one-page"):
        pdf = folder / kind / "pieces.pdf"
        # A name may lie across two tiles: there the outlines are looked for instead.
        words = names if kind == "one-page" else ["Letters are rows", "cut here, lay on A1"]
        check_pdf(pdf, ["10 cm square", "4 in square", *words], kind if kind in PAPER else None)
        check_squares(pdf)
    check_outlines(folder / "a4" / "pieces.pdf", "a4", folder / "dxf" / "pieces.dxf")
    print("sheets: all is well")


if __name__ == "__main__":
    main()
