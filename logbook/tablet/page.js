"use strict";
(() => {
const round = JSON.parse(document.getElementById("round").textContent);
const say = (s) => round.say[s] || s;
const place = "needlebook " + round.name;
const state = { cells: round.rows.map((r) => r.cells.slice()), photos: [], running: {}, drops: {}, at: 0 };
let keeps = false, unsaved = false, drawn = null;

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

// What is kept between two visits. Of a state that fits another table only what has the same columns is taken.
function tried() {
  try {
    localStorage.setItem(place + " try", "1");
    const ok = localStorage.getItem(place + " try") === "1";
    localStorage.removeItem(place + " try");
    return ok;
  } catch { return false; }
}
function recall() {
  try {
    const old = JSON.parse(localStorage.getItem(place) || "null");
    if (!old || JSON.stringify(old.columns) !== JSON.stringify(round.columns) || old.cells.length !== state.cells.length) return;
    Object.assign(state, { cells: old.cells, photos: old.photos || [], running: old.running || {}, drops: old.drops || {}, at: old.at || 0 });
  } catch { /* what cannot be read is not taken */ }
}
function keep() {
  unsaved = true;
  if (!keeps) return;
  const all = { columns: round.columns, cells: state.cells, running: state.running, drops: state.drops, at: state.at };
  try {
    localStorage.setItem(place, JSON.stringify({ ...all, photos: state.photos }));
    tell(say("Kept in this browser."));
  } catch {
    try { localStorage.setItem(place, JSON.stringify({ ...all, photos: [] })); } catch { keeps = false; }
    tell(say("The photos are too large for this browser to keep: save the file before you leave."), true);
  }
}

const note = make("p", { id: "note", role: "status" });
function tell(text, warn) { note.textContent = text; note.className = warn ? "warn" : ""; }

function file() {
  return JSON.stringify({ format: round.format, columns: round.columns, rows: state.cells, photos: state.photos });
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

// The stopwatch goes on by the clock of the device, so that a reload loses nothing of it. It holds two times: when the first drop fell, and
// when the watch was stopped, which is the value.
function watch(f) {
  const key = state.at + " " + f.key, shown = make("output", {}), box = textField(f, 0);
  const lapse = () => ((Date.now() - state.running[key]) / 1000).toFixed(1);
  const first = /seat/.test(f.key);
  const draw = () => {
    const drop = state.drops[key] ? say("first drop") + " " + state.drops[key] + " s " : "";
    shown.textContent = drop + (state.running[key] ? lapse() + " s" : "");
    go.textContent = state.running[key] ? say("stop") : say("start");
  };
  const go = make("button", { type: "button", onclick: () => {
    if (state.running[key]) { put(f.column, lapse()); box.value = cell(f.column); delete state.running[key]; } else { state.running[key] = Date.now(); delete state.drops[key]; }
    keep(); draw();
  } });
  const drop = first ? make("button", { type: "button", onclick: () => { if (state.running[key] && !state.drops[key]) { state.drops[key] = lapse(); keep(); draw(); } } }, say("first drop")) : null;
  draw();
  ticking.push(() => { if (state.running[key]) draw(); });
  return make("div", { className: "line" }, box, go, drop, shown);
}
let ticking = [];

function clock(f) {
  const openField = round.fields.find((x) => x.column === f.open && f.open), n = (openField && openField.holes) || 12;
  const box = textField(f, 0), face = make("div", { className: "clock", role: "group", "aria-label": f.label });
  const list = () => (cell(f.column).match(/\d+/g) || []).map(Number);
  const blocked = new Set(state.drops[state.at + " " + f.key] || []);
  const draw = () => {
    for (const b of face.children) {
      const h = Number(b.dataset.hole), how = blocked.has(h) ? "blocked" : list().includes(h) ? "weak" : "open";
      b.className = how;
      b.setAttribute("aria-label", h + " " + say(how));
    }
  };
  for (let h = 1; h <= n; h++) {
    const turn = 2 * Math.PI * (h - 1) / n - Math.PI / 2;
    const b = make("button", { type: "button", onclick: () => {
      const weak = new Set(list());
      if (blocked.has(h)) blocked.delete(h);
      else if (weak.has(h)) { weak.delete(h); blocked.add(h); }
      else weak.add(h);
      state.drops[state.at + " " + f.key] = [...blocked];
      put(f.column, [...weak].sort((a, b) => a - b).join(" ") || "none");
      box.value = cell(f.column);
      if (openField && openField.holes) {
        put(f.open, String(n - blocked.size));
        const shown = document.getElementById(id(openField, 0));
        if (shown) shown.value = cell(f.open);
      }
      draw();
    } }, String(h));
    b.dataset.hole = h;
    b.style.left = 128 + 98 * Math.cos(turn) + "px";
    b.style.top = 128 + 98 * Math.sin(turn) + "px";
    face.append(b);
  }
  box.addEventListener("input", draw);
  draw();
  return make("div", {}, face, make("div", { className: "line" }, box));
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
    set.replaceChildren(...[make("legend", {}, f.label + (f.unit ? " [" + f.unit + "]" : "")), beside ? make("p", { className: "beside" }, beside) : null, body, other].filter(Boolean));
  };
  draw();
  return set;
}

async function shoot(e) {
  for (const f of e.target.files) {
    try {
      const bitmap = await createImageBitmap(f), scale = Math.min(1, 1600 / Math.max(bitmap.width, bitmap.height));
      const c = make("canvas", { width: Math.round(bitmap.width * scale), height: Math.round(bitmap.height * scale) });
      c.getContext("2d").drawImage(bitmap, 0, 0, c.width, c.height);
      state.photos.push({ cylinder: round.rows[state.at].cylinder, name: f.name, data: c.toDataURL("image/jpeg", 0.82).split(",")[1] });
      keep();
    } catch { tell(say("A photo could not be read."), true); }
  }
  show();
}

function show() {
  ticking = [];
  const main = make("main", {}), tabs = make("nav", { "aria-label": say("cylinder") });
  round.rows.forEach((r, i) => tabs.append(make("button", { type: "button", "aria-current": String(i === state.at), onclick: () => { state.at = i; keep(); show(); window.scrollTo(0, 0); } }, r.cylinder)));
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
  const mine = state.photos.filter((p) => p.cylinder === round.rows[state.at].cylinder);
  main.append(make("h2", {}, say("photo")), make("div", { className: "line" }, make("input", { type: "file", accept: "image/*", capture: "environment", multiple: true, "aria-label": say("photo"), onchange: shoot }),
    ...mine.map((p) => make("img", { src: "data:image/jpeg;base64," + p.data, alt: p.name }))));
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
  if (keeps || !unsaved) return;
  tell(say("Five minutes have passed, and this browser keeps nothing: save the file now."), true);
  document.getElementById("save").focus();
}, 300000);
window.addEventListener("beforeunload", (e) => { if (!keeps && unsaved) e.preventDefault(); });
})();
