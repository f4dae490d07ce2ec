// What lies over the rest for a moment: a list to choose from, a form to fill in, the help. All go by one hand.

const over = {
  place: document.getElementById("over"), title: document.getElementById("over-title"),
  body: document.getElementById("over-body"),
};

function element(name, words = "", kind = "") {
  const made = document.createElement(name);
  if (words !== "") made.textContent = words;
  if (kind !== "") made.className = kind;
  return made;
}

function button(words, run, key = "") {
  const made = element("button");
  made.type = "button";
  made.tabIndex = -1;
  if (key !== "") made.append(element("kbd", key));
  made.append(element("span", words));
  pressedBy(made, run);
  return made;
}

// Runs when a finger or the mouse goes down and up on it, at once: browsers hold back a click after a quick drag.
function pressedBy(made, run) {
  let down = null;
  made.addEventListener("pointerdown", (event) => {
    event.preventDefault(); // the keys stay with the page
    opening = false;
    if (event.button === 0) down = event.pointerId;
  });
  made.addEventListener("pointercancel", () => { down = null; });
  made.addEventListener("pointerup", (event) => {
    const box = made.getBoundingClientRect();
    const across = event.clientX >= box.left && event.clientX <= box.right;
    if (down === event.pointerId && across && event.clientY >= box.top && event.clientY <= box.bottom) run();
    down = null;
  });
  made.addEventListener("click", (event) => {
    if (event.detail === 0) run(); // from the keyboard, or by a program that reads the page aloud
  });
}

function openOver(kind, title, record) {
  state.over = { kind, ...record };
  over.title.textContent = title;
  over.body.replaceChildren();
  over.place.hidden = false;
  over.place.scrollTop = 0;
}

function closeOver() {
  state.over = null;
  over.place.hidden = true;
  over.body.replaceChildren();
  document.activeElement?.blur?.();
  paint();
}

// rows(): [{ words, on }], where `on` is left out unless the row is a switch; pick(index) is called for a row, and the
// list stays open where `stays`. Letters narrow it down where `narrows`; `others`: [{ key, words, run(index) }].
function openList(title, { rows, pick, stays = false, narrows = false, others = [], at = 0 }) {
  openOver("list", title, { rows, pick, stays, narrows, others, at, typed: "" });
  showList();
}

function listed() {
  const typed = state.over.typed.toLowerCase();
  const rows = state.over.rows().map((row, index) => ({ ...row, index }));
  return rows.filter((row) => row.words.toLowerCase().includes(typed));
}

function showList() {
  const rows = listed();
  const list = element("ol");
  state.over.at = Math.max(0, Math.min(state.over.at, rows.length - 1));
  rows.forEach((row, place) => {
    const number = state.over.narrows || place > 8 ? "" : String(place + 1);
    const made = button(row.words, () => pickRow(place), number);
    if (row.on === false) made.lastChild.className = "off";
    if (row.on !== undefined) made.append(element("b", row.on ? "shown" : "hidden"));
    if (place === state.over.at) made.classList.add("at");
    const item = element("li");
    item.append(made);
    list.append(item);
  });
  const told = state.over.narrows
    ? state.over.typed === "" ? "Type letters of the name, or go up and down with the arrows; Enter takes it."
      : `With “${state.over.typed}” in it: ${rows.length}. Backspace takes a letter away.`
    : "Up and down with the arrows; Enter or a number takes a row.";
  const row = element("div", "", "row");
  for (const other of state.over.others) {
    row.append(button(other.words, () => other.run(rows[state.over.at]?.index), other.key));
  }
  row.append(button("close", closeOver, "Esc"));
  over.body.replaceChildren(element("p", told), list, row);
  list.querySelector(".at")?.scrollIntoView({ block: "nearest" });
}

function pickRow(place) {
  const row = listed()[place];
  if (row === undefined) return;
  state.over.at = place;
  const { pick, stays } = state.over;
  if (!stays) closeOver();
  pick(row.index);
  if (state.over !== null && state.over.kind === "list") showList();
  paint();
}

function listKey(key) {
  const own = state.over;
  const rows = listed();
  if (key === "ArrowDown" || key === "ArrowRight") own.at = Math.min(own.at + 1, rows.length - 1);
  else if (key === "ArrowUp" || key === "ArrowLeft") own.at = Math.max(own.at - 1, 0);
  else if (key === "Enter" || (key === " " && !own.narrows)) return pickRow(own.at);
  else if (key === "Escape" || (key === "Backspace" && own.typed === "")) return closeOver();
  else if (key === "Backspace") own.typed = own.typed.slice(0, -1);
  else if (own.narrows && key.length === 1) [own.typed, own.at] = [own.typed + key.toLowerCase(), 0];
  else if (/^[1-9]$/.test(key)) return pickRow(Number(key) - 1);
  else {
    const other = own.others.find((one) => one.key.toLowerCase() === key);
    if (other !== undefined) return other.run(rows[own.at]?.index);
  }
  return showList();
}

// fields: [{ words, value, number }]; done(values) returns what is wrong, or "" and the form closes.
function openForm(title, told, fields, done) {
  openOver("form", title, {});
  const form = element("form");
  const inputs = fields.map((field) => {
    const label = element("label", field.words);
    const input = element("input");
    input.value = field.value;
    input.autocomplete = "off";
    input.spellcheck = false;
    input.maxLength = 60;
    label.append(input);
    form.append(label);
    return input;
  });
  const wrong = element("p", "", "wrong");
  wrong.setAttribute("role", "alert");
  const row = element("div", "", "row");
  const finish = () => {
    wrong.textContent = done(inputs.map((input) => input.value.trim()));
    if (wrong.textContent === "") closeOver();
  };
  const fine = button("that is right", finish, "Enter");
  const leave = button("leave it", closeOver, "Esc");
  fine.tabIndex = 0;
  leave.tabIndex = 0;
  row.append(fine, ...(state.name === "" ? [] : [leave])); // without a mat there is nothing to go on with
  form.addEventListener("submit", (event) => event.preventDefault());
  state.over.finish = finish;
  form.append(wrong, row);
  over.body.replaceChildren(...told.map((words) => element("p", words)), form);
  inputs[0].focus();
  inputs[0].select();
}

function openHelp(verbs) {
  openOver("help", "Keys, and what to look out for", {});
  const parts = [];
  const list = (rows) => {
    const made = element("dl");
    for (const [key, words] of rows) {
      const term = element("dt");
      term.append(element("kbd", key));
      made.append(term, element("dd", words));
    }
    return made;
  };
  parts.push(element("p", "Every key works by itself, with one hand; every key has a button. Arrows and Page keys scroll this page."));
  for (const [view, title] of [["", "Everywhere"], ["square", "Square up"], ["test", "Test"], ["pieces", "Pieces"]]) {
    parts.push(element("h2", title));
    parts.push(list(verbs.filter((verb) => verb.help && verb.views.join() === (view === "" ? VIEWS.join() : view))
      .map((verb) => [keyWords(verb), verb.help])));
  }
  parts.push(element("h2", "For a true picture"));
  parts.push(bullets(TRUE_WORDS));
  parts.push(element("h2", "Cautions"));
  parts.push(bullets(CAUTION_WORDS));
  const row = element("div", "", "row");
  row.append(button("close", closeOver, "Esc"));
  over.body.replaceChildren(...parts, row);
}

function bullets(texts) {
  const made = element("ul");
  for (const words of texts) made.append(element("li", words));
  return made;
}

const TRUE_WORDS = [
  "Full screen first (F), zoom 100 %; on the projector: its own number of dots, keystone, digital zoom, sharpening and overscan off. Then square up.",
  "Square up again whenever the projector, the table or the mount has been bumped, moved or warmed up, and before each day’s cutting.",
  "Before you cut, lay a tape on the lone square: 100 mm each way, in the middle of the mat and near its four sides. A bank card (85.6 × 54 mm) must cover its outline.",
  "The corners put right what stands aslant. They cannot put right a bent picture of a lens, a table that bows, or thick cloth: that lies nearer to the lamp than the mat did.",
  "One dot of a picture 110 cm wide and 1920 dots across is 0.6 mm on the table: no line is thrown truer than that.",
];
// Facts: the classes of lamps and lasers in IEC 62471 and IEC 60825, from memory; the rest is common practice.
const CAUTION_WORDS = [
  "Do not look into the lens, and let no child or animal do so: it is brighter than the picture. Press Space before you lean into the light.",
  "A projector over a table needs a mount made for its weight, fixed to the building, and a second tether that holds it if the mount lets go. Nobody works below until both are in.",
  "Cables go along the mount and the wall, never across the table or the floor; a tug must not reach the projector.",
  "Keep its vents clear, and cloth, paper and thread away from them. Switch it off at the plug and let it cool before you touch lamp or mount.",
  "Scissors and rotary blades: cut away from your fingers, close the blade when you put it down. In the dark round a bright picture it is easily overlooked: keep some light on the table.",
  "The manual of the projector and of its mount comes first.",
];
