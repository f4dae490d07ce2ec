#!/usr/bin/env bash
# Makes the pictures of the guide anew from the demo jobs. Needs oaktag, python3, pdftoppm, ImageMagick and Chromium.
# usage: bash docs/pictures/make.sh          (OAKTAG names another oaktag than .venv/bin/oaktag)
set -euo pipefail
cd "$(dirname "$0")/../.."
read -ra oaktag <<<"${OAKTAG:-.venv/bin/oaktag}"
out=docs/pictures
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
for job in alto-3 conductor soloist stage-dress; do "${oaktag[@]}" make "fixtures/choir/$job.toml" -o "$work/$job"; done

# close NAME JOB DPI PIECE POINT LEFT UP WIDTH HEIGHT: a part of a piece, in mm about one of its points
close() {
    local px
    read -ra px <<<"$(python3 "$out/place.py" "$work/$2" "$4" "$5" "$6" "$7" "$8" "$9" "$3")"
    for i in 0 1; do if ((px[i] < 0)); then px[i]=0; fi; done
    pdftoppm -r "$3" -png -singlefile -x "${px[0]}" -y "${px[1]}" -W "${px[2]}" -H "${px[3]}" \
        "$work/$2/pattern-roll.pdf" "$work/$1"
}

save() { magick_ "$work/$1.png" "${@:2}" -strip -colors 32 "PNG8:$out/$1.png"; }
framed() { save "$1" -bordercolor '#c8ccd4' -border 1; }
magick_() { if command -v magick >/dev/null; then magick "$@"; else convert "$@"; fi; }
beside() { magick_ "$work/$2.png" "$work/$3.png" -bordercolor white -border 6 +append "$work/$1.png"; }

pdftoppm -r 60 -png -singlefile "$work/alto-3/pattern-roll.pdf" "$work/roll"
save roll -trim +repage -morphology Erode Disk:1.2 -resize 640x -bordercolor white -border 6 \
    -bordercolor '#c8ccd4' -border 1
pdftoppm -r 80 -png -singlefile -f 1 -l 1 "$work/alto-3/pattern-letter.pdf" "$work/first-page"
framed first-page
pdftoppm -r 80 -png -singlefile -f 11 -l 11 "$work/alto-3/pattern-letter.pdf" "$work/tile"
framed tile

# marks
close front alto-3 80 front mid_armhole 70 108 125 212
close back alto-3 80 back mid_armhole 70 108 125 212
beside armhole front back
framed armhole
close dart alto-3 90 front dart_top 45 25 100 190
framed dart

# corners and edges, as docs/finishing.md tells them
close hem alto-3 90 front hem_side 65 75 120 140
framed hem
close vent alto-3 90 back vent_top 75 55 140 265
framed vent
close flared-hem soloist 90 front hem_side 95 60 140 130
framed flared-hem
close waist-dart conductor 100 bodice_front waist_side 190 50 130 72
close skirt-dart conductor 100 skirt_front waist_side 190 22 130 70
magick_ "$work/waist-dart.png" "$work/skirt-dart.png" -append "$work/waist-dart.png"
framed waist-dart
close bust-dart conductor 90 bodice_front underarm 150 20 195 135
framed bust-dart
close v-neck conductor 65 bodice_front neck_side 92 24 250 220
framed v-neck
close facing-front alto-3 65 facing_front neck_side 88 22 176 186
close facing-back alto-3 65 facing_back neck_side 139 22 244 186
beside facings facing-front facing-back
framed facings
close all-in-one soloist 60 facing_front neck_side 146 18 274 305
framed all-in-one
close zip-step conductor 90 skirt_back zip_end 70 70 150 140
framed zip-step
close lining-pleat soloist 55 lining_back facing_centre 32 22 190 400
framed lining-pleat

# sizes stacked
close nest stage-dress 60 front neck_side 95 55 320 420
framed nest

"${oaktag[@]}" steps fixtures/choir/alto-3.toml --card "$work/card.pdf" >/dev/null
pdftoppm -r 75 -png -singlefile -f 4 -l 4 "$work/card.pdf" "$work/chalk-card"
framed chalk-card
chromium --headless --no-sandbox --disable-gpu --no-first-run --disable-background-networking --hide-scrollbars \
    --user-data-dir="$work/profile" --window-size=900,1240 --screenshot="$work/report.png" \
    "file://$work/alto-3/report.html" >/dev/null 2>&1
framed report

"${oaktag[@]}" sizes women --people fixtures/charts/women_1988.csv --picture "$work/coverage.svg" >/dev/null 2>&1
chromium --headless --no-sandbox --disable-gpu --no-first-run --disable-background-networking --hide-scrollbars \
    --user-data-dir="$work/profile" --window-size=983,756 --screenshot="$work/coverage.png" \
    "file://$work/coverage.svg" >/dev/null 2>&1
save coverage +dither -bordercolor '#c8ccd4' -border 1

# a part of a piece that is larger than the sheet
sed '/^\[output\]/,$d' fixtures/choir/alto-3.toml >"$work/a3.toml"
printf '[output]\ndevice = "pen-1980s"\nformats = ["hpgl"]\n' >>"$work/a3.toml"
"${oaktag[@]}" make "$work/a3.toml" -o "$work/a3" >/dev/null
part=$(python3 -c 'import json, sys; print(next(d["file"] for d in json.load(open(sys.argv[1]))["drawn"]
    for p in d.get("panels", ()) if (p["piece"], p["part"]) == ("front", 2)))' "$work/a3/pattern.json")
"${oaktag[@]}" preview "$work/a3/$part" -o "$work/panel.png" --dpi 60 >/dev/null
framed panel

# lays, out of their page
picture_of() { # name, then words for oaktag lay
    local name=$1; shift
    "${oaktag[@]}" lay "$@" -o "$work/$name" >/dev/null
    "${PYTHON:-.venv/bin/python}" - "$work/$name/lay.html" "$work/$name.svg" <<'END'
import re, sys
page = open(sys.argv[1], encoding="utf-8").read()
svg = next(s for s in re.findall(r"<svg.*?</svg>", page, re.DOTALL) if "<title>lay" in s)
open(sys.argv[2], "w", encoding="utf-8").write(svg)
END
    read -r wide high <<<"$(sed -n 's/^<svg[^>]* width="\([0-9]*\)" height="\([0-9]*\)".*/\1 \2/p' "$work/$name.svg")"
    chromium --headless --no-sandbox --disable-gpu --no-first-run --hide-scrollbars --user-data-dir="$work/profile" \
        --window-size="$wide,$high" --screenshot="$work/$name.png" "file://$work/$name.svg" >/dev/null 2>&1
    save "$name" +dither -bordercolor "#c8ccd4" -border 1
}
picture_of lay fixtures/choir/alto-3.toml --cloth-width 150cm --fold --seconds 5
picture_of lay-check fixtures/choir/stage-dress.toml --cloth-width 150cm --material shell --quantity 12=1 \
    --repeat 8cmx6cm --seconds 20

# a drawn skirt: its numbers, its nest, its lay
cp fixtures/drawings/*skirt* "$work/"
for name in skirt hand-skirt; do
    "${oaktag[@]}" finish "$work/$name.svg" --propose "$work/$name-first.toml" >/dev/null
    chromium --headless --no-sandbox --disable-gpu --no-first-run --hide-scrollbars --user-data-dir="$work/profile" \
        --window-size=760,1010 --screenshot="$work/$name-numbers.png" "file://$work/$name-first-numbers.svg" \
        >/dev/null 2>&1
    save "$name-numbers" +dither -trim +repage -bordercolor white -border 6 -bordercolor '#c8ccd4' -border 1
done
"${oaktag[@]}" make "$work/skirt.toml" -o "$work/skirt" --only pdf >/dev/null
pdftoppm -r 30 -png -singlefile "$work/skirt/pattern-roll.pdf" "$work/skirt-nest"
save skirt-nest +dither -trim +repage -resize 700x -bordercolor white -border 6 -bordercolor '#c8ccd4' -border 1
picture_of skirt-lay "$work/skirt.toml" --cloth-width 150cm --fold --quantity S=1,M=2 --seconds 10

# the page on the table; needs playwright, which the tests install
"${oaktag[@]}" project fixtures/choir/alto-3.toml -o "$work/projection.html" >/dev/null
"${PYTHON:-.venv/bin/python}" "$out/projector.py" "$work/projection.html" "$work"
for name in projector-square-up projector-piece; do save "$name" +dither -resize 960x; done

# one roll for twelve orders: two rows of its picture, and a piece close up
orders=()
for job in alto-3 conductor soloist soprano-1; do orders+=("fixtures/choir/$job.toml"); done
for job in blouse shirt trousers straight-skirt dress childs-dress t-shirt princess-slip; do
    orders+=("fixtures/choir/wardrobe/$job.toml")
done
mkdir "$work/orders"
for job in "${orders[@]}"; do "${oaktag[@]}" make "$job" -o "$work/orders/$(basename "$job" .toml)" --only json >/dev/null; done
"${oaktag[@]}" roll "$work/orders"/* -o "$work/twelve" --as svg --seconds 60 >/dev/null
"${PYTHON:-.venv/bin/python}" - "$work/twelve/roll.html" "$work/one-roll" <<'END'
import re, sys
page = open(sys.argv[1], encoding="utf-8").read()
for number, svg in enumerate(re.findall(r"<svg.*?</svg>", page, re.DOTALL)[:2]):
    open(f"{sys.argv[2]}-{number}.svg", "w", encoding="utf-8").write(svg)
END
read -r wide high <<<"$(sed -n 's/^<svg[^>]* width="\([0-9]*\)" height="\([0-9]*\)".*/\1 \2/p' "$work/one-roll-0.svg")"
for row in 0 1; do
    chromium --headless --no-sandbox --disable-gpu --no-first-run --hide-scrollbars --user-data-dir="$work/profile" \
        --window-size="$wide,$high" --screenshot="$work/one-roll-$row.png" "file://$work/one-roll-$row.svg" >/dev/null 2>&1
done
magick_ "$work/one-roll-0.png" "$work/one-roll-1.png" -append "$work/one-roll.png"
save one-roll +dither -bordercolor "#c8ccd4" -border 1
"${oaktag[@]}" roll "$work/orders/alto-3" -o "$work/alone" --as pdf --seconds 3 >/dev/null
pdftoppm -r 120 -png -singlefile "$work/alone/roll.pdf" "$work/alone/page"
read -ra cut <<<"$("${PYTHON:-.venv/bin/python}" - "$work/alone/roll.json" facing_front 120 <<'END'
import json, sys
told = json.load(open(sys.argv[1], encoding="utf-8"))
long, px = told["lengths"][0]["long"] + 10, float(sys.argv[3]) / 25.4
(ring,) = [piece["outline"] for piece in told["pieces"] if piece["piece"] == sys.argv[2]]
left, right = min(x for x, _ in ring) - 1, max(x for x, _ in ring) + 11
low, high = min(y for _, y in ring) - 1, max(y for _, y in ring) + 11
print(*(round(part * px) for part in (max(0, left), max(0, long - high), right - max(0, left), high - low)))
END
)"
magick_ "$work/alone/page.png" -crop "${cut[2]}x${cut[3]}+${cut[0]}+${cut[1]}" +repage "$work/roll-code.png"
save roll-code +dither -bordercolor "#c8ccd4" -border 1
