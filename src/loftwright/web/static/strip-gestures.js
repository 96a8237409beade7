// Hands on a strip: keys, mouse, wheel, fingers. Scrolling the page up and down is never taken.
import { setCursor } from "./strip.js";

const DRAG = 6; // px that a hand may tremble

const keys = (strip) => ({
  ArrowRight: (event) => strip.step(event.shiftKey ? 10 : 1),
  ArrowLeft: (event) => strip.step(event.shiftKey ? -10 : -1),
  Home: () => setCursor(strip, strip.snap(strip.span[0]), true),
  End: () => setCursor(strip, strip.snap(strip.span[1]), true),
  PageDown: () => strip.pan(0.8),
  PageUp: () => strip.pan(-0.8),
  "+": () => strip.zoom(2),
  "=": () => strip.zoom(2),
  "-": () => strip.zoom(0.5),
  0: () => strip.all(),
  Escape: () => strip.unmark(),
});

const distance = ([one, other]) => Math.max(Math.abs(one.clientX - other.clientX), 10);

export const addGestures = (strip) => {
  const { stage } = strip;
  const taught = keys(strip);
  const hands = new Map(); // pointers that are down
  let drag = null; // what one hand does
  let pinch = null; // what two do
  // A page that changes beneath a mouse at rest reports a move as well: after a key only a mouse
  // that has really moved takes the cursor.
  let keyed = false;

  stage.addEventListener("keydown", (event) => {
    const does = taught[event.key];
    if (!does || event.ctrlKey || event.metaKey || event.altKey || event.target !== stage) return;
    event.preventDefault();
    keyed = true;
    does(event);
    strip.speak();
  });

  stage.addEventListener("wheel", (event) => {
    if (event.ctrlKey) {
      event.preventDefault();
      strip.zoom(Math.exp(-Math.max(-60, Math.min(60, event.deltaY)) / 120), strip.timeAt(event.clientX));
    } else if (strip.zoomed && Math.abs(event.deltaX) > Math.abs(event.deltaY)) {
      event.preventDefault();
      strip.pan(event.deltaX / stage.clientWidth);
    }
  }, { passive: false });

  const begin = (event) => {
    const touch = event.pointerType === "touch";
    const does = touch ? (strip.zoomed ? "pan" : "read") : event.shiftKey ? "pan" : "mark";
    drag = { does, from: event.clientX, time: strip.timeAt(event.clientX), span: strip.span, moved: false };
  };

  stage.addEventListener("pointerdown", (event) => {
    if (event.pointerType === "mouse" && event.button !== 0) return;
    hands.set(event.pointerId, event);
    if (hands.size === 2) {
      const both = [...hands.values()];
      strip.unmark();
      drag = null;
      pinch = { apart: distance(both), about: strip.timeAt((both[0].clientX + both[1].clientX) / 2), span: strip.span };
    } else if (hands.size === 1) {
      begin(event);
    }
  });

  const pinched = () => {
    const factor = distance([...hands.values()]) / pinch.apart;
    const [low, high] = pinch.span;
    strip.look(pinch.about - (pinch.about - low) / factor, pinch.about + (high - pinch.about) / factor);
  };

  const dragged = (event) => {
    if (!drag.moved && Math.abs(event.clientX - drag.from) < DRAG) return;
    if (!drag.moved) stage.setPointerCapture(event.pointerId);
    drag.moved = true;
    if (drag.does === "pan") {
      stage.classList.add("panning");
      const by = (drag.from - event.clientX) * strip.perPixel;
      const least = strip.whole[0] - drag.span[0];
      const most = strip.whole[1] - drag.span[1];
      const held = Math.min(Math.max(by, least), most);
      strip.look(drag.span[0] + held, drag.span[1] + held);
    } else if (drag.does === "mark") {
      strip.mark(drag.time, strip.timeAt(event.clientX));
    } else {
      read(event);
    }
  };

  const read = (event) => {
    keyed = false;
    const [low, high] = strip.span;
    const time = Math.min(Math.max(strip.timeAt(event.clientX), low), high);
    setCursor(strip, strip.snap(time));
  };

  stage.addEventListener("pointermove", (event) => {
    if (hands.has(event.pointerId)) hands.set(event.pointerId, event);
    if (pinch && hands.size === 2) pinched();
    else if (drag) dragged(event);
    else if (hands.size === 0 && (!keyed || event.movementX || event.movementY)) read(event);
  });

  const end = (event, done) => {
    hands.delete(event.pointerId);
    if (pinch) {
      if (hands.size < 2) pinch = null;
      return;
    }
    if (!drag) return;
    const { does, moved, time } = drag;
    drag = null;
    stage.classList.remove("panning");
    strip.unmark();
    if (!moved) {
      if (done) read(event);
    } else if (does === "mark" && done) {
      const to = strip.timeAt(event.clientX);
      strip.look(Math.min(time, to), Math.max(time, to));
    }
  };
  stage.addEventListener("pointerup", (event) => end(event, true));
  stage.addEventListener("pointercancel", (event) => end(event, false));
};
