// What every page of the workbench does: send the token along, copy commands.
const token = document.querySelector('meta[name="token"]').content;

document.addEventListener("htmx:config:request", (event) => {
  event.detail.ctx.request.headers["X-Loftwright-Token"] = token;
});

document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-copy]");
  if (!button) return;
  button.textContent = (await copied(button.dataset.copy)) ? "Copied" : "Copy it by hand";
});

// Browsers let only pages of the machine itself write to the clipboard; from the network, what is
// marked is copied.
const copied = async (words) => {
  try {
    await navigator.clipboard.writeText(words);
    return true;
  } catch {
    const field = Object.assign(document.createElement("textarea"), { value: words });
    document.body.append(field);
    field.select();
    const done = document.execCommand("copy");
    field.remove();
    return done;
  }
};

// Ask the workbench for something; refusals come back as answers too.
export const ask = (path, options = {}) =>
  fetch(path, { ...options, headers: { "X-Loftwright-Token": token, ...options.headers } });
