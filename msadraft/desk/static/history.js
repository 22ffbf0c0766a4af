// An edited document: how large it may be, and its differences ticked.
(() => {
  "use strict";
  document.addEventListener("htmx:beforeRequest", (event) => {
    if (event.target.id !== "bring") return;
    const file = document.getElementById("document").files[0];
    if (file && file.size > Number(event.target.dataset.most)) {
      event.preventDefault();
      const said = document.createElement("p");
      said.textContent = "The file is too large; take pictures and other media out of it.";
      document.getElementById("told").replaceChildren(said);
    }
  });
  // A link to a worksheet opens it.
  const open = () => {
    const at = location.hash.startsWith("#sheet-") && document.getElementById(location.hash.slice(1));
    if (at) at.open = true;
  };
  addEventListener("hashchange", open);
  open();

  document.addEventListener("click", (event) => {
    const button = event.target instanceof Element && event.target.closest("button.every");
    if (!button) return;
    for (const box of document.querySelectorAll("#decide input[type=checkbox]")) box.checked = button.dataset.mark === "yes";
  });
})();
