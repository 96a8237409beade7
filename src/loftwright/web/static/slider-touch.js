// Fingers on sliders: one that scrolls the page, or stops it, changes no value on its way. A slider
// follows a finger that moves along it, and a tap while the page is at rest.
const ALONG = 8; // px along a slider before it follows
const REST = 300; // ms that the page has been at rest when a tap counts
let held = null;
let scrolled = -Infinity;

document.addEventListener("scroll", () => { scrolled = performance.now(); }, { capture: true, passive: true });

const giveBack = ({ slider, value }) => { slider.value = value; };

export const addTouch = (sliders) => {
  sliders.addEventListener("pointerdown", (event) => {
    if (event.pointerType !== "touch" || event.target.type !== "range") return;
    const rests = performance.now() - scrolled > REST;
    held = { slider: event.target, value: event.target.value, x: event.clientX, y: event.clientY, rests, follows: false };
  }, true);

  sliders.addEventListener("pointermove", (event) => {
    if (!held || held.follows) return;
    const [along, across] = [Math.abs(event.clientX - held.x), Math.abs(event.clientY - held.y)];
    if (across > ALONG) held.rests = false;
    if (along > ALONG && along > across) held.follows = true;
  }, true);

  // Before anything is asked about the value: it is not meant yet.
  for (const kind of ["input", "change"]) {
    sliders.addEventListener(kind, (event) => {
      if (!held || held.follows || event.target !== held.slider) return;
      if (event.target.value !== held.value) held.wanted = event.target.value;
      giveBack(held);
      event.stopImmediatePropagation();
    }, true);
  }

  const lifted = (event) => {
    if (!held || event.pointerType !== "touch") return;
    const finger = held;
    const { slider, value, wanted, rests, follows } = finger;
    if (event.type === "pointercancel" && follows) {
      // The page took the finger over after all.
      slider.value = value;
      held = null;
      slider.dispatchEvent(new Event("input", { bubbles: true }));
      return;
    }
    const tapped = event.type === "pointerup" && !follows && rests && wanted !== undefined;
    // What the browser still says of this finger comes before the next task.
    setTimeout(() => {
      if (held === finger) held = null; // another may be down by then
      slider.value = tapped ? wanted : slider.value;
      if (tapped) slider.dispatchEvent(new Event("input", { bubbles: true }));
    });
  };
  document.addEventListener("pointerup", lifted, true);
  document.addEventListener("pointercancel", lifted, true);
};
