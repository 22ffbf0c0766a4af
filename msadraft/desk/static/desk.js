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
      return htmx.ajax("POST", "/put", { source: field, swap: "none", values: told(field, value, before) })
        .catch(() => undefined); // what went wrong is said where the answer is looked at
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
    if (event.target.closest("#close-why")) { closeWhy(); return; }
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
    }).then(() => { box.hidden = false; box.focus(); box.scrollIntoView({ block: "nearest" }); }, () => undefined);
  }

  function closeWhy() {
    const box = document.getElementById("why");
    const inside = box.contains(document.activeElement);
    box.hidden = true;
    if (inside) document.querySelector("#sheet [data-stop][tabindex='0']")?.focus();
  }

  document.addEventListener("keydown", (event) => {
    const held = event.ctrlKey || event.metaKey;
    const typing = event.target.matches?.("input, textarea, select");
    if (event.key === "Escape" && document.getElementById("why")?.contains(event.target)) {
      closeWhy();
    } else if (held && event.key.toLowerCase() === "z" && !typing) {
      event.preventDefault();
      document.getElementById(event.shiftKey ? "redo" : "undo")?.click();
    }
  });

  // Undo shows the same page anew: it keeps the place in it, and says what was undone.
  document.addEventListener("htmx:beforeRequest", (event) => {
    if (!["undo", "redo"].includes(event.target.id)) return;
    const place = {
      page: location.pathname, y: scrollY, paper: document.querySelector(".papers")?.scrollTop ?? 0, button: event.target.id,
      every: Boolean(document.querySelector("#form.every")),
    };
    sessionStorage.setItem("place", JSON.stringify(place));
  });
  addEventListener("DOMContentLoaded", () => {
    const place = JSON.parse(sessionStorage.getItem("place") ?? "null");
    sessionStorage.removeItem("place");
    if (place?.page !== location.pathname) return;
    if (place.every) document.getElementById("show-all")?.click();
    document.querySelector(".papers")?.scrollTo(0, place.paper);
    scrollTo(0, place.y);
    const button = document.getElementById(place.button);
    (button.disabled ? document.getElementById(place.button === "undo" ? "redo" : "undo") : button).focus({ preventScroll: true });
    // A screen reader speaks only what comes into the place of messages after the page is there.
    const told = document.getElementById("told");
    const said = [...told.childNodes];
    told.replaceChildren();
    setTimeout(() => told.replaceChildren(...said), 100);
  });

  // The columns stick below the top of the page, which grows with what it has to say.
  addEventListener("DOMContentLoaded", () => {
    const top = document.querySelector("header.top");
    new ResizeObserver(() => {
      const height = getComputedStyle(top).position === "sticky" ? top.offsetHeight : 0;
      document.documentElement.style.setProperty("--top", `${height}px`);
    }).observe(top);
  });

  // What could not be done is said, whoever asked for it. A field says it by itself.
  function say(text) {
    document.getElementById("told").replaceChildren(Object.assign(document.createElement("p"), { textContent: text }));
  }
  document.addEventListener("htmx:sendError", (event) => {
    if (!event.target.matches?.("[data-fact].field")) say("Not done: the desk does not answer. Nothing was changed.");
  });
  document.addEventListener("htmx:responseError", (event) => {
    const answer = event.detail.xhr;
    const plain = answer.getResponseHeader("content-type")?.startsWith("text/plain") && answer.responseText;
    if (!event.target.matches?.("[data-fact].field")) say(plain || "Not done: the desk could not do this. Nothing was changed.");
  });

  // A file is dropped on its place, as if it had been chosen there.
  const files = (event) => event.dataTransfer?.types.includes("Files");
  const placeOf = (event) => event.target.closest?.(".drop");
  for (const kind of ["dragover", "drop", "dragleave"]) {
    document.addEventListener(kind, (event) => {
      if (!files(event)) return;
      event.preventDefault(); // a file that misses its place would take that of the page
      for (const one of document.querySelectorAll(".drop.over")) one.classList.remove("over");
      const drop = placeOf(event);
      if (kind === "dragover" && drop) drop.classList.add("over");
      if (kind !== "drop" || !drop || !event.dataTransfer.files.length) return;
      const given = new DataTransfer();
      given.items.add(event.dataTransfer.files[0]);
      const input = drop.querySelector("input[type=file]");
      input.files = given.files;
      input.dispatchEvent(new Event("change", { bubbles: true }));
      if (drop.dataset.send) input.form.requestSubmit();
    });
  }

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
