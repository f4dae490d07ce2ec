// Everything that is thrown on the table. Points go from the figure by its move to the table (mm), by the homography to
// the page (px), and there to the screen's own dots, in one product of matrices; lines keep their width in px.

const INKS = {
  dark: {
    ground: "#0b0d0e", cut: "#ffffff", stitch: "#ffe08a", fold: "#8fd3ff", notch: "#ff9d5c", drill: "#ffb59e",
    dart: "#ffb59e", internal: "#a9e5b4", grain: "#8fd3ff", label: "#d9d4c5", scale: "#ffffff",
    grid: "#56636b", strong: "#9fb0b8", point: "#ffffff", chosen: "#ffd35c",
  },
  light: {
    ground: "#ffffff", cut: "#000000", stitch: "#6b3d00", fold: "#003f73", notch: "#b33c00", drill: "#8a1f00",
    dart: "#8a1f00", internal: "#0d5220", grain: "#003f73", label: "#33302a", scale: "#000000",
    grid: "#b9b4a6", strong: "#6f6a5e", point: "#000000", chosen: "#a32b00",
  },
};
// Share of the chosen line width, and dashes in px at 3 px of width, where a size has none of its own.
const LINES = {
  cut: [1, []], stitch: [0.7, [12, 7]], fold: [0.9, [30, 7, 5, 7]], notch: [1.2, []], drill: [0.7, []],
  dart: [0.8, [18, 6, 4, 6, 4, 6]], internal: [0.7, [4, 8]], grain: [0.8, []], label: [0.6, []], scale: [0.7, []],
  code: [1, []],
};
const ROLE_WORDS = {
  cut: "cut lines", stitch: "stitch lines", fold: "fold lines", notch: "notches", drill: "drill holes", dart: "darts",
  internal: "lines inside", grain: "grain lines", label: "lettering", scale: "scale block", code: "codes",
};
const NEAR_HORIZON = 0.2; // of the least depth at the mat's corners: beyond, points would run off to infinity

// Where to draw and how: `h` from table mm to the canvas's dots.
function viewOf(canvas, h, mat, scale, look) {
  const toDots = product([scale, 0, 0, 0, scale, 0, 0, 0, 1], h);
  const corners = [[0, 0], [mat.width, 0], [mat.width, mat.depth], [0, mat.depth]];
  const least = Math.min(...corners.map(([x, y]) => toDots[6] * x + toDots[7] * y + toDots[8]));
  const [cx, cy] = [mat.width / 2, mat.depth / 2];
  const [u, v] = mapped(toDots, cx, cy);
  const [ux, vx] = mapped(toDots, cx + 1, cy);
  const [uy, vy] = mapped(toDots, cx, cy + 1);
  const dotsPerMm = Math.sqrt(Math.abs((ux - u) * (vy - v) - (uy - u) * (vx - v)));
  return {
    context: canvas.getContext("2d"), h: toDots, nearest: NEAR_HORIZON * least, dotsPerMm, scale,
    width: canvas.width, height: canvas.height, look, shown: null,
  };
}

// What a box in mm becomes: "out" of sight, or whether its lines must be cut off short of the horizon.
function inSight(view, m, [left, low, right, high]) {
  let [near, uMin, uMax, vMin, vMax] = [Infinity, Infinity, -Infinity, Infinity, -Infinity];
  let ahead = false;
  for (let i = 0; i < 4; i += 1) {
    const x = i === 0 || i === 3 ? left : right;
    const y = i < 2 ? low : high;
    const w = m[6] * x + m[7] * y + m[8];
    near = Math.min(near, w);
    if (w > view.nearest) ahead = true;
    const u = (m[0] * x + m[1] * y + m[2]) / w;
    const v = (m[3] * x + m[4] * y + m[5]) / w;
    uMin = Math.min(uMin, u);
    uMax = Math.max(uMax, u);
    vMin = Math.min(vMin, v);
    vMax = Math.max(vMax, v);
  }
  if (near <= view.nearest) return ahead ? "cut short" : "out";
  const edge = 20;
  if (uMax < -edge || vMax < -edge || uMin > view.width + edge || vMin > view.height + edge) return "out";
  return "whole";
}

function trace(view, m, one, sight) {
  if (sight === "cut short") {
    traceCutShort(view, m, one);
    return;
  }
  const { points, closed } = one;
  const { context } = view;
  const kept = view.shown === null ? null : [];
  for (let i = 0; i < points.length; i += 2) {
    const x = points[i];
    const y = points[i + 1];
    const w = m[6] * x + m[7] * y + m[8];
    const u = (m[0] * x + m[1] * y + m[2]) / w;
    const v = (m[3] * x + m[4] * y + m[5]) / w;
    if (i === 0) context.moveTo(u, v);
    else context.lineTo(u, v);
    if (kept !== null) kept.push([u, v]);
  }
  if (closed) context.closePath();
  if (kept !== null) view.shown.push({ points: kept, closed });
}

// The same where part of the line lies beyond the horizon: every stretch is cut where it comes too near to it.
function traceCutShort(view, m, { points, closed }) {
  const { context } = view;
  const n = points.length / 2;
  const at = (i) => [0, 3, 6].map((row) => m[row] * points[2 * i] + m[row + 1] * points[2 * i + 1] + m[row + 2]);
  let open = false;
  for (let i = 0; i < (closed ? n : n - 1); i += 1) {
    let [a, b] = [at(i), at((i + 1) % n)];
    if (a[2] <= view.nearest && b[2] <= view.nearest) {
      open = false;
      continue;
    }
    const cut = (view.nearest - a[2]) / (b[2] - a[2]);
    const between = () => a.map((value, k) => value + cut * (b[k] - value));
    let ends = false;
    if (a[2] < view.nearest) {
      a = between();
      open = false;
    } else if (b[2] < view.nearest) {
      b = between();
      ends = true;
    }
    if (!open) context.moveTo(a[0] / a[2], a[1] / a[2]);
    context.lineTo(b[0] / b[2], b[1] / b[2]);
    open = !ends;
  }
}

function strokeLines(view, m, lines, sight) {
  view.context.beginPath();
  for (const one of lines) {
    const own = lines.length > 1 && one.points.length > 16 ? inSight(view, m, one.box) : sight;
    if (own !== "out") trace(view, m, one, own);
  }
  view.context.stroke();
}

// `emphasis` makes its lines bolder, for the piece that is chosen among others.
function drawFigure(view, figure, hidden, emphasis) {
  drawHalf(view, figure, hidden, emphasis, false);
  if (figure.unfolded) drawHalf(view, figure, hidden, emphasis, true);
}

function drawHalf(view, figure, hidden, emphasis, otherHalf) {
  const { context, look, scale } = view;
  const ways = new Map();
  const wayOf = (size) => { // of the strokes of one size: matrix and whether in sight; null where they have no fold
    if (ways.has(size)) return ways.get(size);
    const fold = otherHalf ? foldOf(figure.folds, size) : null;
    const move = otherHalf && fold !== null ? afterMove(mirrorAbout(fold), figure.move) : figure.move;
    const m = product(view.h, asMatrix(move));
    ways.set(size, otherHalf && fold === null ? null : { m, sight: inSight(view, m, figure.box) });
    return ways.get(size);
  };
  const ink = INKS[look.light ? "light" : "dark"];
  for (const group of figure.groups) {
    const size = group.size || figure.size;
    if (hidden.roles.has(group.role) || (size !== "" && hidden.sizes.has(size))) continue;
    if (otherHalf && (group.role === "label" || group.role === "fold" || group.role === "grain")) continue;
    const way = wayOf(group.size);
    if (way === null || way.sight === "out") continue;
    const { m, sight } = way;
    const [share, usual] = LINES[group.role];
    const finest = group.role === "label" ? (0.7 * view.dotsPerMm) / scale : Infinity; // or small letters would fill up
    const width = Math.max(1, Math.min(look.width * share * emphasis, finest));
    context.strokeStyle = ink[group.role];
    context.lineWidth = width * scale;
    context.setLineDash(dashesOf(group.dashes, usual, view));
    context.lineDashOffset = group.dashes === null ? 0 : group.phase * dashScale(group.dashes, view);
    const before = view.shown === null ? 0 : view.shown.length;
    const lines = figure.unfolded && group.role === "fold" ? foldAlone(group.lines) : group.lines;
    strokeLines(view, m, lines, sight);
    if (view.shown !== null) {
      const whose = { figure: figure.label, role: group.role, size };
      for (const kept of view.shown.slice(before)) Object.assign(kept, whose);
    }
    if (group.corners.length > 0) {
      context.setLineDash([]);
      const { shown } = view;
      view.shown = null;
      strokeLines(view, m, group.corners, sight);
      view.shown = shown;
    }
  }
  context.setLineDash([]);
}

// The name of a figure, lettered flat on the table in mm and the right way up for the maker, however the piece lies;
// with MIRRORED under it where it shows its other face.
function drawName(view, figure, mirrored) {
  const { context } = view;
  const { at, capital } = nameSpot(figure, Math.abs(figure.move[0]) > 0.5);
  const [x, y] = movedPoint(figure.move, ...at);
  if (view.h[6] * x + view.h[7] * y + view.h[8] <= view.nearest) return;
  const [u, v] = mapped(view.h, x, y);
  const [[ux, vx], [uy, vy]] = [mapped(view.h, x + 1, y), mapped(view.h, x, y + 1)];
  const ink = INKS[view.look.light ? "light" : "dark"];
  context.save();
  context.setTransform(ux - u, vx - v, u - uy, v - vy, u, v); // a mm of the table is a unit here, y towards the maker
  context.font = `700 ${capital / CAPITAL}px ${NAME_FONT}`;
  context.textAlign = "center";
  context.textBaseline = "alphabetic";
  context.lineJoin = "round";
  context.lineWidth = 0.25 * capital;
  context.strokeStyle = ink.ground;
  [figure.label, ...(mirrored ? ["MIRRORED"] : [])].forEach((words, row) => {
    const base = capital * (0.5 + 1.5 * row);
    context.strokeText(words, 0, base);
    context.fillStyle = row === 0 ? ink.point : ink.chosen;
    context.fillText(words, 0, base);
  });
  context.restore();
}

// Unfolded, the bracket that says "on the fold" would lie; the line itself stays.
function foldAlone(lines) {
  return lines.filter((one) => one.points.length === 4);
}

// A size's own pattern is in mm; on the table it is kept coarse enough that its gaps can be seen.
function dashScale(dashes, view) {
  if (dashes.length === 0) return 1;
  const least = Math.min(...dashes);
  return Math.max(view.dotsPerMm, ((2 + view.look.width) * view.scale) / least);
}

function dashesOf(dashes, usual, view) {
  if (dashes === null) return usual.map((part) => part * view.scale * Math.max(1, view.look.width / 3));
  const by = dashScale(dashes, view);
  return dashes.map((part) => part * by);
}

// ---- the mat: its edge, a grid, and what proves the scale

function drawTableLine(view, from, to) {
  trace(view, view.h, { points: Float64Array.of(...from, ...to), closed: false }, "cut short");
}

function strokeTable(view, colour, width, lines, dashes = []) {
  const { context, scale } = view;
  context.strokeStyle = colour;
  context.lineWidth = width * scale;
  context.setLineDash(dashes.map((part) => part * scale));
  context.lineDashOffset = 0;
  context.beginPath();
  for (const points of lines) {
    for (let i = 0; i + 1 < points.length; i += 1) drawTableLine(view, points[i], points[i + 1]);
  }
  context.stroke();
  context.setLineDash([]);
}

function matEdge({ width, depth }) {
  return [[0, 0], [width, 0], [width, depth], [0, depth], [0, 0]];
}

// The part of a line outside boxes that are left free, as [from, to] pairs along it.
function freeStretches(from, to, taken) {
  let free = [[from, to]];
  for (const [low, high] of taken) {
    free = free.flatMap(([a, b]) => [[a, Math.min(b, low)], [Math.max(a, high), b]].filter(([p, q]) => q - p > 0.01));
  }
  return free;
}

// A grid over the mat; lines whose number is a multiple of `bold` are heavier. `free`: boxes to leave out.
function gridLines({ width, depth }, step, bold, free) {
  const [thin, thick] = [[], []];
  for (let i = 1; i * step < width - 0.5; i += 1) {
    const x = i * step;
    const taken = free.filter((box) => box[0] < x && x < box[2]).map((box) => [box[1], box[3]]);
    for (const [a, b] of freeStretches(0, depth, taken)) (i % bold === 0 ? thick : thin).push([[x, a], [x, b]]);
  }
  for (let i = 1; i * step < depth - 0.5; i += 1) {
    const y = i * step;
    const taken = free.filter((box) => box[1] < y && y < box[3]).map((box) => [box[0], box[2]]);
    for (const [a, b] of freeStretches(0, width, taken)) (i % bold === 0 ? thick : thin).push([[a, y], [b, y]]);
  }
  return { thin, thick };
}

const SQUARE = 100;
const CARD = { width: 85.6, height: 53.98, radius: 3.18 }; // ISO/IEC 7810, size ID-1
const CARD_GAP = 15;

// Square and card as one group about the middle of the mat, moved by `shift` and kept on the mat: their boxes, mm.
function provingBoxes(mat, [dx, dy]) {
  const aside = mat.width >= SQUARE + CARD.width + 3 * CARD_GAP;
  const width = aside ? SQUARE + CARD_GAP + CARD.width : SQUARE;
  const depth = aside ? SQUARE : SQUARE + CARD_GAP + CARD.height;
  const kept = (value, room) => {
    const gap = Math.min(CARD_GAP, room / 2);
    return Math.min(Math.max(value, gap), room - gap);
  };
  const x = kept((mat.width - width) / 2 + dx, mat.width - width);
  const y = kept((mat.depth - depth) / 2 + dy, mat.depth - depth);
  const square = [x, y, x + SQUARE, y + SQUARE];
  const [cx, cy] = aside ? [x + SQUARE + CARD_GAP, y] : [x, y + SQUARE + CARD_GAP];
  return { square, card: [cx, cy, cx + CARD.width, cy + CARD.height] };
}

function boxLine([left, low, right, high]) {
  return [[left, low], [right, low], [right, high], [left, high], [left, low]];
}

function cardLine([left, low, right, high]) {
  const r = CARD.radius;
  const turns = [
    [right - r, low + r, 270], [right - r, high - r, 0], [left + r, high - r, 90], [left + r, low + r, 180],
  ];
  const points = turns.flatMap(([cx, cy, start]) => Array.from({ length: 9 }, (_, i) => {
    const angle = ((start + (90 * i) / 8) * Math.PI) / 180;
    return [cx + r * Math.cos(angle), cy + r * Math.sin(angle)];
  }));
  return [...points, points[0]];
}

// Words on the canvas, turned and mirrored as the picture is, so that they read right on the table.
function drawWords(view, words, [u, v], size, colour, flip, lift = 0) {
  const { context, scale } = view;
  context.save();
  context.translate(u, v);
  context.scale(flip[0], flip[1]);
  context.font = `700 ${size * scale}px system-ui, "Liberation Sans", sans-serif`;
  context.textAlign = "center";
  context.textBaseline = "middle";
  context.lineWidth = 6 * scale;
  context.lineJoin = "round";
  context.strokeStyle = INKS[view.look.light ? "light" : "dark"].ground;
  context.strokeText(words, 0, lift * scale);
  context.fillStyle = colour;
  context.fillText(words, 0, lift * scale);
  context.restore();
}

function drawSquareUp(view, table, h, chosen, flip) {
  const ink = INKS[view.look.light ? "light" : "dark"];
  const { context, scale } = view;
  if (h !== null) {
    const { thin, thick } = gridLines(table.mat, gridStep(), 5, []);
    strokeTable(view, ink.grid, 1, thin);
    strokeTable(view, ink.strong, 1.5, thick);
    strokeTable(view, ink.point, 2, [matEdge(table.mat)]);
  }
  const middle = [0, 1].map((k) => table.points.slice(0, 4).reduce((sum, point) => sum + point.px[k], 0) / 4);
  table.points.forEach(({ px }, index) => {
    const [u, v] = px.map((value) => value * scale);
    const own = index === chosen;
    context.strokeStyle = own ? ink.chosen : ink.point;
    context.lineWidth = (own ? 2 : 1.5) * scale;
    context.beginPath();
    const arm = (own ? 44 : 28) * scale;
    context.moveTo(u - arm, v);
    context.lineTo(u + arm, v);
    context.moveTo(u, v - arm);
    context.lineTo(u, v + arm);
    context.stroke();
    context.beginPath();
    context.lineWidth = (own ? 5 : 2) * scale;
    context.arc(u, v, (own ? 24 : 18) * scale, 0, 2 * Math.PI);
    context.stroke();
    const away = Math.hypot(middle[0] - px[0], middle[1] - px[1]) || 1;
    const inwards = index < 4 ? [0, 1].map((k) => (72 * (middle[k] - px[k])) / away) : [0, 58];
    drawWords(
      view, String(index + 1), [u + inwards[0] * scale, v + inwards[1] * scale], own ? 56 : 40,
      own ? ink.chosen : ink.point, flip,
    );
  });
}

function drawTest(view, table, shift, flip) {
  const ink = INKS[view.look.light ? "light" : "dark"];
  const { square, card } = provingBoxes(table.mat, shift);
  const clear = Math.max(12, (48 * view.scale) / view.dotsPerMm); // mm: room for the words under and over them
  const free = [
    Math.min(square[0], card[0]) - 12, square[1] - clear,
    Math.max(square[2], card[2]) + 12, Math.max(square[3], card[3] + clear),
  ];
  const { thin, thick } = gridLines(table.mat, 50, 2, [free]);
  strokeTable(view, ink.grid, 1, thin);
  strokeTable(view, ink.strong, 1.5, thick);
  strokeTable(view, ink.strong, 2, [matEdge(table.mat)]);
  strokeTable(view, ink.chosen, 2, [boxLine(square)]);
  strokeTable(view, ink.chosen, 2, [cardLine(card)]);
  drawWords(view, "100 mm", mapped(view.h, (square[0] + square[2]) / 2, square[1]), 28, ink.point, flip, 26);
  drawWords(view, "card", mapped(view.h, (card[0] + card[2]) / 2, card[3]), 28, ink.point, flip, -24);
}

// The corners of the mat as they were squared up: if they leave it, something was bumped.
function drawCorners(view, table) {
  const ink = INKS[view.look.light ? "light" : "dark"];
  const { width, depth } = table.mat;
  const arm = Math.min(25, width / 8, depth / 8);
  strokeTable(view, ink.strong, 1.5, matEdge(table.mat).slice(0, 4).map(([x, y]) => [
    [x + (x === 0 ? arm : -arm), y], [x, y], [x, y + (y === 0 ? arm : -arm)],
  ]));
}

// A grid to lay the cloth by: lines along the grain are whole, those across are dashed.
function drawClothGrid(view, table, alongX) {
  const ink = INKS[view.look.light ? "light" : "dark"];
  const { thin, thick } = gridLines(table.mat, gridStep(), 5, []);
  const alongGrain = ([[ax], [bx]]) => (ax !== bx) === alongX;
  for (const [lines, width] of [[thin, 1], [thick, 1.5]]) {
    strokeTable(view, ink.strong, width, lines.filter(alongGrain));
    strokeTable(view, ink.grid, width, lines.filter((one) => !alongGrain(one)), [6, 8]);
  }
  strokeTable(view, ink.strong, 2, [matEdge(table.mat)]);
}
