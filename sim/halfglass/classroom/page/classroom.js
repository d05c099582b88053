// The page: hears the classroom and hands each part what it needs.
import { Charts, SPANS } from "./charts.js";
import { Controls, listen } from "./controls.js";
import { diagram } from "./diagram.js";
import { fireBox, hotWell, list, pressureDial } from "./gauges.js";
import { glass } from "./glass.js";
import { Lesson } from "./lesson.js";
import { Live } from "./live.js";
import { byId, clock, duration, make, write } from "./parts.js";

const page = { told: null, frame: null, mine: false, updates: [], charts: null, controls: null, lesson: null, back: null };
const say = message => live.say(message);
page.lesson = new Lesson(say);

const HEARD = { hello, frame, branches, rows, lesson: takeLesson, notice, file, back, log };

function hear(message) {
  HEARD[message.is]?.(message);
}

/** How the connection stands, in words where it does not. */
function stand(state, words) {
  document.body.dataset.connection = state;
  const came = state === "here" && page.wasLost;
  page.wasLost = state === "lost" || (page.wasLost && state !== "here");
  note(came ? "The classroom is back, and the session goes on where it was." : words, came ? 8000 : 0);
  if (state !== "here" && page.controls) page.controls.mayMove(false);
  for (const id of ["run", "step", "speed"]) byId(id).disabled = state !== "here";
}

function note(words, lasting) {
  const place = byId("notice");
  clearTimeout(page.noteTimer);
  write(place, words);
  place.hidden = !words;
  if (lasting) page.noteTimer = setTimeout(() => { place.hidden = true; write(place, ""); }, lasting);
}

function notice(message) {
  note(message.text, 8000);
}

/** The last of what was done and what happened, the newest first. */
function log({ count, lines }) {
  const fresh = count - (page.logged ?? count);
  page.logged = count;
  byId("log").replaceChildren(...lines.map(({ time, text }) => make("li", {}, make("span", { class: "when" }, clock(page.told.origin, time, true)), " ", text)));
  if (fresh > 0) page.controls.hear(lines.slice(0, fresh).reverse().map(line => line.text).join(" "));
}

/** On the way back in time: a long session takes some seconds to be made again. */
function back(message) {
  page.isGoingBack = true;
  page.controls?.mayMove(false);
  for (const id of ["run", "step", "rewind"]) byId(id).disabled = true;
  const to = page.told ? ` to ${clock(page.told.origin, message.to, true)}` : "";
  note(`Going back${to} … ${Math.round(100 * message.share)} %`, 0);
}

/** All that stays as it is while this day or lesson is open. */
function hello(told) {
  page.told = told;
  page.frame = null;
  page.endedTold = page.logged = null;
  write(byId("title"), told.title);
  write(byId("about"), told.about);
  document.title = `${told.title} · Halfglass classroom`;
  byId("caution-list").replaceChildren(...told.cautions.map(text => make("li", {}, text)));
  write(byId("kept"), told.kept);
  const dials = [pressureDial(told.marks.pressure), fireBox(told.readings, told.marks.deepest_bed), hotWell(told.readings, told.marks.hotwell)];
  byId("dials").replaceChildren(...dials.map(([figure]) => figure));
  const readings = list(byId("readings"), told.groups, told.readings);
  const seen = glass(byId("glass"), told.marks.glass, byId("glass-told"));
  const flows = diagram(byId("diagram"), told.flows);
  page.controls = new Controls(byId("controls"), told.controls, told.readings, say);
  page.lesson.controls = page.controls;
  page.charts?.close();
  page.charts = new Charts(byId("plots"), told.charts, told, Number(byId("span").value));
  // part of the page, every how manieth frame, on which of them: not all on one
  page.updates = [
    ["glass", 1, 0, now => seen(now.glass)],
    ["", 2, 0, now => page.controls.update(now.values, now.shown)],
    ["", 2, 1, bar],
    ["lesson", 2, 0, now => page.lesson.frame(now)],
    ["dials", 2, 1, now => dials.forEach(([, update]) => update(now.shown, now))],
    ["readings", 4, 0, now => readings(now.shown)],
    ["diagram", 4, 2, now => flows(now.flows)],
    ["critical", 5, 1, now => critical(now.critical, now.settling)],
  ];
  lessons(told);
  byId("speed").max = told.speeds.length - 1;
  const sheet = byId("worksheet");
  sheet.hidden = !told.worksheet;
  if (told.worksheet) sheet.href = told.worksheet;
}

function frame(now) {
  page.frame = now;
  if (page.isGoingBack) note("", 0);
  page.isGoingBack = false;
  if (page.mine !== now.mine || page.steered !== now.steered) {
    page.mine = now.mine;
    page.steered = now.steered;
    whoSteers(now);
  }
  // what no eye can follow, or is out of sight, is written less often; what was just moved is answered at once
  const isHeld = !now.running || page.controls.isHeld, count = page.count = (page.count || 0) + 1;
  for (const [part, every, which, update] of page.updates)
    if (isHeld || count % (inSight.has(part) ? every : SELDOM) === which) update(now);
}

const SELDOM = 10; // frames between two updates of what is out of sight
const inSight = new Set([""]); // parts of the page; those without a name always
const sight = new IntersectionObserver(seen => {
  for (const { target, isIntersecting } of seen) isIntersecting ? inSight.add(target.id) : inSight.delete(target.id);
});
for (const part of ["lesson", "glass", "dials", "readings", "diagram", "critical"]) sight.observe(byId(part));

function branches(message) {
  page.charts.take(message.list);
  const key = byId("branches"), many = message.list.length > 1;
  key.hidden = !many;
  key.replaceChildren(...message.list.map((branch, i) => i === message.list.length - 1
    ? make("span", {}, make("b", {}, "now"), ` tried again from ${clock(page.told.origin, branch.from)}`)
    : make("span", {}, make("b", {}, branch.letter), i ? ` from ${clock(page.told.origin, branch.from)}` : " the first try")));
}

function rows(message) {
  page.charts.add(message.branch, message.rows);
}

function takeLesson(message) {
  page.controls.watch();
  page.lesson.take(message.lesson, message.mine);
  page.lessonTold = message.lesson;
}

/** Time: run or held, the clock, the speed, and where one may go back to. */
function bar(now) {
  const { told } = page;
  write(byId("run"), now.ended ? "Over" : now.running ? "Hold" : "Run");
  byId("run").classList.toggle("running", now.running);
  const waits = !page.mine || Boolean(now.ended) || ["story", "predict"].includes(byId("room").dataset.stage);
  byId("run").disabled = waits;
  byId("step").disabled = waits || now.running;
  write(byId("clock"), clock(told.origin, now.time, true));
  const speed = byId("speed");
  speed.disabled = !page.mine;
  if (performance.now() > (page.speedHeld || 0)) speed.value = Math.max(0, told.speeds.indexOf(now.speed));
  tellSpeed(told.speeds[speed.value]);
  page.controls.mayMove(!waits);
  const back = byId("back");
  back.disabled = !page.mine;
  back.min = 0;
  back.max = Math.floor(now.time);
  if (page.back === null) {
    back.value = back.max;
    tellBack(null);
  }
  byId("mini-water").style.transform = `scaleX(${Math.max(0, Math.min(1, now.glass.shows)).toFixed(3)})`;
  write(byId("mini-told"), now.glass.shows < 0 ? "low!" : now.glass.shows > 1 ? "high!" : Math.round(100 * now.glass.shows) + " %");
  write(byId("windows"), now.windows > 1 ? `${now.windows} windows` : "");
  if (now.ended !== page.endedTold) {
    page.endedTold = now.ended;
    note(now.ended ? `${now.ended} Go back in time below to try again.` : "", 0);
  }
  const open = page.lessonTold;
  if (open && now.since !== null) page.lesson.came(page.charts.points(open.axis.column, open.begun, open.begun + open.duration, now));
}

function tellSpeed(speed) {
  const words = `${speed} \u00d7`;
  write(byId("speed-told"), words);
  byId("speed").setAttribute("aria-valuetext", `${speed} times as fast as life`);
}

function tellBack(time) {
  const words = time === null ? "now" : clock(page.told.origin, time, true);
  write(byId("back-told"), words);
  byId("back").setAttribute("aria-valuetext", words);
  byId("rewind").disabled = time === null || !page.mine;
  page.charts.cursor = time;
}

function chooseBack(time) {
  page.back = time;
  tellBack(time);
  page.charts.redraw();
}

function whoSteers(now) {
  const place = byId("steering");
  place.hidden = now.mine;
  if (!now.mine) {
    const take = make("button", { type: "button", id: "take" }, "Take the controls");
    take.addEventListener("click", () => say({ do: "steer" }));
    place.replaceChildren(now.steered ? "Another window steers; this one watches. " : "Nobody steers. ", take);
  }
  if (page.lessonTold !== undefined) page.lesson.take(page.lessonTold, now.mine);
}

const shownCritical = { key: "" };

function critical(all, settling) {
  const place = byId("critical");
  const items = page.lessonTold?.closed ? all.filter(item => !item.what.startsWith("water")) : all; // that would tell
  const key = items.map(item => item.what + item.severity + (item.minutes === null)).join("|") + settling;
  if (key !== shownCritical.key) {
    shownCritical.key = key;
    shownCritical.times = items.map(() => make("span", { class: "when" }));
    place.replaceChildren(...items.map((item, i) => make("li", {}, make("span", { class: "severity " + item.severity }, item.severity), " ", make("strong", {}, item.what), " ", shownCritical.times[i])));
    if (settling) place.append(make("li", { class: "quiet" }, "What is still to come is told after a few seconds of running."));
    else if (!items.length) place.append(make("li", { class: "quiet" }, "Nothing within the next two hours."));
  }
  items.forEach((item, i) => write(shownCritical.times[i], item.minutes === null ? "now" : item.minutes < 1 ? "in less than a minute" : `in ${duration(60 * Math.round(item.minutes))}`));
}

function lessons(told) {
  const choose = make("ol", { class: "lesson-list" });
  for (const one of told.lessons) {
    const button = make("button", { type: "button", class: "plain", "aria-current": one.name === told.lesson ? "true" : false }, one.title);
    button.addEventListener("click", () => say({ do: "open", lesson: one.name }));
    choose.append(make("li", {}, button, one.done ? make("span", { class: "quiet" }, " done") : ""));
  }
  byId("lessons").replaceChildren(choose);
}

/** The record, handed over as a file. */
function file(message) {
  const link = make("a", { href: URL.createObjectURL(new Blob([message.text], { type: "text/plain;charset=utf-8" })), download: message.name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}

byId("run").addEventListener("click", () => say({ do: "run", on: !page.frame?.running }));
byId("step").addEventListener("click", () => say({ do: "step" }));
byId("speed").addEventListener("input", event => {
  page.speedHeld = performance.now() + 500;
  const speed = page.told.speeds[event.target.value];
  tellSpeed(speed);
  say({ do: "speed", to: speed });
});
byId("back").addEventListener("input", event => chooseBack(Number(event.target.value)));
byId("back-open").addEventListener("click", event => {
  const open = event.target.closest(".run-bar").classList.toggle("open");
  event.target.setAttribute("aria-expanded", open);
});
byId("rewind").addEventListener("click", () => {
  say({ do: "rewind", to: page.back });
  chooseBack(null);
});
byId("span").append(...SPANS.map(([seconds, words]) => make("option", { value: seconds, selected: seconds === 600 }, words)));
byId("span").addEventListener("change", event => {
  page.charts.span = Number(event.target.value);
  page.charts.redraw();
});
byId("inside").addEventListener("change", event => document.body.classList.toggle("closed-boiler", !event.target.checked));
byId("export-toml").addEventListener("click", () => say({ do: "export", form: "toml" }));
byId("export-csv").addEventListener("click", () => say({ do: "export", form: "csv" }));

const live = new Live(hear, stand);

listen(key => {
  if (!page.frame) return false;
  if (key === " ") byId("run").click();
  else if (key === ".") byId("step").click();
  else if (key === "<" || key === ">") faster(key === ">" ? 1 : -1);
  else return page.controls.press(key);
  return true;
});

function faster(steps) {
  const speed = byId("speed");
  speed.value = Number(speed.value) + steps;
  speed.dispatchEvent(new Event("input"));
}
