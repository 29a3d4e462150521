// What this phone holds, in IndexedDB: begun forms, records and photos that wait to be sent, and forms to fill in without
// a signal. Everything belongs to its owner, the number of a person; names are held only in `forms`, and go at sign-out.

const STORES = { facts: "name", drafts: "id", records: "id", photos: "id", forms: ["owner", "path"] };
let opened;

function open() {
  opened ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open("ferrule", 1);
    asked.onupgradeneeded = () => {
      for (const [name, keyPath] of Object.entries(STORES)) asked.result.createObjectStore(name, { keyPath });
    };
    asked.onerror = () => reject(asked.error);
    asked.onsuccess = () => {
      asked.result.onversionchange = () => asked.result.close();
      resolve(asked.result);
    };
  });
  return opened;
}

// Done means on the disk: what is called kept must outlive the power going off a second later.
async function act(names, mode, work) {
  const base = await open();
  return new Promise((resolve, reject) => {
    const deed = base.transaction(names, mode, { durability: "strict" });
    let answer;
    deed.oncomplete = () => resolve(answer?.result);
    deed.onerror = deed.onabort = () => reject(deed.error);
    answer = work(...names.map((name) => deed.objectStore(name)));
  });
}

const get = (name, key) => act([name], "readonly", (store) => store.get(key));
const all = (name) => act([name], "readonly", (store) => store.getAll());
const put = (name, value) => act([name], "readwrite", (store) => store.put(value));
const drop = (name, key) => act([name], "readwrite", (store) => store.delete(key));
const own = async (name, owner) => (await all(name)).filter((one) => one.owner === owner);

export const owner = async () => (await get("facts", "owner"))?.person ?? null;

// The next person on this phone finds no name of the one before; what is unsent waits for its owner.
export async function setOwner(person) {
  if (person === (await owner())) return;
  await act(["facts", "forms"], "readwrite", (facts, forms) => {
    facts.put({ name: "owner", person });
    forms.openCursor().onsuccess = ({ target: { result } }) => {
      if (!result) return;
      if (result.value.owner !== person) result.delete();
      result.continue();
    };
  });
}

export const keepForm = (form) => put("forms", form);
export const formAt = (person, path) => get("forms", [person, path]);
export const formsOf = (person) => own("forms", person);

export const keepDraft = (draft) => put("drafts", draft);
export const draftsOf = (person) => own("drafts", person);
export const draftOf = (id) => get("drafts", id);
export const recordOf = (id) => get("records", id);
export const recordsOf = (person) => own("records", person);
export const photosOf = (person) => own("photos", person);
export const keepPhoto = (photo) => put("photos", photo);
export const dropPhoto = (id) => drop("photos", id);

// A photo of a begun form is no record yet: it waits once its form is kept as one.
export async function waitingOf(person) {
  const [records, photos] = [await recordsOf(person), await photosOf(person)];
  return { records, photos: photos.filter((photo) => photo.state !== "draft") };
}

function photosIn(photos, record, change) {
  photos.openCursor().onsuccess = ({ target: { result } }) => {
    if (!result) return;
    if (result.value.record === record) change(result);
    result.continue();
  };
}

// The record, its photos and the end of its draft are one act: after it, all of them wait or none does.
export function keepRecord(record) {
  return act(["records", "photos", "drafts"], "readwrite", (records, photos, drafts) => {
    photosIn(photos, record.id, (found) => {
      if (found.value.state === "draft") found.update({ ...found.value, state: "waiting" });
    });
    drafts.delete(record.id);
    records.put(record);
  });
}

export function dropDraft(id) {
  return act(["photos", "drafts"], "readwrite", (photos, drafts) => {
    photosIn(photos, id, (found) => found.value.state === "draft" && found.delete());
    drafts.delete(id);
  });
}

export function dropRecord(id) {
  return act(["records", "photos", "drafts"], "readwrite", (records, photos, drafts) => {
    photosIn(photos, id, (found) => found.delete());
    drafts.delete(id);
    records.delete(id);
  });
}

// Ends what was sent. One that was put right meanwhile is another text, so it stays.
export function settle(name, sent) {
  return change(name, sent, (store) => store.delete(sent.id));
}

export function mark(name, sent, state, says) {
  return change(name, sent, (store, now) => store.put({ ...now, state, says }));
}

function change(name, sent, work) {
  return act([name], "readwrite", (store) => {
    store.get(sent.id).onsuccess = ({ target: { result } }) => {
      if (result && result.body === sent.body) work(store, result);
    };
  });
}

// Adds what a file holds and this phone does not.
export function load(records, photos) {
  return act(["records", "photos"], "readwrite", (...stores) => {
    for (const [store, rows] of [[stores[0], records], [stores[1], photos]]) {
      for (const row of rows) {
        store.get(row.id).onsuccess = ({ target: { result } }) => result ?? store.put(row);
      }
    }
  });
}
