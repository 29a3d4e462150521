// A pocket calculator: four functions, the square root, a memory. Keys are worked in the order they are pressed.
// It reads no field and sends nothing, so it works without a signal.
const DIGITS = 12; // as many as the display shows; sums are rounded to them, so 0.1 + 0.2 shows 0.3
const LARGEST = 1e12;
const WORK = {
  "+": (a, b) => a + b,
  "-": (a, b) => a - b,
  "*": (a, b) => a * b,
  "/": (a, b) => a / b,
};
const KEYS = { Enter: "=", Backspace: "back", Delete: "C", ",": ".", r: "root", R: "root", x: "*", ":": "/" };

export class Calculator {
  constructor(words) {
    this.words = words;
    this.memory = 0;
    this.clear();
  }

  clear() {
    this.typed = ""; // the number being typed; empty when a result is shown
    this.value = 0; // the number shown
    this.held = null; // the number before the operation
    this.work = "";
    this.fault = "";
    this.fresh = false; // an operation was pressed, and nothing since
  }

  get shows() {
    return this.fault || this.typed || text(this.value);
  }

  press(key) {
    if (key === "C") this.clear();
    else if (this.fault) return;
    else if (/^[0-9.]$/.test(key)) this.type(key);
    else if (key === "back") this.back();
    else if (key in WORK) this.operate(key);
    else if (key === "=") this.equals();
    else if (key === "root") this.root();
    else if (key === "sign") this.sign();
    else this.remember(key);
  }

  type(key) {
    if (key === "." && this.typed.includes(".")) return;
    if (this.typed.replace(/[-.]/g, "").length >= DIGITS && key !== ".") return;
    this.typed = this.typed === "0" && key !== "." ? key : (this.typed || (key === "." ? "0" : "")) + key;
    this.value = Number(this.typed);
    this.fresh = false;
  }

  back() {
    this.typed = this.typed.slice(0, -1).replace(/^-$/, "");
    this.value = Number(this.typed);
  }

  sign() {
    if (this.typed) this.typed = this.typed.startsWith("-") ? this.typed.slice(1) : `-${this.typed}`;
    this.set(-this.value, this.typed);
  }

  root() {
    if (this.value < 0) this.fault = this.words.rootSays;
    else this.set(Math.sqrt(this.value));
  }

  operate(key) {
    // Pressed twice in a row, the last one counts.
    if (this.work && this.fresh) this.work = key;
    else {
      this.equals();
      this.work = key;
      this.held = this.value;
    }
    this.typed = "";
    this.fresh = true;
  }

  equals() {
    if (!this.work) return this.set(this.value);
    if (this.work === "/" && this.value === 0) this.fault = this.words.zeroSays;
    else this.set(WORK[this.work](this.held, this.value));
    this.work = "";
    this.held = null;
  }

  set(value, typed = "") {
    this.value = Number(value.toPrecision(DIGITS));
    this.typed = typed;
    this.fresh = false;
    if (Math.abs(this.value) >= LARGEST) this.fault = this.words.largeSays;
  }

  remember(key) {
    if (key === "MC") this.memory = 0;
    if (key === "MR") this.set(this.memory);
    if (key === "M+") this.memory = Number((this.memory + this.value).toPrecision(DIGITS));
    if (key === "M-") this.memory = Number((this.memory - this.value).toPrecision(DIGITS));
    if (key !== "MC") this.typed = "";
    this.fresh = false;
  }
}

// Digits as a person writes them, without an exponent for a small number.
export function text(value) {
  if (value === 0) return "0";
  const places = Math.min(20, Math.max(0, DIGITS - 1 - Math.floor(Math.log10(Math.abs(value)))));
  const digits = value.toFixed(places);
  return digits.includes(".") ? digits.replace(/\.?0+$/, "") : digits;
}

for (const box of document.querySelectorAll("[data-calculator]")) {
  const calculator = new Calculator(box.dataset);
  const shows = box.querySelector("[data-shows]");
  const holds = box.querySelector("[data-holds]");
  const press = (key) => {
    calculator.press(key);
    shows.textContent = calculator.shows;
    holds.textContent = calculator.memory ? `${holds.dataset.says} ${text(calculator.memory)}` : "";
  };
  box.addEventListener("click", (event) => {
    const key = event.target.closest("[data-key]");
    if (key) press(key.dataset.key);
  });
  box.addEventListener("keydown", (event) => {
    // The space bar presses the key that has the focus, and the tab key leaves; combinations are the browser's own.
    const key = KEYS[event.key] ?? event.key;
    if (event.ctrlKey || event.metaKey || event.altKey || !(key in WORK || /^[0-9.=C]$|^(back|root)$/.test(key))) return;
    event.preventDefault();
    press(key);
  });
  box.hidden = false;
}
