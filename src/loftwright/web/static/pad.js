// The list on the pad: ticks outlast a reload of the page, in this tab and of exactly this list.
// What was ticked of another list, for another flight or on another day never comes back.
import { inTab } from "./kept.js";

const list = document.getElementById("pad").dataset.list;
const boxes = [...document.querySelectorAll("#pad .pad-list input")];
const [count, kept, clear] = ["ticked", "ticks-kept", "clear-ticks"].map((id) => document.getElementById(id));
const KEY = "ticks on the pad";
let cleared = null; // what a clearing took away, until something is ticked again

const ticked = () => boxes.flatMap((box, place) => (box.checked ? [place] : []));

const keep = () => inTab.write(KEY, { list, ticked: ticked() });

const tell = (isAnother = false) => {
  const many = ticked().length;
  count.textContent = `${many} of ${boxes.length} ticked`;
  kept.textContent = keep()
    ? "Ticks are kept in this tab only, for this list, this flight and this day."
    : "This browser keeps no ticks: they go when the page is loaded again.";
  if (isAnother) kept.textContent += " What you ticked before was of another list, flight or day.";
  clear.textContent = cleared ? "Put the ticks back" : "Clear all ticks";
  clear.hidden = !many && !cleared;
};

const put = (places) => boxes.forEach((box, place) => (box.checked = places.includes(place)));

const show = () => {
  const before = inTab.read(KEY);
  const places = Array.isArray(before?.ticked) ? before.ticked : [];
  const isSame = before?.list === list;
  put(isSame ? places : []);
  tell(!isSame && places.length > 0);
};

document.getElementById("pad").addEventListener("change", () => {
  cleared = null;
  tell();
});
clear.addEventListener("click", () => {
  const back = cleared;
  cleared = back ? null : ticked();
  put(back ?? []);
  tell();
});
// A page that the browser had laid aside may be older than what was ticked since.
window.addEventListener("pageshow", (event) => event.persisted && show());
show();
