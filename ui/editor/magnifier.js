// A lens above the fingertip that shows what the finger covers.

import { el, set } from "./svg.js";

const SIZE = 132;
const POWER = 2;
const ABOVE = 96;

export class Magnifier {
  constructor(editor, canvas) {
    this.editor = editor;
    this.lens = canvas.parentNode.querySelector(".lens");
    const svg = this.lens.querySelector("svg");
    const half = SIZE / 2;
    const cross = `M${half} ${half - 12} V${half + 12} M${half - 12} ${half} H${half + 12}`;
    this.copy = el("use", { href: "#inkstrut-scene" });
    svg.replaceChildren(this.copy, el("path", { class: "cross", d: cross }));
  }

  show([x, y]) {
    const [width] = this.editor.view.window;
    const left = Math.min(width - SIZE - 4, Math.max(4, x - SIZE / 2));
    const above = y - ABOVE - SIZE / 2;
    const top = above > 4 ? above : y + ABOVE - SIZE / 2;
    this.lens.style.transform = `translate(${left}px, ${top}px)`;
    this.lens.hidden = false;
    set(this.copy, {
      transform: `translate(${SIZE / 2 - x * POWER} ${SIZE / 2 - y * POWER}) scale(${POWER})`,
    });
  }

  hide() {
    this.lens.hidden = true;
  }
}
