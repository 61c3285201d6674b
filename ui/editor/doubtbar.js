// The bar that walks through the doubts: what is doubtful, and its readings one press away.

import { button } from "./card.js";
import { pixel } from "./document.js";
import { accept, takeReading } from "./doubts.js";

export class Doubtbar {
  constructor(editor, root) {
    this.editor = editor;
    this.root = root;
    this.at = 0;
  }

  get list() {
    return this.editor.show.doubts ? this.editor.doc.doubts : [];
  }

  /** Position of the doubt that is being looked at, or -1. */
  get now() {
    return this.list.length ? Math.min(this.at, this.list.length - 1) : -1;
  }

  update() {
    const doubt = this.list[this.now];
    const signature = doubt ? JSON.stringify([this.now, this.list.length, doubt]) : "";
    if (signature === this.signature) return;
    this.signature = signature;
    this.root.hidden = !doubt;
    if (!doubt) return;
    const { words } = this.editor;
    const say = document.createElement("p");
    const count = document.createElement("b");
    count.textContent = words("doubt_count", { n: this.now + 1, of: this.list.length });
    say.append(count, ` ${doubt.reason}`);
    const others = doubt.alternatives.map((other, i) =>
      button(words("doubt_take", { a: other.reading }), () => this.other(i), i === 0 ? "T" : "", i === 0 ? "other" : ""),
    );
    const right = button(words("doubt_right"), () => this.accept(), "A", "right");
    const next = button(words("doubt_next"), () => this.next(), "D");
    this.root.replaceChildren(say, right, ...others, ...(this.list.length > 1 ? [next] : []));
    this.root.setAttribute("role", "region");
    this.root.setAttribute("aria-label", words("doubts"));
  }

  next() {
    if (!this.list.length) return this.editor.say("no_doubts");
    this.at = (this.now + 1) % this.list.length;
    return this.show();
  }

  /** Bring the doubt into view and read it out. */
  show() {
    const { editor } = this;
    const doubt = this.list[this.now];
    editor.render();
    if (!doubt) return;
    const point = doubt.joints.map((name) => pixel(editor.doc, name)).find(Boolean);
    if (point) editor.view.reveal(point, 110);
    editor.announce(doubt.reason);
  }

  accept() {
    const at = this.now;
    if (at < 0) return this.editor.say("no_doubts");
    this.editor.commit(accept(this.editor.doc, at), "doubt_settled", { n: this.list.length - 1 });
    return this.show();
  }

  other(choice = 0) {
    const at = this.now;
    const doubt = this.list[at];
    if (!doubt?.alternatives[choice]) return this.editor.say("no_other");
    this.editor.choose([]);
    this.editor.commit(takeReading(this.editor.doc, at, choice), "doubt_other", {
      a: doubt.alternatives[choice].reading,
      n: this.list.length - 1,
    });
    return this.show();
  }
}
