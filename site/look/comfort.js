// Comfort for the reader: search, sorting and filtering of tables, picking a day, remembered night. The pages say the same without it.
// Texts of records are only ever put in as text, and only pages of this folder are linked to.
"use strict";
(function () {
  var root = document.documentElement;
  function recall(key) { try { return window.localStorage.getItem(key); } catch (e) { return null; } }
  function keep(key, value) { try { window.localStorage.setItem(key, value); } catch (e) { /* works without */ } }
  var theme = recall("needlebook-theme");
  if (theme === "day" || theme === "night") root.setAttribute("data-theme", theme);

  function make(name, attributes, text) {
    var e = document.createElement(name);
    for (var a in attributes) e.setAttribute(a, attributes[a]);
    if (text) e.textContent = text;
    return e;
  }

  // Night and day.
  function isNight() {
    var set = root.getAttribute("data-theme");
    return set ? set === "night" : window.matchMedia("(prefers-color-scheme: dark)").matches;
  }
  function nightButton() {
    var b = make("button", { type: "button" }, isNight() ? "day" : "night");
    b.addEventListener("click", function () {
      var next = isNight() ? "day" : "night";
      root.setAttribute("data-theme", next);
      keep("needlebook-theme", next);
      b.textContent = isNight() ? "day" : "night";
    });
    return b;
  }

  // Search. The index is a script file, because a page opened from a folder may not fetch.
  // What people type is brought to one form: small letters without accents, words without their dashes, dots and slashes, a day
  // in any habit as it is in a record.
  var index = null, waiting = null, vocabulary = null;
  var months = "jan feb mar apr may jun jul aug sep oct nov dec".split(" ");
  function two(n) { return ("0" + n).slice(-2); }
  function plainDays(text) {
    return text.replace(/\b(\d{1,2})[.\/](\d{1,2})[.\/](\d{4})\b/g, function (all, d, m, y) { return y + "-" + two(m) + "-" + two(d); })
      .replace(/\b(\d{1,2})\.? ([a-z]{3})[a-z]*\.? (\d{4})\b/g, function (all, d, m, y) {
        var n = months.indexOf(m) + 1;
        return n ? y + "-" + two(n) + "-" + two(d) : all;
      });
  }
  function tight(text) {
    return plainDays(text.toLowerCase().normalize("NFD").replace(/[\u0300-\u036f]/g, "")).split(/\s+/)
      .map(function (w) { return w.replace(/[^\p{L}\p{N}]/gu, ""); }).filter(Boolean);
  }
  // One letter more, less, other, or two that changed places.
  function alike(a, b) {
    var n = 0, x = a.length, y = b.length;
    if (Math.abs(x - y) > 1 || a === b) return a === b;
    while (n < x && a[n] === b[n]) n++;
    if (x === y) return a.slice(n + 1) === b.slice(n + 1) || a[n] === b[n + 1] && a[n + 1] === b[n] && a.slice(n + 2) === b.slice(n + 2);
    return x > y ? a.slice(n + 1) === b.slice(n) : a.slice(n) === b.slice(n + 1);
  }
  function near(term) {
    if (!vocabulary) { // names within words too: "lindqvist" of "o.lindqvist"
      vocabulary = new Set();
      index.forEach(function (r) {
        var text = r.title + " " + r.words;
        tight(text + " " + text.replace(/[^\p{L}\p{N}]+/gu, " ")).forEach(function (w) { vocabulary.add(w); });
      });
      vocabulary = Array.from(vocabulary);
    }
    return term.length < 4 ? [] : vocabulary.filter(function (w) { return alike(term, w); });
  }
  function meets(terms) {
    return index.filter(function (r) {
      return terms.every(function (any) { return any.some(function (t) { return r.low.indexOf(t) >= 0; }); });
    });
  }
  window.needlebookIndex = function (rows) {
    index = rows.map(function (r) { return { to: r[0], title: r[1], words: r[2], head: " " + tight(r[1]).join(" ") + " ", low: tight(r[1] + " " + r[2]).join(" ") }; });
    if (waiting) waiting();
  };
  function loadIndex() {
    if (index || document.getElementById("search-index")) return;
    document.head.appendChild(make("script", { id: "search-index", src: "search-index.js" }));
  }
  function excerpt(row, term) {
    var at = row.words.toLowerCase().indexOf(term), from = Math.max(0, at - 50);
    if (at < 0) return row.words.slice(0, 110);
    return (from > 0 ? "… " : "") + row.words.slice(from, at + 90) + (row.words.length > at + 90 ? " …" : "");
  }
  function search(field, hits) {
    var terms = tight(field.value);
    hits.replaceChildren();
    if (!index || !terms.length) return;
    var found = meets(terms.map(function (t) { return [t]; }));
    if (!found.length) found = meets(terms.map(function (t) { return [t].concat(near(t)); }));
    function rank(r) {
      if (terms.every(function (t) { return r.head.indexOf(" " + t + " ") >= 0; })) return 0;
      return terms.every(function (t) { return r.head.indexOf(t) >= 0; }) ? 1 : 2;
    }
    found.sort(function (a, b) { return rank(a) - rank(b); });
    hits.appendChild(make("li", { "class": "quiet" }, found.length === 1 ? "one place" : found.length + " places" + (found.length > 40 ? ", the first 40" : "")));
    found.slice(0, 40).forEach(function (r) {
      var li = make("li", {});
      if (/^[a-z0-9.-]+(#[a-z0-9.-]+)?$/.test(r.to)) li.appendChild(make("a", { href: r.to }, r.title));
      else li.appendChild(make("b", {}, r.title));
      li.appendChild(make("span", { "class": "more" }, " " + excerpt(r, terms[0])));
      hits.appendChild(li);
    });
  }
  function searchField(bar) {
    var label = make("label", {}, "search ");
    var field = make("input", { type: "search", placeholder: "serial, cylinder, date, name", autocomplete: "off", spellcheck: "false" });
    var hits = make("ol", { "class": "hits", "aria-live": "polite" });
    label.appendChild(field);
    bar.appendChild(label);
    field.addEventListener("focus", loadIndex);
    waiting = function () { search(field, hits); };
    field.addEventListener("input", function () { loadIndex(); waiting(); });
    function step(from, by) { // arrows move among the field and its hits
      var all = [field].concat(Array.from(hits.querySelectorAll("a"))), to = all[all.indexOf(from) + by];
      if (to) to.focus();
    }
    field.addEventListener("keydown", function (e) {
      var first = hits.querySelector("a");
      if (e.key === "Escape") { field.value = ""; waiting(); }
      if (e.key === "Enter" && first) { e.preventDefault(); first.click(); }
    });
    [field, hits].forEach(function (part) {
      part.addEventListener("keydown", function (e) {
        if (e.key === "ArrowDown") { e.preventDefault(); step(e.target, 1); }
        if (e.key === "ArrowUp") { e.preventDefault(); step(e.target, -1); }
      });
    });
    document.addEventListener("keydown", function (e) {
      if (e.key === "/" && !/^(input|textarea|select)$/i.test(e.target.tagName)) { e.preventDefault(); field.focus(); }
    });
    return hits;
  }

  // Sorting. Grades by their weight, figures by their value, everything else as text: dates are written so that they sort as text.
  var weights = { stop: 4, answer: 3, advice: 2, note: 1, "–": 0 };
  function keyOf(cell) {
    var text = (cell ? cell.textContent : "").trim().replace(/\u202f/g, "").replace("−", "-");
    var word = text.split(/\s/)[0];
    if (Object.prototype.hasOwnProperty.call(weights, word)) return weights[word];
    if (/^[+-]?[0-9]+(\.[0-9]+)?(\s|$)/.test(text)) return parseFloat(text);
    return text.toLowerCase();
  }
  function compare(a, b) {
    if (typeof a === typeof b) return a < b ? -1 : a > b ? 1 : 0;
    return typeof a === "number" ? -1 : 1;
  }
  function sortable(table) {
    var body = table.tBodies[0];
    Array.prototype.forEach.call(table.tHead.rows[0].cells, function (th, column) {
      if (!th.textContent.trim()) return;
      var b = make("button", { type: "button", "class": "sort" }, th.textContent);
      th.replaceChildren(b);
      b.addEventListener("click", function () {
        var down = th.getAttribute("aria-sort") === "ascending";
        Array.prototype.forEach.call(table.tHead.rows[0].cells, function (o) { o.removeAttribute("aria-sort"); });
        th.setAttribute("aria-sort", down ? "descending" : "ascending");
        var rows = Array.prototype.map.call(body.rows, function (row, i) { return { row: row, i: i, key: keyOf(row.cells[column]), whole: row.cells.length < table.tHead.rows[0].cells.length }; });
        rows.sort(function (a, b) { return (a.whole - b.whole) || (down ? -1 : 1) * compare(a.key, b.key) || a.i - b.i; });
        rows.forEach(function (r) { body.appendChild(r.row); });
      });
    });
  }
  function labelled(table) {
    var heads = Array.prototype.map.call(table.tHead.rows[0].cells, function (th) { return th.textContent.trim(); });
    Array.prototype.forEach.call(table.tBodies[0].rows, function (row) {
      if (row.cells.length === heads.length) Array.prototype.forEach.call(row.cells, function (cell, i) { cell.setAttribute("data-label", heads[i]); });
    });
    table.classList.add("labelled");
  }
  function filterable(table) {
    var body = table.tBodies[0], all = body.rows.length;
    var label = make("label", { "class": "filter" }, "only rows with "), field = make("input", { type: "search", autocomplete: "off" }), count = make("span", { "class": "more", "aria-live": "polite" });
    label.appendChild(field);
    label.appendChild(count);
    table.parentNode.parentNode.insertBefore(label, table.parentNode);
    field.addEventListener("input", function () {
      var terms = field.value.toLowerCase().split(/\s+/).filter(Boolean), shown = 0;
      Array.prototype.forEach.call(body.rows, function (row) {
        var text = row.textContent.toLowerCase(), ok = terms.every(function (t) { return text.indexOf(t) >= 0; });
        row.hidden = !ok;
        if (ok) shown++;
      });
      count.textContent = terms.length ? " " + shown + " of " + all : "";
    });
  }

  // A day of the reader's own on the page of what changed.
  function pickDay(months) {
    var label = make("label", { "class": "filter" }, "since the day "), field = make("input", { type: "text", placeholder: "2024-06-24", size: "10", autocomplete: "off" });
    label.appendChild(field);
    months.parentNode.insertBefore(label, months);
    function asked() { return /^[0-9]{4}-[0-9]{2}-[0-9]{2}$/.test(field.value.trim()) ? field.value.trim() : ""; }
    function show() {
      var day = asked();
      document.querySelectorAll("section.month").forEach(function (section) {
        var left = 0;
        section.querySelectorAll("li[data-day]").forEach(function (li) {
          li.hidden = day !== "" && li.getAttribute("data-day") < day;
          if (!li.hidden) left++;
        });
        section.hidden = left === 0;
      });
    }
    function page(a) { return a.getAttribute("href").split("#")[0]; }
    field.addEventListener("change", function () {
      var links = Array.prototype.filter.call(months.querySelectorAll("a[data-month]"), function (a) { return a.getAttribute("data-month") >= asked().slice(0, 7); });
      links.sort(function (a, b) { return a.getAttribute("data-month") < b.getAttribute("data-month") ? -1 : 1; });
      var here = location.pathname.split("/").pop();
      if (asked() && links.length && page(links[0]) !== here) location.href = page(links[0]) + "#since-" + asked();
      else show();
    });
    var given = /^#since-([0-9]{4}-[0-9]{2}-[0-9]{2})$/.exec(location.hash);
    if (given) { field.value = given[1]; show(); }
  }

  document.addEventListener("DOMContentLoaded", function () {
    var way = document.querySelector("header.way");
    if (way) {
      var bar = make("div", { "class": "aids", role: "search" });
      if (!/^(ships|guide)$/.test(document.body.className)) { // those have no index
        var hits = searchField(bar);
        bar.appendChild(nightButton());
        way.appendChild(bar);
        way.appendChild(hits);
      } else {
        bar.removeAttribute("role");
        bar.appendChild(nightButton());
        way.appendChild(bar);
      }
    }
    document.querySelectorAll("main table:not(.side)").forEach(function (table) {
      if (table.tHead && table.tBodies.length) labelled(table);
    });
    document.querySelectorAll("main table.list").forEach(function (table) {
      if (!table.tHead || !table.tBodies.length || table.tBodies[0].rows.length < 3) return;
      sortable(table);
      if (table.tBodies[0].rows.length >= 20) filterable(table);
    });
    var months = document.querySelector("nav.months");
    if (months) pickDay(months);
  });
})();
