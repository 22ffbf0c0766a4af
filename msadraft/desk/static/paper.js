// The paper by keyboard: it is one stop of the Tab key, and inside it the arrow keys go from paragraph or value to the next.
"use strict";

(() => {
  const STOPS = "#sheet .number, #sheet .whymark, #sheet [data-source]:not([data-source^=figures]), #sheet a[href]";
  const stop = () => document.querySelector("#sheet [data-stop][tabindex='0']");

  function dress() {
    for (const unit of document.querySelectorAll("#sheet .unit")) {
      if (unit.querySelector(".number, .whymark")) continue;
      const mark = Object.assign(document.createElement("span"), { className: "whymark", textContent: "¶" });
      mark.setAttribute("aria-label", "This part");
      unit.prepend(mark);
    }
    for (const one of document.querySelectorAll(STOPS)) {
      if (one.dataset.stop) continue;
      one.dataset.stop = one.matches(".number, .whymark") ? "paragraph" : "value";
      one.tabIndex = -1;
      if (one.tagName === "A") continue;
      one.setAttribute("role", one.dataset.stop === "paragraph" ? "button" : "link");
      one.setAttribute("aria-description", one.dataset.stop === "paragraph" ? "Why it is here" : "Goes to its fact");
    }
    if (!stop()) document.querySelector("#sheet [data-stop]")?.setAttribute("tabindex", "0");
  }
  addEventListener("DOMContentLoaded", dress);
  document.addEventListener("htmx:oobAfterSwap", dress);

  document.addEventListener("focusin", (event) => {
    const one = event.target.closest?.("#sheet [data-stop]");
    if (!one || one.tabIndex === 0) return;
    if (stop()) stop().tabIndex = -1;
    one.tabIndex = 0;
  });

  function walk(from, key) {
    const kind = key === "ArrowDown" || key === "ArrowUp" ? "[data-stop=paragraph]" : "[data-stop]";
    const all = [...document.querySelectorAll(`#sheet ${kind}`)];
    if (key === "Home") return all[0];
    if (key === "End") return all.at(-1);
    const back = key === "ArrowUp" || key === "ArrowLeft";
    const wanted = back ? Node.DOCUMENT_POSITION_PRECEDING : Node.DOCUMENT_POSITION_FOLLOWING;
    const there = all.filter((one) => one !== from && from.compareDocumentPosition(one) & wanted);
    return back ? there.at(-1) : there[0];
  }

  document.addEventListener("keydown", (event) => {
    const from = event.target.closest?.("#sheet [data-stop]");
    if (!from || event.ctrlKey || event.metaKey || event.altKey || event.shiftKey) return;
    if (/^(Arrow(Up|Down|Left|Right)|Home|End)$/.test(event.key)) {
      event.preventDefault();
      const to = walk(from, event.key);
      to?.focus();
      to?.scrollIntoView({ block: "nearest" });
    } else if (from.tagName !== "A" && (event.key === "Enter" || event.key === " ")) {
      event.preventDefault();
      from.click();
    }
  });

  document.addEventListener("click", (event) => {
    if (!event.target.closest("a.skip[href='#sheet']")) return;
    event.preventDefault();
    stop()?.focus();
  });
})();
