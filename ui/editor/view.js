// Where the picture lies in the window: zoom, pan and turn. One transform for everything.

const FURTHEST = 12;
/** Room around the truss for arrows, their values and the controls, in screen pixels. */
const ROOM = { side: 106, top: 128, bottom: 104 };

export class View {
  constructor(onChange) {
    this.onChange = onChange;
    this.window = [1, 1];
    this.picture = [1, 1];
    this.turn = 0;
    this.scale = 1;
    this.shift = [0, 0];
    this.fitted = false;
    this.atHome = true;
    this.homeScale = 1;
    /** Height of what covers the top of the window. */
    this.covered = 0;
  }

  /** Scale at which the whole picture just fits the window. */
  get fitScale() {
    const sideways = this.turn % 180 !== 0;
    const [w, h] = sideways ? [this.picture[1], this.picture[0]] : this.picture;
    return Math.min(this.window[0] / w, this.window[1] / h);
  }

  /** Length in picture pixels of one pixel on the screen. */
  get unit() {
    return 1 / this.scale;
  }

  /** Whether the window is as narrow as a phone's. */
  get narrow() {
    return this.window[0] < 560;
  }

  /** Picture pixels in one pixel of a sign at a joint; signs are smaller on a phone. */
  get sign() {
    return this.unit * (this.narrow ? 0.8 : 1);
  }

  /** Picture pixels in one pixel of the writing of values. */
  get letter() {
    return this.unit * (this.narrow ? 0.86 : 1);
  }

  resize(width, height) {
    this.window = [width, height];
    if (this.atHome) this.goHome();
    else if (this.fitted) this.fit();
    else this.#changed();
  }

  /** Take a picture of this size; true if it is another size, so that the view must begin anew. */
  show(width, height) {
    if (this.picture[0] === width && this.picture[1] === height) return false;
    this.picture = [width, height];
    this.turn = 0;
    return true;
  }

  /** The whole picture. */
  fit() {
    this.centre([this.picture[0] / 2, this.picture[1] / 2], this.fitScale);
    this.fitted = true;
  }

  /** The truss with room for its arrows, where it is small in the picture; else the picture. */
  goHome() {
    const box = this.box?.();
    const scale = box ? Math.min(this.#scaleOf(box), this.fitScale * 4) : 0;
    if (scale > this.fitScale * 1.04) {
      this.centre([(box[0] + box[2]) / 2, (box[1] + box[3]) / 2], scale);
      const [, top, bottom] = this.#room;
      this.panBy(0, (top - bottom) / 2);
    } else this.fit();
    this.homeScale = this.scale;
    this.atHome = true;
  }

  /** Room at the sides, above and below, in pixels of this window. */
  get #room() {
    const share = this.narrow ? 0.62 : 1;
    return [ROOM.side * (this.narrow ? 0.5 : 1), ROOM.top * share + this.covered, ROOM.bottom * share];
  }

  #scaleOf([x0, y0, x1, y1]) {
    const sideways = this.turn % 180 !== 0;
    const [w, h] = sideways ? [y1 - y0, x1 - x0] : [x1 - x0, y1 - y0];
    const [side, top, bottom] = this.#room;
    const width = Math.max(this.window[0] * 0.4, this.window[0] - 2 * side);
    const height = Math.max(this.window[1] * 0.4, this.window[1] - top - bottom);
    return Math.min(width / (w || 1), height / (h || 1));
  }

  /** Bring a picture point to the middle of the window. */
  centre(point, scale = this.scale) {
    this.scale = scale;
    this.shift = [0, 0];
    const [x, y] = this.toWindow(point);
    this.shift = [this.window[0] / 2 - x, this.window[1] / 2 - y];
    this.#left();
    this.#changed();
  }

  /** Bring a point into view without moving more than needed. */
  reveal(point, margin = 70) {
    const [x, y] = this.toWindow(point);
    const off = (v, size) => Math.min(0, v - margin) + Math.max(0, v - (size - margin));
    this.panBy(-off(x, this.window[0]), -off(y, this.window[1]));
  }

  panBy(dx, dy) {
    if (!dx && !dy) return;
    this.shift = [this.shift[0] + dx, this.shift[1] + dy];
    this.#left();
    this.#changed();
  }

  zoomAt(at, factor) {
    const fit = this.fitScale;
    const scale = Math.min(FURTHEST * fit, Math.max(fit * 0.5, this.scale * factor));
    const ratio = scale / this.scale;
    this.shift = this.shift.map((v, i) => at[i] + (v - at[i]) * ratio);
    this.scale = scale;
    this.#left();
    this.#changed();
  }

  /** Turn the picture's view by a quarter; the document does not change. */
  quarter() {
    this.turn = (this.turn + 90) % 360;
    this.goHome();
  }

  #left() {
    this.fitted = false;
    this.atHome = false;
  }

  #axes() {
    const angle = (this.turn * Math.PI) / 180;
    return [Math.cos(angle) * this.scale, Math.sin(angle) * this.scale];
  }

  toWindow([x, y]) {
    const [c, s] = this.#axes();
    return [c * x - s * y + this.shift[0], s * x + c * y + this.shift[1]];
  }

  toPicture([u, v]) {
    const [c, s] = this.#axes();
    const [du, dv] = [u - this.shift[0], v - this.shift[1]];
    const square = this.scale * this.scale;
    return [(c * du + s * dv) / square, (c * dv - s * du) / square];
  }

  /** A move on the screen as a move in the picture. */
  moveInPicture([dx, dy]) {
    const [a, b] = [this.toPicture([0, 0]), this.toPicture([dx, dy])];
    return [b[0] - a[0], b[1] - a[1]];
  }

  get matrix() {
    const [c, s] = this.#axes();
    return `matrix(${c} ${s} ${-s} ${c} ${this.shift[0]} ${this.shift[1]})`;
  }

  #changed() {
    this.onChange(this);
  }
}
