// The figures: their lines in mm as the sheet laid them, and where each has been moved to.
// A move is a quarter turn or mirror and a shift, [a, b, c, d, e, f]: x' = a x + c y + e, y' = b x + d y + f; its first
// four numbers are 0, 1 or −1, so that however often a piece is turned, its size stays exact.

const AS_LAID = [1, 0, 0, 1, 0, 0];
const ON_FOLD = 0.05; // mm: a line this near to the fold lies on it

function afterMove(first, then) {
  const [a, b, c, d, e, f] = first;
  const [p, q, r, s, t, u] = then;
  return [p * a + r * b, q * a + s * b, p * c + r * d, q * c + s * d, p * e + r * f + t, q * e + s * f + u];
}

function movedPoint([a, b, c, d, e, f], x, y) {
  return [a * x + c * y + e, b * x + d * y + f];
}

function movedBack([a, b, c, d, e, f], x, y) {
  const det = a * d - b * c;
  return [(d * (x - e) - c * (y - f)) / det, (a * (y - f) - b * (x - e)) / det];
}

// The move [a, b, c, d] about a point that stays where it is.
function about([cx, cy], [a, b, c, d]) {
  return [a, b, c, d, cx - a * cx - c * cy, cy - b * cx - d * cy];
}

const TURN_LEFT = [0, 1, -1, 0];
const TURN_RIGHT = [0, -1, 1, 0];
const MIRROR = [-1, 0, 0, 1];

function asMatrix([a, b, c, d, e, f]) {
  return [a, c, e, b, d, f, 0, 0, 1];
}

// The mirror image about the line through two points.
function mirrorAbout([[px, py], [qx, qy]]) {
  const length = Math.hypot(qx - px, qy - py);
  const [x, y] = [(qx - px) / length, (qy - py) / length];
  const [a, b, d] = [x * x - y * y, 2 * x * y, y * y - x * x];
  return [a, b, b, d, px - a * px - b * py, py - b * px - d * py];
}

// Points come as whole hundredths of a mm, each as its step from the one before.
function decoded(steps) {
  const points = new Float64Array(steps.length);
  let [x, y] = [0, 0];
  for (let i = 0; i < steps.length; i += 2) {
    x += steps[i];
    y += steps[i + 1];
    points[i] = x / 100;
    points[i + 1] = y / 100;
  }
  return points;
}

function boxOf(lines) {
  const box = [Infinity, Infinity, -Infinity, -Infinity];
  for (const { points } of lines) {
    for (let i = 0; i < points.length; i += 2) {
      box[0] = Math.min(box[0], points[i]);
      box[1] = Math.min(box[1], points[i + 1]);
      box[2] = Math.max(box[2], points[i]);
      box[3] = Math.max(box[3], points[i + 1]);
    }
  }
  return box;
}

function line(points, closed) {
  return { points, closed, box: boxOf([{ points }]) };
}

// A line without what lies on the fold: nobody cuts along the fold. [] where all of it does.
function offFold(whole, fold) {
  const [[px, py], [qx, qy]] = fold;
  const length = Math.hypot(qx - px, qy - py);
  const { points, closed } = whole;
  const n = points.length / 2;
  const lies = (i) => {
    const [dx, dy] = [points[2 * i] - px, points[2 * i + 1] - py];
    return Math.abs(dx * (qy - py) - dy * (qx - px)) / length < ON_FOLD;
  };
  const cut = [];
  for (let i = 0; i < (closed ? n : n - 1); i += 1) if (lies(i) && lies((i + 1) % n)) cut.push(i);
  if (cut.length === 0) return [whole];
  const runs = [];
  const first = closed ? cut[0] + 1 : 0;
  const count = closed ? n : n - 1;
  let run = [];
  for (let k = 0; k < count; k += 1) {
    const i = closed ? (first + k) % n : k;
    const j = (i + 1) % n;
    if (cut.includes(i)) {
      if (run.length > 2) runs.push(run);
      run = [];
      continue;
    }
    if (run.length === 0) run.push(points[2 * i], points[2 * i + 1]);
    run.push(points[2 * j], points[2 * j + 1]);
  }
  if (run.length > 2) runs.push(run);
  return runs.map((flat) => line(Float64Array.from(flat), false));
}

// The fold of one size where each has its own, else the one that all share; null where there is none.
function foldOf(folds, size) {
  return folds.get(size) ?? folds.get("") ?? null;
}

// Whether a figure shows its other face.
function isMirrored(move, first) {
  return (move[0] * move[3] - move[1] * move[2] < 0) !== (first[0] * first[3] - first[1] * first[2] < 0);
}

// The moves of a figure's halves: as it lies, and where it is unfolded also the other way about each of its folds.
function halves(figure) {
  if (!figure.unfolded) return [figure.move];
  return [figure.move, ...[...figure.folds.values()].map((fold) => afterMove(mirrorAbout(fold), figure.move))];
}

// A figure of the data block, ready to be drawn and moved.
function figureFrom(data) {
  const folds = new Map(data.folds.map(([size, steps]) => {
    const ends = decoded(steps);
    return [size, [ends.slice(0, 2), ends.slice(2, 4)]];
  }));
  const outline = [];
  const groups = data.groups.map((group) => {
    let lines = group.lines.map(([closed, steps]) => line(decoded(steps), closed === 1));
    if (group.role === "cut") {
      outline.push(...lines.filter((one) => one.closed));
      const fold = foldOf(folds, group.size);
      if (fold !== null) lines = lines.flatMap((one) => offFold(one, fold));
    }
    const corners = group.corners.map((steps) => line(decoded(steps), false));
    return { role: group.role, size: group.size, dashes: group.dashes, phase: group.phase, lines, corners };
  });
  const box = boxOf(groups.flatMap((group) => group.lines));
  return {
    name: data.name, size: data.size, label: data.label, folds, outline, groups, box, unfolded: false,
    move: AS_LAID, // where it lies now
    otherMove: AS_LAID, // where it lies alone while all are shown, and among them while it is alone
  };
}

// ---- where a name can be lettered on a figure

const NAME_HEIGHTS = [24, 18, 14, 10]; // mm of a capital: 10 is read from a metre; the largest that has room is taken
const CAPITAL = 0.72; // of the size of a font, near enough for any sans serif
const CELL = 5; // mm, of the grid by which a free place is found
const NAME_AIR = 4; // mm round the words
const NAME_FONT = 'system-ui, "Liberation Sans", sans-serif';

// Width of bold words whose capitals are 1 mm high, mm.
function wordsWidth(words) {
  const context = document.createElement("canvas").getContext("2d");
  context.font = `700 100px ${NAME_FONT}`;
  return context.measureText(words).width / (100 * CAPITAL);
}

// Row by row, how many cells of the figure's box left of each and below it are drawn on or outside the outline.
function inkSums({ box, outline, groups }) {
  const [left, low, right, high] = box;
  const columns = Math.max(1, Math.ceil((right - left) / CELL));
  const rows = Math.max(1, Math.ceil((high - low) / CELL));
  const taken = new Uint8Array(columns * rows);
  const smallest = [...outline].sort((p, q) => p.box[2] - p.box[0] - (q.box[2] - q.box[0]))[0];
  for (let j = 0; smallest !== undefined && j < rows; j += 1) {
    for (const y of [low + j * CELL + 0.01, low + (j + 1) * CELL - 0.01]) {
      const cuts = crossings(smallest.points, y);
      for (let i = 0; i < columns; i += 1) {
        const x = left + (i + 0.5) * CELL;
        if (cuts.filter((cut) => cut < x).length % 2 === 0) taken[j * columns + i] = 1;
      }
    }
  }
  const mark = (x, y) => {
    const i = Math.min(columns - 1, Math.floor((x - left) / CELL));
    taken[Math.min(rows - 1, Math.floor((y - low) / CELL)) * columns + i] = 1;
  };
  for (const group of groups) {
    for (const { points, closed } of group.lines) {
      const n = points.length;
      for (let k = 0; k < (closed ? n : n - 2); k += 2) {
        const [ax, ay, bx, by] = [points[k], points[k + 1], points[(k + 2) % n], points[(k + 3) % n]];
        const steps = Math.max(1, Math.ceil(Math.hypot(bx - ax, by - ay) / (CELL / 2)));
        for (let s = 0; s <= steps; s += 1) mark(ax + ((bx - ax) * s) / steps, ay + ((by - ay) * s) / steps);
      }
    }
  }
  const sums = new Uint32Array((columns + 1) * (rows + 1));
  for (let j = 0; j < rows; j += 1) {
    for (let i = 0; i < columns; i += 1) {
      sums[(j + 1) * (columns + 1) + i + 1] = taken[j * columns + i] + sums[j * (columns + 1) + i + 1]
        + sums[(j + 1) * (columns + 1) + i] - sums[j * (columns + 1) + i];
    }
  }
  return { columns, rows, sums };
}

function crossings(points, y) {
  const found = [];
  const n = points.length;
  for (let i = 0, j = n - 2; i < n; j = i, i += 2) {
    const [ax, ay, bx, by] = [points[i], points[i + 1], points[j], points[j + 1]];
    if (ay > y !== by > y) found.push(((bx - ax) * (y - ay)) / (by - ay) + ax);
  }
  return found;
}

// Where the figure's name stands free of its lines, nearest to its middle, and how high its capitals are: one place for
// a figure that lies as it was drawn or half round (`upright`), another for one turned to a side. Where it is free
// nowhere, the middle.
function nameSpot(figure, upright) {
  figure.spots ??= {};
  figure.ink ??= inkSums(figure);
  const known = figure.spots[upright];
  if (known !== undefined) return known;
  const { columns, rows, sums } = figure.ink;
  const [left, low, right, high] = figure.box;
  const long = wordsWidth(figure.label);
  let spot = { at: [(left + right) / 2, (low + high) / 2], capital: NAME_HEIGHTS[NAME_HEIGHTS.length - 1] };
  for (const capital of NAME_HEIGHTS) {
    const sides = [long * capital + 2 * NAME_AIR, 1.5 * capital + 2 * NAME_AIR].map((side) => Math.ceil(side / CELL));
    const [w, h] = upright ? sides : sides.reverse();
    let best = Infinity;
    for (let j = 0; j + h <= rows; j += 1) {
      for (let i = 0; i + w <= columns; i += 1) {
        const at = (p, q) => sums[q * (columns + 1) + p];
        if (at(i + w, j + h) - at(i, j + h) - at(i + w, j) + at(i, j) > 0) continue;
        const far = Math.hypot(i + w / 2 - columns / 2, j + h / 2 - rows / 2);
        if (far < best) {
          best = far;
          spot = { at: [left + (i + w / 2) * CELL, low + (j + h / 2) * CELL], capital };
        }
      }
    }
    if (best < Infinity) break;
  }
  figure.spots[upright] = spot;
  return spot;
}

// The box round a figure where it lies now, mm on the table; with its other half where it is unfolded.
function lyingBox(figure) {
  const [left, low, right, high] = figure.box;
  const corners = halves(figure).flatMap((move) => [[left, low], [right, low], [right, high], [left, high]].map(
    ([x, y]) => movedPoint(move, x, y),
  ));
  const [xs, ys] = [corners.map((corner) => corner[0]), corners.map((corner) => corner[1])];
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

function middleOf(figures) {
  const boxes = figures.map(lyingBox);
  return [
    (Math.min(...boxes.map((box) => box[0])) + Math.max(...boxes.map((box) => box[2]))) / 2,
    (Math.min(...boxes.map((box) => box[1])) + Math.max(...boxes.map((box) => box[3]))) / 2,
  ];
}

// Whether a point of the table lies in a figure (in any of its sizes), or in its box where it has no outline.
function liesIn(figure, x, y) {
  return halves(figure).some((move) => {
    const [px, py] = movedBack(move, x, y);
    const [left, low, right, high] = figure.box;
    if (px < left || px > right || py < low || py > high) return false;
    return figure.outline.length === 0 || figure.outline.some(({ points }) => encloses(points, px, py));
  });
}

function encloses(points, x, y) {
  let inside = false;
  const n = points.length;
  for (let i = 0, j = n - 2; i < n; j = i, i += 2) {
    const [ax, ay, bx, by] = [points[i], points[i + 1], points[j], points[j + 1]];
    if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) inside = !inside;
  }
  return inside;
}

// "turned 90° left", "mirrored": how a figure lies against the way it was first laid.
function lieWords(move, first) {
  const back = [first[0], first[2], first[1], first[3]];
  const [a, b, c, d] = afterMove([...back, 0, 0], [...move.slice(0, 4), 0, 0]);
  const words = [];
  const mirrored = a * d - b * c < 0;
  if (mirrored) words.push("MIRRORED");
  const turn = a === 0 ? (b > 0 ? 1 : 3) : (a > 0) !== mirrored ? 0 : 2;
  if (turn === 1) words.push("turned left");
  if (turn === 2) words.push("turned half round");
  if (turn === 3) words.push("turned right");
  return words.join(", ");
}
