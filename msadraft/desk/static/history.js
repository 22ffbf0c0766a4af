// An edited document: dropped or chosen, and its differences ticked.
(() => {
  "use strict";
  const area = (event) => event.target instanceof Element && event.target.closest("#drop");
  const say = (text) => {
    const told = document.getElementById("told");
    told.replaceChildren(Object.assign(document.createElement("p"), { textContent: text }));
  };

  for (const kind of ["dragover", "drop"]) {
    document.addEventListener(kind, (event) => {
      // A file that misses the area would take the page's place.
      event.preventDefault();
      const drop = area(event);
      document.getElementById("drop")?.classList.toggle("over", kind === "dragover" && Boolean(drop));
      if (kind !== "drop" || !drop || !event.dataTransfer.files.length) return;
      const given = new DataTransfer();
      given.items.add(event.dataTransfer.files[0]);
      const input = document.getElementById("document");
      input.files = given.files;
      input.form.requestSubmit();
    });
  }
  document.addEventListener("dragleave", (event) => {
    if (area(event)) area(event).classList.remove("over");
  });

  document.addEventListener("htmx:beforeRequest", (event) => {
    if (event.target.id !== "bring") return;
    const file = document.getElementById("document").files[0];
    if (file && file.size > Number(event.target.dataset.most)) {
      event.preventDefault();
      say("The file is too large; take pictures and other media out of it.");
    }
  });
  document.addEventListener("htmx:responseError", (event) => {
    const answer = event.detail.xhr;
    if (event.target.id === "bring") say(answer.status === 413 ? answer.responseText : "The document could not be read. Nothing was written.");
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
