// From table to picture. A homography is nine numbers, row by row, from table mm (x right, y away from the maker) to
// page px (u right, v down). Standard projective geometry: u = (a x + b y + c) / (g x + h y + i), v likewise.

function mapped(h, x, y) {
  const w = h[6] * x + h[7] * y + h[8];
  return [(h[0] * x + h[1] * y + h[2]) / w, (h[3] * x + h[4] * y + h[5]) / w];
}

function product(p, q) {
  const out = new Array(9);
  for (let row = 0; row < 9; row += 3) {
    for (let column = 0; column < 3; column += 1) {
      out[row + column] = p[row] * q[column] + p[row + 1] * q[column + 3] + p[row + 2] * q[column + 6];
    }
  }
  return out;
}

function inverse(h) {
  const [a, b, c, d, e, f, g, k, i] = h;
  const det = a * (e * i - f * k) - b * (d * i - f * g) + c * (d * k - e * g);
  return [
    e * i - f * k, c * k - b * i, b * f - c * e,
    f * g - d * i, a * i - c * g, c * d - a * f,
    d * k - e * g, b * g - a * k, a * e - b * d,
  ].map((value) => value / det);
}

// Solves m x = r by elimination with pivoting; null where m has no inverse. m and r are used up.
function solved(m, r) {
  const n = r.length;
  for (let column = 0; column < n; column += 1) {
    let pivot = column;
    for (let row = column + 1; row < n; row += 1) {
      if (Math.abs(m[row][column]) > Math.abs(m[pivot][column])) pivot = row;
    }
    if (!(Math.abs(m[pivot][column]) > 1e-12)) return null;
    [m[column], m[pivot]] = [m[pivot], m[column]];
    [r[column], r[pivot]] = [r[pivot], r[column]];
    for (let row = column + 1; row < n; row += 1) {
      const part = m[row][column] / m[column][column];
      for (let k = column; k < n; k += 1) m[row][k] -= part * m[column][k];
      r[row] -= part * r[column];
    }
  }
  for (let row = n - 1; row >= 0; row -= 1) {
    for (let k = row + 1; k < n; k += 1) r[row] -= m[row][k] * r[k];
    r[row] /= m[row][row];
  }
  return r;
}

// rows · x = values in the sense of least squares, by the normal equations: the points are normalised, so these are tame.
function leastSquares(rows, values) {
  const n = rows[0].length;
  const m = Array.from({ length: n }, () => new Array(n).fill(0));
  const r = new Array(n).fill(0);
  rows.forEach((row, index) => {
    for (let i = 0; i < n; i += 1) {
      r[i] += row[i] * values[index];
      for (let j = 0; j < n; j += 1) m[i][j] += row[i] * row[j];
    }
  });
  return solved(m, r);
}

// Moves the middle of the points to the origin and their mean distance from it to √2.
function normaliser(points) {
  const n = points.length;
  const cx = points.reduce((sum, p) => sum + p[0], 0) / n;
  const cy = points.reduce((sum, p) => sum + p[1], 0) / n;
  const far = points.reduce((sum, p) => sum + Math.hypot(p[0] - cx, p[1] - cy), 0) / n;
  const s = far > 0 ? Math.SQRT2 / far : 1;
  return [s, 0, -s * cx, 0, s, -s * cy, 0, 0, 1];
}

// The homography that takes each `at` (table mm) to its `px`; by four pairs exactly, by more in the sense of least
// squares of the distances in the picture. Null where no homography does.
function fitted(pairs) {
  const fromTable = normaliser(pairs.map((pair) => pair.at));
  const fromPage = normaliser(pairs.map((pair) => pair.px));
  const table = pairs.map((pair) => mapped(fromTable, pair.at[0], pair.at[1]));
  const page = pairs.map((pair) => mapped(fromPage, pair.px[0], pair.px[1]));
  const rows = [];
  const values = [];
  table.forEach(([x, y], index) => {
    const [u, v] = page[index];
    rows.push([x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]);
    values.push(u, v);
  });
  let h = pairs.length === 4 ? solved(rows, values) : leastSquares(rows, values);
  if (h === null) return null;
  for (let round = 0; pairs.length > 4 && round < 8; round += 1) {
    const slopes = [];
    const left = [];
    table.forEach(([x, y], index) => {
      const w = h[6] * x + h[7] * y + 1;
      const [u, v] = mapped([...h, 1], x, y);
      slopes.push([x / w, y / w, 1 / w, 0, 0, 0, (-u * x) / w, (-u * y) / w]);
      slopes.push([0, 0, 0, x / w, y / w, 1 / w, (-v * x) / w, (-v * y) / w]);
      left.push(page[index][0] - u, page[index][1] - v);
    });
    const change = leastSquares(slopes, left);
    if (change === null) return null;
    h = h.map((value, index) => value + change[index]);
  }
  const whole = product(inverse(fromPage), product([...h, 1], fromTable));
  const scale = whole[8];
  const out = whole.map((value) => value / scale);
  return out.every(Number.isFinite) ? out : null;
}

// How far each point lies from where the fit puts it, in mm on the table.
function leftOver(h, pairs) {
  const back = inverse(h);
  return pairs.map(({ at, px }) => {
    const [x, y] = mapped(back, px[0], px[1]);
    return Math.hypot(x - at[0], y - at[1]);
  });
}

const LEAST_HEIGHT = 12; // px: of the triangle at a corner; flatter, the fit would be guesswork (our own choice)

// What is wrong with four corners of the mat in the picture, in words; "" where nothing is. `mirrored`: the picture
// is seen by way of a mirror, so it has to run the other way round.
function cornerTrouble(corners, mirrored) {
  const bends = corners.map((b, index) => {
    const a = corners[(index + 3) % 4];
    const c = corners[(index + 1) % 4];
    const cross = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]);
    const longest = Math.max(
      Math.hypot(b[0] - a[0], b[1] - a[1]), Math.hypot(c[0] - b[0], c[1] - b[1]), Math.hypot(c[0] - a[0], c[1] - a[1]),
    );
    const names = [(index + 3) % 4, index, (index + 1) % 4];
    return { cross, height: longest > 0 ? Math.abs(cross) / longest : 0, names };
  });
  const flat = bends.find((bend) => !(bend.height >= LEAST_HEIGHT));
  if (flat !== undefined) {
    const [a, b, c] = flat.names.map((index) => index + 1).sort();
    return `Corners ${a}, ${b} and ${c} lie in one line, or nearly. Put each on its own corner of the mat.`;
  }
  const right = bends.filter((bend) => bend.cross > 0 === mirrored).length;
  if (right === 4) return "";
  if (right === 0) {
    return mirrored
      ? "The corners run as if there were no mirror: every piece would come out mirrored. Put them in order 1, 2, 3, 4 "
        + "as the words lie, or press V until these words read right."
      : "The corners run the wrong way round: every piece would come out mirrored. Put them in order 1, 2, 3, 4, "
        + "or press V if the picture comes by way of a mirror.";
  }
  return "The sides of the mat cross, or a corner points inwards. Go round the mat in order: 1, 2, 3, 4.";
}
