// What the browser keeps: tables by name, and for each the corners as they were squared up in one window on one screen.
// { last: name, turn: count, tables: { name: { mat: {width, depth}, fits: { screen: {points, flip, seen, turn} } } } }

const KEPT_AS = "oaktag tables 1";
const NOTHING_KEPT =
  "This browser keeps nothing here (a private window?): the corners are lost when the page is closed.";
const SEEN_WORDS = {
  screenWidth: "the screen's width", screenHeight: "the screen's height", scale: "the zoom or the screen's scale",
  width: "the window's width", height: "the window's height", left: "the window's place", top: "the window's place",
  pinch: "the pinch zoom",
};

// What the picture's place on the table hangs on; if any of it changes, the corners are no longer where they were.
function seenNow() {
  return {
    screenWidth: screen.width, screenHeight: screen.height, scale: window.devicePixelRatio,
    width: window.innerWidth, height: window.innerHeight, left: window.screenX, top: window.screenY,
    pinch: Math.round((window.visualViewport?.scale ?? 1) * 100) / 100,
  };
}

function seenName(seen) {
  return Object.keys(SEEN_WORDS).map((name) => seen[name]).join(" ");
}

// What differs, in words, each once: ["the window's width (was 1280, is 1920)"].
function seenDifferences(then, now) {
  const told = new Map();
  for (const [name, words] of Object.entries(SEEN_WORDS)) {
    if (then[name] !== now[name] && !told.has(words)) told.set(words, `${words} (was ${then[name]}, is ${now[name]})`);
  }
  return [...told.values()];
}

function isPair(value) {
  return Array.isArray(value) && value.length === 2 && value.every(Number.isFinite);
}

function isFit(fit) {
  return fit !== null && typeof fit === "object" && Array.isArray(fit.points) && fit.points.length >= 4
    && fit.points.every((point) => point !== null && typeof point === "object" && isPair(point.at) && isPair(point.px))
    && [0, 1, 2, 3].includes(fit.flip) && fit.seen !== null && typeof fit.seen === "object"
    && Object.keys(SEEN_WORDS).every((name) => Number.isFinite(fit.seen[name])) && Number.isFinite(fit.turn);
}

function isTable(table) {
  return table !== null && typeof table === "object" && table.mat !== null && typeof table.mat === "object"
    && matTrouble(table.mat) === "" && table.fits !== null && typeof table.fits === "object"
    && Object.values(table.fits).every(isFit);
}

const LEAST_MAT = 200; // mm: room for the lone square and the card
const MOST_MAT = 6000;

function matTrouble({ width, depth }) {
  const fits = (side) => Number.isFinite(side) && side >= LEAST_MAT && side <= MOST_MAT;
  if (fits(width) && fits(depth)) return "";
  return "The mat must be 20 cm to 6 m (8 in to 19 ft) on either side.";
}

// { kept, warning }: what was kept, or an empty store and why.
function loadKept() {
  const empty = { last: "", turn: 0, tables: Object.create(null) };
  try {
    const text = window.localStorage.getItem(KEPT_AS);
    if (text === null) {
      window.localStorage.setItem(KEPT_AS, JSON.stringify(empty));
      return { kept: empty, warning: "" };
    }
    const found = JSON.parse(text);
    const tables = Object.create(null); // a table may have any name
    for (const [name, table] of Object.entries(found.tables)) if (isTable(table)) tables[name] = table;
    const lost = Object.keys(found.tables).length - Object.keys(tables).length;
    return {
      kept: { last: String(found.last), turn: Number(found.turn) || 0, tables },
      warning: lost > 0 ? "A table that was kept could not be read: square it up again." : "",
    };
  } catch (error) {
    const unreadable = error instanceof SyntaxError || error instanceof TypeError;
    return {
      kept: empty,
      warning: unreadable
        ? "What this browser kept could not be read: square up again."
        : NOTHING_KEPT,
    };
  }
}

// Whether it could be kept.
function saveKept(kept) {
  try {
    window.localStorage.setItem(KEPT_AS, JSON.stringify(kept));
    return true;
  } catch {
    return false;
  }
}

// The fit for this window on this screen, else the newest of another one; null where the table has none.
function fitFor(table, seen) {
  const exact = table.fits[seenName(seen)];
  if (exact !== undefined) return exact;
  const others = Object.values(table.fits).sort((a, b) => b.turn - a.turn);
  return others.length > 0 ? others[0] : null;
}
