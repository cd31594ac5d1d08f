"use strict";
(() => {
  const root = document.documentElement;
  const byId = (id) => document.getElementById(id);
  const data = JSON.parse(byId("replay-data").textContent);
  const picked = (name) => document.querySelector(`input[name="${name}"]:checked`).value;

  // -- what is printed fits its two sheets: laid out as on paper once, and made smaller where there is no room ---
  function fitSheets() {
    const main = document.querySelector("main"), printed = byId("printed"), narrow = byId("narrow");
    const px = 96 / 25.4, room = 0.985 * px * main.dataset.paperHeight;
    const media = narrow.media;
    narrow.media = "not all";
    printed.media = "all";
    main.style.width = `${px * main.dataset.paperWidth}px`;
    for (const sheet of document.querySelectorAll(".sheet")) {
      for (let fit = 1; fit > 0.5; fit -= 0.02) {
        sheet.style.setProperty("--fit", fit.toFixed(2));
        if (sheet.getBoundingClientRect().height <= room && sheet.scrollWidth <= sheet.clientWidth + 1) break;
      }
    }
    main.style.width = "";
    printed.media = "print";
    narrow.media = media;
  }
  fitSheets();

  for (const input of document.querySelectorAll('input[name="units"]')) {
    input.addEventListener("change", () => { root.dataset.units = picked("units"); fitSheets(); if (data) draw(); });
  }
  if (!data) return;
  const scene = byId("scene"), slider = byId("time"), clock = byId("clock"), play = byId("play");
  const mirror = data.leftHanded ? -1 : 1;
  const width = 560, height = 430, pad = 22, foot = 62;
  const keys = ["curve_in_plane_mm", "curve_droop_mm", "curve_twist_deg"];
  const words = {
    "face-on": `From in front of the golfer: the target is at the ${data.leftHanded ? "left" : "right"}.`,
    "down-the-line": "From behind the ball: the target is away from you.",
    "along": `From the hands down the shaft: lead to the ${data.leftHanded ? "right" : "left"}, toe up.`,
  };

  // -- poses between the kept instants ---------------------------------------------------------------------
  const mix = (a, b, s) => Array.isArray(a) ? a.map((v, i) => mix(v, b[i], s)) : a + (b - a) * s;
  const between = (list, place) => {
    const i = Math.min(Math.floor(place), list.length - 2);
    return mix(list[i], list[i + 1], place - i);
  };
  const turned = (q, v) => {  // a vector turned by a unit quaternion
    const [w, x, y, z] = q, [a, b, c] = v;
    const tx = 2 * (y * c - z * b), ty = 2 * (z * a - x * c), tz = 2 * (x * b - y * a);
    return [a + w * tx + y * tz - z * ty, b + w * ty + z * tx - x * tz, c + w * tz + x * ty - y * tx];
  };
  const unit = (q) => { const n = Math.hypot(...q); return q.map((v) => v / n); };
  const about = (r) => {  // quaternion of a rotation vector
    const angle = Math.hypot(...r);
    if (angle < 1e-9) return [1, 0, 0, 0];
    const s = Math.sin(angle / 2) / angle;
    return [Math.cos(angle / 2), r[0] * s, r[1] * s, r[2] * s];
  };
  const sum = (a, b) => a.map((v, i) => v + b[i]);
  const placeOf = (t) => (t - data.t[0]) / (data.t[data.t.length - 1] - data.t[0]) * (data.t.length - 1);

  function pose(club, t, gain) {
    const place = Math.max(0, placeOf(t));
    const shape = between(club.shape, place).map(([x, y, z]) => [x, gain * y, gain * z]);
    const turn = about(between(club.turn, place).map((v) => v * gain / 1000));
    const tip = shape[shape.length - 1];
    return {
      hands: between(club.hands, place), grip: unit(between(club.grip, place)), shape,
      straight: [[0, 0, 0], [tip[0], 0, 0]],
      rim: club.rim.map((p) => sum(tip, turned(turn, p))),
      cg: sum(tip, turned(turn, club.cg)),
    };
  }

  // -- seen from somewhere ---------------------------------------------------------------------------------
  function seen(p, at, view) {
    if (view === "along") return [-mirror * p[1], -p[2]];
    const world = sum(at.hands, turned(at.grip, p));
    return fromWorld(world, view);
  }
  const fromWorld = (w, view) => [mirror * (view === "face-on" ? w[0] : -w[1]), -w[2]];

  const boxes = {};
  function boxOf(clubs, view, gain) {
    const key = [view, gain, ...clubs.map((c) => c.name)].join("|");
    if (boxes[key]) return boxes[key];
    const low = [Infinity, Infinity], high = [-Infinity, -Infinity];
    const take = (p) => p.forEach((v, k) => { low[k] = Math.min(low[k], v); high[k] = Math.max(high[k], v); });
    for (const club of clubs) {
      data.t.forEach((t) => {
        const at = pose(club, t, gain);
        [...at.shape, ...at.rim].forEach((p) => take(seen(p, at, view)));
      });
      if (view !== "along") { take(fromWorld(club.ball, view)); take([0, 0]); }
    }
    if (view !== "along" && data.hub) data.hub.forEach((p) => take(fromWorld(p, view)));
    const size = [width - 2 * pad, height - pad - foot];
    const scale = Math.min(size[0] / (high[0] - low[0]), size[1] / (high[1] - low[1]));
    const shift = [0, 1].map((k) => pad + size[k] / 2 - scale * (low[k] + high[k]) / 2);
    return boxes[key] = { scale, shift };
  }

  // -- drawing ---------------------------------------------------------------------------------------------
  const svg = (name, attributes, text) => {
    const node = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
    if (text) node.textContent = text;
    return node;
  };
  const path = (points) => "M" + points.map((p) => `${p[0].toFixed(1)} ${p[1].toFixed(1)}`).join("L");

  function clubsPicked() {
    const names = [byId("shaft-a").value, byId("shaft-b").value];
    return [...new Set(names)].map((name) => data.clubs.find((c) => c.name === name)).filter(Boolean);
  }

  function drawScene(t) {
    const view = picked("view"), gain = Number(picked("gain")), clubs = clubsPicked();
    const box = boxOf(clubs, view, gain);
    const put = (p) => [box.shift[0] + box.scale * p[0], box.shift[1] + box.scale * p[1]];
    scene.replaceChildren();
    const add = (name, attributes, text) => scene.append(svg(name, attributes, text));
    if (view === "along") {
      const [x, y] = put([0, 0]);
      add("path", { d: `M${x} 0V${height}M0 ${y}H${width}`, stroke: "#d5d9df", fill: "none" });
      add("text", { x: data.leftHanded ? width - 8 : 8, y: y - 6, "text-anchor": data.leftHanded ? "end" : "start" }, "lead");
      add("text", { x: x + 6, y: 18 }, "toe");
    } else {
      const ground = put([0, 0])[1];
      add("path", { d: `M0 ${ground}H${width}`, stroke: "#a4abb5", fill: "none" });
      for (const club of clubs) {
        const track = data.t.map((when) => { const at = pose(club, when, gain); return put(seen(at.rim[0], at, view)); });
        add("path", { d: path(track), stroke: "#cfd4da", fill: "none", "stroke-width": 1.2 });
      }
      if (data.hub) {
        const hub = put(fromWorld(between(data.hub, Math.max(0, placeOf(t))), view));
        const hands = put(fromWorld(pose(clubs[0], t, 1).hands, view));
        add("path", { d: path([hub, hands]), stroke: "#8a5a1f", fill: "none", "stroke-width": 3 });
        add("circle", { cx: hub[0], cy: hub[1], r: 4.5, fill: "#8a5a1f" });
      }
      const ball = put(fromWorld(clubs[0].ball, view));
      add("circle", { cx: ball[0], cy: ball[1], r: Math.max(3, 21 * box.scale), fill: "#fff", stroke: "#14181f", "stroke-width": 1.5 });
    }
    clubs.forEach((club) => {
      const at = pose(club, t, gain), place = (p) => put(seen(p, at, view));
      if (view !== "along") add("path", { d: path(at.straight.map(place)), stroke: club.colour, "stroke-width": 0.8, opacity: 0.5, fill: "none" });
      add("path", { d: path(at.rim.map(place)) + "Z", stroke: club.colour, "stroke-width": 1.8, fill: club.colour, "fill-opacity": 0.12 });
      add("path", { d: path(at.shape.map(place)), stroke: club.colour, "stroke-width": 3, "stroke-dasharray": club.dashes, fill: "none" });
      const cg = place(at.cg);
      add("circle", { cx: cg[0], cy: cg[1], r: 3, fill: club.colour });
    });
    clubs.forEach((club, i) => {
      add("path", { d: `M12 ${height - 14 - 20 * i}h34`, stroke: club.colour, "stroke-width": 3, "stroke-dasharray": club.dashes, fill: "none" });
      add("text", { x: 54, y: height - 9 - 20 * i }, club.name);
    });
    drawRule(add, box.scale, view);
    byId("view-words").textContent = words[view] + (gain > 1 ? ` Bend and twist ${gain} times as large as they are.` : " True scale.");
  }

  function drawRule(add, scale, view) {
    const trade = root.dataset.units === "trade";
    const [count, length, name] = view === "along" ? (trade ? [2, 50.8, "in"] : [5, 50, "cm"]) : (trade ? [20, 508, "in"] : [50, 500, "cm"]);
    const long = scale * length, right = width - 14;
    add("path", { d: `M${right - long} ${height - 22}v6h${long}v-6`, stroke: "#505864", fill: "none" });
    add("text", { x: right - long / 2, y: height - 28, "text-anchor": "middle" }, `${count} ${name}`);
  }

  function valueAt(curves, key, t) {
    const times = curves.t, last = times.length - 1;
    const place = Math.min(Math.max((t - times[0]) / (times[last] - times[0]) * last, 0), last);
    return between(curves[key], place);
  }
  const signed = (v, places) => {
    const text = Math.abs(v).toFixed(places);
    return (Number(text) === 0 ? "" : v < 0 ? "−" : "+") + text;
  };

  function drawReadout(t) {
    const trade = root.dataset.units === "trade";
    byId("readout").replaceChildren(...clubsPicked().map((club) => {
      const row = document.createElement("tr"), name = document.createElement("th");
      name.scope = "row"; name.textContent = club.name; row.append(name);
      keys.forEach((key) => {
        const cell = document.createElement("td"), value = valueAt(club.curves, key, t), angle = key.endsWith("deg");
        cell.textContent = angle ? signed(value, 2) : trade ? signed(value / 25.4, 2) : signed(value, 1);
        row.append(cell);
      });
      return row;
    }));
  }

  function draw() {
    const t = Number(slider.value);
    const said = t === 0 ? "impact" : `${-t} ms before impact`;
    clock.value = t === 0 ? "impact" : `−${-t} ms`;
    slider.setAttribute("aria-valuetext", said);
    for (const line of document.querySelectorAll(".cursor")) {
      const { left, right, from, to } = line.dataset;
      const x = Number(left) + (t - from) / (to - from) * (right - left);
      line.setAttribute("transform", `translate(${x.toFixed(1)})`);
    }
    drawScene(t);
    drawReadout(t);
  }

  // -- playing: the downswing in four seconds, by nobody's wish but the reader's ---------------------------------
  let playing = null;
  function stop() {
    if (playing) cancelAnimationFrame(playing);
    playing = null;
    play.setAttribute("aria-pressed", "false");
    play.textContent = "Play";
  }
  function start() {
    const first = Number(slider.min), begun = Number(slider.value) >= 0 ? first : Number(slider.value);
    const since = performance.now(), rate = -first / 4000;
    play.setAttribute("aria-pressed", "true");
    play.textContent = "Pause";
    const step = (now) => {
      const t = Math.min(0, begun + rate * (now - since));
      slider.value = Math.round(t);
      draw();
      if (t < 0) playing = requestAnimationFrame(step); else stop();
    };
    playing = requestAnimationFrame(step);
  }
  play.addEventListener("click", () => playing ? stop() : start());
  slider.addEventListener("input", () => { stop(); draw(); });
  for (const input of document.querySelectorAll('input[name="view"], input[name="gain"], .pick select')) input.addEventListener("change", draw);

  slider.min = Math.ceil(data.t[0]);
  byId("shaft-b").selectedIndex = Math.max(0, data.clubs.length - 1);
  document.body.classList.add("live");
  slider.value = Math.round(0.45 * data.t[0]);  // the shaft is well bent there
  draw();
})();
