// Fewer taps on a sheet that works without this: one tap for all that is good, values carried from bond to bond,
// buttons for a little more or less, a bond added without a signal. Words come from the template.

const CARRIED = ["pin_lot", "meter", "air_c", "cell_c", "leads", "burn", "current_a", "reversed_below"];
const SIGNS = { air_c: "air_below", cell_c: "cell_below" };

const ready = new WeakSet();
const fields = (bond, name) => [...bond.querySelectorAll(`[name="bond_${bond.dataset.bond}_${name}"]`)];
const changed = (field) => field.dispatchEvent(new Event("input", { bubbles: true }));

function clock(at) {
  return [at.getHours(), at.getMinutes()].map((part) => String(part).padStart(2, "0")).join(":");
}

// --- one tap for all that is good: each is ticked by itself, and what must be right is left alone

function tickAll(form, name) {
  const boxes = [...form.querySelectorAll(`[data-good="${name}"]`)];
  for (const box of boxes) box.checked = true;
  if (boxes.length) changed(boxes[0]);
}

// --- from bond to bond

function isEmpty(all) {
  const [first] = all;
  if (first.type === "checkbox" || first.type === "radio") return !all.some((one) => one.checked);
  return first.value.trim() === "";
}

function copy(from, to) {
  to.forEach((field, place) => {
    if (field.type === "checkbox" || field.type === "radio") field.checked = from[place].checked;
    else field.value = from[place].value;
  });
}

function carry(before, bond) {
  if (bond.dataset.carried || !before) return;
  bond.dataset.carried = "yes";
  for (const name of CARRIED.filter((one) => isEmpty(fields(bond, one)))) {
    copy(fields(before, name), fields(bond, name));
    if (SIGNS[name]) copy(fields(before, SIGNS[name]), fields(bond, SIGNS[name]));
  }
  changed(fields(bond, "pin_lot")[0]);
}

function addBond(form) {
  const bonds = [...form.querySelectorAll("[data-bond]")];
  const last = bonds.at(-1);
  const next = bonds.length + 1;
  last.insertAdjacentHTML("afterend", form.querySelector("[data-bond-template]").innerHTML.replaceAll("NNN", next));
  const bond = last.nextElementSibling;
  form.elements.bonds.value = next;
  fields(bond, "spot")[0].value = next;
  steppers(form, bond);
  return bond;
}

// --- a little more or less, with gloves on

function step(field, by) {
  const bond = field.closest("[data-bond]");
  const name = field.name.split("_").slice(2).join("_");
  const [box] = bond && SIGNS[name] ? fields(bond, SIGNS[name]) : [];
  const typed = Number(field.value.trim().replace(/[\u2212\u2013]/g, "-").replace(",", ".")) || 0;
  const value = (box?.checked ? -Math.abs(typed) : typed) + by;
  if (box) box.checked = value < 0;
  field.value = String(box ? Math.abs(value) : value);
  changed(field);
}

function steppers(form, part) {
  for (const field of part.querySelectorAll("input[data-step]")) {
    // A sheet that was kept for a day without a signal has them already.
    if (field.parentElement.matches(".stepper")) continue;
    const label = part.querySelector(`label[for="${field.id}"]`).textContent.trim();
    const row = document.createElement("div");
    row.className = "stepper";
    field.before(row);
    const button = (sign, says, by) => {
      const made = document.createElement("button");
      Object.assign(made, { type: "button", className: "btn", textContent: sign });
      made.setAttribute("aria-label", says.replace("[label]", label));
      made.dataset.stepBy = by;
      return made;
    };
    const by = Number(field.dataset.step);
    row.append(button("\u2212", form.dataset.lessSays, -by), field, button("+", form.dataset.moreSays, by));
  }
}

// --- a sheet that was begun on this phone comes back with all of its bonds

function grow(form, pairs) {
  const wanted = Number(new Map(pairs).get("bonds")) || 0;
  while (form.querySelectorAll("[data-bond]").length < Math.min(wanted, 20)) addBond(form);
}

export function begin(form) {
  if (ready.has(form)) return;
  ready.add(form);
  steppers(form, form);
  form.addEventListener("begun", (event) => grow(form, event.detail));
  form.addEventListener("focusin", (event) => {
    const bond = event.target.closest("[data-bond]");
    if (bond) carry(form.querySelector(`[data-bond="${bond.dataset.bond - 1}"]`), bond);
  });
  form.addEventListener("click", (event) => {
    const by = event.target.closest("[data-step-by]");
    if (by) return step(by.parentElement.querySelector("input"), Number(by.dataset.stepBy));
    const all = event.target.closest("[data-good-all]");
    const add = event.target.closest("[data-add-bond]");
    if (!all && !add) return;
    event.preventDefault();
    if (all) return tickAll(form, all.dataset.goodAll);
    const bond = addBond(form);
    carry(bond.previousElementSibling, bond);
    fields(bond, "pack_v")[0].focus();
  });
  // The end is now, unless somebody wrote another time; before whatever keeps the sheet on this phone looks at it.
  form.addEventListener("submit", (event) => {
    if (event.submitter?.value === "send" && !form.elements.stopped.value) form.elements.stopped.value = clock(new Date());
  }, { capture: true });
  import(form.dataset.figures).then((figures) => figures.watch(form));
}

for (const form of document.querySelectorAll("form[data-figures]")) begin(form);
