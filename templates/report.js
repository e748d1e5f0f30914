// The report's own script: sorts and searches its tables, shows the diagram of the chosen PON and the
// levels of the chosen end. No network, no storage; without it the page still reads from top to bottom.
"use strict";
(() => {
  const data = JSON.parse(document.getElementById("plan-data").textContent);
  const { groups, ends, units } = data;
  const count = ends.group.length;
  const $ = (id) => document.getElementById(id);

  const make = (name, attributes = {}, ...children) => {
    const element = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    element.append(...children);
    return element;
  };
  const hundredths = (value) => (value === null ? "?" : (value / 100).toFixed(2));
  const long = (meters) => (meters === null ? "?" : (meters / units.meters_per_long).toFixed(3));
  const lengthWords = (meters) => {
    const short = meters / units.meters_per_short;
    return short < 999.5 ? `${short.toFixed(0)} ${units.short}` : `${long(meters)} ${units.long}`;
  };
  const minus = (text) => String(text).replace(/-(?=[\d.])/g, "\u2212");
  const verdict = (code, why) => {
    const [word, mark] = data.verdicts[code];
    const sign = make("span", { class: "mark", "aria-hidden": "true" }, mark);
    const said = make("span", { class: `verdict v-${word}` }, sign, ` ${word}`);
    return why ? make("span", {}, said, " ", make("small", { class: "why" }, why)) : said;
  };

  // What an end is, from the columns of the data.
  const laneOf = (e) => (ends.lane[e] === null ? null : groups[ends.group[e]].lanes[ends.lane[e]]);
  const idOf = (e) => {
    if (ends.id[e] !== null) return ends.id[e];
    const group = groups[ends.group[e]];
    return group.shapes[group.losses[laneOf(e).losses].shape].n[ends.point[e]];
  };
  const nmOf = (e) => laneOf(e)?.nm ?? null;
  const groupName = (g) => (g.far === null ? g.id : `${g.id} to ${g.far}`);

  // A table that shows a page of its rows at a time and sorts by any of its columns.
  const grid = (root, spec) => {
    const body = root.querySelector("tbody");
    const note = root.querySelector(".count");
    const more = root.querySelector("button.more");
    const state = { key: null, down: false, shown: spec.page, rows: [] };
    const draw = () => {
      const rows = state.rows.slice(0, state.shown);
      body.replaceChildren(...rows.map((row) => spec.row(row)));
      const left = state.rows.length - rows.length;
      note.textContent = `${state.rows.length} of ${spec.total} ${spec.what}${left ? `, ${rows.length} shown` : ""}`;
      more.hidden = left === 0;
      more.textContent = `Show ${Math.min(left, 200)} more`;
    };
    const fill = () => {
      const rows = spec.rows();
      const key = spec.keys[state.key];
      if (key) {
        const known = (value) => value !== null && value !== undefined && value !== "";
        const by = rows.map((row) => [key(row), row]);
        by.sort(([a, x], [b, y]) => {
          if (known(a) !== known(b)) return known(a) ? 1 : -1;
          const order = typeof a === "string" ? a.localeCompare(b, "en", { numeric: true }) : a - b;
          return (state.down ? -order : order) || x - y;
        });
        state.rows = by.map(([, row]) => row);
      } else {
        state.rows = rows;
      }
      draw();
    };
    root.querySelectorAll("th[data-key]").forEach((head) => {
      const button = make("button", { type: "button", class: "sort" });
      button.append(...head.childNodes);
      head.append(button);
      button.addEventListener("click", () => {
        state.down = state.key === head.dataset.key ? !state.down : false;
        state.key = head.dataset.key;
        root.querySelectorAll("th[aria-sort]").forEach((other) => other.removeAttribute("aria-sort"));
        head.setAttribute("aria-sort", state.down ? "descending" : "ascending");
        state.shown = spec.page;
        fill();
      });
    });
    more.addEventListener("click", () => {
      state.shown += 200;
      draw();
    });
    root.querySelectorAll("input, select").forEach((field) => {
      field.addEventListener("input", () => {
        state.shown = spec.page;
        fill();
      });
    });
    root.querySelector(".tools").hidden = false;
    return { fill, draw };
  };
  const number = (text, extra = "") => make("td", { class: `n ${extra}` }, minus(text));

  // PONs and links.
  let chosenGroup = 0;
  const groupsRoot = $("groups");
  const groupGrid = groupsRoot && grid(groupsRoot, {
    what: "PONs and links",
    total: groups.length,
    page: 50,
    rows: () => {
      const wanted = $("group-search").value.trim().toLowerCase();
      const word = $("group-verdict").value;
      const found = [];
      groups.forEach((group, index) => {
        const text = `${groupName(group)} ${group.optic}`.toLowerCase();
        if (text.includes(wanted) && (!word || data.verdicts[group.verdict][0] === word)) found.push(index);
      });
      return found;
    },
    keys: {
      id: (g) => groupName(groups[g]),
      optic: (g) => groups[g].optic,
      served: (g) => groups[g].served,
      near: (g) => groups[g].km[0],
      far: (g) => groups[g].km[1],
      margin: (g) => groups[g].margin,
      headroom: (g) => groups[g].headroom,
      closes: (g) => parseFloat(groups[g].closes.replace(/[<>] /, "")) || null,
      verdict: (g) => -groups[g].verdict,
    },
    row: (g) => {
      const group = groups[g];
      const pick = make("button", { type: "button", class: "pick" }, make("bdi", { title: groupName(group) }, groupName(group)));
      pick.setAttribute("aria-pressed", String(g === chosenGroup));
      pick.addEventListener("click", () => chooseGroup(g, true));
      const row = make("tr", g === chosenGroup ? { class: "chosen" } : {},
        make("th", { scope: "row" }, pick), make("td", {}, verdict(group.verdict, group.why)),
        make("td", { class: "wide" }, group.optic),
        number(group.served, "mid"), number(long(group.km[0]), "wide"), number(long(group.km[1]), "mid"),
        number(hundredths(group.margin)), number(hundredths(group.headroom)),
        number(group.closes, "wide"));
      if (groupsRoot.dataset.reserve) row.append(number(group.reserve, "wide"));
      return row;
    },
  });

  const chooseGroup = (g, byHand) => {
    chosenGroup = g;
    const drawing = document.getElementById(`tree-${g}`);
    const stage = $("tree-stage");
    if (drawing) stage.replaceChildren(drawing.content.cloneNode(true));
    else stage.replaceChildren(make("p", { class: "hint" }, "This one is not drawn in this file: only the PONs and links listed first are. Its ends are in the table below."));
    const shown = $("tree-name");
    shown.replaceChildren(make("bdi", {}, groupName(groups[g])), `, ${groups[g].optic}`);
    if (groupGrid) groupGrid.draw();
    if (byHand) {
      $("end-group").checked = true;
      endGrid.fill();
      const first = ends.group.indexOf(g);
      if (first >= 0) chooseEnd(first, false);
      $("tree").scrollIntoView({ block: "start" });
    }
  };

  // Ends.
  let chosenEnd = data.first;
  const endGrid = grid($("ends"), {
    what: "ends",
    total: count,
    page: 25,
    rows: () => {
      const wanted = $("end-search").value.trim().toLowerCase();
      const word = $("end-verdict").value;
      const direction = $("end-direction").value;
      const only = $("end-group").checked;
      const found = [];
      for (let e = 0; e < count; e += 1) {
        if (only && ends.group[e] !== chosenGroup) continue;
        if (word && data.verdicts[ends.verdict[e]][0] !== word) continue;
        if (direction && ends.dir[e] !== direction) continue;
        if (wanted && !`${idOf(e)} ${groups[ends.group[e]].id}`.toLowerCase().includes(wanted)) continue;
        found.push(e);
      }
      return found;
    },
    keys: {
      id: (e) => idOf(e),
      direction: (e) => ends.dir[e],
      nm: (e) => nmOf(e),
      length: (e) => ends.meters[e],
      most: (e) => ends.most[e],
      max: (e) => laneOf(e)?.max ?? null,
      margin: (e) => ends.margin[e],
      headroom: (e) => ends.headroom[e],
      yield: (e) => ends.yield[e],
      verdict: (e) => -ends.verdict[e],
    },
    row: (e) => {
      const lane = laneOf(e);
      const pick = make("button", { type: "button", class: "pick" }, make("bdi", { title: idOf(e) }, idOf(e)));
      pick.setAttribute("aria-pressed", String(e === chosenEnd));
      pick.addEventListener("click", () => chooseEnd(e, true));
      return make("tr", e === chosenEnd ? { class: "chosen" } : {},
        make("th", { scope: "row" }, pick), make("td", {}, verdict(ends.verdict[e], data.whys[ends.why[e]])),
        make("td", {}, ends.dir[e]),
        number(lane ? lane.nm : "?", "mid"), number(long(ends.meters[e]), "mid"),
        number(hundredths(ends.most[e]), "mid"), number(lane && lane.max !== null ? lane.max.toFixed(2) : "?", "wide"),
        number(hundredths(ends.margin[e])), number(hundredths(ends.headroom[e]), "mid"),
        number(ends.yield[e] === null ? "" : data.yields[ends.yield[e]], "wide"));
    },
  });

  const chooseEnd = (e, byHand) => {
    chosenEnd = e;
    if (byHand && ends.group[e] !== chosenGroup) chooseGroup(ends.group[e], false);
    endGrid.draw();
    drawLevels(false);
    if (byHand) $("levels").scrollIntoView({ block: "start" });
  };

  // The ends that share the port of the chosen one: every system, both directions.
  const together = (e) => {
    const id = idOf(e);
    const group = groups[ends.group[e]];
    const found = [];
    for (let other = 0; other < count; other += 1) {
      const same = ends.group[other] === ends.group[e];
      if (ends.lane[other] === null) continue;
      if (group.far !== null ? same : idOf(other) === id) found.push(other);
    }
    return found.sort((a, b) => Number(laneOf(a).inward) - Number(laneOf(b).inward) || nmOf(a) - nmOf(b));
  };

  // The way of an end: its points from the left (the office) to the right, with what reaches each.
  const wayOf = (e) => {
    const group = groups[ends.group[e]];
    const lane = laneOf(e);
    const loss = group.losses[lane.losses];
    const shape = group.shapes[loss.shape];
    const path = [];
    for (let at = ends.point[e]; ; at = shape.p[at]) {
      path.unshift(at);
      if (at === 0) break;
    }
    const last = ends.point[e];
    const passed = (list, at) => (lane.inward ? list[last] - list[at] : list[at]) / 1000;
    const points = path.map((at) => ({
      name: shape.n[at], kind: shape.k[at], meters: shape.m[at],
      least: passed(loss.l, at), typical: passed(loss.t, at), most: passed(loss.w, at),
    }));
    if (lane.inward) points.reverse();
    const end = points[points.length - 1];
    const extra = { least: ends.least[e] / 100 - end.least, typical: ends.typical[e] / 100 - end.typical, most: ends.most[e] / 100 - end.most };
    if (extra.most > 0.011) {
      points.push({ ...end, name: "allowances", kind: "-", least: ends.least[e] / 100, typical: ends.typical[e] / 100, most: ends.most[e] / 100 });
    } else {
      Object.assign(end, { least: ends.least[e] / 100, typical: ends.typical[e] / 100, most: ends.most[e] / 100 });
    }
    const known = lane.launch[0] !== null && lane.launch[1] !== null;
    const [low, high] = known ? lane.launch : [0, 0];
    for (const point of points) {
      point.high = high - point.least;
      point.low = low - point.most;
      point.middle = (low + high) / 2 - point.typical;
    }
    return { lane, points, known, low, high, limit: lane.max === null ? null : low - lane.max };
  };

  const NS = "http://www.w3.org/2000/svg";
  const draw = (name, attributes, text) => {
    const element = document.createElementNS(NS, name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    if (text !== undefined) element.textContent = text;
    return element;
  };

  // One level diagram.
  const chart = (way, width, height, even) => {
    const { lane, points, known } = way;
    const frame = { left: 50, right: width - 14, top: 62, bottom: height - 46, height };
    const unit = known ? "dBm" : "dB from launch";
    const marks = [way.high, points[points.length - 1].low, way.limit, lane.over, lane.sens].filter((v) => v !== null && (known || v === way.limit || v <= 0));
    const top = Math.ceil((Math.max(...marks) + 1.5) / 5) * 5;
    const bottom = Math.floor((Math.min(...marks) - 1.5) / 5) * 5;
    const y = (level) => frame.top + ((top - level) / (top - bottom)) * (frame.bottom - frame.top);
    const farthest = Math.max(...points.map((p) => p.meters), 1);
    const step = (index) => (lane.inward ? points.length - 1 - index : index) / Math.max(points.length - 1, 1);
    const x = (point, index) => frame.left + (even ? step(index) : point.meters / farthest) * (frame.right - frame.left);
    const svg = draw("svg", { class: "levels", viewBox: `0 0 ${width} ${frame.height}`, width, height: frame.height, role: "img" });
    const last = points[points.length - 1];
    svg.append(draw("title", {}, `Levels ${lane.dir} at ${lane.nm} nm: from ${way.low.toFixed(2)} to ${way.high.toFixed(2)} at launch, ${last.low.toFixed(2)} to ${last.high.toFixed(2)} ${unit} on arrival`));
    const span = (top - bottom) > 40 ? 10 : 5;
    for (let level = bottom; level <= top; level += span) {
      svg.append(draw("line", { class: "grid", x1: frame.left, x2: frame.right, y1: y(level), y2: y(level) }));
      svg.append(draw("text", { class: "t-end faint", x: frame.left - 6, y: y(level) + 4 }, minus(level)));
    }
    svg.append(draw("text", { class: "t faint", x: 4, y: 14 }, unit));
    // Names of what stands on the way, in as many rows as they need.
    const rows = [];
    let before = null;
    points.forEach((point, index) => {
      if (!"PILTWA".includes(point.kind)) return;
      const name = point.kind === "P" ? point.name : point.name.replace(/\/[^/]*$/, "");
      if (name === before) return;
      before = name;
      const label = name.length > 18 ? `${name.slice(0, 17)}\u2026` : name;
      const at = x(point, index);
      const wide = label.length * 6.6 + 8;
      const start = Math.min(Math.max(at - wide / 2, frame.left), frame.right - wide);
      let row = rows.findIndex((taken) => taken.every(([from, to]) => start > to || start + wide < from));
      if (row < 0 && rows.length < 3) row = rows.push([]) - 1;
      svg.append(draw("line", { class: "mark-line", x1: at, x2: at, y1: row < 0 ? frame.top : 18 + row * 14, y2: frame.bottom }));
      if (row < 0) return;
      rows[row].push([start, start + wide]);
      svg.append(draw("rect", { class: "paper", x: start, y: 7 + row * 14, width: wide, height: 13 }));
      svg.append(draw("text", { class: "t-mid", x: start + wide / 2, y: 17 + row * 14 }, label));
    });
    const limits = [];
    const limit = (level, className, words) => {
      if (level === null) return;
      svg.append(draw("line", { class: className, x1: frame.left, x2: frame.right, y1: y(level), y2: y(level) }));
      let at = y(level) - 5;
      while (limits.some((other) => Math.abs(other - at) < 12)) at += 14;
      limits.push(at);
      const left = lane.inward;
      svg.append(draw("text", { class: left ? "t-end limit" : "t limit", x: left ? frame.right - 4 : frame.left + 4, y: at }, minus(`${words} ${level.toFixed(2)} ${unit}`)));
    };
    const corners = (pick) => points.map((p, i) => `${x(p, i).toFixed(1)},${y(p[pick]).toFixed(1)}`);
    svg.append(draw("polygon", { class: "band", points: [...corners("high"), ...corners("low").reverse()].join(" ") }));
    svg.append(draw("polyline", { class: "edge", points: corners("high").join(" ") }));
    svg.append(draw("polyline", { class: "edge low", points: corners("low").join(" ") }));
    svg.append(draw("polyline", { class: "middle", points: corners("middle").join(" ") }));
    if (way.limit !== null && units.reserve_db > 0) {
      const height = y(way.limit) - y(way.limit + units.reserve_db);
      svg.append(draw("rect", { class: "reserve", x: frame.left, y: y(way.limit + units.reserve_db), width: frame.right - frame.left, height }));
    }
    if (known) limit(lane.over, "limit-line over", "overload");
    limit(way.limit, "limit-line under", "lowest allowed");
    const arrives = x(last, points.length - 1);
    svg.append(draw("line", { class: "arrives", x1: arrives, x2: arrives, y1: y(last.high), y2: y(last.low) }));
    for (const share of [0, 0.25, 0.5, 0.75, 1]) {
      if (even) break;
      if (width < 520 && share % 0.5) continue;
      const at = frame.left + share * (frame.right - frame.left);
      svg.append(draw("text", { class: share === 1 ? "t-end faint" : share === 0 ? "t faint" : "t-mid faint", x: at, y: frame.bottom + 17 }, share === 1 ? `${long(farthest)} ${units.long}` : long(share * farthest)));
    }
    const link = lane.dir.includes(" to ");
    const runs = link ? `light runs from ${lane.dir}` : lane.inward ? "light runs to the office" : "light runs from the office";
    const arrow = lane.inward ? `\u2190 ${runs}` : `${runs} \u2192`;
    svg.append(draw("text", { class: "t-mid faint", x: (frame.left + frame.right) / 2, y: frame.bottom + 36 }, even ? `equal steps, ${arrow}` : arrow));
    return svg;
  };

  // The same in figures.
  const levelTable = (way, e) => {
    const rows = way.points.map((point, index) => {
      const before = way.points[index - 1];
      return make("tr", {}, number(index), make("th", { scope: "row" }, make("bdi", {}, point.name)),
        number(long(point.meters)),
        number(before ? (Math.ceil((point.most - before.most) * 100 - 1e-6) / 100).toFixed(2) : ""),
        number(point.least.toFixed(2), "wide"), number(point.typical.toFixed(2), "wide"),
        number((Math.ceil(point.most * 100 - 1e-6) / 100).toFixed(2)),
        number(`${point.low.toFixed(2)} \u2026 ${point.high.toFixed(2)}`));
    });
    const head = make("tr", {}, ...["#", "point", units.long, "step, dB", "least, dB", "typical, dB", "most, dB", way.known ? "level, dBm" : "level, dB"].map((text, index) =>
      make("th", { scope: "col", class: `${index === 1 ? "" : "n"} ${index === 4 || index === 5 ? "wide" : ""}` }, text)));
    const table = make("table", {}, make("thead", {}, head), make("tbody", {}, ...rows));
    const summary = make("summary", {}, `Point by point, ${ends.dir[e]} at ${way.lane.nm} nm`);
    return make("details", {}, summary, make("div", { class: "scroll" }, table));
  };

  const drawLevels = (paper) => {
    const stage = $("level-stage");
    const name = $("level-name");
    if (!count) return;
    name.replaceChildren(make("bdi", {}, idOf(chosenEnd)));
    const all = together(chosenEnd);
    if (!all.length) {
      stage.replaceChildren(make("p", { class: "hint" }, `No levels can be shown: ${data.reasons[ends.reason[chosenEnd]]}.`));
      return;
    }
    const width = paper ? 1000 : Math.max(320, Math.min(stage.clientWidth - 20 || 960, 1180));
    const height = paper ? 236 : 322;
    const even = $("even-steps").checked;
    stage.replaceChildren(...all.map((e) => {
      const way = wayOf(e);
      const lane = way.lane;
      const last = way.points[way.points.length - 1];
      const margin = `margin ${hundredths(ends.margin[e])} dB, headroom ${hundredths(ends.headroom[e])} dB`;
      const loss = `worst loss ${hundredths(ends.most[e])} of ${lane.max === null ? "?" : lane.max.toFixed(2)} dB allowed (${lane.basis})`;
      const head = make("h3", {}, `${ends.dir[e]}, ${lane.nm} nm: ${lane.tx} to ${lane.rx} `, verdict(ends.verdict[e], data.whys[ends.why[e]]));
      const said = data.reasons[ends.reason[e]];
      const why = said.charAt(0).toUpperCase() + said.slice(1);
      const arrival = way.known ? `arrives at ${last.low.toFixed(2)} to ${last.high.toFixed(2)} dBm; ` : "launch levels are not known; ";
      const words = make("p", { class: "figures" }, minus(`${why}: ${arrival}${loss}; ${margin}.`));
      return make("section", { class: "one-level" }, head, words, chart(way, width, height, even), levelTable(way, e));
    }));
  };

  // On paper a long diagram is cut into strips with match lines.
  const STRIP = 1150;
  window.addEventListener("beforeprint", () => {
    drawLevels(true);
    const whole = $("tree-stage").querySelector("svg.tree");
    if (!whole) return;
    const [, , width, height] = whole.getAttribute("viewBox").split(" ").map(Number);
    if (width <= STRIP) return;
    const cuts = whole.dataset.cuts.split(" ").map(Number);
    const edges = [0];
    while (width - edges[edges.length - 1] > STRIP) {
      const from = edges[edges.length - 1];
      const next = cuts.filter((cut) => cut > from + 60 && cut <= from + STRIP).pop();
      edges.push(next ?? from + STRIP);
    }
    edges.push(width);
    whole.classList.add("no-print");
    for (let piece = 0; piece + 1 < edges.length; piece += 1) {
      const strip = whole.cloneNode(true);
      const [from, to] = [edges[piece], edges[piece + 1]];
      strip.setAttribute("class", "tree strip");
      strip.setAttribute("viewBox", `${from} -16 ${to - from} ${height + 16}`);
      strip.setAttribute("width", to - from);
      strip.setAttribute("height", height + 16);
      const match = (at, words, anchor) => {
        strip.append(draw("line", { class: "reserve-line", x1: at, x2: at, y1: -14, y2: height }));
        strip.append(draw("text", { class: anchor, x: at + (anchor === "t" ? 4 : -4), y: -5 }, words));
      };
      if (piece > 0) match(from, `match line ${piece}`, "t");
      if (piece + 2 < edges.length) match(to, `match line ${piece + 1}`, "t-end");
      $("tree-stage").append(strip);
    }
  });
  window.addEventListener("afterprint", () => {
    drawLevels(false);
    $("tree-stage").querySelectorAll("svg.strip").forEach((strip) => strip.remove());
    $("tree-stage").querySelectorAll("svg.no-print").forEach((whole) => whole.classList.remove("no-print"));
  });

  $("even-steps").addEventListener("change", () => drawLevels(false));
  $("level-tools").hidden = false;
  let waiting = null;
  window.addEventListener("resize", () => {
    clearTimeout(waiting);
    waiting = setTimeout(() => drawLevels(false), 120);
  });
  if (count) {
    chosenGroup = ends.group[chosenEnd];
    if (groupGrid) groupGrid.fill();
    chooseGroup(chosenGroup, false);
    endGrid.fill();
    drawLevels(false);
  }
  document.documentElement.dataset.ready = String(Math.round(performance.now()));
})();
