"""The bare floor of `oaktag make`: the same geometry, plain f-string writers and pyclipper, nothing else.

usage: floor_make.py GEOMETRY.json FOLDER      (GEOMETRY.json is written by bench.py)
Reads exact curves, flattens them, offsets each stitch line with pyclipper, writes DXF, HP-GL, SVG, PDF and JSON.
"""

import json
import math
import sys
from pathlib import Path


def flatten(edges, tol=0.05):
    points = []
    for e in edges:
        points.append(tuple(e[0]))
        if len(e) == 4:
            (x0, y0), (x1, y1), (x2, y2), (x3, y3) = e
            d = max(math.hypot(x0 - 2 * x1 + x2, y0 - 2 * y1 + y2), math.hypot(x1 - 2 * x2 + x3, y1 - 2 * y2 + y3))
            n = math.ceil(math.sqrt(6 * d / (8 * tol))) or 1
            for i in range(1, n):
                t = i / n
                u = 1 - t
                a, b, c, f = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
                points.append((a * x0 + b * x1 + c * x2 + f * x3, a * y0 + b * y1 + c * y2 + f * y3))
    return points


def main():
    import pyclipper as pc

    data = json.loads(Path(sys.argv[1]).read_text())
    out = Path(sys.argv[2])
    out.mkdir(exist_ok=True)
    pieces = {}
    for name, edges in data["pieces"].items():
        ring = flatten(edges)
        off = pc.PyclipperOffset(10.0, 100)
        off.AddPath([(round(x * 1e4), round(y * 1e4)) for x, y in ring], pc.JT_MITER, pc.ET_CLOSEDPOLYGON)
        cut = [(x / 1e4, y / 1e4) for x, y in off.Execute(12.7e4)[0]]
        pieces[name] = (cut, ring)
    strokes = data["strokes"]
    height = data["height"]

    rows = []
    for name, (cut, ring) in pieces.items():
        c = ",".join(f"[{x:.4f},{y:.4f}]" for x, y in cut)
        s = ",".join(f"[{x:.4f},{y:.4f}]" for x, y in ring)
        rows.append(f'{{"name":"{name}","cut_line":[{c}],"stitch_line":[{s}]}}')
    (out / "pattern.json").write_text('{"pieces":[' + ",\n".join(rows) + "]}")

    dxf = ["  0\nSECTION\n  2\nHEADER\n  0\nENDSEC\n  0\nSECTION\n  2\nBLOCKS\n"]
    for name, lines in pieces.items():
        dxf.append(f"  0\nBLOCK\n  8\n0\n  2\n{name.upper()}\n 70\n64\n 10\n0.0\n 20\n0.0\n")
        for layer, line in zip(("1", "14"), lines):
            dxf.append(f"  0\nPOLYLINE\n  8\n{layer}\n 66\n1\n 70\n1\n")
            dxf.append("".join(f"  0\nVERTEX\n  8\n{layer}\n 10\n{x:.4f}\n 20\n{y:.4f}\n" for x, y in line))
            dxf.append(f"  0\nSEQEND\n  8\n{layer}\n")
            dxf.append("".join(f"  0\nPOINT\n  8\n3\n 10\n{x:.4f}\n 20\n{y:.4f}\n" for x, y in line))
        dxf.append("  0\nENDBLK\n")
    dxf.append("  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n  0\nENDSEC\n  0\nEOF\n")
    (out / "pattern.dxf").write_text("".join(dxf))

    plt = ["IN;SP1;\n"]
    for closed, p in strokes:
        q = [f"{round(x * 40)},{round(y * 40)}" for x, y in (p + p[:1] if closed else p)]
        plt.append(f"PU{q[0]};PD{','.join(q[1:])};\n")
    plt.append("PU;SP0;")
    (out / "pattern.plt").write_text("".join(plt))

    svg = [f'<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="{height}mm" viewBox="0 0 900 {height}">']
    for closed, p in strokes:
        svg.append(f'<path d="M{"L".join(f"{x:.4f},{height - y:.4f}" for x, y in p)}{"Z" if closed else ""}"/>')
    svg.append("</svg>")
    (out / "pattern.svg").write_text("".join(svg))

    k = 72 / 25.4
    for name in ("pattern-roll.pdf", "pattern-a4.pdf"):
        ops = "".join(
            f"{p[0][0] * k:.4f} {p[0][1] * k:.4f} m "
            + " ".join(f"{x * k:.4f} {y * k:.4f} l" for x, y in p[1:])
            + " S\n"
            for _, p in strokes
            if len(p) > 1
        )
        body = [
            "<</Type/Catalog/Pages 2 0 R>>",
            "<</Type/Pages/Kids[3 0 R]/Count 1>>",
            f"<</Type/Page/Parent 2 0 R/MediaBox[0 0 {900 * k:.3f} {height * k:.3f}]/Contents 4 0 R>>",
            f"<</Length {len(ops)}>>stream\n{ops}endstream",
        ]
        text, at = "%PDF-1.6\n", []
        for i, b in enumerate(body, 1):
            at.append(len(text))
            text += f"{i} 0 obj\n{b}\nendobj\n"
        xref = len(text)
        text += f"xref\n0 {len(at) + 1}\n0000000000 65535 f \n" + "".join(f"{a:010d} 00000 n \n" for a in at)
        text += f"trailer<</Size {len(at) + 1}/Root 1 0 R>>\nstartxref\n{xref}\n%%EOF"
        (out / name).write_text(text)


if __name__ == "__main__":
    main()
