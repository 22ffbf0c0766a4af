// What the pages do by themselves: send each fact as it is typed, keep the place, answer the keyboard.
"use strict";

(() => {
  const PAUSE = 350; // milliseconds after the last key, before a text is sent
  const RETRY = 2000; // milliseconds before a text that could not be sent is sent again
  const waiting = new Map(); // field -> timer
  const open = new Set(); // fields that hold something the desk has not answered yet
  let line = Promise.resolve(); // the changes under way
  let next = ""; // the address to go to once everything is answered
  const opened = Math.random().toString(36).slice(2); // tells this page's turns from those of another window
  let stay = 0; // counts the stays in fields: what is typed in one stay is one step of undo

  const page = () => document.getElementById("work")?.dataset.page ?? "";
  const view = () => document.getElementById("work")?.dataset.view ?? "";
  function saved(text, kind) {
    const mark = document.getElementById("saved");
    if (mark) { mark.textContent = text; mark.dataset.kind = kind; }
  }

  function standing() {
    if (open.size) { saved("Saving…", "busy"); return; }
    if (document.getElementById("saved")?.dataset.kind !== "alarm") saved("Saved", "");
    if (next) { const to = next; next = ""; location.assign(to); }
  }

  const valueOf = (field) =>
    field.tagName === "FIELDSET"
      ? [...field.querySelectorAll("input:checked")].map((box) => box.value).join("\n")
      : field.value;

  // Changes go out one after the other, each with what its field holds when its turn comes.
  function inTurn(work) {
    line = line.then(work, work);
    return line;
  }

  function send(field, was) {
    clearTimeout(waiting.get(field));
    waiting.delete(field);
    open.add(field);
    standing();
    inTurn(() => {
      const value = valueOf(field);
      const before = was ?? field.dataset.was;
      if (value === before) { open.delete(field); standing(); return undefined; }
      field.dataset.sent = value;
      return htmx.ajax("POST", "/put", { source: field, swap: "none", values: told(field, value, before) });
    });
  }

  // Whatever else changes the case waits until everything typed is answered.
  document.addEventListener("htmx:confirm", (event) => {
    if (!open.size || event.detail.verb !== "post" || event.target.matches(".field")) return;
    event.preventDefault();
    for (const field of [...waiting.keys()]) send(field);
    inTurn(() => event.detail.issueRequest(true));
  });

  const told = (field, value, was) =>
    ({ path: field.dataset.fact, value, was, page: page(), view: view(), turn: `${opened}-${stay}` });

  function later(field, pause = PAUSE) {
    clearTimeout(waiting.get(field));
    waiting.set(field, setTimeout(() => send(field), pause));
    open.add(field);
    saved("Typing…", "busy");
  }

  document.addEventListener("focusin", () => { stay += 1; });
  document.addEventListener("input", (event) => {
    const field = event.target.closest("[data-fact].field");
    if (!field) return;
    if (field.tagName === "INPUT" || field.tagName === "TEXTAREA") later(field);
    else send(field);
  });
  document.addEventListener("change", (event) => {
    const field = event.target.closest("[data-fact].field");
    if (field && waiting.has(field)) send(field);
  });
  // A link waits until everything typed is answered, so that the next page shows it.
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[href]");
    if (!link || !open.size || event.ctrlKey || event.metaKey || event.shiftKey || link.target) return;
    event.preventDefault();
    next = link.href;
    for (const field of [...waiting.keys()]) send(field);
  });
  // If the page goes away all the same, what is not answered yet goes out with it.
  addEventListener("pagehide", () => {
    for (const field of open) {
      navigator.sendBeacon("/put", new URLSearchParams(told(field, valueOf(field), field.dataset.sent ?? field.dataset.was)));
    }
  });

  document.addEventListener("htmx:afterRequest", (event) => {
    const { xhr, elt, successful } = event.detail;
    if (elt.matches?.("[data-fact].field")) answered(elt, xhr, successful);
    else standing();
  });

  function answered(field, xhr, successful) {
    const sent = field.dataset.sent;
    delete field.dataset.sent;
    if (!successful) {
      later(field, RETRY);
      saved("Not saved yet: the desk does not answer. Your text is still here.", "alarm");
      return;
    }
    const outcome = xhr.getResponseHeader("X-Saved");
    if (!outcome) { // another program is writing to the case, or its file is gone: the message says which
      later(field, RETRY);
      saved("Not saved yet. Your text is still here.", "alarm");
      return;
    }
    if (outcome === "yes" || outcome === "kept") {
      field.dataset.was = sent;
      field.closest(".question")?.classList.toggle("unread", outcome === "kept");
      if (valueOf(field) !== sent) { send(field); return; }
    }
    if (!waiting.has(field)) open.delete(field);
    standing();
  }
  document.addEventListener("htmx:oobAfterSwap", (event) => { if (event.detail.target?.id === "standing") standing(); });

  document.addEventListener("htmx:afterSettle", mattering);
  document.addEventListener("htmx:oobAfterSwap", mattering);
  function mattering() {
    const told = document.getElementById("mattering");
    if (!told || !told.dataset.paths || told.dataset.done) return;
    told.dataset.done = "yes";
    const paths = new Set(told.dataset.paths.split(" "));
    for (const part of document.querySelectorAll("#form [data-path]")) {
      const idle = !paths.has(part.dataset.path) && !part.contains(document.activeElement);
      part.classList.toggle("idle", idle);
    }
    showFirstChange();
  }

  function showFirstChange() {
    const first = document.querySelector("#sheet .changed");
    const papers = document.querySelector(".papers");
    if (first && papers && papers.scrollHeight > papers.clientHeight) {
      papers.scrollTo({ top: first.offsetTop - papers.clientHeight / 3 });
    }
  }

  document.addEventListener("click", (event) => {
    const all = event.target.closest("#show-all");
    if (all) {
      const on = document.getElementById("form").classList.toggle("every");
      all.setAttribute("aria-pressed", String(on));
      return;
    }
    const choice = event.target.closest("#told .take, #told .keep");
    if (choice) {
      const field = document.querySelector(`.field[data-fact="${CSS.escape(choice.dataset.fact)}"]`);
      document.getElementById("told").replaceChildren();
      if (!field) return;
      if (choice.classList.contains("take")) {
        if (field.tagName !== "FIELDSET") field.value = choice.dataset.value;
        field.dataset.was = choice.dataset.value;
        saved("Saved", "");
      } else send(field, choice.dataset.now);
      return;
    }
    if (event.target.closest("#close-why")) { document.getElementById("why").hidden = true; return; }
    const shown = event.target.closest("#sheet [data-source]");
    if (shown && !shown.dataset.source.startsWith("figures")) {
      location.assign(`/fact?path=${encodeURIComponent(shown.dataset.source)}`);
      return;
    }
    const unit = event.target.closest("#sheet .unit");
    if (unit && !event.target.closest("a")) why(event.target.closest("p[id], h2[id], table[id]")?.id, unit);
  });

  function why(bookmark, unit) {
    const box = document.getElementById("why");
    if (!box) return;
    htmx.ajax("GET", `/why?node=${encodeURIComponent(unit.dataset.node)}&at=${encodeURIComponent(bookmark ?? "")}`, {
      target: box, swap: "innerHTML",
    }).then(() => { box.hidden = false; box.scrollIntoView({ block: "nearest" }); });
  }

  document.addEventListener("keydown", (event) => {
    const held = event.ctrlKey || event.metaKey;
    const typing = event.target.matches?.("input, textarea, select");
    if (event.key === "Enter" && event.target.closest?.("#sheet .unit") && !typing) {
      event.target.click();
    } else if (held && event.key.toLowerCase() === "z" && !typing) {
      event.preventDefault();
      document.getElementById(event.shiftKey ? "redo" : "undo")?.click();
    }
  });

  // A field that an address names is shown even if it does not matter now, and takes the focus.
  function arrive() {
    const id = decodeURIComponent(location.hash.slice(1));
    const field = id && document.getElementById(id);
    if (!field) return;
    for (let part = field.closest(".idle"); part; part = part.parentElement?.closest(".idle")) part.classList.remove("idle");
    field.focus();
    field.scrollIntoView({ block: "center" });
  }
  addEventListener("hashchange", arrive);
  addEventListener("DOMContentLoaded", arrive);
})();
