// What every page of the workbench does: send the token along, copy commands.
const token = document.querySelector('meta[name="token"]').content;

document.addEventListener("htmx:config:request", (event) => {
  event.detail.ctx.request.headers["X-Loftwright-Token"] = token;
});

document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-copy]");
  if (!button) return;
  await navigator.clipboard.writeText(button.dataset.copy);
  button.textContent = "Copied";
});

// Ask the workbench for something; refusals come back as answers too.
export const ask = (path, options = {}) =>
  fetch(path, { ...options, headers: { "X-Loftwright-Token": token, ...options.headers } });
