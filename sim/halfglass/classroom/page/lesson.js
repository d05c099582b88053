// The lesson: story, prediction, run, comparison, check; one thing to do next at each.
import { Curve } from "./curve.js";
import { byId, duration, make, write } from "./parts.js";

const STEPS = [["story", "Story"], ["predict", "Predict"], ["run", "Run"], ["compare", "Compare"], ["check", "Check"]];

const VERDICTS = { true: ["right", "Right. "], false: ["wrong", "Not so. "], null: ["", "No answer. "] };

export class Lesson {
  /** `say`: sends a message. `controls` are those of the day that is open. */
  constructor(say) {
    this.say = say;
    this.next = byId("lesson-next");
    this.next.addEventListener("click", () => this.act?.());
    byId("lesson-leave").addEventListener("click", () => say({ do: "stage", to: "free" }));
    byId("lesson-again").addEventListener("click", () => say({ do: "rewind", to: this.told.begun }));
    this.curve = null;
    this.shownStage = "";
    this.waitedFor = new Set();
  }

  get room() { return byId("room"); }

  /** The lesson as the classroom has it now; null without one. */
  take(told, mine) {
    byId("lesson").hidden = !told;
    document.body.classList.toggle("glass-only", Boolean(told?.closed));
    this.told = told;
    if (!told) {
      this.room.dataset.stage = "free";
      this.controls.ask([]);
      this.controls.fold(false);
      return;
    }
    const key = told.name + "/" + told.attempt;
    if (this.key !== key) {
      this.key = key;
      this.curve = null;
      this.shownStage = "";
    }
    this.mine = mine;
    this.room.dataset.stage = told.stage;
    write(byId("lesson-number"), told.number ? `Lesson ${told.number} of ${told.of}` : "A lesson of your own");
    write(byId("lesson-title"), told.title);
    this.steps(told);
    if (!this.curve && told.axis) {
      this.keyNow = "";
      this.curve = new Curve(byId("curve"), told.axis, () => { this.keep(); this.actions(); });
      const own = this.kept();
      if (told.prediction) this.curve.take(told.prediction);
      else if (own) this.curve.take(own);
    } else if (told.prediction && told.stage !== "predict" && mine) this.curve?.take(told.prediction);
    const stages = `${told.stage}/${told.judged ? told.judged.text : ""}/${mine}/${Boolean(told.explanation)}`;
    if (stages !== this.shownStage) {
      const turned = this.shownStage && this.shownStage.split("/")[0] !== told.stage;
      this.shownStage = stages;
      this.body();
      if (turned) this.bring();
    }
    this.curve?.open(told.stage === "predict");
    byId("curve").hidden = !["predict", "run", "compare"].includes(told.stage) || !this.curve;
    this.controls.fold(true);
    this.controls.ask(told.stage === "run" ? told.asked.flatMap(one => one.controls) : []);
    this.actions();
  }

  steps(told) {
    const now = STEPS.findIndex(([stage]) => stage === told.stage);
    const list = byId("lesson-steps");
    if (list.dataset.at === told.stage) return;
    list.dataset.at = told.stage;
    list.replaceChildren(...STEPS.map(([, name], i) =>
      make("li", { class: i < now ? "done" : i === now ? "now" : "", "aria-current": i === now ? "step" : false }, name)));
  }

  body() {
    const { told } = this, paragraphs = texts => texts.map(text => make("p", {}, text));
    const body = byId("lesson-body"), after = byId("lesson-after");
    after.replaceChildren();
    this.progress = null;
    if (told.stage === "story") body.replaceChildren(...paragraphs(told.story.split(/\n\s*\n/)));
    if (told.stage === "predict") body.replaceChildren(make("p", { class: "question" }, told.question));
    if (told.stage === "run") {
      this.progress = make("progress", { max: told.duration, value: 0, "aria-label": "how far the run has come" });
      this.left = make("span", { class: "quiet" });
      body.replaceChildren(...(told.happens ? paragraphs([told.happens]) : []), ...this.tasks(told), this.controls.asked, make("p", { class: "going" }, this.progress, " ", this.left));
    }
    if (told.stage === "compare") {
      body.replaceChildren(make("p", { class: "question" }, "What you expected, and what came"));
      after.replaceChildren(...paragraphs(told.explanation || []));
    }
    if (told.stage === "check") {
      body.replaceChildren(make("p", { class: "question" }, told.check.question), this.form(told));
      if (told.judged) after.replaceChildren(
        make("p", { class: `verdict ${VERDICTS[told.judged.right][0]}`, role: "status" }, make("strong", {}, VERDICTS[told.judged.right][1]), told.judged.text),
        ...(told.judged.right === null ? [] : [make("p", {}, make("strong", {}, "To keep: "), told.aim)]));
    }
  }

  /** What the student is asked to do, each with its moment. */
  tasks(told) {
    this.waiting = told.asked.map(one => [one, make("p", { class: "task" }, make("strong"), " ", one.text)]);
    return this.waiting.map(([, place]) => place);
  }

  form(told) {
    const { check, judged } = told;
    const form = make("form", { class: "check" });
    const done = Boolean(judged);
    if (check.choices.length) {
      const box = make("fieldset", { disabled: done || !this.mine }, make("legend", { class: "unseen" }, check.question));
      check.choices.forEach((words, i) => {
        const radio = make("input", { type: "radio", name: "answer", value: i, checked: judged?.answer === i });
        radio.addEventListener("change", () => { this.answer = i; this.actions(); });
        box.append(make("label", { class: "tick" }, radio, " " + words));
      });
      form.append(box);
      this.answer = null;
    } else {
      const field = make("input", { type: "number", step: "any", id: "answer", disabled: done || !this.mine, value: judged ? judged.answer : false });
      field.addEventListener("input", () => { this.answer = field.value === "" ? null : Number(field.value); this.actions(); });
      form.append(make("label", { for: "answer" }, "Your answer "), field, " " + (check.unit || ""));
      this.answer = null;
    }
    form.addEventListener("submit", event => { event.preventDefault(); if (!this.next.disabled) this.act?.(); });
    return form;
  }

  /** The one thing to do next. */
  actions() {
    const { told, mine, say } = this;
    let [words, act, hint, ready] = ["", null, "", true];
    if (told.stage === "story") [words, act] = ["Go to the question", () => say({ do: "stage", to: "predict" })];
    if (told.stage === "predict") {
      ready = !this.curve || this.curve.isDrawn;
      words = "Run it and see";
      hint = ready ? "Not happy with it? Draw over it." : "First draw what you expect: press on the dot and drag to the right. By keyboard: Tab to the picture, then the arrow keys.";
      act = () => {
        if (this.curve) say({ do: "predict", points: this.curve.points() });
        say({ do: "stage", to: "run" });
      };
    }
    if (told.stage === "run") {
      const waits = isDone => this.waiting.some(([one, { classList }]) => one.controls.length && classList.contains("due") && classList.contains("done") === isDone);
      hint = "Time goes faster or slower by the bar at the foot.";
      if (!told.running) [words, act, hint] = ["Go on with the run", () => say({ do: "run", on: true }), waits(false) ? "Time is held until you have done it." : waits(true) ? "Done: time is held until you go on." : "Time is held."];
    }
    if (told.stage === "compare") [words, act] = ["Check what you learnt", () => say({ do: "stage", to: "check" })];
    if (told.stage === "check" && !told.judged) {
      ready = this.answer !== null && this.answer !== undefined;
      [words, act] = ["That is my answer", () => say({ do: "answer", answer: this.answer })];
    }
    if (told.stage === "check" && told.judged) {
      if (told.next) [words, act] = [`Next lesson: ${told.next.title}`, () => say({ do: "open", lesson: told.next.name })];
      hint = told.next ? "This lesson is done." : "This lesson is done. It was the last.";
    }
    if (["story", "predict"].includes(told.stage)) hint ||= "The boat waits as she is until you run.";
    if (!mine) [words, act, hint] = ["", null, told.stage === "predict" ? "This window watches: draw your own prediction, it stays here." : "This window watches; whoever steers turns the pages."];
    byId("lesson-leave").hidden = !mine;
    byId("lesson-again").hidden = !mine || !["compare", "check"].includes(told.stage);
    this.act = act;
    this.next.hidden = !act;
    this.next.disabled = !ready;
    write(this.next, words);
    write(byId("lesson-hint"), hint);
  }

  /** At ten times a second: how far the run has come, and what came. */
  frame(told) {
    if (!this.told) return;
    const before = [this.told.running, this.doneNow].join();
    this.told.running = told.running;
    this.doneNow = told.done.join();
    if (this.progress) {
      this.waiting.forEach(([one, place], i) => {
        const isDue = told.since >= one.after - 0.01, isDone = isDue && Boolean(told.done[i]);
        place.classList.toggle("due", isDue);
        place.classList.toggle("done", isDone);
        write(place.firstChild, isDone ? "Done:" : isDue ? "Now you:" : `In ${duration(one.after - told.since)}:`);
        if (isDue) this.wait(one, told.running);
        else this.waitedFor.delete(this.named(one));
      });
      this.progress.value = told.since;
      write(this.left, `${duration(Math.min(told.since, this.told.duration))} of ${duration(this.told.duration)}`);
    }
    if (this.told.stage === "run" && before !== [told.running, this.doneNow].join()) this.actions();
  }

  /** Time is held, once, when something is asked for: nobody is too slow for a lesson. */
  wait(one, running) {
    const what = this.named(one);
    if (this.waitedFor.has(what) || !one.controls.length) return;
    this.waitedFor.add(what);
    if (this.mine && running) this.say({ do: "run", on: false });
  }

  named(one) { return [this.key, this.told.begun, one.after, one.text].join(); }

  came(points) {
    this.curve?.lay(this.told && ["run", "compare"].includes(this.told.stage) ? points : []);
    const other = this.told?.stage === "compare" ? this.told.other : null;
    this.curve?.layOther(other ? other.points : []);
    const key = points.length > 1 ? [["mine", "as predicted"], ["came", "as it came"], ...(other?.points.length ? [["other", other.name]] : [])] : [];
    if (this.keyNow !== String(key)) this.curve?.explain(key.map(([name, words]) => make("span", { class: "key-" + name }, words)));
    this.keyNow = String(key);
  }

  /** A watching window's prediction is its own and stays in it. */
  keep() { sessionStorage.setItem("predicted " + this.key, JSON.stringify(this.curve.points())); }
  kept() {
    const text = sessionStorage.getItem("predicted " + this.key);
    return text ? JSON.parse(text) : null;
  }

  /** What has just changed comes into sight, without a jump for those who want none. */
  bring() {
    const box = byId("lesson").getBoundingClientRect();
    if (box.top < 0 || box.top > innerHeight * 0.6) byId("lesson").scrollIntoView({ block: "start" });
    byId("lesson-title").focus?.({ preventScroll: true });
  }
}
