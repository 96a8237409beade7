// What every page of the workbench does: send the token along, copy commands.
let token = document.querySelector('meta[name="token"]').content;

// A workbench that was started anew has another token; what stands on the page is still good.
export const renew = (now) => {
  if (now === token) return;
  token = now;
  for (const field of document.querySelectorAll('input[name="token"]')) field.value = now;
};

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

// Put an answer into its place. What is the same is left alone: it keeps its focus, and is not read
// out again.
export const put = (place, html) => {
  const fresh = document.createElement("template");
  fresh.innerHTML = html;
  if (place.innerHTML !== fresh.innerHTML) place.replaceChildren(fresh.content);
};
