// The pages of pictures. The balance: a press on a button gives the new board in place; dragging a row presses its button.
"use strict";

(() => {
  // One listener for all buttons: tying thousands of them to a form or to htmx makes each swap of the board slow.
  document.addEventListener("click", (event) => {
    const button = event.target.closest?.("button.give");
    if (!button) return;
    const values = { path: button.value, to: button.dataset.to };
    const byKey = button.matches(":focus-visible");
    const source = document.getElementById("work");
    htmx.ajax("POST", "/balance/move", { source, target: "#board", swap: "outerHTML", values }).then(() => {
      if (document.activeElement && document.activeElement !== document.body) return;
      document.querySelector(`.give[value="${CSS.escape(values.path)}"]`)?.focus({ preventScroll: !byKey });
    }, () => undefined);
  });

  let row = null;
  const sideAt = (event) => {
    const side = event.target.closest?.("[data-side]");
    return side && row && side !== row.closest("[data-side]") ? side : null;
  };
  const clear = () => {
    for (const side of document.querySelectorAll(".side.over")) side.classList.remove("over");
  };

  document.addEventListener("dragstart", (event) => {
    row = event.target.closest?.("tr[draggable]") ?? null;
    if (!row) return;
    event.dataTransfer.effectAllowed = "move";
    event.dataTransfer.setData("text/plain", row.querySelector("th a").textContent);
    row.classList.add("dragged");
  });
  document.addEventListener("dragover", (event) => {
    const side = sideAt(event);
    clear();
    if (!side) return;
    event.preventDefault();
    side.classList.add("over");
  });
  document.addEventListener("drop", (event) => {
    const side = sideAt(event);
    clear();
    if (!side) return;
    event.preventDefault();
    row.querySelector(".act .give")?.click();
  });
  document.addEventListener("dragend", () => {
    clear();
    row?.classList.remove("dragged");
    row = null;
  });
})();
