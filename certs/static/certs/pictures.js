// Photos in a form that this phone keeps: made small, as JPEG without any data about them, and held as blobs.

const phone = document.querySelector("[data-phone]");
const store = await import(phone.dataset.moduleStore);
const queue = await import(phone.dataset.moduleQueue);
const says = phone.querySelector("[data-words]").dataset;

const LONGEST = 1600;
const QUALITY = 0.85;
const MOST = 12;

async function shrink(file) {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  const scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
  const canvas = queue.make("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
  if (blob?.type !== "image/jpeg") throw new Error("no JPEG");
  return blob;
}

export class Pictures {
  constructor(form, inputs) {
    this.form = form;
    this.lists = new Map();
    for (const input of inputs) this.take(input);
  }

  take(input) {
    const list = queue.make("ul", { class: "list", "data-photos": input.name });
    input.after(list);
    this.lists.set(input.name, list);
    input.addEventListener("change", async () => {
      const files = [...input.files];
      input.value = "";
      // One after the other, and a record waits for its own.
      for (const file of files) this.drawing = (this.drawing ?? Promise.resolve()).then(() => this.add(input.name, file));
    });
  }

  async add(field, file) {
    const list = this.lists.get(field);
    if (list.querySelectorAll("img").length >= MOST) return this.wrong(list, says.photosSays);
    this.form.state("", "");
    let blob;
    try {
      blob = await shrink(file);
    } catch {
      return this.wrong(list, says.photoSays);
    }
    const id = crypto.randomUUID();
    const send = phone.dataset.photos.replace(phone.dataset.photoKey, id);
    const taken = new Date(file.lastModified).toISOString();
    const { owner, key: record, kind } = this.form;
    const facts = { owner, record, kind, field, taken, at: Date.now() };
    try {
      await store.keepPhoto({ id, ...facts, send, blob, state: "draft", says: [] });
      await this.show();
      await this.form.keep();
    } catch {
      this.form.state("not-kept", says.notKeptSays);
    }
  }

  wrong(list, sentence) {
    list.append(queue.make("li", { role: "alert" }, sentence));
  }

  async show() {
    const mine = (await store.photosOf(this.form.owner)).filter(({ record }) => record === this.form.key);
    for (const [field, list] of this.lists) {
      for (const shown of list.querySelectorAll("img")) URL.revokeObjectURL(shown.src);
      list.replaceChildren(...mine.filter((photo) => photo.field === field).map((photo, place) => this.row(photo, place)));
    }
  }

  row(photo, place) {
    const shown = queue.make("img", { class: "photo", src: URL.createObjectURL(photo.blob), width: 160 });
    shown.alt = queue.words(says.photoNumberSays, { number: place + 1 });
    const out = queue.make("button", { type: "button", class: "btn btn-small" }, queue.words(says.takeOutSays, { number: place + 1 }));
    out.addEventListener("click", async () => {
      await store.dropPhoto(photo.id);
      await this.show();
    });
    return queue.make("li", {}, shown, out);
  }
}
