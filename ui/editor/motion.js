// An unstable truss shows how it moves: swinging, or still with arrows for those who ask
// for less motion.

import { el, line, set } from "./svg.js";
import { arrow } from "./symbols.js";
import { pixel } from "./document.js";

const PERIOD = 2600;

export class Motion {
  constructor(layer) {
    this.layer = layer;
    this.calm = matchMedia("(prefers-reduced-motion: reduce)");
  }

  /** @param moves picture vector by joint name, or null for a truss that stands. */
  update(doc, moves) {
    if (moves === this.moves && (!moves || doc === this.doc)) return;
    Object.assign(this, { moves, doc });
    cancelAnimationFrame(this.frame);
    this.layer.replaceChildren();
    if (!moves) return;
    this.lines = doc.job.members
      .map((m) => ({ a: m.a, b: m.b, p: pixel(doc, m.a), q: pixel(doc, m.b) }))
      .filter((e) => e.p && e.q && (moves[e.a] || moves[e.b]))
      .map((e) => ({ ...e, node: this.layer.appendChild(line("ghost", e.p, e.q)) }));
    if (this.calm.matches) this.#still(doc);
    else this.#swing(performance.now());
  }

  #pose(share) {
    const shifted = ([x, y], name) => {
      const [dx, dy] = this.moves[name] ?? [0, 0];
      return [x + dx * share, y + dy * share];
    };
    for (const { a, b, p, q, node } of this.lines) {
      const [[x1, y1], [x2, y2]] = [shifted(p, a), shifted(q, b)];
      set(node, { x1, y1, x2, y2 });
    }
  }

  #swing(start) {
    const step = (now) => {
      if (!this.layer.isConnected) return;
      this.#pose(Math.sin(((now - start) / PERIOD) * 2 * Math.PI));
      this.frame = requestAnimationFrame(step);
    };
    this.frame = requestAnimationFrame(step);
  }

  #still(doc) {
    this.#pose(1);
    const signs = Object.entries(this.moves)
      .filter(([name, [dx, dy]]) => pixel(doc, name) && Math.hypot(dx, dy) > 1)
      .map(([name, [dx, dy]]) => {
        const [x, y] = pixel(doc, name);
        return arrow("moves", [x, y], [x + dx, y + dy], Math.hypot(dx, dy) * 0.3);
      });
    this.layer.append(el("g", {}, ...signs));
  }
}
