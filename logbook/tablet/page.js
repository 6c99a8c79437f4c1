"use strict";
(() => {
const round = JSON.parse(document.getElementById("round").textContent);
const say = (s) => round.say[s] || s;
const place = "needlebook " + round.title;
const state = { cells: round.rows.map((r) => r.cells.slice()), photos: [], running: {}, drops: {}, at: 0 };
let keeps = false, album = null, unsaved = false, drawn = null;

function make(tag, props, ...inside) {
  const e = document.createElement(tag);
  for (const [k, v] of Object.entries(props || {})) {
    if (k.startsWith("on")) e.addEventListener(k.slice(2), v);
    else if (k in e && k !== "list") e[k] = v;
    else e.setAttribute(k, v);
  }
  e.append(...inside.filter((x) => x !== null && x !== undefined));
  return e;
}

// What is kept between two visits: the cells at each key, in the small store of the browser; each photo once, in its
// large one, for all of them together are more than the small one holds.
function tried() {
  try {
    localStorage.setItem(place + " try", "1");
    const ok = localStorage.getItem(place + " try") === "1";
    localStorage.removeItem(place + " try");
    return ok;
  } catch { return false; }
}
const done = (asked) => new Promise((yes, no) => { asked.onsuccess = () => yes(asked.result); asked.onerror = () => no(asked.error); });
async function large() {
  const asked = indexedDB.open(place, 1);
  asked.onupgradeneeded = () => asked.result.createObjectStore("photos", { keyPath: "id" });
  return done(asked);
}
const shelf = async (mode) => (await album).transaction("photos", mode).objectStore("photos");
async function keepPhoto(p) {
  unsaved = true;
  p.kept = false; // until it is: whoever leaves before that is asked
  try {
    await done((await shelf("readwrite")).put(p));
    p.kept = true;
  } catch { p.kept = false; }
  said();
}
function recall() {
  const text = localStorage.getItem(place);
  try {
    const old = JSON.parse(text || "null");
    if (old) merge(old);
  } catch { localStorage.setItem(place + " unread", text); /* for whoever can read it */ }
}

// merge takes what was typed on an earlier page of the same round, by valve and column. The plan may have changed in between: what an
// earlier page filled in by itself is not taken, and a row or a column that this page does not ask for goes into the file all the same.
function merge(old) {
  const typed = (i, c) => (old.cells[i][c] || "") !== (old.given[i][c] || "");
  const holder = old.columns.indexOf("holder"), here = round.columns.indexOf("holder");
  const row = (i) => round.rows.findIndex((r) => r.cylinder === old.rows[i].cylinder && r.cells[here] === old.given[i][holder]);
  old.columns.forEach((name, c) => {
    if (round.columns.includes(name) || !old.rows.some((_, i) => typed(i, c))) return;
    round.columns.push(name);
    for (const r of round.rows) r.cells.push("");
  });
  old.rows.forEach((r, i) => {
    if (row(i) >= 0 || !old.columns.some((_, c) => typed(i, c))) return;
    round.rows.push({ ...r, last: {}, cells: round.columns.map((name) => old.given[i][old.columns.indexOf(name)] || "") });
  });
  state.cells = round.rows.map((r) => r.cells.slice());
  old.rows.forEach((_, i) => old.columns.forEach((name, c) => { if (typed(i, c)) state.cells[row(i)][round.columns.indexOf(name)] = old.cells[i][c]; }));
  Object.assign(state, { running: old.running, drops: old.drops, at: Math.max(0, row(old.at)) });
}
function keep() {
  unsaved = true;
  if (!keeps) return;
  try {
    localStorage.setItem(place, JSON.stringify({ columns: round.columns, rows: round.rows.map((r) => ({ cylinder: r.cylinder, spare: r.spare })),
      given: round.rows.map((r) => r.cells), cells: state.cells, running: state.running, drops: state.drops, at: state.at }));
    said();
  } catch {
    keeps = false;
    tell(say("This browser keeps nothing between two visits: save the file before you leave."), true);
  }
}
// said says whether all that is on the page is kept.
function said() {
  if (lasting()) tell(say("Kept in this browser."));
  else if (keeps) tell(say("Photos are not kept in this browser: save the file before you leave."), true);
}
const lasting = () => keeps && state.photos.every((p) => p.kept);

const note = make("p", { id: "note", role: "status" });
function tell(text, warn) { note.textContent = text; note.className = warn ? "warn" : ""; }

function file() {
  const photos = state.photos.filter((p) => !p.out).map((p) => ({ cylinder: p.cylinder, name: p.name, data: p.data }));
  return JSON.stringify({ format: round.format, columns: round.columns, rows: state.cells, photos });
}
function save() {
  const a = make("a", { href: URL.createObjectURL(new Blob([file()], { type: "application/json" })), download: round.name + ".json" });
  document.body.append(a);
  a.click();
  a.remove();
  unsaved = false;
  tell(say("The file is in the downloads: take it with needlebook round --take."));
}

const cell = (i) => state.cells[state.at][i];
function put(i, text) { state.cells[state.at][i] = text; keep(); }
const id = (f, n) => "f" + f.column + "-" + n;

function textField(f, n) {
  const box = make("input", { type: "text", id: id(f, n), value: cell(f.column + n), autocomplete: "off", "aria-label": f.label + (f.count > 1 ? " " + (n + 1) : ""),
    oninput: (e) => put(f.column + n, e.target.value.trim()) });
  box.inputMode = f.kind === "number" || f.kind === "lapse" ? "decimal" : "text";
  if (f.choice) {
    const list = make("datalist", { id: id(f, n) + "l" }, ...f.choice.map((c) => make("option", { value: c })));
    box.setAttribute("list", list.id);
    return make("span", { className: "line wide" }, box, list);
  }
  return box;
}

function words(f) {
  return make("div", { className: "line", role: "group", "aria-label": f.label }, ...f.words.map((w, i) => make("button", { type: "button", "aria-pressed": String(cell(f.column) === w),
    onclick: (e) => {
      put(f.column, cell(f.column) === w ? "" : w);
      for (const [j, b] of [...e.target.parentNode.children].entries()) b.setAttribute("aria-pressed", String(cell(f.column) === f.words[j]));
    } }, f.said[i])));
}

// A value may have a remark behind a #, which goes into the record with it.
const remarked = (text, remark) => remark ? text + " # " + remark : text;

// The stopwatch goes on by the clock of the device, so that a reload loses nothing of it. It holds two times: when the watch was stopped,
// which is the value, and when the first drop fell, which is the remark behind it.
function watch(f) {
  const key = round.rows[state.at].cylinder + " " + f.key, shown = make("output", {}), box = textField(f, 0);
  const lapse = () => ((Date.now() - state.running[key]) / 1000).toFixed(1);
  const first = /seat/.test(f.key);
  const fell = () => state.drops[key] ? say("first drop") + " " + state.drops[key] + " s" : "";
  const draw = () => {
    shown.textContent = state.running[key] ? [fell(), lapse() + " s"].join(" ") : "";
    go.textContent = state.running[key] ? say("stop") : say("start");
  };
  const go = make("button", { type: "button", onclick: () => {
    if (state.running[key]) {
      put(f.column, remarked(lapse(), fell()));
      box.value = cell(f.column);
      delete state.running[key];
    } else state.running[key] = Date.now();
    delete state.drops[key];
    keep(); draw();
  } });
  const drop = first ? make("button", { type: "button", onclick: () => { if (state.running[key] && !state.drops[key]) { state.drops[key] = lapse(); keep(); draw(); } } }, say("first drop")) : null;
  draw();
  ticking.push(() => { if (state.running[key]) draw(); });
  return make("div", { className: "line" }, box, go, drop, shown);
}
let ticking = [];

// The clock face: weak holes are the value, blocked ones the remark behind it, and how many are open is counted where it is known how many
// there are.
function clock(f) {
  const openField = round.fields.find((x) => x.column === f.open && f.open), all = openField && openField.holes, n = all || 12;
  const box = textField(f, 0), face = make("div", { className: "clock", role: "group", "aria-label": f.label });
  const numbers = (text) => new Set((text.match(/\d+/g) || []).map(Number));
  const sides = () => cell(f.column).split("#");
  const weak = () => numbers(sides()[0]), blocked = () => numbers(sides()[1] || "");
  const draw = () => {
    for (const b of face.children) {
      const h = Number(b.dataset.hole), how = blocked().has(h) ? "blocked" : weak().has(h) ? "weak" : "open";
      b.className = how;
      b.setAttribute("aria-label", h + " " + say(how));
    }
  };
  const set = (w, b) => {
    const listed = (x) => [...x].sort((a, b) => a - b).join(" ");
    put(f.column, remarked(listed(w) || "none", b.size && say("blocked") + " " + listed(b)));
    box.value = cell(f.column);
    if (all) {
      put(f.open, String(all - b.size));
      const shown = document.getElementById(id(openField, 0));
      if (shown) shown.value = cell(f.open);
    }
    draw();
  };
  for (let h = 1; h <= n; h++) {
    const turn = 2 * Math.PI * (h - 1) / n - Math.PI / 2;
    const b = make("button", { type: "button", onclick: () => {
      const w = weak(), x = blocked();
      if (x.has(h)) x.delete(h);
      else if (w.delete(h)) x.add(h);
      else w.add(h);
      set(w, x);
    } }, String(h));
    b.dataset.hole = h;
    b.style.left = 128 + 98 * Math.cos(turn) + "px";
    b.style.top = 128 + 98 * Math.sin(turn) + "px";
    face.append(b);
  }
  box.addEventListener("input", draw);
  draw();
  return make("div", {}, face, make("div", { className: "line" }, box, make("button", { type: "button", onclick: () => set(new Set(), new Set()) }, say("all open"))));
}

// What is the same for the whole round, as the gauge, the day, the name, is taken over with one press. A figure that is measured never is.
function before(f) {
  if (!f.same || cell(f.column)) return null;
  const from = state.cells.slice(0, state.at).findLast((cells) => cells[f.column] && !missing.test(cells[f.column]));
  if (!from) return null;
  return make("button", { type: "button", className: "small", onclick: (e) => {
    put(f.column, from[f.column]);
    const box = document.getElementById(id(f, 0));
    box.value = from[f.column];
    box.focus();
    e.target.remove();
  } }, from[f.column]);
}

const missing = /^not measured \((.*)\)$/;
function entry(f) {
  const set = make("fieldset", { id: "s" + f.column }), row = round.rows[state.at];
  const draw = () => {
    const why = missing.exec(cell(f.column));
    const beside = [f.limit && say("limit") + " " + f.limit, row.last[f.key] && say("last") + " " + row.last[f.key]].filter(Boolean).join("; ");
    let body;
    if (why) body = make("input", { type: "text", value: why[1], id: id(f, 0), "aria-label": f.label + ": " + say("reason"), oninput: (e) => put(f.column, "not measured (" + e.target.value.trim() + ")") });
    else if (f.kind === "word") body = words(f);
    else if (f.kind === "lapse") body = watch(f);
    else if (f.kind === "holes") body = clock(f);
    else body = make("div", { className: "line" }, ...Array.from({ length: f.count }, (_, n) => textField(f, n)), f.unit);
    const other = f.kind === "text" || f.kind === "date" ? null : make("button", { type: "button", className: "small", onclick: () => {
      for (let n = 0; n < f.count; n++) put(f.column + n, "");
      if (!why) put(f.column, "not measured ()");
      draw();
      const box = document.getElementById(id(f, 0));
      if (box) box.focus();
    } }, say(why ? "measured" : "not measured because"));
    set.replaceChildren(...[make("legend", {}, f.label + (f.unit ? " [" + f.unit + "]" : "")), beside ? make("p", { className: "beside" }, beside) : null, body, before(f), other].filter(Boolean));
  };
  draw();
  return set;
}

async function shoot(e) {
  const cylinder = round.rows[state.at].cylinder;
  for (const f of e.target.files) {
    try {
      const bitmap = await createImageBitmap(f), scale = Math.min(1, 1600 / Math.max(bitmap.width, bitmap.height));
      const c = make("canvas", { width: Math.round(bitmap.width * scale), height: Math.round(bitmap.height * scale) });
      c.getContext("2d").drawImage(bitmap, 0, 0, c.width, c.height);
      const p = { id: Date.now() + " " + state.photos.length, cylinder, name: f.name, data: c.toDataURL("image/jpeg", 0.82).split(",")[1] };
      state.photos.push(p);
      await keepPhoto(p);
    } catch { tell(say("A photo could not be read."), true); }
  }
  gallery();
}

// The photos of a cylinder. One that is left out is not in the file, and can be put back.
let shown = make("div", { className: "line" });
function gallery() {
  shown.replaceChildren(...state.photos.filter((p) => p.cylinder === round.rows[state.at].cylinder).map((p) => make("figure", { className: p.out ? "out" : "" },
    make("img", { src: "data:image/jpeg;base64," + p.data, alt: p.name }),
    make("button", { type: "button", className: "small", onclick: async () => { p.out = !p.out; await keepPhoto(p); gallery(); } }, say(p.out ? "put back" : "leave out")))));
}

function show() {
  ticking = [];
  const main = make("main", {}), tabs = make("nav", { "aria-label": say("cylinder") });
  round.rows.forEach((r, i) => tabs.append(make("button", { type: "button", "aria-current": String(i === state.at), onclick: () => { state.at = i; keep(); show(); window.scrollTo(0, 0); } },
    round.rows.some((x) => x !== r && x.cylinder === r.cylinder) ? r.cylinder + " " + r.cells[round.columns.indexOf("holder")] : r.cylinder)));
  let step = "", grid = null;
  for (const f of round.fields) {
    if (round.rows[state.at].spare && !f.spare) continue;
    if (f.step !== step) {
      step = f.step;
      grid = make("div", { className: "fields" });
      main.append(make("h2", {}, step), grid);
    }
    grid.append(entry(f));
  }
  main.append(make("h2", {}, say("photo")), make("div", { className: "line" }, make("input", { type: "file", accept: "image/*", capture: "environment", multiple: true, "aria-label": say("photo"), onchange: shoot })), shown);
  gallery();
  if (drawn) drawn.remove();
  drawn = make("div", {}, make("h1", {}, round.title), tabs, main);
  document.body.prepend(drawn);
}

keeps = tried();
if (keeps) recall();
document.body.append(make("div", { className: "bar" }, note, make("button", { type: "button", id: "save", onclick: save }, say("save the file"))));
show();
if (!keeps) tell(say("This browser keeps nothing between two visits: save the file before you leave."), true);
setInterval(() => ticking.forEach((t) => t()), 100);
setInterval(() => {
  if (lasting() || !unsaved) return;
  tell(say(keeps ? "Five minutes have passed, and photos are not kept in this browser: save the file now." :
    "Five minutes have passed, and this browser keeps nothing: save the file now."), true);
  document.getElementById("save").focus();
}, 300000);
window.addEventListener("beforeunload", (e) => { if (!lasting() && unsaved) e.preventDefault(); });
window.addEventListener("storage", (e) => { // the same page is open a second time, and somebody types there
  if (e.key !== place || !e.newValue) return;
  const at = state.at;
  recall();
  state.at = at;
  show();
});
(async () => {
  try {
    album = large();
    state.photos.unshift(...(await done((await shelf("readonly")).getAll())).map((p) => ({ ...p, kept: true })));
    gallery();
  } catch { /* each photo says so */ }
})();
})();
