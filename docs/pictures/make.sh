#!/usr/bin/env bash
# Makes the pictures of the guide anew from the demo job. Needs oaktag, pdftoppm, ImageMagick and Chromium.
# usage: bash docs/pictures/make.sh          (OAKTAG names another oaktag than .venv/bin/oaktag)
set -euo pipefail
cd "$(dirname "$0")/../.."
oaktag=${OAKTAG:-.venv/bin/oaktag}
out=docs/pictures
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
"$oaktag" make fixtures/choir/alto-3.toml -o "$work/made"
roll="$work/made/pattern-roll.pdf" tiles="$work/made/pattern-letter.pdf"

# close NAME DPI LEFT TOP WIDTH HEIGHT: a part of the roll, in mm from its upper left corner
close() {
    local px=()
    for mm in "${@:3}"; do px+=("$(awk -v mm="$mm" -v dpi="$2" 'BEGIN { printf "%d", mm / 25.4 * dpi }')"); done
    pdftoppm -r "$2" -png -singlefile -x "${px[0]}" -y "${px[1]}" -W "${px[2]}" -H "${px[3]}" "$roll" "$work/$1"
}

save() { magick_ "$work/$1.png" "${@:2}" -strip -colors 32 "PNG8:$out/$1.png"; }
magick_() { if command -v magick >/dev/null; then magick "$@"; else convert "$@"; fi; }

pdftoppm -r 60 -png -singlefile "$roll" "$work/roll"
save roll -crop 1838x3738+0+0 +repage -morphology Erode Disk:1.2 -resize 640x -bordercolor '#c8ccd4' -border 1
pdftoppm -r 80 -png -singlefile -f 1 -l 1 "$tiles" "$work/first-page"
save first-page -bordercolor '#c8ccd4' -border 1
pdftoppm -r 80 -png -singlefile -f 11 -l 11 "$tiles" "$work/tile"
save tile -bordercolor '#c8ccd4' -border 1

close front 80 186 512 135 240
close back 80 565 512 135 240
magick_ "$work/front.png" "$work/back.png" -bordercolor white -border 6 +append "$work/armhole.png"
save armhole
close dart 90 55 750 110 180
save dart
close hem 90 160 1425 130 150
save hem
close vent 90 320 1330 130 245
save vent
chromium --headless --no-sandbox --disable-gpu --no-first-run --disable-background-networking --hide-scrollbars \
    --user-data-dir="$work/profile" --window-size=900,1240 --screenshot="$work/report.png" \
    "file://$work/made/report.html" >/dev/null 2>&1
save report -bordercolor '#c8ccd4' -border 1
