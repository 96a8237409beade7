// Whether the workbench answers. In a field the network goes and comes: a page that stays open says
// how old it is, and no form is sent into nothing, where what was typed would be lost with it.
import { ask, renew } from "./workbench.js";

const EVERY = 15000; // ms between two questions while the page is looked at
const SOON = 4000; // ms to the next one where no answer came
const PATIENCE = 8000; // ms that an answer may take: a field's network is slow
const loaded = new Date();
const answers = new Set(); // forms that were asked for, and wait for an answer
const passing = new WeakSet(); // forms that may go
let since = null; // when it did not answer first
let timer = 0;

const clock = (moment) => moment.toTimeString().slice(0, 5);

// "here"; "stranger": it answers, but does not let this device in any more; "gone".
const found = async () => {
  try {
    const said = await ask("/link", { signal: AbortSignal.timeout(PATIENCE) });
    if (said.ok) renew((await said.json()).token);
    return said.status === 403 ? "stranger" : "here";
  } catch {
    return "gone";
  }
};

const WHY = {
  gone: () => `The workbench does not answer since ${clock(since)}.`,
  stranger: () => "The workbench was started anew, or has sent this device away: it wants a code again.",
};

const tell = (how) => {
  const old = document.getElementById("link-lost");
  if (how === "here") {
    since = null;
    old?.remove();
    return;
  }
  since ??= new Date();
  const bar = old ?? Object.assign(document.createElement("p"), { id: "link-lost" });
  const words = `! ${WHY[how]()} This page is as it was at ${clock(loaded)}.`;
  if (bar.firstChild?.textContent === words) return;
  bar.setAttribute("role", "status");
  bar.replaceChildren(words);
  if (how === "stranger") bar.append(" ", codePage());
  if (!old) document.body.prepend(bar);
};

// Beside this page, so that what stands here stays.
const codePage = () =>
  Object.assign(document.createElement("a"), { href: "/enter", target: "_blank", rel: "noopener", textContent: "Type the code" });

// How many files are on their way: they fill a weak network, and tell themselves whether it holds.
export const sending = { count: 0 };

// Ask now, say what came of it, and ask again while the page is looked at.
export const look = async () => {
  clearTimeout(timer);
  const how = sending.count ? "here" : await found();
  tell(how);
  clearTimeout(timer);
  if (!document.hidden) timer = setTimeout(look, how === "here" ? EVERY : SOON);
  return how;
};

// Below what was pressed, until it is pressed again.
export const notSent = (form, words) => {
  form.querySelector(".not-sent")?.remove();
  if (!words) return;
  const said = Object.assign(document.createElement("p"), { className: "wrong not-sent", textContent: `! ${words}` });
  said.setAttribute("role", "alert");
  (form.querySelector(".save-bar") ?? form).append(said);
  said.scrollIntoView({ block: "nearest" });
};

// What goes wrong on the way is told by the page, for as long as the page is there to do so.
const guard = async (form, button) => {
  answers.add(form);
  notSent(form, "");
  button?.setAttribute("aria-busy", "true");
  const how = await look();
  button?.removeAttribute("aria-busy");
  answers.delete(form);
  if (how !== "here") {
    const then = how === "gone" ? "once the workbench answers" : "once the code is typed";
    notSent(form, `Not sent, and nothing was written. What stands here stays: press again ${then}.`);
    return;
  }
  if (!form.isConnected) return;
  passing.add(form);
  form.requestSubmit(button?.isConnected ? button : null);
  passing.delete(form);
};

window.addEventListener("submit", (event) => {
  const form = event.target;
  // Parts that refresh themselves may be other ones when the answer comes; nothing is typed there.
  if (form.method !== "post" || passing.has(form) || form.closest("[hx-get]")) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  if (!answers.has(form)) guard(form, event.submitter);
}, true);

document.addEventListener("visibilitychange", () => { if (!document.hidden) look(); });
window.addEventListener("online", look);
window.addEventListener("offline", look);
timer = setTimeout(look, EVERY);
