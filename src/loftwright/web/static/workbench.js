// What every page of the workbench does: send the token along, copy commands.
const token = document.querySelector('meta[name="token"]').content;

document.addEventListener("htmx:config:request", (event) => {
  event.detail.ctx.request.headers["X-Loftwright-Token"] = token;
});

// A card of work that cannot be asked after says so, rather than go on saying "running".
document.addEventListener("htmx:error", (event) => {
  const card = event.target.closest?.(".work");
  if (!card || card.querySelector(".unanswered")) return;
  const said = document.createElement("p");
  said.className = "bad unanswered";
  said.setAttribute("role", "status");
  said.textContent = "! The workbench does not answer. The work goes on; start the workbench again to see it.";
  card.append(said);
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
