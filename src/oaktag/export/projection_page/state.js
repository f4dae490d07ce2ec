// What the page knows. One record, changed only by the verbs in verbs.js; paint() in main.js shows it.

const GIVEN = JSON.parse(document.getElementById("figures").textContent);
const UNIT = GIVEN.unit;
const STEPS = { // fine, usual, large
  px: [0.1, 1, 10],
  mm: UNIT === "in" ? [25.4 / 16, 25.4 / 4, 50.8] : [1, 5, 50],
};
const STEP_WORDS = ["fine", "usual", "large"];
const WIDTHS = [2, 3, 4, 6];
// Which way the picture lies for the one who reads it: as it is, by a mirror, head down, head down by a mirror.
const FLIPS = [[1, 1], [-1, 1], [-1, -1], [1, -1]];
const FLIP_WORDS = ["words as they are", "words mirrored", "words upside down", "words upside down and mirrored"];

function gridStep() {
  return UNIT === "in" ? 50.8 : 50;
}

function usualMat() {
  return UNIT === "in" ? { width: 36 * 25.4, depth: 24 * 25.4 } : { width: 900, depth: 600 };
}

const state = {
  view: "square", // square, test or pieces
  kept: null, // what the browser keeps, see keep.js
  keepWarning: "",
  name: "", // of the table
  mat: usualMat(),
  flip: 0,
  points: [], // { at: mm on the mat, px: in the page }; the first four are the corners
  touched: false, // whether points were moved and are not kept yet
  seen: null, // where the corners were squared up, or null where they never were
  chosenPoint: 0,
  fit: null, // table mm to page px; null where the corners are no good
  trouble: "", // why
  step: 1,
  light: false,
  width: GIVEN.sizes.length > 1 ? 2 : 3,
  card: "words", // what is told: words alone, all keys too, or nothing
  side: "below", // or above: where
  resting: false,
  over: null, // the list, form or help that lies over the rest
  shift: [0, 0], // of the lone square
  figures: GIVEN.figures.map(figureFrom),
  chosen: 0,
  alone: GIVEN.start === "pieces",
  moveAll: GIVEN.start !== "pieces",
  placed: false, // whether the pieces have been put on the mat yet
  grid: false,
  hidden: { roles: new Set(), sizes: new Set() },
  drawn: 0, // ms that the last redraw took
};

const ROLES = Object.keys(ROLE_WORDS).filter(
  (role) => role === "label" || state.figures.some((figure) => figure.groups.some((group) => group.role === role)),
);
const SIZES = [...new Set(GIVEN.sizes)];

function matCorners({ width, depth }) {
  return [[0, 0], [width, 0], [width, depth], [0, depth]];
}

// A first guess that any projector can show: the mat's own shape in the middle of the window, the right way round.
function usualPoints(mat, flip) {
  const [across, down] = [window.innerWidth, window.innerHeight];
  const scale = Math.min((0.8 * across) / mat.width, (0.8 * down) / mat.depth);
  const [fx, fy] = FLIPS[flip];
  return matCorners(mat).map(([x, y]) => ({
    at: [x, y],
    px: [
      Math.round(across / 2 + fx * scale * (x - mat.width / 2)),
      Math.round(down / 2 - fy * scale * (y - mat.depth / 2)),
    ],
  }));
}

function mirroredPicture() {
  const [fx, fy] = FLIPS[state.flip];
  return fx * fy < 0;
}

// The fit and its trouble, from the points as they are now.
function refit() {
  state.trouble = cornerTrouble(state.points.slice(0, 4).map((point) => point.px), mirroredPicture());
  state.fit = state.trouble === "" ? fitted(state.points) : null;
  if (state.trouble === "" && state.fit === null) state.trouble = "These points cannot be fitted. Look at their order.";
  if (state.fit !== null && state.points.some(({ at }) => !(state.fit[6] * at[0] + state.fit[7] * at[1] + 1 > 0))) {
    state.fit = null;
    state.trouble = "The added points contradict the corners: one is far from its place. Move it, or take it out with X.";
  }
}

// The points as they are, kept for this table in the window in which they were squared up.
function keep() {
  if (state.trouble !== "" || state.seen === null || state.name === "") return;
  state.kept.turn += 1;
  state.touched = false;
  const table = state.kept.tables[state.name] ?? { mat: state.mat, fits: {} };
  table.mat = { ...state.mat };
  table.fits[seenName(state.seen)] = {
    points: state.points.map(({ at, px }) => ({ at: [...at], px: [...px] })), flip: state.flip, seen: state.seen,
    turn: state.kept.turn,
  };
  state.kept.tables[state.name] = table;
  state.kept.last = state.name;
  if (!saveKept(state.kept) && state.keepWarning === "") {
    state.keepWarning = NOTHING_KEPT;
  }
}

// Takes up a table by name, as it was squared up in this window or else in another.
function takeTable(name) {
  const table = state.kept.tables[name];
  const now = seenNow();
  const fit = fitFor(table, now);
  state.name = name;
  state.mat = { ...table.mat };
  state.chosenPoint = 0;
  state.touched = false;
  if (fit === null) {
    state.flip = 0;
    state.points = usualPoints(state.mat, 0);
    state.seen = null;
  } else {
    const larger = fit.seen.scale / now.scale; // zoomed in twice, the same dots have half the numbers
    const inside = (value, room) => Math.min(Math.max(value, 4), room - 4);
    const stale = seenDifferences(fit.seen, now).length > 0;
    state.flip = fit.flip;
    state.points = fit.points.map(({ at, px: [u, v] }) => ({
      at: [...at],
      px: stale ? [inside(u * larger, now.width), inside(v * larger, now.height)] : [u, v],
    }));
    state.seen = fit.seen;
    if (stale && cornerTrouble(state.points.slice(0, 4).map((point) => point.px), mirroredPicture()) !== "") {
      state.points = usualPoints(state.mat, state.flip);
    }
  }
  state.kept.last = name;
  refit();
  saveKept(state.kept);
}

// What has changed since the table was squared up; [] where all is as it was.
function staleness() {
  return state.seen === null ? [] : seenDifferences(state.seen, seenNow());
}

// ---- pieces on the mat

// The pieces that are shown, and those that a move takes along.
function shownFigures() {
  return state.alone ? [state.figures[state.chosen]] : state.figures;
}

function takenAlong() {
  return state.moveAll ? state.figures : [state.figures[state.chosen]];
}

function moveFigures(figures, move) {
  for (const figure of figures) figure.move = afterMove(figure.move, move);
}

// The grain of a sheet runs up it; on the table it runs along the mat's longer side.
function firstMove() {
  return grainAlongX() ? [...TURN_RIGHT, 0, 0] : AS_LAID;
}

function grainAlongX() {
  return state.mat.width >= state.mat.depth;
}

// As first laid: alone, each in the middle of the mat; together, in the order of the sheet about it.
function layFirst(figures = state.figures) {
  for (const figure of figures) figure.move = firstMove();
  if (state.alone) for (const figure of figures) centre([figure]);
  else {
    const all = state.figures.map((figure) => ({ ...figure, move: firstMove(), unfolded: false }));
    const [x, y] = middleOf(all);
    moveFigures(figures, [1, 0, 0, 1, state.mat.width / 2 - x, state.mat.depth / 2 - y]);
  }
  state.placed = true;
}

// This piece alone in the middle of the mat, or all of them as the sheet has them; each keeps its own place in either.
function setAlone(alone) {
  if (alone === state.alone) return;
  state.alone = alone;
  for (const figure of state.figures) [figure.move, figure.otherMove] = [figure.otherMove, figure.move];
}

// The chosen piece comes on to the mat, if it is not there: by itself where it is alone, else with all the others, which
// keep to each other. One whose middle is on the mat stays where the maker put it, unless it is alone and would fit.
function bringOn() {
  const figure = state.figures[state.chosen];
  const [left, low, right, high] = lyingBox(figure);
  const { width, depth } = state.mat;
  const [x, y] = [(left + right) / 2, (low + high) / 2];
  const fits = right - left <= width && high - low <= depth;
  const wholly = left >= -1 && low >= -1 && right <= width + 1 && high <= depth + 1;
  const there = x > 0 && x < width && y > 0 && y < depth;
  if (there && (wholly || !fits || !state.alone)) return;
  moveFigures(shownFigures(), [1, 0, 0, 1, width / 2 - x, depth / 2 - y]);
}

// Both lays, afresh: for a new mat.
function layBoth() {
  const { alone } = state;
  for (const one of [!alone, alone]) {
    setAlone(one);
    layFirst();
  }
}

function centre(figures) {
  const [x, y] = middleOf(figures);
  moveFigures(figures, [1, 0, 0, 1, state.mat.width / 2 - x, state.mat.depth / 2 - y]);
}
