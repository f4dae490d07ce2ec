"""The bare floor of `oaktag make` for a size set: the same geometry, plain writers and pyclipper, nothing else.

usage: floor_sets.py GEOMETRY.pickle FOLDER f-string|ezdxf      (GEOMETRY.pickle is written by bench.py)
Flattens the exact curves of every size, offsets each stitch line with pyclipper, and writes the nest and the base as
DXF (by f-strings, or by ezdxf), rule table, HP-GL, SVG, two PDFs and JSON from the strokes that Oaktag draws. It has no
checks, no marks of its own, no arrangement, no report.
"""

import pickle
import sys
from pathlib import Path

from floor_make import flatten


def dxf_text(blocks):
    out = ["  0\nSECTION\n  2\nHEADER\n  0\nENDSEC\n  0\nSECTION\n  2\nBLOCKS\n"]
    for name, lines, points in blocks:
        out.append(f"  0\nBLOCK\n  8\n0\n  2\n{name}\n 70\n64\n 10\n0.0\n 20\n0.0\n")
        for layer, line in lines:
            out.append(f"  0\nPOLYLINE\n  8\n{layer}\n 66\n1\n 70\n1\n")
            out.append("".join(f"  0\nVERTEX\n  8\n{layer}\n 10\n{x:.4f}\n 20\n{y:.4f}\n" for x, y in line))
            out.append(f"  0\nSEQEND\n  8\n{layer}\n")
        out.append("".join(f"  0\nPOINT\n  8\n3\n 10\n{x:.4f}\n 20\n{y:.4f}\n" for x, y in points))
        out.append("  0\nENDBLK\n")
    out.append("  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n")
    out += [f"  0\nINSERT\n  8\n1\n  2\n{name}\n 10\n0.0\n 20\n0.0\n" for name, _, _ in blocks]
    out.append("  0\nENDSEC\n  0\nEOF\n")
    return "".join(out)


def dxf_library(blocks, path):
    import logging

    import ezdxf

    logging.disable(logging.WARNING)

    document = ezdxf.new("R12")
    space = document.modelspace()
    for name, lines, points in blocks:
        block = document.blocks.new(name)
        for layer, line in lines:
            block.add_polyline2d(line, close=True, dxfattribs={"layer": layer})
        for p in points:
            block.add_point(p, dxfattribs={"layer": "3"})
        space.add_blockref(name, (0, 0))
    document.saveas(path)


def pdf(strokes, width, height):
    k = 72 / 25.4
    ops = "".join(
        f"{p[0][0] * k:.4f} {p[0][1] * k:.4f} m " + " ".join(f"{x * k:.4f} {y * k:.4f} l" for x, y in p[1:]) + " S\n"
        for _, p in strokes
        if len(p) > 1
    )
    body = [
        "<</Type/Catalog/Pages 2 0 R>>",
        "<</Type/Pages/Kids[3 0 R]/Count 1>>",
        f"<</Type/Page/Parent 2 0 R/MediaBox[0 0 {width * k:.3f} {height * k:.3f}]/Contents 4 0 R>>",
        f"<</Length {len(ops)}>>stream\n{ops}endstream",
    ]
    text, at = "%PDF-1.6\n", []
    for i, part in enumerate(body, 1):
        at.append(len(text))
        text += f"{i} 0 obj\n{part}\nendobj\n"
    xref = len(text)
    text += f"xref\n0 {len(at) + 1}\n0000000000 65535 f \n" + "".join(f"{a:010d} 00000 n \n" for a in at)
    return text + f"trailer<</Size {len(at) + 1}/Root 1 0 R>>\nstartxref\n{xref}\n%%EOF"


def main():
    import pyclipper as pc

    data = pickle.loads(Path(sys.argv[1]).read_bytes())
    out, how = Path(sys.argv[2]), sys.argv[3]
    out.mkdir(exist_ok=True)
    rows, nest, base = [], [], []
    for (name, size), edges in data["pieces"].items():
        ring = flatten(edges)
        offset = pc.PyclipperOffset(10.0, 100)
        offset.AddPath([(round(x * 1e4), round(y * 1e4)) for x, y in ring], pc.JT_MITER, pc.ET_CLOSEDPOLYGON)
        cut = [(x / 1e4, y / 1e4) for x, y in offset.Execute(12.7e4)[0]]
        c = ",".join(f"[{x:.4f},{y:.4f}]" for x, y in cut)
        s = ",".join(f"[{x:.4f},{y:.4f}]" for x, y in ring)
        rows.append(f'{{"name":"{name}","size":"{size}","cut_line":[{c}],"stitch_line":[{s}],"edges":[{s}]}}')
        is_base = size == data["base"]
        fine = flatten(edges, 0.01)
        lines = [("1", cut), ("14", ring), ("84", cut), ("87", fine)]
        block = (f"{name.upper()}_{size}", lines, cut + ring if is_base else [])
        nest.append(block)
        if is_base:
            base.append(block)
    (out / "pattern.json").write_text('{"pieces":[' + ",\n".join(rows) + "]}")
    for file, blocks in (("pattern-nest.dxf", nest), ("pattern.dxf", base)):
        if how == "ezdxf":
            dxf_library(blocks, out / file)
        else:
            (out / file).write_text(dxf_text(blocks))
    (out / "pattern.rul").write_text("".join(f"RULE: DELTA {i}\n{row}\n" for i, row in enumerate(data["rules"])))
    plot = ["IN;SP1;\n"]
    for closed, p in data["plotted"]:
        q = [f"{round(x * 40)},{round(y * 40)}" for x, y in (p + p[:1] if closed else p)]
        plot.append(f"PU{q[0]};PD{','.join(q[1:])};\n")
    (out / "pattern.plt").write_text("".join(plot) + "PU;SP0;")
    height = data["height"]
    svg = [f'<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="{height}mm" viewBox="0 0 900 {height}">']
    for closed, p in data["strokes"]:
        svg.append(f'<path d="M{"L".join(f"{x:.4f},{height - y:.4f}" for x, y in p)}{"Z" if closed else ""}"/>')
    (out / "pattern.svg").write_text("".join(svg) + "</svg>")
    for file in ("pattern-roll.pdf", "pattern-a4.pdf"):
        (out / file).write_text(pdf(data["strokes"], 900, height))


if __name__ == "__main__":
    main()
