// Nothing is lost: the job and its picture are kept in this browser.
//
// Each tab keeps its own record, so that two tabs never write over each other. A new tab takes
// up the newest record as a copy of its own.

const BASE = "inkstrut";
const MOST = 12;

function request(made) {
  return new Promise((resolve, reject) => {
    made.onsuccess = () => resolve(made.result);
    made.onerror = () => reject(made.error);
  });
}

async function open() {
  const opening = indexedDB.open(BASE, 1);
  opening.onupgradeneeded = () => {
    opening.result.createObjectStore("jobs", { keyPath: "id" });
    opening.result.createObjectStore("pictures", { keyPath: "sha256" });
  };
  return request(opening);
}

function ownId() {
  const kept = sessionStorage.getItem(BASE);
  if (kept) return kept;
  const id = Array.from(crypto.getRandomValues(new Uint8Array(9)), (b) => b.toString(36)).join("");
  sessionStorage.setItem(BASE, id);
  return id;
}

export class Keeping {
  constructor(onTrouble) {
    this.onTrouble = onTrouble;
    this.id = ownId();
    this.ready = open();
    this.ready.catch(onTrouble);
  }

  async #store(name, mode = "readonly") {
    const base = await this.ready;
    return base.transaction(name, mode).objectStore(name);
  }

  /** The record of this tab; without one, unless only `own` will do, the newest of all. */
  async latest(own) {
    const all = await request((await this.#store("jobs")).getAll());
    const mine = all.find((r) => r.id === this.id);
    return mine ?? (own ? null : all.sort((a, b) => b.saved - a.saved)[0]) ?? null;
  }

  /** Keep the document soon; calls in quick succession are kept once. */
  keep(record) {
    this.waiting = { ...record, id: this.id, saved: Date.now() };
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.now(), 250);
  }

  async now() {
    clearTimeout(this.timer);
    const record = this.waiting;
    if (!record) return;
    this.waiting = null;
    try {
      await request((await this.#store("jobs", "readwrite")).put(record));
      await this.#keepPicture(record.picture);
    } catch (error) {
      this.onTrouble(error);
    }
  }

  async #keepPicture(picture) {
    if (!picture || this.kept === picture.sha256) return;
    if (!(await request((await this.#store("pictures")).getKey(picture.sha256)))) {
      const answer = await fetch(picture.original);
      if (!answer.ok) return;
      const blob = await answer.blob();
      await request((await this.#store("pictures", "readwrite")).put({ sha256: picture.sha256, blob }));
    }
    this.kept = picture.sha256;
    await this.#tidy();
  }

  /** Keep the newest records and only the pictures that they use. */
  async #tidy() {
    const all = (await request((await this.#store("jobs")).getAll())).sort((a, b) => b.saved - a.saved);
    const used = new Set(all.slice(0, MOST).map((r) => r.picture?.sha256));
    const jobs = await this.#store("jobs", "readwrite");
    all.slice(MOST).forEach((r) => jobs.delete(r.id));
    const pictures = await this.#store("pictures", "readwrite");
    for (const key of await request(pictures.getAllKeys())) if (!used.has(key)) pictures.delete(key);
  }

  /** Give the server a picture that it no longer has. */
  async bringBack(picture) {
    const there = await fetch(picture.original, { method: "HEAD" });
    if (there.ok) return true;
    const kept = await request((await this.#store("pictures")).get(picture.sha256));
    if (!kept) return false;
    const answer = await fetch(new URL("picture?back=1", document.baseURI), {
      method: "POST",
      headers: { "X-Picture-Name": encodeURIComponent(picture.name) },
      body: kept.blob,
    });
    return answer.ok;
  }

  async forget() {
    clearTimeout(this.timer);
    this.waiting = null;
    (await this.#store("jobs", "readwrite")).delete(this.id);
  }
}
