// The gauge glass, with the boiler cut open behind it: water, swell, nuts, crown.
import { BRASS, FAINT, GLASS, HEAT, INK, RED, SWELL, WATER, attribute, draw, figures, make, svg, write } from "./parts.js";

const WIDE = 344, TALL = 540, TOP = 8, BOTTOM = 532;
const SHELL = [14, 154], TUBE = [188, 242];
const BREAK = -0.2, SHORT = 0.25; // below this the height is drawn to a quarter of the scale, and a break says so

/**
 * Draw it in `place`. `marks`: crown, height of the crown in parts of the glass from its bottom nut (negative
 * below it); mm, length of the glass. Returns a function of what the glass shows.
 */
export function glass(place, marks, told) {
  const low = Math.min(marks.crown - 0.5, -0.6), high = 1.33;
  const reach = part => part > BREAK ? part : BREAK + SHORT * (part - BREAK);
  const y = part => TOP + (high - reach(part)) / (high - reach(low)) * (BOTTOM - TOP);
  const picture = svg(WIDE, TALL, "The gauge glass and the boiler's water");
  const tubeWide = TUBE[1] - TUBE[0];
  const shellClip = draw("clipPath", { id: "in-shell" }, draw("rect", { x: SHELL[0] + 4, y: TOP + 4, width: SHELL[1] - SHELL[0] - 8, height: BOTTOM - TOP - 8, rx: 8 }));
  const tubeClip = draw("clipPath", { id: "in-tube" }, draw("rect", { x: TUBE[0] + 3, y: y(1), width: tubeWide - 6, height: y(0) - y(1) }));
  picture.append(draw("defs", {}, shellClip, tubeClip, bubbles()));

  const inside = draw("g", { class: "inside" });
  const boilerSwell = column(SHELL[0], SHELL[1], "url(#bubbles)"), boilerStill = column(SHELL[0], SHELL[1], WATER);
  const crown = y(marks.crown), box = [SHELL[0] + 26, SHELL[1] - 26];
  inside.append(draw("g", { "clip-path": "url(#in-shell)" }, boilerSwell, boilerStill));
  const furnace = draw("g", { class: "inside" },
    draw("rect", { x: box[0], y: crown, width: box[1] - box[0], height: BOTTOM - crown - 4, fill: HEAT }),
    draw("path", { d: `M${box[0]} ${BOTTOM - 2}V${crown}H${box[1]}V${BOTTOM - 2}`, fill: "none", stroke: INK, "stroke-width": 4 }),
    draw("path", { d: `M${box[0]} ${crown}H${box[1]}`, stroke: RED, "stroke-width": 4 }),
    label((box[0] + box[1]) / 2, Math.min(crown + 24, BOTTOM - 8), "fire", "middle", INK));
  const zigzag = draw("path", { d: [SHELL[0] + 2, SHELL[1] - 2].map(x => `M${x - 9} ${y(BREAK) + 4}l6 -8l6 8l6 -8`).join(""), fill: "none", stroke: "#fff", "stroke-width": 9 });
  const zigzagInk = draw("path", { d: zigzag.getAttribute("d"), fill: "none", stroke: INK, "stroke-width": 1.4 });
  const shell = draw("rect", { x: SHELL[0] + 2, y: TOP + 2, width: SHELL[1] - SHELL[0] - 4, height: BOTTOM - TOP - 4, rx: 10, fill: "none", stroke: INK, "stroke-width": 5 });
  const steam = label((SHELL[0] + SHELL[1]) / 2, TOP + 28, "steam", "middle", FAINT);
  const closed = draw("g", { class: "closed" },
    draw("rect", { x: SHELL[0] + 5, y: TOP + 5, width: SHELL[1] - SHELL[0] - 10, height: BOTTOM - TOP - 10, rx: 8, fill: "#dde3e5" }));

  const crownLine = draw("g", {},
    draw("path", { d: `M${SHELL[1]} ${crown}H${TUBE[1] + 6}`, stroke: RED, "stroke-width": 1.5, "stroke-dasharray": "9 4" }),
    label(TUBE[1] + 12, crown + 5, "crown", "start", RED));
  const tubeSwell = column(TUBE[0], TUBE[1], "url(#bubbles)"), tubeStill = column(TUBE[0], TUBE[1], WATER);
  const surface = draw("path", { d: `M${TUBE[0] + 3} 0H${TUBE[1] - 3}`, stroke: INK, "stroke-width": 2.5 });
  const tube = draw("g", {},
    draw("rect", { x: TUBE[0], y: y(1) - 6, width: tubeWide, height: y(0) - y(1) + 12, fill: GLASS, stroke: INK, "stroke-width": 1.6 }),
    draw("g", { "clip-path": "url(#in-tube)" }, tubeSwell, tubeStill, surface),
    draw("rect", { x: TUBE[0] + 6, y: y(1) + 14, width: 5, height: y(0) - y(1) - 28, rx: 2.5, fill: "#fff", opacity: 0.6 }));
  picture.append(inside, furnace, steam, closed, shell, zigzag, zigzagInk, pipe(y(1) - 26), pipe(y(0) + 26), tube, nut(y(1), -1), nut(y(0), 1));
  for (const [part, name] of [[1, "top nut"], [0.75, "3/4"], [0.5, "half"], [0.25, "1/4"], [0, "bottom nut"]])
    picture.append(draw("path", { d: `M${TUBE[1] + 3} ${y(part)}h7`, stroke: INK, "stroke-width": 1.2 }), label(TUBE[1] + 14, y(part) + 5, name, "start", INK));
  picture.append(crownLine);
  place.replaceChildren(picture);

  const bigger = make("strong"), rest = make("span");
  told.replaceChildren(bigger, " ", rest);
  return seen => {
    const dip = Math.max(low, Math.min(high, seen.shows)), level = Math.max(low, Math.min(high, seen.level));
    move(tubeStill, y(dip - seen.swell));
    move(tubeSwell, y(dip));
    move(surface, y(dip));
    move(boilerStill, y(level - seen.swell));
    move(boilerSwell, y(level));
    attribute(surface, "visibility", seen.shows >= 0 && seen.shows <= 1 ? "visible" : "hidden");
    write(bigger, seen.shows < 0 ? "out of sight, low" : seen.shows > 1 ? "out of sight, high" : Math.round(100 * seen.shows) + " % of the glass");
    write(rest, seen.swell * marks.mm < 0.5 ? "" : "of it " + figures(seen.swell * marks.mm, "mm") + " mm held up by bubbles (pale): swell");
  };
}

function column(left, right, fill) {
  return draw("rect", { x: left, y: 0, width: right - left, height: 2 * TALL, fill });
}

function move(part, at) {
  const text = `translateY(${at.toFixed(1)}px)`;
  if (part.style.transform !== text) part.style.transform = text;
}

function label(x, at, text, anchor, colour) {
  return draw("text", { x, y: at, "text-anchor": anchor, fill: colour }, text);
}

function bubbles() {
  return draw("pattern", { id: "bubbles", width: 14, height: 14, patternUnits: "userSpaceOnUse" },
    draw("rect", { width: 14, height: 14, fill: SWELL }),
    ...[[3, 4, 1.6], [9.5, 8, 2.1], [5, 11.5, 1.1]].map(([cx, cy, r]) => draw("circle", { cx, cy, r, fill: "#fff", stroke: WATER, "stroke-width": 0.6 })));
}

function pipe(at) {
  return draw("rect", { x: SHELL[1], y: at - 7, width: TUBE[0] - SHELL[1] + 28, height: 14, fill: BRASS, stroke: INK, "stroke-width": 1 });
}

/** A gland nut, its facets, and the brass body it is screwed on. */
function nut(at, way) {
  const middle = (TUBE[0] + TUBE[1]) / 2, wide = 62;
  const top = way < 0 ? at - 16 : at - 2;
  const body = way < 0 ? at - 40 : at + 14;
  return draw("g", { stroke: INK, "stroke-width": 1 },
    draw("rect", { x: middle - 20, y: body, width: 40, height: 26, fill: BRASS }),
    draw("rect", { x: middle - wide / 2, y: top, width: wide, height: 18, fill: BRASS }),
    draw("path", { d: `M${middle - 14} ${top}v18M${middle + 14} ${top}v18`, fill: "none" }));
}
