// Small things every module of the page needs.

export const INK = "#17232b", FAINT = "#55636b", RULE = "#c9d3d6", RED = "#a8321f";
export const WATER = "#4f93b8", SWELL = "#b9d8e6", GLASS = "#f2f8fa", BRASS = "#9a7420", HEAT = "#e3ab96";

export const byId = id => document.getElementById(id);

/** An element with attributes and children; text is always text. */
export function make(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  return filled(made, attributes, children);
}

/** The same for a part of a drawing. */
export function draw(name, attributes = {}, ...children) {
  return filled(document.createElementNS("http://www.w3.org/2000/svg", name), attributes, children);
}

function filled(made, attributes, children) {
  for (const [key, value] of Object.entries(attributes)) {
    if (value === false || value === null || value === undefined) continue;
    made.setAttribute(key, value === true ? "" : value);
  }
  made.append(...children);
  return made;
}

/** A drawing of a size, kept apart from the page's layout so that a change in it costs little. */
export function svg(wide, tall, label, ...children) {
  const made = draw("svg", { viewBox: `0 0 ${wide} ${tall}`, role: "img", "aria-label": label }, ...children);
  made.style.aspectRatio = `${wide} / ${tall}`;
  return made;
}

/** Text that is written only when it differs: most numbers stand still most of the time. */
export function write(place, text) {
  if (place.textContent !== text) place.textContent = text;
}

export function attribute(place, name, value) {
  if (place.getAttribute(name) !== String(value)) place.setAttribute(name, value);
}

// Digits behind the point that mean anything, by unit; others go by their figures alone.
const PLACES = { rpm: 0, "kg/h": 1, "lb/h": 1, "%": 1, "% of the glass": 0, "\u00b0C": 0, "\u00b0F": 0, kW: 1, hp: 1, "L/min": 2, kn: 1, mm: 0, kg: 1, lb: 1, "mm water": 1, bar: 2, psi: 0 };

/** Three figures, as everywhere in Halfglass, and no more digits than the unit deserves. */
export function figures(value, unit = "") {
  if (value === null || value === undefined || !Number.isFinite(value)) return "\u2013";
  if (value === 0) return "0";
  const most = PLACES[unit] ?? 3, places = Math.max(0, Math.min(most, 2 - Math.floor(Math.log10(Math.abs(value)))));
  const text = value.toFixed(places);
  return Number(text) === 0 ? "0" : text.replace("-", "\u2212");
}

/** A duration in words: 45 s, 3 min 20 s, 1 h 5 min. */
export function duration(seconds) {
  const whole = Math.max(0, Math.round(seconds));
  if (whole < 60) return whole + " s";
  if (whole < 600) return Math.floor(whole / 60) + " min" + (whole % 60 ? " " + (whole % 60) + " s" : "");
  const minutes = Math.round(whole / 60);
  if (minutes < 60) return minutes + " min";
  return Math.floor(minutes / 60) + " h" + (minutes % 60 ? " " + (minutes % 60) + " min" : "");
}

const two = number => String(number).padStart(2, "0");

/** Clock time of a moment, with seconds where they are wanted. */
export function clock(origin, seconds, withSeconds = false) {
  const whole = Math.floor(origin + seconds + 1e-6), minutes = Math.floor(whole / 60);
  const text = two(Math.floor(minutes / 60) % 24) + ":" + two(minutes % 60);
  return withSeconds ? text + ":" + two(whole % 60) : text;
}
