// Debriefs: files dropped onto a page, and a chosen cause put into words that can be changed.

for (const form of document.querySelectorAll("[data-drop]")) {
  const input = form.querySelector("input[type=file]");
  const over = (event) => {
    if (![...(event.dataTransfer?.types ?? [])].includes("Files")) return;
    event.preventDefault();
    form.classList.add("over");
  };
  form.addEventListener("dragenter", over);
  form.addEventListener("dragover", over);
  form.addEventListener("dragleave", () => form.classList.remove("over"));
  form.addEventListener("drop", (event) => {
    event.preventDefault();
    form.classList.remove("over");
    if (!event.dataTransfer.files.length) return;
    input.files = event.dataTransfer.files;
    form.requestSubmit();
  });
}

for (const form of document.querySelectorAll("[data-keep]")) {
  const words = form.querySelector("textarea");
  form.addEventListener("change", (event) => {
    const cause = event.target.closest("input[name=cause]");
    if (!cause) return;
    words.value = cause.dataset.words;
    form.elements.sure.value = cause.dataset.sure;
    form.elements.unsettled.checked = cause.dataset.words !== "";
  });
}

// A file dropped beside the zone must not take the place of the page.
for (const kind of ["dragover", "drop"]) {
  document.addEventListener(kind, (event) => {
    if (!event.target.closest?.("[data-drop]")) event.preventDefault();
  });
}
