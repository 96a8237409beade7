// Files on their way: how much has gone, and what became of it. A connection that breaks is said,
// and what was chosen stays chosen, to be sent again.
import { look, notSent, sending } from "./link.js";

const STALLED = 25000; // ms without a byte getting through; the workbench waits for less
const ANSWER = 120000; // ms for an answer once all has gone

const size = (bytes) => (bytes < 1e6 ? `${Math.round(bytes / 1e3)} kB` : `${(bytes / 1e6).toPrecision(bytes < 1e7 ? 2 : 3)} MB`);

const make = (name, attributes, ...inside) => {
  const one = Object.assign(document.createElement(name), attributes);
  one.append(...inside);
  return one;
};

// What is told of one sending, in place of what was told of the one before.
const panelOf = (form, stop) => {
  const bar = make("progress", { max: 1 });
  bar.setAttribute("aria-label", "Sent so far");
  const words = make("p", { className: "small" }, "Sending begins.");
  const button = make("button", { type: "button" }, "Stop sending");
  button.addEventListener("click", stop);
  form.querySelector(".on-its-way")?.remove();
  const panel = make("div", { className: "on-its-way" }, bar, words, button);
  form.append(panel);
  return { panel, bar, words, button };
};

const BROKEN = {
  part: (sent, all) => `Not sent: the connection broke at ${size(sent)} of ${size(all)}. Nothing of it is kept. The files are still chosen: send them again.`,
  whole: () => "All has gone, but no answer came. Load this page again: where it stands under “Not taken in yet” it has arrived, else send it again.",
  stopped: () => "Stopped: nothing of it is kept.",
};

const send = (form, buttons) => {
  const request = new XMLHttpRequest();
  let [sent, all, whole, stopped, timer] = [0, 0, false, false, 0];
  const { panel, bar, words, button } = panelOf(form, () => { stopped = true; request.abort(); });
  const patient = (wait) => { clearTimeout(timer); timer = setTimeout(() => request.abort(), wait); };
  const done = () => {
    clearTimeout(timer);
    sending.count -= 1;
    buttons.forEach((each) => { each.disabled = false; });
    form.classList.remove("sending");
    panel.remove();
  };
  request.upload.addEventListener("progress", (event) => {
    [sent, all] = [event.loaded, event.total];
    bar.value = sent / all;
    words.textContent = `${size(sent)} of ${size(all)}`;
    patient(STALLED);
  });
  request.upload.addEventListener("load", () => {
    whole = true;
    words.textContent = "All has gone. It is being looked at.";
    button.hidden = true;
    patient(ANSWER);
  });
  const broken = () => {
    done();
    notSent(form, BROKEN[stopped ? "stopped" : whole ? "whole" : "part"](sent, all));
    look();
  };
  request.addEventListener("error", broken);
  request.addEventListener("abort", broken);
  request.addEventListener("load", () => { done(); answered(form, request); });
  sending.count += 1;
  buttons.forEach((each) => { each.disabled = true; });
  form.classList.add("sending");
  const body = new FormData(form);
  request.open("POST", form.action);
  request.setRequestHeader("Accept", "text/html");
  patient(STALLED);
  request.send(body);
};

// Where it was taken in the answer is another page; what is wrong is said here, beside what was chosen.
const answered = (form, request) => {
  const place = new URL(request.responseURL);
  if (place.href !== new URL(form.action).href && place.pathname !== "/enter") {
    location.assign(place.href);
    return;
  }
  const page = new DOMParser().parseFromString(request.responseText, "text/html");
  const listed = [...page.querySelectorAll("main .warnings li p:first-child")];
  const wrong = (listed.length ? listed : [...page.querySelectorAll("main > p:not(:has(a))")]).map((each) => each.textContent.trim());
  notSent(form, place.pathname === "/enter" ? "Not sent: the workbench wants a code again." : wrong.join(" "));
  look();
};

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || !form.matches("[data-sends]")) return;
  event.preventDefault();
  send(form, [...form.querySelectorAll("button")]);
});

window.addEventListener("beforeunload", (event) => { if (sending.count) event.preventDefault(); });
