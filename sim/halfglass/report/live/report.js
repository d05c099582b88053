/* One cursor over all pictures, and filters for the log. Without this the page says the same. */
(function () {
  "use strict";
  const data = JSON.parse(document.getElementById("page-data").textContent);
  const TYPE = '11px "DejaVu Sans", Verdana, sans-serif';
  const movers = []; // functions of the cursor's time, one a picture
  let now = data.start;

  const times = data.times.map(steps => {
    let sum = 0;
    return steps.map(step => (sum = Math.round((sum + step) * 1000) / 1000));
  });
  for (const picture of Object.values(data.pictures))
    for (const panel of picture.panels) {
      for (const line of panel.lines) line.t = times[line.t];
      panel.places = 3 - Math.floor(Math.log10(largest(panel) || 1));
    }

  function two(number) { return String(number).padStart(2, "0"); }

  function clock(seconds) {
    const minutes = Math.floor((data.origin + seconds) / 60 + 1e-6), day = Math.floor(minutes / 1440);
    return two(Math.floor(minutes / 60) % 24) + ":" + two(minutes % 60) + (day ? " day " + (day + 1) : "");
  }

  /* Three figures, as the tables of the page have them; of small values no more places than tell a
     thousandth of the largest. */
  function figures(value, panel) {
    if (value === null) return "-";
    if (panel.name === "glass_fraction") return String(Math.round(value) + 0);
    if (value === 0) return "0";
    const rounded = Number(value.toPrecision(3));
    const places = 2 - Math.floor(Math.log10(Math.abs(rounded)));
    const text = rounded.toFixed(Math.max(0, Math.min(places, panel.places)));
    return Number(text) === 0 ? "0" : text;
  }

  function largest(panel) {
    let most = 0;
    for (const line of panel.lines) for (const value of line.v) most = Math.max(most, Math.abs(value));
    return most;
  }

  /* The drawn row nearest to a time; null outside the plan's day. */
  function nearest(line, time) {
    const t = line.t, last = t.length - 1;
    if (time < t[0] - 60 || time > t[last] + 60) return null;
    let low = 0, high = last;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (t[middle] < time) low = middle + 1; else high = middle;
    }
    return low > 0 && time - t[low - 1] <= t[low] - time ? low - 1 : low;
  }

  function valueAt(line, time) {
    const row = nearest(line, time);
    return row === null ? null : line.v[row];
  }

  function element(name, className, text) {
    const made = document.createElement(name);
    if (className) made.className = className;
    if (text !== undefined) made.textContent = text;
    return made;
  }

  function told(panel, time) {
    const many = panel.lines.length > 1;
    return panel.lines.map(line =>
      (many ? data.plans[line.plan].letter + "\u00a0" : "") + figures(valueAt(line, time), panel)).join("  ");
  }

  function readout(panels) {
    const whole = element("p", "readout"), parts = [];
    for (const panel of panels) {
      const part = element("span"), value = element("b");
      part.append(panel.label + " ", value, panel.unit ? " " + panel.unit : "");
      part.dataset.reading = panel.name;
      whole.append(part);
      parts.push([panel, value]);
    }
    movers.push(time => { for (const [panel, value] of parts) value.textContent = told(panel, time); });
    return whole;
  }

  function move(time) {
    now = Math.min(data.end, Math.max(0, time));
    for (const mover of movers) mover(now);
  }

  function followPointer(box, timeAt) {
    const follow = event => { const time = timeAt(event); if (isFinite(time)) move(time); };
    box.addEventListener("pointermove", follow);
    box.addEventListener("pointerdown", follow);
  }

  /* A picture that stays: a hair over it, placed by the margins it was drawn with. */
  function lay(figure, picture) {
    figure.querySelectorAll(".still").forEach((still, form) => {
      const frame = picture.frame[form], left = data.margins[0] / frame;
      const right = 1 - data.margins[1] / frame, hair = element("div", "hair");
      const tall = still.querySelector("svg").viewBox.baseVal.height;
      hair.style.top = 100 * data.margins[2] / tall + "%";
      hair.style.bottom = 100 * data.margins[3] / tall + "%";
      still.append(hair);
      movers.push(time => { hair.style.left = 100 * (left + (right - left) * time / data.end) + "%"; });
      followPointer(still, event => {
        const box = still.getBoundingClientRect();
        return ((event.clientX - box.left) / box.width - left) / (right - left) * data.end;
      });
    });
  }

  /* Round clock times, few enough for the width. */
  function ticks(width) {
    const most = Math.max(2, Math.floor(width / 64));
    const steps = [1, 2, 5, 10, 15, 30, 60, 120, 180, 360, 720, 1440, 2880, 10080].map(minutes => minutes * 60);
    const step = steps.find(one => data.end / one <= most) || Math.ceil(data.end / 604800 / most) * 604800;
    const found = [];
    for (let at = Math.ceil(data.origin / step) * step - data.origin; at <= data.end; at += step) found.push(at);
    return found;
  }

  function level(plot, value) { return plot.valToPos(value, "y", true); }

  function drawGround(plot, panel) {
    const { ctx, bbox } = plot, scale = plot.scales.y;
    ctx.save();
    ctx.fillStyle = data.ink.shade;
    for (const [from, to] of panel.shades) {
      const low = Math.max(scale.min, from === null ? scale.min : from);
      const high = Math.min(scale.max, to === null ? scale.max : to);
      if (high > low) ctx.fillRect(bbox.left, level(plot, high), bbox.width, level(plot, low) - level(plot, high));
    }
    ctx.restore();
  }

  function drawMarks(plot, panel, { faults, letters }, isFirst) {
    const { ctx, bbox } = plot, scale = plot.scales.y, dots = devicePixelRatio || 1;
    ctx.save();
    ctx.font = TYPE.replace("11px", 11 * dots + "px");
    ctx.textBaseline = "middle";
    ctx.lineWidth = dots;
    const words = panel.words.map(([at, text]) => ({ at, text }));
    for (const [at, text, dash] of panel.marks) {
      if (at < scale.min || at > scale.max) continue;
      ctx.strokeStyle = data.ink.faint;
      ctx.setLineDash(dash.map(part => 1.6 * part * dots));
      ctx.beginPath();
      ctx.moveTo(bbox.left, level(plot, at));
      ctx.lineTo(bbox.left + bbox.width, level(plot, at));
      ctx.stroke();
      if (text) words.push({ at, text });
    }
    ctx.strokeStyle = ctx.fillStyle = data.ink.fault;
    ctx.setLineDash([dots, 2 * dots]);
    for (const at of faults) {
      const x = plot.valToPos(at, "x", true);
      ctx.beginPath(); ctx.moveTo(x, bbox.top); ctx.lineTo(x, bbox.top + bbox.height); ctx.stroke();
    }
    if (isFirst && faults.length) {
      ctx.textAlign = "center";
      ctx.fillText("fault", plot.valToPos(faults[0], "x", true), bbox.top - 7 * dots);
    }
    ctx.textAlign = "left";
    ctx.fillStyle = data.ink.ink;
    const gap = 13 * dots, bottom = bbox.top + bbox.height;
    const placed = words.filter(word => word.at >= scale.min && word.at <= scale.max)
      .map(word => ({ text: word.text, y: level(plot, word.at) })).sort((a, b) => b.y - a.y);
    placed.forEach((word, i) => { word.y = Math.min(word.y, i ? placed[i - 1].y - gap : bottom); });
    const over = placed.length ? Math.max(0, bbox.top - placed[placed.length - 1].y) : 0;
    placed.reverse().forEach((word, i) => {
      word.y = Math.max(word.y, bbox.top - (over ? 0 : gap) + i * gap);
      ctx.fillText(word.text, bbox.left + bbox.width + 5 * dots, word.y);
    });
    ctx.restore();
    if (panel.lines.length > 1) drawLetters(plot, panel, letters, dots);
  }

  /* Each plan's letter on its line, so that nothing hangs on colour and dash alone. */
  function drawLetters(plot, panel, letters, dots) {
    const ctx = plot.ctx;
    ctx.save();
    ctx.font = "bold " + TYPE.replace("11px", 10 * dots + "px");
    ctx.textAlign = "center";
    ctx.textBaseline = "middle";
    panel.lines.forEach((line, i) => {
      const at = letters[i], value = valueAt(line, at);
      if (value === null) return;
      const { min, max } = plot.scales.y;
      const x = plot.valToPos(at, "x", true), y = level(plot, Math.min(max, Math.max(min, value)));
      ctx.setLineDash([]);
      ctx.beginPath();
      ctx.arc(x, y, 7.5 * dots, 0, 2 * Math.PI);
      ctx.fillStyle = "#fff"; ctx.fill();
      ctx.strokeStyle = line.colour; ctx.lineWidth = 1.4 * dots; ctx.stroke();
      ctx.fillStyle = data.ink.ink;
      ctx.fillText(data.plans[line.plan].letter, x, y + 0.5 * dots);
    });
    ctx.restore();
  }

  /* Room on the right for the longest name, alike for all so that clocks stand under one another. */
  function roomForNames() {
    const words = document.createElement("canvas").getContext("2d");
    words.font = TYPE;
    const names = Object.values(data.pictures).filter(picture => picture.redrawn)
      .flatMap(picture => picture.panels).flatMap(panel => [...panel.marks.map(mark => mark[1]), ...panel.words.map(word => word[1])]);
    return Math.max(24, ...names.map(name => Math.ceil(words.measureText(name).width) + 9));
  }

  const margin = roomForNames();

  function span(panel) {
    let low = Infinity, high = -Infinity;
    for (const line of panel.lines)
      for (const value of line.v) if (value !== null) { low = Math.min(low, value); high = Math.max(high, value); }
    if (low > high) low = high = 0;
    const room = 0.09 * (high - low) || 0.5;
    return [panel.low === null ? low - room : panel.low,
      Math.max(high + room, panel.high === null ? -Infinity : panel.high)];
  }

  function plotOf(place, panel, picture, isFirst, isLast) {
    const dots = devicePixelRatio || 1, range = span(panel);
    const foot = clock(data.end).includes(" ") ? 38 : 30; // the day's number is a line of its own
    const line = { stroke: data.ink.ink, font: TYPE, grid: { stroke: data.ink.rule, width: 0.6 },
      ticks: { stroke: data.ink.faint, size: 4, width: 0.8 } };
    const tables = panel.lines.map(one => [one.t, one.v]);
    return new uPlot({
      width: Math.max(160, place.clientWidth), height: (picture.panels.length > 1 ? 96 : 170) + (isLast ? foot + 4 : 8),
      legend: { show: false }, cursor: { show: false }, padding: [isFirst ? 16 : 8, margin, 4, 0],
      scales: { x: { time: false, range: [0, data.end] }, y: { range } },
      axes: [
        { ...line, grid: { show: false }, size: isLast ? foot : 0, splits: plot => ticks(plot.width - 150),
          values: (plot, at) => at.map(time => isLast ? clock(time).replace(" ", "\n") : ""),
          ticks: { ...line.ticks, show: isLast } },
        { ...line, size: 46, space: 26, values: (plot, at) => at.map(value => String(Number(value.toPrecision(6)))) },
      ],
      series: [{}, ...panel.lines.map((one, i) => ({ stroke: one.colour, width: 2.2 - 0.15 * i, spanGaps: true,
        dash: one.dash.map(part => 2 * part * dots), points: { show: false } }))],
      hooks: { drawClear: [plot => drawGround(plot, panel)],
        draw: [plot => drawMarks(plot, panel, picture, isFirst)] },
    }, tables.length > 1 ? uPlot.join(tables) : tables[0], place);
  }

  /* A picture of lines: drawn anew, each panel with its own hair. */
  function redraw(figure, picture) {
    const still = figure.querySelector(".still"), chart = element("div", "chart");
    const drawn = still.querySelector("svg");
    chart.setAttribute("role", "img");
    chart.setAttribute("aria-label", [...drawn.querySelectorAll(":scope > title, :scope > desc")]
      .map(part => part.textContent).join(". "));
    still.after(chart);
    figure.classList.add("redrawn");
    picture.panels.forEach((panel, i) => {
      chart.append(element("p", "chart-label", panel.label + (panel.unit ? " [" + panel.unit + "]" : "")));
      const place = element("div");
      chart.append(place);
      const plot = plotOf(place, panel, picture, i === 0, i === picture.panels.length - 1);
      const hair = element("div", "hair");
      plot.over.append(hair);
      const placeHair = () => { hair.style.left = plot.valToPos(now, "x") + "px"; };
      movers.push(placeHair);
      plot.hooks.draw.push(placeHair);
      followPointer(plot.over, event => plot.posToVal(event.clientX - plot.over.getBoundingClientRect().left, "x"));
      new ResizeObserver(() => {
        if (!place.clientWidth || Math.abs(place.clientWidth - plot.width) < 1) return;
        plot.setSize({ width: Math.max(160, place.clientWidth), height: plot.height });
      }).observe(place);
    });
  }

  /* The cursor as a slider: keys, fingers and readers of the screen can all move it. */
  function bar() {
    const whole = element("div", "cursor-bar"), label = element("label", "", "Cursor");
    const slider = element("input"), at = element("output"), levels = element("span", "levels");
    whole.setAttribute("role", "group");
    whole.setAttribute("aria-label", "Cursor over all pictures");
    Object.assign(slider, { type: "range", id: "cursor", min: 0, max: Math.floor(data.end), step: 1 });
    label.htmlFor = at.htmlFor = slider.id;
    whole.append(label, at, slider, levels);
    document.querySelector("main").append(whole);
    slider.addEventListener("input", () => move(Number(slider.value)));
    const glasses = Object.values(data.pictures).flatMap(p => p.panels)
      .filter(panel => panel.name === "glass_fraction");
    movers.push(time => {
      const water = "Glass " + glasses.map(panel => told(panel, time)).join("  ") + " %";
      slider.value = time;
      at.textContent = clock(time);
      levels.textContent = water + "  \u00b7  left and right arrow: a minute; with shift: ten";
      slider.setAttribute("aria-valuetext", clock(time) + ". " + water);
    });
    document.addEventListener("keydown", event => {
      const way = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
      const held = event.target.closest ? event.target.closest("select, .filters input, .scroll") : null;
      if (!way || held || event.ctrlKey || event.altKey || event.metaKey) return;
      event.preventDefault();
      move(now + way * (event.shiftKey ? 600 : 60));
    });
  }

  function choice(name, rows, column) {
    const label = element("label", "", name), select = element("select");
    const found = [...new Set(rows.map(row => row.cells[column].textContent))].sort();
    select.append(new Option("all", ""), ...found.map(text => new Option(text, text)));
    label.append(select);
    return [label, row => !select.value || row.cells[column].textContent === select.value];
  }

  function filters(log) {
    const rows = [...log.querySelectorAll("tbody tr")], form = element("div", "filters");
    const who = choice("Who", rows, 1), about = choice("About", rows, 2);
    const label = element("label", "", "Text"), wanted = element("input"), count = element("p");
    wanted.type = "search";
    label.append(wanted);
    count.setAttribute("role", "status");
    form.setAttribute("role", "group");
    form.setAttribute("aria-label", "Filters of the log");
    form.append(who[0], about[0], label, count);
    log.querySelector(".scroll").before(form);
    const sift = () => {
      const text = wanted.value.trim().toLowerCase();
      let left = 0;
      for (const row of rows) {
        const shown = who[1](row) && about[1](row) && row.textContent.toLowerCase().includes(text);
        row.classList.toggle("filtered-out", !shown);
        left += shown ? 1 : 0;
      }
      count.textContent = left + " of " + rows.length + " lines";
    };
    form.addEventListener("input", sift);
    sift();
  }

  document.documentElement.classList.add("live");
  for (const figure of document.querySelectorAll("figure[data-picture]")) {
    const picture = data.pictures[figure.dataset.picture];
    if (picture.redrawn) redraw(figure, picture); else lay(figure, picture);
    figure.querySelector("figcaption").before(readout(picture.panels));
  }
  document.querySelectorAll(".log").forEach(filters);
  bar();
  move(now);
})();
