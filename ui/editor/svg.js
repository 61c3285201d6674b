// A few lines to make SVG elements with.

const NS = "http://www.w3.org/2000/svg";

export function el(name, attributes = {}, ...children) {
  const node = document.createElementNS(NS, name);
  set(node, attributes);
  node.append(...children);
  return node;
}

export function set(node, attributes) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined) node.removeAttribute(name);
    else node.setAttribute(name, value);
  }
  return node;
}

/** Put a symbol at a picture point; it keeps its size on the screen through --k. */
export function place(node, [x, y]) {
  node.style.transform = `translate(${x}px, ${y}px) scale(var(--k))`;
  return node;
}

export const line = (cls, [x1, y1], [x2, y2]) => el("line", { class: cls, x1, y1, x2, y2 });

export function text(cls, words, [x, y], anchor = "middle") {
  const node = el("text", { class: cls, x, y, "text-anchor": anchor, "dominant-baseline": "central" });
  node.textContent = words;
  return node;
}
