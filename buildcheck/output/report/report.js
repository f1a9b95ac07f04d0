"use strict";
// Moves the drawing through its poses. Every point and number on the grid of the slides comes from the data of the
// page; between them they follow a cubic through the four nearest on each slide. Outlines are laid through the points as
// shapes.py lays them.
(() => {
  const data = JSON.parse(document.getElementById("motion").textContent);
  // Numbers that follow the pose are written as the change from one to the next.
  const summed = (row) => { let at = 0; return row.map((by) => (by === null ? null : (at += by))); };
  const unpack = (held) => (Array.isArray(held[0]) ? held.map(unpack) : summed(held));
  data.points = data.points.map((held) => (Array.isArray(held[0]) ? unpack(held) : held));
  for (const quantity of data.quantities) quantity.values = quantity.values.map(summed);
  for (const each of data.overruns) each.left = each.left.map(summed);
  data.wheels = data.wheels.map(summed);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  for (const button of all("#within .pose")) {
    const which = document.createElement("span");
    which.className = "unseen";
    which.textContent = `: ${button.parentElement.textContent.split(button.textContent)[0].trim()}`;
    button.append(which);
  }
  for (const element of all(".needs-script")) element.hidden = false;
  document.documentElement.classList.add("scripted");

  const BODY = 50, SPOT = 16, TURNS = 9, SHORT = 0.1, FLAT = 2;
  const ENDS = { line: ["x2", "y2"], circle: ["cx", "cy"], text: ["x", "y"] };
  // A text in which no line ends inside an amount, as amounts.py has it in the page.
  const AMOUNT = /(?<![^\s(])(?:[+-]?\d+(?:\.\d+)?(?:\/\d+)? )+\S+/g;
  const put = (element, text) => {
    const parts = [];
    let last = 0;
    for (const found of text.matchAll(AMOUNT)) {
      const held = Object.assign(document.createElement("span"), { className: "q", textContent: found[0] });
      parts.push(text.slice(last, found.index), held);
      last = found.index + found[0].length;
    }
    element.replaceChildren(...parts, text.slice(last));
  };
  const n = (value) => value.toFixed(1);
  // Where something is to be seen at once: a scroll that takes its time would be measured on its way.
  const there = { block: "center", behavior: "instant" };
  const stillness = window.matchMedia("(prefers-reduced-motion: reduce)");
  const names = ["travel", "articulation", "lock"];
  const slides = names.map((name) => document.getElementById(`slide-${name}`));
  const typed = names.map((name) => document.getElementById(`at-${name}`));
  const [heaves, rolls, locks] = data.nodes;
  const grid = heaves.length * rolls.length;
  // Where the slides are, in the shop's units; or the number of the pose of a reading, which has a lock of its own.
  let at = [0, 0, 0], held = null;

  // Shares of the grid's positions in a place on a slide: those of the cubic, and those of a straight line.
  const shares = (nodes, x) => {
    const near = nodes.findIndex((node) => Math.abs(node - x) < 1e-7);
    if (near >= 0) return [[[near, 1]], [[near, 1]]];
    const above = Math.min(Math.max(nodes.findIndex((node) => node > x), 1), nodes.length - 1);
    return [4, 2].map((count) => {
      const first = Math.min(Math.max(above - count / 2, 0), Math.max(nodes.length - count, 0));
      const chosen = [...nodes.keys()].slice(first, first + count);
      return chosen.map((one) => [one, chosen.reduce(
        (product, other) => (other === one ? product : (product * (x - nodes[other])) / (nodes[one] - nodes[other])), 1)]);
    });
  };
  // What of the data counts in a pose: places in a row and rows, with their shares, for the cubic and the line.
  const counting = ([heave, roll, lock]) => {
    const [up, tilt, turn] = [shares(heaves, heave), shares(rolls, roll), shares(locks, lock)];
    return [0, 1].map((kind) => ({
      places: tilt[kind].flatMap(([roll, part]) => up[kind].map(([heave, share]) => [roll * heaves.length + heave, part * share])),
      turns: turn[kind],
    }));
  };
  let counted = counting(at);
  // A number in a pose, of the rows of one or of all locks; null where it has none there.
  const blend = (rows, by = counted, rough = false) => {
    if (held !== null && by === counted) {
      const found = rows[rows.length > 1 ? data.straight : 0][grid + held];
      return found === undefined ? null : found;
    }
    for (const { places, turns } of rough ? by.slice(1) : by) {
      let sum = 0;
      for (const [turn, whole] of rows.length > 1 ? turns : [[0, 1]]) {
        for (const [place, share] of places) {
          const found = rows[turn][place];
          sum = found === null || found === undefined ? NaN : sum + whole * share * found;
        }
      }
      if (!Number.isNaN(sum)) return sum;
    }
    return null;
  };

  // Where things are.

  const point = (number) => {
    const held = data.points[number];
    if (typeof held[0] === "number" || held[0] === null) return held.includes(null) ? null : held;
    const turning = Array.isArray(held[0][0]);
    const place = [0, 1, 2].map((axis) => blend(turning ? held.map((rows) => rows[axis]) : [held[axis]]));
    return place.includes(null) ? null : place;
  };
  // A point, or what lies at a share of the way from it to another.
  const pointed = ({ point: number, other, share }) => {
    const start = point(number), end = other === undefined ? start : point(other);
    return start && end && start.map((at, axis) => at + (share || 0) * (end[axis] - at));
  };
  const value = (number, by) => blend(data.quantities[number].values, by, data.quantities[number].rough);
  const views = all("svg[data-view]").map((svg) => {
    const [across, sign, down, downwards] = svg.dataset.view.split(",").map(Number);
    const place = (at) => [(at[across] * sign) / 10, (at[down] * downwards) / 10];
    return { svg, place };
  });

  // Outlines.

  const path = (places) => "M" + places.map(([x, y]) => `${n(x)} ${n(y)}`).join("L");
  const circle = ([x, y], r) => {
    const arc = `a${n(r)} ${n(r)} 0 1 0`;
    return `M${n(x - r)} ${n(y)}${arc} ${n(2 * r)} 0${arc} ${n(-2 * r)} 0Z`;
  };
  const square = (start, end) => {
    const x = end[0] - start[0], y = end[1] - start[1], length = Math.hypot(x, y);
    return length < 0.05 ? [1, 0, 0] : [-y / length, x / length, length];
  };
  const bar = (start, end, r) => {
    let [x, y] = square(start, end);
    x *= r; y *= r;
    const turn = `A${n(r - SHORT)} ${n(r - SHORT)} 0 0 0`;
    return `M${n(start[0] + x)} ${n(start[1] + y)}L${n(end[0] + x)} ${n(end[1] + y)}${turn} ${n(end[0] - x)} ` +
      `${n(end[1] - y)}L${n(start[0] - x)} ${n(start[1] - y)}${turn} ${n(start[0] + x)} ${n(start[1] + y)}Z`;
  };
  const wheel = (outer, inner, width, r) => {
    let [x, y, length] = square(outer, inner);
    let flat = width ? r * Math.sqrt(Math.max(1 - (length / width) ** 2, 0)) : r;
    flat = flat > FLAT ? flat - SHORT : 0;
    const arc = `A${n(r - SHORT)} ${n(flat)} ${((Math.atan2(y, x) * 180) / Math.PI).toFixed(3)} 1 0`;
    x *= r; y *= r;
    const face = (at) => `M${n(at[0] + x)} ${n(at[1] + y)}${arc} ${n(at[0] - x)} ${n(at[1] - y)}` +
      `${arc} ${n(at[0] + x)} ${n(at[1] + y)}`;
    const edge = (sign) => `M${n(outer[0] + sign * x)} ${n(outer[1] + sign * y)}` +
      `L${n(inner[0] + sign * x)} ${n(inner[1] + sign * y)}`;
    return face(outer) + face(inner) + edge(1) + edge(-1);
  };
  const coil = (frame, axle, body) => {
    const [x, y, length] = square(frame, axle);
    const along = length ? [y, -x] : [0, 0];
    const at = (way, aside) => [0, 1].map((i) => frame[i] + along[i] * way * length + [x, y][i] * aside);
    const half = body / 2, wide = body * 0.95;
    const damper = path([at(0.08, half), at(0.6, half), at(0.6, -half), at(0.08, -half)]) + "Z";
    const shaft = path([at(0, 0), at(0.08, 0)]) + path([at(0.6, 0), at(1, 0)]);
    const seats = path([at(0.12, wide), at(0.12, -wide)]) + path([at(0.92, wide), at(0.92, -wide)]);
    const turns = [...Array(TURNS + 1).keys()];
    const spring = path(turns.map((turn) => at(0.12 + (0.8 * turn) / TURNS, turn % 2 ? -wide : wide)));
    return damper + shaft + seats + spring + circle(frame, 12) + circle(axle, 12);
  };
  const outline = (member, view) => {
    const points = member.points.map(point);
    if (points.includes(null)) return "";
    const places = points.map(view.place), size = member.size;
    if (member.shape === "bar" && size) return bar(places[0], places[1], size / 2);
    if (member.shape === "coil") return coil(places[0], places[1], size || BODY);
    if (member.shape === "disc") return circle(places[0], size / 2);
    if (member.shape === "wheel") {
      const [a, b] = points;
      return wheel(places[0], places[1], Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]) / 10, size / 2);
    }
    if (member.shape === "box") {
      const [[left, top], [right, bottom]] = places;
      return path([[left, top], [right, top], [right, bottom], [left, bottom]]) + "Z";
    }
    if (member.shape === "spot") {
      const [x, y] = places[0];
      return circle(places[0], SPOT / 2) + `M${n(x - SPOT)} ${n(y)}H${n(x + SPOT)}M${n(x)} ${n(y - SPOT)}V${n(y + SPOT)}`;
    }
    return path(places);
  };

  // Drawing a pose.

  const drawn = views.map((view) => ({
    view,
    parts: all("[data-member]", view.svg),
    pointers: all("[data-point]", view.svg),
  }));
  const cells = all("[data-quantity]:not(circle)"), rings = all("circle[data-quantity]");
  const words = document.getElementById("pose-words"), here = document.getElementById("pose-here");
  const list = document.getElementById("pose-list"), pointers = all(".pointer");
  // Not before it is certain what to write: rounded in the last place that is shown.
  const written = (found, decimals) => {
    if (found === null) return "no number";
    const text = (Math.round(found) / 10 ** decimals).toFixed(decimals);
    return Number(text) === 0 ? text.replace("-", "") : text;
  };
  // What is not smooth is only about right between the positions of the grid, and says so.
  const onGrid = (by) => by[1].places.length === 1 && by[1].turns.length === 1;
  const shown = (number, by = counted) => {
    const { far, decimals, values, rough } = data.quantities[number], found = value(number, by);
    const exact = onGrid(by) || (held !== null && by === counted), row = values[values.length > 1 ? data.straight : 0];
    // What is so far away is as good as endless, and near such a place there is no number between two positions.
    const near = exact ? [found] : by[1].places.map(([place]) => row[place]);
    if (far && near.some((each) => Math.abs(each) >= far)) return `over ${Math.floor(far / 10 ** decimals)}`;
    return `${rough && !exact ? "≈ " : ""}${written(found, decimals)}`;
  };
  const inWords = () => {
    const parts = at.flatMap((value, axis) => {
      const [text, decimals] = data.said[axis][value > 0 ? 0 : 1], amount = Math.abs(value).toFixed(decimals);
      return Number(amount) ? [text.replace("{}", amount)] : [];
    });
    return parts.length ? `with the ${parts.join(", ")}` : "at ride height";
  };
  // The values of a panel in a pose, beside its title: those at the ring, or those under a pointer or a finger.
  const panels = all(".panel");
  const tell = (panel, where, by) => {
    const texts = all(".pose-ring", panel).map(({ dataset }) => `${dataset.label} ${shown(dataset.quantity, by)}`.trim());
    put(panel.querySelector(".value"), `${where}: ${texts.join(", ")}`);
  };
  for (const panel of panels) {
    const svg = panel.querySelector("svg"), axis = svg.dataset.rolled === "1" ? 1 : 0;
    const under = ({ clientX }) => {
      const [left, right] = svg.dataset.box.split(",").map(Number);
      const x = new DOMPoint(clientX, 0).matrixTransform(svg.getScreenCTM().inverse()).x;
      const share = Math.min(Math.max((x - left) / (right - left), 0), 1), nodes = data.nodes[axis];
      const there = [...at];
      there[axis] = nodes[0] + share * (nodes[nodes.length - 1] - nodes[0]);
      tell(panel, there[axis].toFixed(data.said[axis][0][1]), counting(there));
    };
    svg.addEventListener("pointermove", under);
    svg.addEventListener("pointerdown", under);
    svg.addEventListener("pointerleave", () => tell(panel, "here"));
  }
  const draw = () => {
    for (const { view, parts, pointers } of drawn) {
      for (const part of parts) part.setAttribute("d", outline(data.members[part.dataset.member], view));
      for (const pointer of pointers) {
        const place = pointed(pointer.dataset);
        // No word or letter at what is not drawn.
        pointer.style.display = place === null ? "none" : "";
        if (place === null) continue;
        const [x, y] = view.place(place), ends = ENDS[pointer.tagName];
        if (!ends) {
          pointer.setAttribute("transform", `translate(${n(x)} ${n(y)})`);
          continue;
        }
        const [right, down] = (pointer.dataset.aside || "0,0").split(",").map(Number);
        pointer.setAttribute(ends[0], n(x + right));
        pointer.setAttribute(ends[1], n(y + down));
      }
    }
    for (const cell of cells) cell.textContent = shown(cell.dataset.quantity);
    for (const ring of rings) {
      const number = ring.dataset.quantity, found = value(number);
      const [x0, x1, y0, y1] = ring.dataset.scale.split(",").map(Number);
      const along = at[ring.ownerSVGElement.dataset.rolled === "1" ? 1 : 0];
      const x = x0 + x1 * along, y = found === null ? NaN : y0 + (y1 * found) / 10 ** data.quantities[number].decimals;
      // A pose may lie beyond the stated travel, and with roll or lock beyond what the panel reaches to.
      const frame = ring.parentNode.querySelector(".frame"), [left, top, width, height] =
        ["x", "y", "width", "height"].map((name) => Number(frame.getAttribute(name)));
      const within = x >= left - 1 && x <= left + width + 1 && y >= top - 1 && y <= top + height + 1;
      ring.setAttribute("cx", n(within ? x : -20));
      ring.setAttribute("cy", n(within ? y : -20));
    }
    for (const panel of panels) tell(panel, "here");
    if (!words) return;
    const lost = (turns) => data.points.some((held, number) => Array.isArray(held[0]) &&
      Array.isArray(held[0][0]) === turns && point(number) === null);
    const halt = lost(false) ? "the links do not let the axle come here"
      : lost(true) ? "the steering cannot follow here" : "";
    const over = data.overruns.map((each) => [each, blend(each.left)]).filter(([, left]) => left !== null && left <= -1)
      .map(([each, left]) => {
        const least = 10 ** -each.decimals, by = -left / 10 ** (each.decimals + 1);
        const amount = by < least / 2 ? `less than ${least}` : by.toFixed(each.decimals);
        return [each, `${amount} ${each.unit}`];
      });
    const judged = halt ? [halt] : over.map(([each, by]) => each.says.replace("{}", by));
    put(words, held !== null ? data.held[held].words : inWords());
    put(here, judged.length ? `here: ${judged.slice(0, 3).join(", ")}` +
      (judged.length > 3 ? ` and ${judged.length - 3} more` : "") : "here: no part is past its end");
    here.classList.toggle("past", judged.length > 0);
    if (list) list.parentNode.hidden = !judged.length;
    if (list) list.replaceChildren(...judged.map((text) => {
      const line = document.createElement("li");
      put(line, text);
      return line;
    }));
    const beyond = new Set(over.map(([each]) => each.quantity));
    for (const cell of cells) cell.classList.toggle("beyond", beyond.has(cell.dataset.name));
    for (const pointer of pointers) {
      const [zero, step] = pointer.ownerSVGElement.dataset.scale.split(",").map(Number);
      const rise = blend([data.wheels[pointer.dataset.wheel]]);
      pointer.setAttribute("transform", `translate(0 ${n(rise === null ? -99 : zero + (step * rise) / 10000)})`);
    }
    document.body.classList.toggle("moved", at.some((value) => Math.abs(value) > 1e-6));
    names.forEach((name, axis) => {
      if (!slides[axis]) return;
      const text = (Math.abs(at[axis]) < 0.5 * 10 ** -data.shown[axis] ? 0 : at[axis]).toFixed(data.shown[axis]);
      typed[axis].value = text;
      slides[axis].value = at[axis];
      slides[axis].setAttribute("aria-valuetext", `${text} ${typed[axis].dataset.unit}`);
    });
  };
  const toPlace = (place) => {
    held = null;
    // A place on the grid is one to the last digit.
    at = place.map((value, axis) => data.nodes[axis].find((node) => Math.abs(node - value) < 1e-4) ?? value);
    counted = counting(at);
    draw();
  };
  const toPose = (number) => {
    if (number < grid) {
      toPlace([heaves[number % heaves.length], rolls[Math.floor(number / heaves.length)], locks[data.straight]]);
      return;
    }
    held = number - grid;
    at = data.held[held].at;
    counted = counting(at);
    draw();
  };
  const move = (axis, value) => {
    const place = [...at], nodes = data.nodes[axis];
    // From the pose of a reading, which may lie beyond the ends of the slides, onto them.
    place.forEach((each, other) => { place[other] = Math.min(Math.max(each, data.nodes[other][0]), data.nodes[other].at(-1)); });
    place[axis] = Math.min(Math.max(value, nodes[0]), nodes.at(-1));
    toPlace(place);
  };
  // A number as a builder types it: 1.5, -1 1/2, 3/8.
  const number = (text) => {
    const found = text.trim().replace(",", ".").match(/^([+-]?)(?:(\d+) +)?(\d*\.?\d+|\d+\.)(?:\/(\d+))?$/);
    if (!found || (found[2] && !found[4])) return NaN;
    const [, sign, whole, first, under] = found;
    return (sign === "-" ? -1 : 1) * (Number(whole || 0) + Number(first) / Number(under || 1));
  };
  typed.forEach((field, axis) => {
    if (!field) return;
    field.addEventListener("change", () => {
      const wanted = number(field.value.replace(field.dataset.unit, ""));
      stop();
      if (Number.isFinite(wanted)) move(axis, wanted); else draw();
    });
    field.addEventListener("focus", () => field.select());
  });

  // Playing: from where it is to one end, to the other, and back; with motion reduced, one step for each press.

  const STEPS = 24, FRAMES = 72, PACE = 50;
  let playing = null;
  const stop = () => {
    if (!playing) return;
    clearInterval(playing.timer);
    playing.button.textContent = "▶";
    playing.button.setAttribute("aria-pressed", "false");
    words.setAttribute("aria-live", "polite");
    put(words, words.textContent);
    playing = null;
  };
  const step = (axis, way) => {
    const nodes = data.nodes[axis], [first, last] = [nodes[0], nodes.at(-1)];
    const by = (last - first) / (stillness.matches ? STEPS : FRAMES);
    if (at[axis] + way.by * by > last + by / 2 || at[axis] + way.by * by < first - by / 2) way.by = -way.by;
    move(axis, at[axis] + way.by * by);
  };
  const ways = new Map();
  for (const button of all(".play")) {
    const axis = names.indexOf(button.dataset.slide);
    ways.set(button, { by: 1 });
    button.setAttribute("aria-pressed", "false");
    button.addEventListener("click", () => {
      const mine = playing && playing.button === button;
      stop();
      if (mine) return;
      if (stillness.matches) { step(axis, ways.get(button)); return; }
      playing = { button, timer: setInterval(() => step(axis, ways.get(button)), PACE) };
      words.setAttribute("aria-live", "off");  // fourteen poses a second are no reading matter
      button.textContent = "❚❚";
      button.setAttribute("aria-pressed", "true");
    });
  }
  slides.forEach((slide, axis) => {
    if (slide) slide.addEventListener("input", () => { stop(); move(axis, Number(slide.value)); });
  });
  const ride = document.getElementById("to-ride");
  if (ride) ride.addEventListener("click", () => { stop(); toPose(data.ride); });

  // From a reading to its pose and back: the view comes onto the screen under the slides, and a button leads back.

  const stand = document.querySelector(".cycle"), back = document.getElementById("back");
  let from = null;
  const bring = (figure) => {
    // Where the slides stay on the screen, the view comes to lie under them; where it does not fit with its balloons,
    // without them.
    const room = stand && getComputedStyle(stand).position === "sticky" ? stand.offsetHeight + 4 : 4;
    const whole = figure.offsetHeight <= window.innerHeight - room, view = figure.querySelector("svg");
    const { top } = (whole || !view ? figure : view).getBoundingClientRect();
    window.scrollBy({ top: top - room, behavior: "instant" });
  };
  for (const button of all("button.pose")) {
    button.addEventListener("click", () => {
      stop();
      toPose(Number(button.dataset.pose));
      from = button;
      const row = button.closest("tr"), mark = row.id && document.getElementById(`mark-${row.dataset.mark}`);
      // Back in the browser leads to the reading too.
      history.pushState(null, "");
      back.textContent = row.id ? `Back to finding ${row.id.replace("item-", "")}` : "Back to the reading";
      back.hidden = false;
      const figure = (mark && mark.closest("figure")) || document.querySelector(`.view-${button.dataset.view}`);
      (mark && mark.closest("svg") ? mark : back).focus({ preventScroll: true });
      // Twice: on the way the bar comes to stay on the screen, and its height and that of the view may change.
      bring(figure);
      bring(figure);
    });
  }
  const goBack = () => {
    if (!from) return;
    from.scrollIntoView(there);
    from.focus({ preventScroll: true });
    from = null;
    back.hidden = true;
  };
  if (back) back.addEventListener("click", () => history.back());
  window.addEventListener("popstate", goBack);

  // From a mark to its reading and back: the link does it; the focus goes with it, for readers who use the keyboard.

  const follow = () => {
    const target = location.hash.length > 1 && document.getElementById(location.hash.slice(1));
    if (!target || !/^(item|mark|change)-/.test(target.id)) return;
    if (target.offsetParent === null && /^item-/.test(target.id)) { everything(); target.scrollIntoView(there); }
    // The browser may be on its way there still, and not to the balloon but to the end of its leader.
    const ring = target.querySelector(".ring");
    if (ring) ring.scrollIntoView(there);
    target.focus({ preventScroll: true });
  };
  window.addEventListener("hashchange", follow);
  // Back in the browser leads to the row that the link was in.
  document.addEventListener("click", ({ target }) => {
    const link = target.closest("a[href^='#']"), row = link && link.closest("tr[id], li[id], a.mark");
    if (row && location.hash !== `#${row.id}`) history.replaceState(null, "", `#${row.id}`);
  });

  // The slides stay on top of the drawing as it scrolls, but not on top of what takes the focus.

  document.addEventListener("focusin", ({ target }) => {
    if (!stand || !target.closest(".views")) return;
    const { top, bottom } = (target.querySelector(".ring") || target).getBoundingClientRect();
    const under = stand.getBoundingClientRect().bottom - top;
    if (bottom > 0 && under > 0) window.scrollBy({ top: -under - 8, behavior: "instant" });
  });

  // Filters.

  const area = document.getElementById("filter-area"), verdict = document.getElementById("filter-verdict");
  const sought = document.getElementById("filter-words");
  const entries = all("[data-verdict]");
  const readings = (entry) => Number(entry.dataset.count || 1);
  // Text of an entry, with the heading of its kind.
  const says = new Map(entries.map((entry) => {
    const group = entry.closest("details.limit"), row = entry.closest("tr");
    const texts = [entry, group && group.querySelector(".limit-head"), row !== entry && row.querySelector("th")];
    return [entry, texts.map((each) => (each ? each.textContent : "")).join(" ").toLowerCase()];
  }));
  const total = entries.reduce((sum, entry) => sum + readings(entry), 0);
  const filter = () => {
    let count = 0;
    const words = sought.value.toLowerCase().split(/\s+/).filter(Boolean);
    const asked = Boolean(area.value || verdict.value || words.length);
    for (const entry of entries) {
      const fits = (!area.value || entry.closest("[data-area]").dataset.area === area.value) &&
        (!verdict.value || entry.dataset.verdict === verdict.value) &&
        words.every((word) => says.get(entry).includes(word));
      entry.hidden = !fits;
      count += fits ? readings(entry) : 0;
    }
    const left = (within) => all("[data-verdict]", within).some((entry) => !entry.hidden);
    for (const row of all("#unchecked tbody tr")) row.hidden = !left(row);
    for (const group of all("details.limit")) {
      group.hidden = !left(group);
      // What is asked for is unfolded, and folded again when all is.
      if (asked || group.dataset.unfolded) group.open = asked && !group.hidden;
      group.dataset.unfolded = group.open && asked ? "by the filter" : "";
    }
    for (const group of all(".area-group")) group.hidden = !left(group);
    for (const none of all(".no-fit")) {
      const section = none.closest("section");
      none.hidden = left(section);
      for (const table of all(":scope > table", section)) table.hidden = !none.hidden;
    }
    document.getElementById("filter-count").textContent = `${count} of ${total} readings shown`;
  };
  const everything = () => {
    area.value = verdict.value = sought.value = "";
    filter();
  };
  for (const field of [area, verdict]) field.addEventListener("change", filter);
  sought.addEventListener("input", filter);
  area.form.addEventListener("submit", (event) => event.preventDefault());
  filter();
  // Paper gets the whole record, unfolded, and the truck at ride height; the short print is the first two sheets of it.
  let folded = [];
  window.addEventListener("beforeprint", () => {
    stop(); everything(); toPose(data.ride);
    folded = all("details:not([open])");
    for (const each of folded) each.open = true;
  });
  window.addEventListener("afterprint", () => { for (const each of folded) each.open = false; });
  for (const button of all("button.print")) {
    button.addEventListener("click", () => {
      document.body.classList.toggle("short", button.dataset.print === "short");
      window.print();
    });
  }
  draw();
  document.dispatchEvent(new CustomEvent("report-ready", { detail: {
    pose: () => ({ words: held === null ? "" : data.held[held].words, at }),
    show: ({ words: sought, at: place }) => {
      const found = data.held.findIndex((each) => each.words === sought);
      if (found >= 0) toPose(grid + found);
      // An edit may have moved the ends of the slides.
      else toPlace(place.map((value, axis) => Math.min(Math.max(value, data.nodes[axis][0]), data.nodes[axis].at(-1))));
    },
  } }));
})();
