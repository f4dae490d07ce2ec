// Every verb of the page: its key, its button, its line of help. A key needs no other key held.

const VIEWS = ["square", "test", "pieces"];

function turnFigures(turn) {
  const figures = takenAlong();
  moveFigures(figures, about(middleOf(figures), turn));
}

function choose(index) {
  state.chosen = (index + state.figures.length) % state.figures.length;
  bringOn();
}

function goTo(view) {
  if (view !== "square" && state.fit === null) return;
  state.view = view;
  if (view === "pieces" && !state.placed) layBoth();
}

function arrow(across, up) {
  if (state.view === "square") {
    const [fx, fy] = FLIPS[state.flip];
    const step = STEPS.px[state.step];
    const point = state.points[state.chosenPoint];
    const tidy = (value) => Math.round(value * 1000) / 1000;
    point.px = [tidy(point.px[0] + fx * across * step), tidy(point.px[1] - fy * up * step)];
    pointsMoved();
  } else if (state.view === "test") {
    const step = [10, 50, 100][state.step];
    moveProof(across * step, up * step);
  } else {
    const step = STEPS.mm[state.step];
    moveFigures(takenAlong(), [1, 0, 0, 1, across * step, up * step]);
  }
}

// The shift that is kept is what the mat has room for, so that the way back begins at once.
function moveProof(dx, dy) {
  const still = provingBoxes(state.mat, [0, 0]).square;
  const there = provingBoxes(state.mat, [state.shift[0] + dx, state.shift[1] + dy]).square;
  state.shift = [there[0] - still[0], there[1] - still[1]];
}

function pointsMoved() {
  state.touched = true;
  refit();
  if (staleness().length === 0) keep();
}

// Nothing is squared up then; what the browser keeps stays until the corners fit again.
function startAnew() {
  state.points = usualPoints(state.mat, state.flip);
  state.chosenPoint = 0;
  state.seen = null;
  state.touched = false;
  refit();
}

// The corners fit as they are now, in this window: the maker says so, the page cannot know.
function confirmCorners() {
  if (state.trouble !== "") return;
  state.seen = seenNow();
  keep();
}

function setFlip(flip) {
  state.flip = flip;
  if (state.seen === null) state.points = usualPoints(state.mat, flip);
  refit();
  if (staleness().length === 0) keep();
}

// Places for further points, as parts of the mat: its middle, then the middles of its sides, then between.
const FURTHER = [
  [0.5, 0.5], [0.5, 0], [1, 0.5], [0.5, 1], [0, 0.5], [0.25, 0.25], [0.75, 0.75], [0.75, 0.25], [0.25, 0.75],
];

function addPoint() {
  if (state.fit === null) return;
  const step = gridStep();
  const near = (part, whole) => Math.min(whole, Math.max(0, Math.round((part * whole) / step) * step));
  const free = FURTHER.map(([p, q]) => [
    p === 1 ? state.mat.width : near(p, state.mat.width), q === 1 ? state.mat.depth : near(q, state.mat.depth),
  ]).find((at) => state.points.every((point) => Math.hypot(point.at[0] - at[0], point.at[1] - at[1]) > 20));
  if (free === undefined) return;
  state.points.push({ at: free, px: mapped(state.fit, free[0], free[1]).map((value) => Math.round(value * 10) / 10) });
  state.chosenPoint = state.points.length - 1;
  pointsMoved();
}

function takePointOut() {
  if (state.chosenPoint < 4) return;
  state.points.splice(state.chosenPoint, 1);
  state.chosenPoint = Math.min(state.chosenPoint, state.points.length - 1);
  pointsMoved();
}

function askPlace() {
  if (state.chosenPoint < 4) return;
  const point = state.points[state.chosenPoint];
  openForm(
    `Point ${state.chosenPoint + 1}: where on the mat?`,
    [`Count from corner 1 along the mat's own grid; in ${UNIT_WORDS[UNIT]}, or with a unit: 23 1/2, 60 cm.`],
    [
      { words: "to the right of corner 1", value: typedLength(point.at[0], UNIT) },
      { words: "from the near edge away", value: typedLength(point.at[1], UNIT) },
    ],
    ([right, away]) => {
      const at = [parsedLength(right, UNIT), parsedLength(away, UNIT)];
      if (at.includes(null)) return "A length is a number or a fraction: 23 1/2, 60 or 60 cm.";
      if (at[0] > state.mat.width || at[1] > state.mat.depth) {
        return `The mat ends at ${shownLength(state.mat.width, UNIT)} and ${shownLength(state.mat.depth, UNIT)}.`;
      }
      const others = state.points.filter((one) => one !== point);
      if (others.some((one) => Math.hypot(one.at[0] - at[0], one.at[1] - at[1]) < 20)) {
        return "Another point is there already. Take a place 2 cm (3/4 in) from it or more.";
      }
      point.at = at;
      pointsMoved();
      return "";
    },
  );
}

function askMat(fresh = false) {
  const first = state.name === "";
  openForm(
    first ? "Which table, and how large is its mat?" : fresh ? "A new table" : `The mat on ${state.name}`,
    [
      "Measure the grid that is printed on the mat, from its first line to its last; without a mat, four marks on the table do.",
      `In ${UNIT_WORDS[UNIT]}, or with a unit: 23 1/2, 60 cm. A new size wants squaring up again.`,
      ...(first ? ["Do not look into the lens. A second tether holds the projector if its mount lets go. More in the help: H."] : []),
    ],
    [
      { words: "mat, left to right", value: typedLength(state.mat.width, UNIT) },
      { words: "mat, near to far", value: typedLength(state.mat.depth, UNIT) },
      { words: "name of the table", value: first ? "cutting table" : fresh ? "" : state.name },
    ],
    ([across, away, name]) => {
      const mat = { width: parsedLength(across, UNIT), depth: parsedLength(away, UNIT) };
      if (mat.width === null || mat.depth === null) return "A length is a number or a fraction: 23 1/2, 60 or 60 cm.";
      if (matTrouble(mat) !== "") return matTrouble(mat);
      if (name === "") return "Give the table a name: the browser keeps its corners under it.";
      if ((first || fresh || name !== state.name) && Object.hasOwn(state.kept.tables, name)) {
        return `There is a table called ${name} already. Take another name, or go to it with L.`;
      }
      setTable(name, mat, fresh);
      return "";
    },
  );
}

// Another name moves the table to it; another size wants new corners.
function setTable(name, mat, fresh) {
  if (!fresh && state.name !== "" && name !== state.name) {
    const table = state.kept.tables[state.name];
    if (table !== undefined) state.kept.tables[name] = table;
    delete state.kept.tables[state.name];
  }
  const same = Math.abs(mat.width - state.mat.width) < 1e-6 && Math.abs(mat.depth - state.mat.depth) < 1e-6;
  state.name = name;
  if (fresh || !same || state.points.length === 0) {
    state.mat = mat;
    state.points = usualPoints(mat, state.flip);
    state.touched = false;
    state.seen = null;
    state.chosenPoint = 0;
    state.placed = false;
    state.kept.tables[name] = { mat: { ...mat }, fits: {} };
    state.shift = [0, 0];
    state.view = "square";
  }
  refit();
  state.kept.last = name;
  saveKept(state.kept);
  keep();
}

function openTables() {
  const names = () => Object.keys(state.kept.tables).sort();
  const words = (name) => {
    const { mat, fits } = state.kept.tables[name];
    const here = Object.hasOwn(fits, seenName(seenNow()));
    const elsewhere = Object.keys(fits).length > 0 ? "squared up in another window" : "not squared up yet";
    return `${name}: ${matWords(mat)}, ${here ? "squared up here" : elsewhere}`;
  };
  openList("Tables", {
    rows: () => names().map((name) => ({ words: words(name) })),
    at: Math.max(0, names().indexOf(state.name)),
    pick: (index) => {
      takeTable(names()[index]);
      state.placed = false;
      state.shift = [0, 0];
      state.view = "square";
    },
    others: [
      { key: "N", words: "a new one", run: () => { closeOver(); askMat(true); } },
      {
        key: "X", words: "forget this one",
        run: (index) => {
          const name = names()[index];
          if (name === undefined || name === state.name) return;
          delete state.kept.tables[name];
          saveKept(state.kept);
          showList();
        },
      },
    ],
  });
}

function openGoTo() {
  openList("Go to a piece", {
    rows: () => state.figures.map((figure) => ({ words: figure.label })), at: state.chosen, narrows: true, pick: choose,
  });
}

function openLines() {
  const flip = (set, name) => (set.has(name) ? set.delete(name) : set.add(name));
  openList("Lines and sizes: shown or hidden", {
    stays: true,
    rows: () => [
      ...ROLES.map((role) => ({ words: ROLE_WORDS[role], on: !state.hidden.roles.has(role) })),
      ...SIZES.map((size) => ({ words: `size ${size}`, on: !state.hidden.sizes.has(size) })),
    ],
    pick: (index) => {
      if (index < ROLES.length) flip(state.hidden.roles, ROLES[index]);
      else flip(state.hidden.sizes, SIZES[index - ROLES.length]);
    },
  });
}

// All sizes, then each alone, then all again.
function nextSize() {
  const lone = SIZES.filter((size) => !state.hidden.sizes.has(size));
  const next = lone.length === 1 ? SIZES.indexOf(lone[0]) + 1 : 0;
  state.hidden.sizes = new Set(next < SIZES.length ? SIZES.filter((_, index) => index !== next) : []);
  const { size } = state.figures[state.chosen];
  if (size !== "" && state.hidden.sizes.has(size)) {
    const { name } = state.figures[state.chosen];
    const same = state.figures.findIndex((one) => one.name === name && !state.hidden.sizes.has(one.size));
    if (same >= 0) state.chosen = same;
  }
}

function fullScreen() {
  const done = document.fullscreenElement === null
    ? document.documentElement.requestFullscreen?.({ navigationUI: "hide" }) : document.exitFullscreen();
  done?.catch?.(() => {});
}

function nextOf(list, now) {
  return list[(list.indexOf(now) + 1) % list.length];
}

const ONLY_SQUARE = ["square"];
const ONLY_PIECES = ["pieces"];

// key: as the keyboard names it; shown: what the button says, where that differs; words: on the button, "" for none;
// on(): whether it is switched on; fits(): whether it has a use now.
const VERBS = [
  {
    key: "Enter", views: ONLY_SQUARE, words: "corners fit: test", help: "the corners fit as they are: on to the test",
    run: () => { confirmCorners(); goTo("test"); },
  },
  {
    key: "Enter", views: ["test"], words: "measures true: pieces",
    help: "the square measures true: on to the pieces",
    run: () => { confirmCorners(); goTo("pieces"); },
  },
  {
    key: "arrow", shown: "←↑↓→", views: ONLY_SQUARE, words: "",
    help: "move the chosen point; or drag it by its ring",
    run: () => {},
  },
  {
    key: "1", shown: "1 – 9", views: ONLY_SQUARE, words: "", help: "choose that point; Tab goes to the next",
    run: () => {},
  },
  {
    key: "n", views: ONLY_SQUARE, words: "next point", help: "next point",
    run: () => { state.chosenPoint = (state.chosenPoint + 1) % state.points.length; },
  },
  {
    key: "a", views: ONLY_SQUARE, words: "add point",
    help: "add a point inside the mat, so that the error shows and is shared out",
    run: addPoint,
    fits: () => state.fit !== null && state.points.length < 9,
  },
  {
    key: "e", views: ONLY_SQUARE, words: "its place", help: "say where on the mat the added point is",
    run: askPlace,
    fits: () => state.chosenPoint >= 4,
  },
  {
    key: "x", views: ONLY_SQUARE, words: "take out", help: "take the added point out",
    run: takePointOut,
    fits: () => state.chosenPoint >= 4,
  },
  { key: "m", views: ONLY_SQUARE, words: "mat", help: "size of the mat, name of the table", run: () => askMat() },
  {
    key: "l", views: ONLY_SQUARE, words: "tables", help: "tables: go to another, a new one, forget one",
    run: openTables,
  },
  {
    key: "v", views: ONLY_SQUARE, words: "flip words",
    help: "turn the words for a mirror or a ceiling mount, until they read right",
    run: () => setFlip((state.flip + 1) % FLIPS.length),
  },
  {
    key: "0", views: ONLY_SQUARE, words: "start anew", help: "corners back to the middle of the window",
    run: startAnew,
  },

  {
    key: "arrow", shown: "←↑↓→", views: ["test"], words: "",
    help: "move the square and the card about the mat; or drag them",
    run: () => {},
  },
  {
    key: "c", views: ["test"], words: "middle", help: "square and card back to the middle",
    run: () => { state.shift = [0, 0]; },
  },

  {
    key: "arrow", shown: "←↑↓→", views: ONLY_PIECES, words: "", help: "move this piece, or all of them; or drag",
    run: () => {},
  },
  { key: "n", views: ONLY_PIECES, words: "next", help: "next piece", run: () => choose(state.chosen + 1) },
  { key: "b", views: ONLY_PIECES, words: "before", help: "the piece before", run: () => choose(state.chosen - 1) },
  { key: "g", views: ONLY_PIECES, words: "go to", help: "go to a piece by name", run: openGoTo },
  {
    key: "r", views: ONLY_PIECES, words: "right", help: "turn a quarter to the right",
    run: () => turnFigures(TURN_RIGHT),
  },
  {
    key: "l", views: ONLY_PIECES, words: "left", help: "turn a quarter to the left",
    run: () => turnFigures(TURN_LEFT),
  },
  {
    key: "m", views: ONLY_PIECES, words: "mirror", help: "mirror, for the other one of a pair",
    run: () => turnFigures(MIRROR),
  },
  {
    key: "y", views: ONLY_PIECES, words: "unfold",
    help: "unfold a half that is cut on the fold, for cloth that lies single; and fold it again",
    run: () => { const f = state.figures[state.chosen]; f.unfolded = !f.unfolded; },
    fits: () => state.figures[state.chosen].folds.size > 0,
    on: () => state.figures[state.chosen].unfolded,
  },
  {
    key: "o", views: ONLY_PIECES, words: "alone", help: "show this piece alone, or all of them",
    run: () => { setAlone(!state.alone); if (state.alone) state.moveAll = false; bringOn(); },
    on: () => state.alone,
  },
  {
    key: "a", views: ONLY_PIECES, words: "move all", help: "move all pieces together, or this one by itself",
    run: () => { state.moveAll = !state.moveAll; if (state.moveAll) setAlone(false); },
    on: () => state.moveAll,
  },
  {
    key: "c", views: ONLY_PIECES, words: "centre", help: "to the middle of the mat",
    run: () => centre(takenAlong()),
  },
  {
    key: "0", views: ONLY_PIECES, words: "as laid", help: "put back as first laid",
    run: () => layFirst(takenAlong()),
  },
  { key: "v", views: ONLY_PIECES, words: "lines", help: "hide and show lines and sizes", run: openLines },
  {
    key: "z", views: ONLY_PIECES, words: "size", help: "one size after the other alone, then all",
    run: nextSize,
    fits: () => SIZES.length > 1,
  },
  {
    key: "k", views: ONLY_PIECES, words: "cloth grid",
    help: "a grid to lay the cloth by: whole lines run with the grain",
    run: () => { state.grid = !state.grid; },
    on: () => state.grid,
  },

  {
    key: "s", views: VIEWS, words: "step", help: "steps of the arrows: fine, usual, large",
    run: () => { state.step = (state.step + 1) % 3; },
  },
  {
    key: "w", views: VIEWS, words: "thicker", help: "thicker lines, then thin ones again",
    run: () => { state.width = nextOf(WIDTHS, state.width); },
  },
  {
    key: "i", views: VIEWS, words: "light / dark", help: "dark lines on light, or light ones on dark",
    run: () => { state.light = !state.light; },
  },
  {
    key: " ", shown: "Space", views: VIEWS, words: "break", help: "break: dark, until any key",
    run: () => { state.resting = true; },
  },
  { key: "f", views: VIEWS, words: "full screen", help: "full screen, and back", run: fullScreen },
  {
    key: "q", views: VIEWS, words: "square up", help: "square up the table",
    run: () => goTo("square"),
    on: () => state.view === "square",
  },
  {
    key: "t", views: VIEWS, words: "test", help: "test: a grid, a lone square of 100 mm, a card",
    run: () => goTo("test"),
    on: () => state.view === "test",
  },
  {
    key: "p", views: VIEWS, words: "pieces", help: "the pieces",
    run: () => goTo("pieces"),
    on: () => state.view === "pieces",
  },
  {
    key: "u", views: VIEWS, words: "words away", help: "what is told: words alone, all keys too, nothing",
    run: () => { state.card = nextOf(["words", "keys", "away"], state.card); },
  },
  {
    key: "j", views: VIEWS, words: "words across", help: "the words to the other side of the picture",
    run: () => { state.side = state.side === "below" ? "above" : "below"; },
  },
  { key: "h", views: VIEWS, words: "help", help: "this page: all keys, and cautions", run: () => openHelp(VERBS) },
];

// A key as it stands on a button.
function keyWords(verb) {
  return verb.shown ?? (verb.key.length === 1 ? verb.key.toUpperCase() : verb.key);
}

function verbsNow() {
  return VERBS.filter((verb) => verb.views.includes(state.view) && (verb.fits === undefined || verb.fits()));
}
