// Draws the state, and hands keys, buttons and pointers to the verbs.

const canvas = document.getElementById("table");
const card = {
  place: document.getElementById("card"), name: document.getElementById("name"), told: document.getElementById("told"),
  warned: document.getElementById("warned"), keys: document.getElementById("keys"),
};
const recall = document.getElementById("recall");
const rest = document.getElementById("rest");
let asked = 0;

// Asks for a redraw; many in one frame are one.
function paint() {
  if (asked === 0) asked = window.requestAnimationFrame(paintNow);
}

function paintNow() {
  asked = 0;
  const start = window.performance.now();
  draw(null);
  state.drawn = window.performance.now() - start;
  showCard();
}

function fitCanvas() {
  const scale = window.devicePixelRatio;
  const [width, height] = [Math.round(window.innerWidth * scale), Math.round(window.innerHeight * scale)];
  if (canvas.width !== width || canvas.height !== height) {
    [canvas.width, canvas.height] = [width, height];
    canvas.style.width = `${width / scale}px`; // a dot of the canvas is a dot of the screen
    canvas.style.height = `${height / scale}px`;
  }
}

// `shown`: an array that takes what is drawn of the pieces, or of the proving lines; null while nobody asks.
function draw(shown) {
  fitCanvas();
  const look = { light: state.light, width: state.width };
  const context = canvas.getContext("2d", { alpha: false });
  context.setTransform(1, 0, 0, 1, 0, 0);
  context.fillStyle = INKS[look.light ? "light" : "dark"].ground;
  context.fillRect(0, 0, canvas.width, canvas.height);
  context.lineJoin = "miter";
  context.miterLimit = 3;
  context.lineCap = "butt";
  const scale = window.devicePixelRatio;
  const view = viewOf(canvas, state.fit ?? [1, 0, 0, 0, 1, 0, 0, 0, 1], state.mat, scale, look);
  const flip = FLIPS[state.flip];
  if (state.view === "square") {
    drawSquareUp(view, { mat: state.mat, points: state.points }, state.fit, state.chosenPoint, flip);
    return;
  }
  if (state.fit === null) return;
  if (state.view === "test") {
    drawTest(view, { mat: state.mat }, state.shift, flip);
    if (shown !== null) shown.push(...provingLines(view));
    return;
  }
  if (state.grid) drawClothGrid(view, { mat: state.mat }, grainAlongX());
  drawCorners(view, { mat: state.mat });
  view.shown = shown;
  for (const figure of shownFigures()) {
    const own = !state.alone && figure === state.figures[state.chosen] && state.figures.length > 1 && SIZES.length < 2;
    drawFigure(view, figure, state.hidden, own ? 1.6 : 1);
  }
  if (state.hidden.roles.has("label")) return;
  for (const figure of shownFigures()) {
    if (figure.size === "" || !state.hidden.sizes.has(figure.size)) {
      drawName(view, figure, isMirrored(figure.move, firstMove()));
    }
  }
}

function provingLines(view) {
  const { square, card: cardBox } = provingBoxes(state.mat, state.shift);
  return [["square", boxLine(square)], ["card", cardLine(cardBox)]].map(([figure, points]) => ({
    figure, role: "scale", size: "", closed: true, points: points.slice(0, -1).map(([x, y]) => mapped(view.h, x, y)),
  }));
}

// ---- the tag of words

function told() {
  const step = `step ${STEP_WORDS[state.step]}`;
  if (state.view === "square") {
    const corner = ["near left", "near right", "far right", "far left"][state.chosenPoint];
    const { at } = state.points[state.chosenPoint];
    const place = corner ?? `${shownLength(at[0], UNIT)} right, ${shownLength(at[1], UNIT)} away`;
    return {
      name: `Square up ${state.name}: point ${state.chosenPoint + 1}, ${place}`,
      lines: [
        state.seen === null && document.fullscreenElement === null ? "Full screen first: F." : "", errorLeft(),
        inTheHand() && state.card !== "keys" ? "" : `${step} (${STEPS.px[state.step]} px) · ${FLIP_WORDS[state.flip]} · mat ${matWords(state.mat)}`,
      ],
    };
  }
  if (state.view === "test") {
    return {
      name: "Test: measure the square, lay a card on its outline",
      lines: [
        "Each side 100 mm (3 15/16 in), each diagonal 141.4 mm; the grid is 50 mm. "
        + "Half a millimetre off? Square up again (Q).",
        errorLeft(),
      ],
    };
  }
  const figure = state.figures[state.chosen];
  const lies = [lieWords(figure.move, firstMove())];
  if (figure.folds.size > 0) lies.push(figure.unfolded ? "UNFOLDED: cloth single" : "half, on the fold");
  const hidden = ROLES.filter((role) => state.hidden.roles.has(role)).map((role) => ROLE_WORDS[role]);
  const sizes = SIZES.filter((size) => !state.hidden.sizes.has(size));
  const others = SIZES.filter((size) => state.hidden.sizes.has(size));
  if (others.length > 0 && sizes.length !== 1) hidden.unshift(`sizes ${others.join(", ")}`);
  const lines = [[
    state.moveAll ? "moves ALL pieces" : "moves this piece", `step ${shownLength(STEPS.mm[state.step], UNIT)}`, ...lies,
  ].filter((words) => words !== "").join(" · ")];
  if (SIZES.length > 1 && sizes.length === 1) lines.push(`size ${sizes[0]} alone`);
  if (SIZES.length > 1 && others.length === 0) lines.push(`${SIZES.length} sizes (Z: one by one)`);
  if (hidden.length > 0) lines.push(`hidden: ${hidden.join(", ")}`);
  return { name: `${figure.label}, ${state.chosen + 1} of ${state.figures.length}`, lines };
}

const ERROR_LEFT = "Error left:"; // told in the biggest letters

function errorLeft() {
  if (state.fit === null) return "";
  if (state.points.length === 4) return "Four corners always fit. Add a point inside (A) to see the error.";
  const left = leftOver(state.fit, state.points);
  const worst = left.indexOf(Math.max(...left));
  const off = left[worst] > 10 ? " Is that point on its place of the mat?" : "";
  return `${ERROR_LEFT} ${shownMm(left[worst])}, at point ${worst + 1}.${off}`;
}

function warnings() {
  const out = [];
  if (state.trouble !== "" && state.name !== "") out.push(state.trouble);
  const stale = staleness();
  if (stale.length > 0) {
    const now = state.view === "square"
      ? "Move every corner onto the mat again, then press Enter." : "Cut nothing: square up again (Q).";
    out.push(`STALE. Changed since this table was squared up: ${stale.join("; ")}. ${now}`);
  } else if (state.seen === null && state.view !== "square") {
    out.push("This table has not been squared up yet: nothing is true to size. Press Q.");
  }
  if (state.keepWarning !== "") out.push(state.keepWarning);
  return out;
}

let cardShown = "";

// The tag is made anew only when its words change.
function showCard() {
  const words = told();
  const warned = warnings();
  const verbs = verbsNow().filter((verb) => verb.words !== "");
  const away = state.card === "away" && warned.length === 0;
  const mirrored = state.view === "pieces" && shownFigures().some((figure) => isMirrored(figure.move, firstMove()));
  const covered = state.over !== null;
  const bare = state.card !== "keys";
  const now = JSON.stringify([
    words, warned, verbs.map((verb) => [verb.key, verb.on?.() ?? null]), away, covered, bare,
    state.view, state.flip, state.light, mirrored,
  ]);
  rest.hidden = !state.resting;
  if (now !== cardShown) fillCard(words, warned, verbs, { away, covered, bare, mirrored });
  cardShown = now;
  const [side, middle] = cardSide();
  const kind = [side, ...cardKind()];
  card.place.style.setProperty("--middle", `${middle}px`);
  card.place.className = kind.filter((one) => one !== "").join(" ");
}

function cardKind() {
  return [state.view === "square" ? "narrow" : "", state.view === "pieces" && state.card !== "keys" ? "bare" : ""];
}

function fillCard(words, warned, verbs, { away, covered, bare, mirrored }) {
  document.body.className = state.light ? "light" : "dark";
  const [fx, fy] = FLIPS[state.flip];
  document.body.style.setProperty("--flip-x", String(fx));
  document.body.style.setProperty("--flip-y", String(fy));
  card.place.className = cardKind().filter((one) => one !== "").join(" "); // as wide as it will be, to be measured
  card.place.hidden = away || covered;
  recall.hidden = !away || covered;
  document.getElementById("stays").hidden = !away || covered || !mirrored;
  card.name.textContent = words.name;
  card.told.replaceChildren(...words.lines.filter((one) => one !== "").map(
    (one) => element("span", one, one.startsWith(ERROR_LEFT) ? "line big" : "line"),
  ));
  card.warned.replaceChildren(...warned.map((one) => element("span", one, "line")));
  const arrows = [["←", -1, 0], ["↑", 0, 1], ["↓", 0, -1], ["→", 1, 0]].map(([sign, across, up]) => button("", () => {
    arrow(across, up);
    paint();
  }, sign));
  const made = (verb, name = verb.words) => {
    const one = button(name, () => run(verb), keyWords(verb));
    if (verb.on?.()) one.classList.add("on");
    return one;
  };
  const kept = FEW[state.view].filter((key) => !inTheHand() || !"xvs".includes(key));
  const few = verbs.filter((verb) => kept.includes(verb.key));
  card.keys.replaceChildren(...(bare
    ? few.map((verb) => made(verb, verb.key === "u" ? "all keys" : verb.words))
    : [...arrows, ...verbs.map((verb) => made(verb))]));
}

const FEW = { // the keys that stay with the words
  square: ["Enter", "n", "a", "x", "v", "s", "u", "h"], test: ["Enter", "q", "u", "h"], pieces: ["n", " ", "u", "h"],
};
const CLEARANCE = 60; // px that the words leave round a point; in a small window a finger's half

// A window as small as a telephone's: page.css says the same.
function inTheHand() {
  return window.matchMedia("(max-width: 700px), (max-height: 500px)").matches;
}

// Where the tag of words stands: "" is below, "above", or "middle" at a height of the window, px. While squaring up it
// keeps out of the way: in the middle, below, above or between two points, wherever it covers fewest of them, and not the
// chosen one if that can be. In the test it leaves the square and the card free.
function cardSide() {
  const usual = [state.side === "above" ? "above" : "", 0];
  if (state.view === "pieces" || (state.view === "test" && state.fit === null)) return usual;
  const clear = inTheHand() ? 24 : CLEARANCE;
  const [width, height] = [card.place.offsetWidth / 2 + clear, card.place.offsetHeight + 2 * clear];
  const whole = window.innerHeight;
  const [below, above] = [["", whole - height / 2], ["above", height / 2]];
  const testing = state.view === "test";
  const places = testing ? provingLines({ h: state.fit }).flatMap(({ points }) => points)
    : state.points.map(({ px }) => px);
  const covered = ([, middle]) => places.reduce((sum, [u, v], index) => {
    const under = Math.abs(u - window.innerWidth / 2) < width && Math.abs(v - middle) < height / 2;
    return sum + (under ? (!testing && index === state.chosenPoint ? 100 : 1) : 0);
  }, 0);
  const fewest = (all) => all.reduce((best, one) => (covered(one) < covered(best) ? one : best));
  if (testing) return fewest(state.side === "above" ? [above, below] : [below, above]);
  const heights = places.map(([, v]) => v).sort((p, q) => p - q);
  const between = heights.slice(1).map((v, index) => ["middle", (v + heights[index]) / 2]);
  return fewest([["middle", whole / 2], below, above, ...between.filter(([, v]) => v > height / 2 && v < whole - height / 2)]);
}

function run(verb) {
  verb.run();
  paint();
}

// ---- keys

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const REPEATED = new Set(["n", "b"]);

// Letters by their meaning; on a keyboard of another script by their place.
function keyOf(event) {
  if (event.key.length !== 1) return event.key;
  const key = event.key.toLowerCase();
  if (/^[ -~]$/.test(key)) return key;
  const place = /^(?:Key([A-Z])|Digit([0-9]))$/.exec(event.code);
  return place === null ? key : (place[1] ?? place[2]).toLowerCase();
}

function keyed(event) {
  opening = false;
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  const key = keyOf(event);
  if (["Shift", "Control", "Alt", "Meta", "CapsLock", "Process", "Dead"].includes(key)) return;
  if (state.resting) {
    state.resting = false;
    event.preventDefault();
    paint();
    return;
  }
  if (state.over !== null) {
    overKey(event, key);
    return;
  }
  if (key in ARROWS) {
    arrow(...ARROWS[key]);
  } else if (key === "Tab" && state.view === "square") {
    state.chosenPoint = (state.chosenPoint + 1) % state.points.length;
  } else if (/^[1-9]$/.test(key) && state.view === "square") {
    if (Number(key) <= state.points.length) state.chosenPoint = Number(key) - 1;
  } else {
    const verb = verbsNow().find((one) => one.key === key);
    if (verb === undefined || (event.repeat && !REPEATED.has(key))) return;
    verb.run();
  }
  event.preventDefault();
  paint();
}

function overKey(event, key) {
  if (state.over.kind === "list") {
    event.preventDefault();
    listKey(key);
  } else if (state.over.kind === "form") {
    if (key === "Escape" && state.name !== "") closeOver();
    else if (key === "Enter" && event.target.localName !== "button") state.over.finish();
    else return;
    event.preventDefault();
  } else if (key in ARROWS || key === "PageDown" || key === "PageUp") {
    const by = { ArrowDown: 60, ArrowUp: -60, PageDown: 500, PageUp: -500 }[key] ?? 0;
    over.place.scrollBy(0, by);
    event.preventDefault();
  } else if (key === "Escape" || key === "Backspace" || key === "h") {
    event.preventDefault();
    closeOver();
  }
}

// ---- pointers: mouse, pen and fingers alike

const REACH = 70; // px: how near to a point one must touch to take it along
let held = null;

function tablePoint(event) {
  return mapped(inverse(state.fit), event.clientX, event.clientY);
}

function pressed(event) {
  opening = false;
  if (state.over !== null || held !== null || !event.isPrimary || event.button !== 0) return;
  const { clientX: u, clientY: v } = event;
  if (state.view === "square") {
    const far = state.points.map(({ px }) => Math.hypot(px[0] - u, px[1] - v));
    const nearest = far.indexOf(Math.min(...far));
    if (far[nearest] > REACH) return;
    state.chosenPoint = nearest;
    const { px } = state.points[nearest];
    held = { id: event.pointerId, point: state.points[nearest], by: [px[0] - u, px[1] - v] };
  } else {
    if (state.fit === null) return;
    const [x, y] = tablePoint(event);
    if (state.view === "pieces" && !state.alone) {
      const own = state.figures[state.chosen];
      const under = [own, ...state.figures].find((figure) => liesIn(figure, x, y));
      if (under !== undefined) state.chosen = state.figures.indexOf(under);
    }
    held = { id: event.pointerId, from: [x, y] };
  }
  canvas.setPointerCapture(event.pointerId);
  event.preventDefault();
  paint();
}

function dragged(event) {
  if (held === null || event.pointerId !== held.id) return;
  if (held.point !== undefined) {
    held.point.px = [event.clientX + held.by[0], event.clientY + held.by[1]];
    pointsMoved();
  } else {
    const [x, y] = tablePoint(event);
    const by = [x - held.from[0], y - held.from[1]];
    if (state.view === "test") moveProof(...by);
    else moveFigures(takenAlong(), [1, 0, 0, 1, ...by]);
    held.from = [x, y];
  }
  paint();
}

function released(event) {
  if (held !== null && event.pointerId === held.id) held = null;
}

// ---- what others may look at: what is drawn, in the screen's dots; the fit; and how long a redraw takes

window.oaktag = Object.freeze({
  shown() {
    const found = [];
    draw(found);
    return found;
  },
  state() {
    const { view, name, mat, points, trouble, step, light, width, alone, moveAll, resting, flip, chosenPoint } = state;
    return {
      view, name, mat, points, trouble, step, light, width, alone, moveAll, resting, flip, chosenPoint, fit: state.fit,
      chosen: state.figures[state.chosen].label, moves: state.figures.map((figure) => figure.move),
      stale: staleness(), warnings: warnings(), left: state.fit === null ? [] : leftOver(state.fit, state.points),
      hidden: { roles: [...state.hidden.roles], sizes: [...state.hidden.sizes] }, drawn: state.drawn,
    };
  },
  fitted,
  mapped,
  cornerTrouble,
  parsedLength,
  typedLength,
  // Milliseconds of each of so many redraws; a dot is read back each time, so that nothing is put off till later.
  timing(count) {
    const context = canvas.getContext("2d");
    return Array.from({ length: count }, () => {
      const start = window.performance.now();
      draw(null);
      context.getImageData(0, 0, 1, 1);
      return window.performance.now() - start;
    });
  },
});

// ---- begin

let opening = false; // until the maker does anything: a window may still be finding its size

// A table that is squared up in this window opens with the pieces.
function goOn() {
  if (!opening || state.seen === null || staleness().length > 0) return;
  opening = false;
  goTo("pieces");
}

function begin() {
  const { kept, warning } = loadKept();
  state.kept = kept;
  state.keepWarning = warning;
  const names = Object.keys(kept.tables);
  const last = Object.hasOwn(kept.tables, kept.last) ? kept.last : names[0];
  if (last !== undefined) {
    takeTable(last);
    opening = true;
    goOn();
  } else {
    state.points = usualPoints(state.mat, 0);
    refit();
    askMat();
  }
  paint();
}

// Another window or zoom: the corners as they were squared up for that one, if they ever were. Points that the maker is
// still moving stay where they are.
let lastSeen = "";
function looked() {
  const now = seenName(seenNow());
  if (now === lastSeen) return;
  const first = lastSeen === "";
  lastSeen = now;
  if (first) return;
  const table = state.kept.tables[state.name];
  if (table !== undefined && (!state.touched || Object.hasOwn(table.fits, now))) takeTable(state.name);
  else if (state.seen === null && !state.touched) {
    state.points = usualPoints(state.mat, state.flip);
    refit();
  }
  held = null;
  goOn();
  paint();
}

window.addEventListener("keydown", keyed);
canvas.addEventListener("pointerdown", pressed);
canvas.addEventListener("pointermove", dragged);
canvas.addEventListener("pointerup", released);
canvas.addEventListener("pointercancel", released);
canvas.addEventListener("contextmenu", (event) => event.preventDefault());
pressedBy(recall, () => { state.card = "words"; paint(); });
rest.addEventListener("pointerdown", (event) => { event.preventDefault(); state.resting = false; paint(); });
window.addEventListener("resize", looked);
window.visualViewport?.addEventListener("resize", looked);
window.setInterval(looked, 1000); // a window that is moved tells nobody
looked();
begin();
window.addEventListener("load", () => window.requestAnimationFrame(looked)); // some windows find their place late
