// Between the editor and Python: whole revisions go up; a document that comes down is taken
// only when its version is another than the one in hand. The job is kept in the browser as well.

import { Keeping } from "./keeping.js";

/** Ratio of the steps in which the picture's size on the screen is told. */
const COARSE = 1.12;
/** Steps of the last editor on this page: a restarted server makes a new one. */
let left = null;

export class Courier {
  constructor(editor) {
    this.editor = editor;
    this.revision = 0;
    this.keeping = new Keeping(() => editor.say("not_kept"));
    addEventListener("pagehide", () => this.keeping.now(), { signal: editor.ending.signal });
  }

  /** Take what Python sent: a newer document, the forces, the step's ways of showing. */
  async receive(data, tell) {
    const { editor } = this;
    const first = !this.tell;
    this.tell = tell;
    Object.assign(editor, { data, show: data.show, overlay: data.overlay });
    const { document: incoming } = data;
    if (!incoming && first && (await this.#restore(false))) return;
    if (incoming && incoming.version !== this.version) {
      this.version = incoming.version;
      // A new session begins with the sample: after a reload, or when the server was restarted.
      if (incoming.pristine && (await this.#restore(first))) return;
      this.#takeUp(incoming);
    }
    editor.render();
  }

  #takeUp(incoming) {
    const { editor } = this;
    this.revision = incoming.revision;
    const { job, doubts, picture, sheet } = incoming;
    const doc = { job, doubts, picture, sheet };
    // A person who went on while the job came back has the last word.
    const ahead = this.returning && editor.history.now !== this.asked;
    if (incoming.fresh) editor.history.reset(doc);
    else if (!this.returning) editor.history.push(doc, "");
    else if (!ahead) editor.history.now = doc;
    this.returning = false;
    this.restoring = false;
    editor.begin(editor.history.now, incoming.fresh);
    if (ahead) this.sendUp();
    if (incoming.pristine) this.tellSize();
    if (!incoming.pristine) this.#keep();
  }

  /** Give a new session the job in hand, or the one that was kept in this browser. */
  async #restore(first) {
    const { editor, keeping } = this;
    await keeping.now();
    const record = await keeping.latest(!first).catch(() => null);
    if (!record) return false;
    const { doc, picture, step } = record;
    const back = picture && (await keeping.bringBack(picture).catch(() => false));
    editor.history = left ?? editor.history;
    this.returning = !first || left !== null;
    // Until it is back nothing else is told: the page's answer would still be of before.
    this.restoring = true;
    this.asked = editor.history.now;
    if (this.returning) editor.shown = this.asked;
    this.ask({ do: "restore", ...doc, picture: back ? picture : null, step, fresh: !this.returning });
    editor.say("restored");
    return true;
  }

  #keep() {
    const { history, data } = this.editor;
    const { picture, sheet, ...doc } = history.now;
    this.keeping.keep({ doc, picture, step: data.step });
  }

  /** Ask Python for something; a wish has a time, so that the same one can be asked again. */
  ask(wish) {
    this.tell("wish", { at: Date.now(), ...wish });
  }

  /** Send the document as it now is. */
  sendUp() {
    this.revision += 1;
    const { job, doubts, picture } = this.editor.history.now;
    const turn = picture?.turn ?? 0;
    this.tell("edit", { version: this.version, revision: this.revision, job, doubts, turn });
    this.#keep();
  }

  /**
   * Tell how small the picture is shown, in coarse steps, so that values are placed to be read.
   * Closer up it is told anew only where not all values had room.
   */
  tellSize() {
    const { view, overlay, data } = this.editor;
    if (!this.version || this.restoring) return;
    const letter = (view.letter * view.scale) / (overlay?.thinned ? view.scale : view.homeScale);
    const unit = Number((COARSE ** Math.round(Math.log(letter) / Math.log(COARSE))).toFixed(3));
    if (unit !== data.unit) this.tell("size", unit);
  }

  /** Tell what is chosen, in the steps that say more about it beside the picture. */
  tellChosen() {
    const { selected, show } = this.editor;
    const ids = [...selected];
    if (!show.chosen || ids.join() === this.chosen) return;
    this.chosen = ids.join();
    this.tell("chosen", ids);
  }

  end() {
    left = this.editor.history;
    this.keeping.now();
  }
}
