// A person's own picture: chosen, photographed, dropped on the window, or pasted.

export class Bring {
  constructor(editor, find) {
    this.editor = editor;
    this.label = find(".bring");
    this.input = this.label.querySelector("input");
    this.label.querySelector("span").textContent = editor.words("bring");
    const { signal } = editor.ending;
    const root = find(".editor");
    this.input.addEventListener("change", () => this.take(this.input.files[0]), { signal });
    root.addEventListener("dragover", (event) => event.preventDefault(), { signal });
    root.addEventListener(
      "drop",
      (event) => {
        event.preventDefault();
        this.take(event.dataTransfer.files[0]);
      },
      { signal },
    );
    root.addEventListener("paste", (event) => this.take(event.clipboardData.files[0]), { signal });
  }

  /** Hand the picture to the server and ask for it to be read; the job in hand stays until then. */
  async take(file) {
    if (!file) return;
    const { editor } = this;
    editor.say("bringing");
    this.label.classList.add("busy");
    try {
      const answer = await fetch(new URL("picture", document.baseURI), {
        method: "POST",
        headers: { "X-Picture-Name": encodeURIComponent(file.name || "picture") },
        body: file,
      });
      if (answer.ok) editor.ask({ do: "read", ...(await answer.json()) });
      else editor.announce((await answer.text()) || editor.words("not_brought"));
    } catch {
      editor.say("not_brought");
    } finally {
      this.input.value = "";
      this.label.classList.remove("busy");
    }
  }

  update() {
    this.label.hidden = this.editor.data.step !== "picture";
  }
}
