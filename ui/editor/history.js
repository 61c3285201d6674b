// Undo and redo without limit. Documents share what did not change, so a step costs little.

export class History {
  constructor(doc) {
    this.reset(doc);
  }

  reset(doc) {
    this.past = [];
    this.future = [];
    this.now = doc;
  }

  /** Take a step; `said` names it for the announcement when it is undone. */
  push(doc, said = "") {
    if (doc === this.now) return false;
    this.past.push({ doc: this.now, said });
    this.future = [];
    this.now = doc;
    return true;
  }

  undo() {
    return this.#move(this.past, this.future);
  }

  redo() {
    return this.#move(this.future, this.past);
  }

  #move(from, to) {
    const step = from.pop();
    if (!step) return null;
    to.push({ doc: this.now, said: step.said });
    this.now = step.doc;
    return step.said;
  }
}
