// The controls: real form elements, by groups, each with its unit, its key and what answers it first.
import { byId, figures, make, write } from "./parts.js";

const EVERY = 100; // ms between two messages of one control
const WATCHED = 1000; // ms for which everything in sight answers a move ten times a second
const HELD = 400; // ms after a move of ours during which the classroom's value does not pull the control back

const SAID = ["lines", "injector_water", "injector_steam"]; // levers that may be refused: the answer stands beside them in words
const FAULTS_KEY = "m"; // no control has it

const GROUPS = { engine: "Engine", fire: "Fire", feed: "Feed", boiler: "Boiler", faults: "Faults" };

export class Controls {
  /** `list`: controls as the classroom names them; `say`: function that sends a message. */
  constructor(place, list, readings, say) {
    this.say = say;
    this.readings = readings;
    this.rows = new Map();
    this.keys = new Map();
    this.asked = make("fieldset", { class: "asked", hidden: true }, make("legend", { class: "unseen" }, "The control the lesson asks for"));
    this.whole = make("fieldset", { class: "panel" }, make("legend", { class: "unseen" }, "Controls"));
    this.all = make("details", { open: true }, make("summary", {}, "All controls"));
    for (const [group, heading] of Object.entries(GROUPS)) {
      const members = list.filter(one => one.group === group);
      if (!members.length) continue;
      const home = make("div", { class: "rows" });
      for (const one of members) home.append(this.row(one, home).place);
      if (group !== "faults") this.all.append(make("section", { class: "group", "aria-label": heading }, make("h3", {}, heading), home));
      else this.faults = make("details", { class: "faults" }, make("summary", { "aria-keyshortcuts": FAULTS_KEY }, make("kbd", { "aria-hidden": "true" }, FAULTS_KEY), " Faults: what can go wrong"), home);
    }
    this.whole.append(this.all);
    if (this.faults) this.whole.append(this.faults);
    place.replaceChildren(this.whole);
  }

  row(control, home) {
    const id = "control-" + control.name.replace(/\W+/g, "-");
    const key = control.key ? make("kbd", { "aria-hidden": "true" }, control.key) : "";
    const row = { control, home, held: 0, shown: null, value: null };
    const answers = control.answers.map(name => {
      const number = make("b", { class: "number" }, "–");
      (row.answers ||= []).push([name, number]);
      const reading = this.readings[name];
      return make("span", { "data-answer": name }, reading.label + (reading.unit ? ` [${reading.unit}]` : "") + "\u00a0", number);
    });
    const told = make("span", { class: "answers" }, ...answers);
    if (control.kind === "push") {
      const button = make("button", { type: "button", id, "aria-keyshortcuts": control.key || false }, control.label);
      row.input = button;
      const what = make("span", { class: "what" }, button);
      row.place = make("div", { class: "row push" }, key, what);
      if (control.choices.length) {
        row.choice = make("select", { "aria-label": control.label + ": which" }, ...control.choices.map(name => make("option", {}, name)));
        what.append(row.choice);
      }
      if (control.unit) {
        row.amount = make("input", { type: "number", min: control.lowest, max: control.highest, step: control.step, value: control.usual, "aria-label": `${control.label}: how much, ${control.unit}` });
        what.append(make("span", { class: "amount" }, row.amount, "\u00a0" + control.unit));
      }
      row.place.append(told);
      button.addEventListener("click", () => this.push(row));
    } else if (control.kind === "switch") {
      row.input = make("input", { type: "checkbox", id, "aria-keyshortcuts": control.key || false });
      row.place = make("div", { class: "row switch" }, key, make("label", { class: "tick", for: id }, row.input, " " + control.label), told);
      row.input.addEventListener("change", () => this.move(row, row.input.checked ? control.highest : control.lowest));
    } else {
      row.input = make("input", { type: "range", id, min: control.lowest, max: control.highest, step: control.step, "aria-keyshortcuts": control.key || false });
      row.output = make("output", { for: id, "aria-live": "off", class: "number" }, "–");
      row.place = make("div", { class: "row lever" }, key, make("label", { for: id }, control.label), row.output, row.input, told);
      row.input.addEventListener("input", () => this.move(row, Number(row.input.value)));
    }
    if (control.kind === "push" || control.group === "faults" || SAID.includes(control.name)) {
      row.says = make("span", { class: "says", role: "status" });
      row.place.append(row.says);
    }
    row.place.dataset.control = control.name;
    this.rows.set(control.name, row);
    if (control.key) this.keys.set(control.key.toLowerCase(), row);
    return row;
  }

  /** Whether one was moved just now, so that its answer is looked for. */
  get isHeld() { return performance.now() < (this.heldUntil || 0); }

  watch() { this.heldUntil = performance.now() + WATCHED; }

  /** What the log tells of it stands beside what was just done, too. */
  hear(text) {
    if (this.awaiting && this.isHeld) write(this.awaiting.says, text);
    this.awaiting = null;
  }

  /** Whatever is told next answers this row. */
  awaits(row) {
    for (const one of this.rows.values()) if (one.says) write(one.says, "");
    this.awaiting = row.says ? row : null;
  }

  push(row) {
    this.watch();
    this.awaits(row);
    const wish = { do: "push", control: row.control.name };
    if (row.choice) wish.choice = row.choice.value;
    if (row.amount) wish.amount = Number(row.amount.value) || row.control.lowest;
    this.say(wish);
  }

  /** Send a move, the last of a drag for certain. */
  move(row, value) {
    row.held = performance.now() + HELD;
    this.watch();
    this.awaits(row);
    row.wanted = value;
    this.tell(row, value);
    if (row.timer) return;
    const send = () => {
      row.timer = null;
      if (row.sent === row.wanted) return;
      row.sent = row.wanted;
      this.say({ do: "set", control: row.control.name, to: row.wanted });
      row.timer = setTimeout(send, EVERY);
    };
    row.sent = undefined;
    send();
  }

  tell(row, value) {
    if (!row.output) return;
    const unit = row.control.unit;
    const text = value.toFixed(row.control.step < 1 ? 1 : 0).replace("-", "\u2212") + (unit ? " " + unit : "");
    write(row.output, text);
    row.input.setAttribute("aria-valuetext", text);
  }

  /** Where the controls stand, and what answers them. */
  update(values, shown) {
    const now = performance.now();
    for (const [name, row] of this.rows) {
      const value = values[name];
      if (value !== undefined && value !== row.value && now > row.held) {
        row.value = value;
        if (row.control.kind === "switch") row.input.checked = value > (row.control.lowest + row.control.highest) / 2;
        else if (row.control.kind !== "push") {
          row.input.value = value;
          this.tell(row, value);
        }
      } else if (now > row.held && value !== undefined) row.value = value;
      else row.value = null;
      for (const [reading, place] of row.answers || []) write(place, figures(shown[reading], this.readings[reading].unit));
    }
  }

  /** What a lesson asks to be moved stands in the lesson while it is asked. */
  ask(names) {
    const text = names.join();
    if (text === this.askedNow) return;
    this.askedNow = text;
    for (const [name, row] of this.rows) {
      const home = names.includes(name) ? this.asked : row.home;
      if (row.place.parentNode !== home || home === row.home) home.append(row.place); // in the order of the list
    }
    this.asked.hidden = !this.asked.querySelector(".row");
  }

  /** While a lesson speaks, what it does not ask for is folded away. */
  fold(folded) {
    if (this.folded !== folded) this.all.open = !folded;
    this.folded = folded;
  }

  mayMove(mine) {
    if (this.whole.disabled !== !mine) this.whole.disabled = this.asked.disabled = !mine;
  }

  /** A key of a control: go to it, or do it. */
  press(key) {
    if (key.toLowerCase() === FAULTS_KEY && this.faults) {
      this.faults.open = true;
      this.faults.querySelector("summary").focus();
      return true;
    }
    const row = this.keys.get(key.toLowerCase());
    if (!row || this.whole.disabled) return false;
    if (!row.place.closest("details[open], .asked")) this.all.open = true;
    row.input.focus();
    if (row.control.kind === "push" || row.control.kind === "switch") row.input.click();
    return true;
  }
}

/** Letters go to controls, unless somebody is writing or has turned them off. */
export function listen(press) {
  document.addEventListener("keydown", event => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.repeat || !byId("shortcuts").checked) return;
    const on = event.target;
    if (on.matches?.("input[type=number], select, textarea")) return;
    const held = on.matches?.("button, summary, a[href], input[type=checkbox]");
    if (event.key === " " && held) return;
    if (press(event.key)) event.preventDefault();
  });
}
