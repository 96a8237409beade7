// One drawing into the next: only what is another than before is touched, so that the browser keeps
// what it has laid out and painted of all the rest.

// Strips that can be read closer have a life of their own: such a figure is put in whole.
const lives = (node) => node.nodeType === Node.ELEMENT_NODE && "strip" in node.dataset;

const alike = (old, made) =>
  old.nodeType === made.nodeType && old.nodeName === made.nodeName && !lives(old) && !lives(made);

const patchAttributes = (old, made) => {
  for (const { name, value } of made.attributes) {
    if (old.getAttribute(name) !== value) old.setAttribute(name, value);
  }
  if (old.attributes.length === made.attributes.length) return;
  for (const { name } of [...old.attributes]) if (!made.hasAttribute(name)) old.removeAttribute(name);
};

const patchNode = (old, made) => {
  if (!alike(old, made)) {
    old.replaceWith(made);
  } else if (old.nodeType === Node.ELEMENT_NODE) {
    patchAttributes(old, made);
    patchInside(old, made);
  } else if (old.nodeValue !== made.nodeValue) {
    old.nodeValue = made.nodeValue;
  }
};

const patchInside = (old, made) => {
  let here = old.firstChild;
  let next = made.firstChild;
  while (here && next) {
    const [after, afterNext] = [here.nextSibling, next.nextSibling];
    patchNode(here, next);
    here = after;
    next = afterNext;
  }
  while (next) {
    const afterNext = next.nextSibling;
    old.append(next);
    next = afterNext;
  }
  while (here) {
    const after = here.nextSibling;
    here.remove();
    here = after;
  }
};

// Have `root` hold what `html` says, made and escaped by the workbench.
export const patch = (root, html) => {
  const made = document.createElement("template");
  made.innerHTML = html;
  patchInside(root, made.content);
};
