// The form as a picture that turns: layers shown, hidden and pulled apart. Draws only when something has changed.
// Reads the numbers and letters in #model (see solid_model.py).
"use strict";
(() => {
  const figure = document.getElementById("turning");
  const canvas = figure.querySelector("canvas");
  const gl = canvas.getContext("webgl", { antialias: true });
  if (!gl) return; // the still picture stays

  const model = JSON.parse(document.getElementById("model").textContent);
  const RAD = Math.PI / 180;
  const FIRST = { turn: -24, tilt: 48, size: 1, apart: 0 };
  const view = { ...FIRST };
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  const BOARD = [[0.89, 0.81, 0.66], [0.84, 0.75, 0.6]];
  const PART = [0.78, 0.5, 0.36], PICKED = [0.62, 0.76, 0.88], INK = [0.2, 0.16, 0.12];

  // --- shapes

  // Right of travel is outside, on the edge and in holes alike; corners sharper than this get a line of their own.
  const SHARP = Math.cos(0.7);

  function walls(ring, low, high, faces, lines) {
    const n = ring.length / 2;
    const at = (i) => [ring[2 * ((i + n) % n)], ring[2 * ((i + n) % n) + 1]];
    const normal = (i) => {
      const [ax, ay] = at(i), [bx, by] = at(i + 1);
      const d = Math.hypot(bx - ax, by - ay);
      return [(by - ay) / d, (ax - bx) / d];
    };
    for (let i = 0; i < n; i++) {
      const [ax, ay] = at(i), [bx, by] = at(i + 1);
      const [before, own, after] = [normal(i - 1), normal(i), normal(i + 1)];
      const bent = (m) => m[0] * own[0] + m[1] * own[1] < SHARP;
      const mean = (m) => (bent(m) ? own : [own[0] + m[0], own[1] + m[1]]);
      const na = [...mean(before), 0], nb = [...mean(after), 0];
      faces.push(ax, ay, low, ...na, bx, by, low, ...nb, bx, by, high, ...nb);
      faces.push(ax, ay, low, ...na, bx, by, high, ...nb, ax, ay, high, ...na);
      lines.push(ax, ay, low, bx, by, low, ax, ay, high, bx, by, high);
      if (bent(before)) lines.push(ax, ay, low, ax, ay, high);
    }
  }

  function ends(slab, low, high, faces) {
    const points = slab.rings.flat();
    for (let i = 0; i < slab.triangles.length; i += 3) {
      const corners = slab.triangles.slice(i, i + 3);
      for (const c of corners) faces.push(points[2 * c], points[2 * c + 1], high, 0, 0, 1);
      for (const c of corners.reverse()) faces.push(points[2 * c], points[2 * c + 1], low, 0, 0, -1);
    }
  }

  function letters(path, high) {
    const lines = [];
    for (const [, x0, y0, rest] of path.matchAll(/M(-?\d+) ?(-?\d+)l([^M]*)/g)) {
      let x = +x0, y = +y0;
      const steps = (rest.match(/-?\d+/g) || []).map(Number);
      for (let i = 0; i + 1 < steps.length; i += 2) {
        lines.push(x, y, high, (x += steps[i]), (y += steps[i + 1]), high);
      }
    }
    return lines;
  }

  function solid(indices, bottom) {
    const faces = [], lines = [];
    let top = bottom;
    for (const index of indices) {
      for (const slab of model.solids[index]) {
        const low = bottom + slab.low, high = bottom + slab.high;
        for (const ring of slab.rings) walls(ring, low, high, faces, lines);
        ends(slab, low, high, faces);
        top = Math.max(top, high);
      }
    }
    return { faces, lines, top };
  }

  const things = model.layers.map((layer, i) => {
    const made = solid(layer.pieces, layer.low);
    return { name: String(layer.number), ...made, ink: letters(layer.ink, made.top + 1), step: i, colour: BOARD[i % 2] };
  });
  const count = things.length;
  const whole = solid([model.part.solid], model.part.low);
  things.push({ name: "part", ...whole, ink: [], step: count, colour: PART });
  const low = [1e9, 1e9, 1e9], high = [-1e9, -1e9, -1e9];
  for (const thing of things) {
    for (let i = 0; i < thing.faces.length; i += 6) {
      for (let j = 0; j < 3; j++) {
        low[j] = Math.min(low[j], thing.faces[i + j]);
        high[j] = Math.max(high[j], thing.faces[i + j]);
      }
    }
  }
  const middle = low.map((v, j) => (v + high[j]) / 2);
  const reach = Math.hypot(high[0] - low[0], high[1] - low[1]) / 2;
  const depth = (high[2] - low[2]) / 2;
  const gap = Math.max((5 * depth) / count, (0.7 * reach) / count); // between layers, wholly apart

  // --- drawing

  const vertex = `
    attribute vec3 place; attribute vec3 normal;
    uniform vec4 angle; uniform vec3 scale; uniform vec3 middle; uniform float lift; uniform float nearer;
    varying float light;
    vec3 seen(vec3 p) {
      vec2 q = vec2(angle.y * p.x - angle.x * p.y, angle.x * p.x + angle.y * p.y);
      return vec3(q.x, q.y * angle.z + p.z * angle.w, p.z * angle.z - q.y * angle.w);
    }
    void main() {
      vec3 p = seen(place + vec3(0.0, 0.0, lift) - middle) * scale;
      vec3 n = seen(normal);
      light = 0.68 + 0.32 * dot(n / max(length(n), 0.001), vec3(-0.38, 0.62, 0.68));
      gl_Position = vec4(p.xy, -p.z - nearer, 1.0);
      gl_PointSize = 1.0;
    }`;
  const fragment = `
    precision mediump float; uniform vec3 colour; uniform float shaded; varying float light;
    void main() { gl_FragColor = vec4(colour * mix(1.0, light, shaded), 1.0); }`;
  const program = gl.createProgram();
  for (const [kind, code] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, code);
    gl.compileShader(shader);
    gl.attachShader(program, shader);
  }
  gl.linkProgram(program);
  if (!gl.getProgramParameter(program, gl.LINK_STATUS)) return;
  gl.useProgram(program);
  const place = gl.getAttribLocation(program, "place"), normal = gl.getAttribLocation(program, "normal");
  const value = (name) => gl.getUniformLocation(program, name);
  const uniform = Object.fromEntries(
    ["angle", "scale", "middle", "lift", "nearer", "colour", "shaded"].map((name) => [name, value(name)]));

  function held(numbers) {
    const buffer = gl.createBuffer();
    gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
    gl.bufferData(gl.ARRAY_BUFFER, new Float32Array(numbers), gl.STATIC_DRAW);
    return buffer;
  }
  for (const thing of things) {
    thing.shown = true;
    for (const kind of ["faces", "lines", "ink"]) {
      thing[kind] = { buffer: held(thing[kind]), count: thing[kind].length / (kind === "faces" ? 6 : 3) };
    }
  }
  gl.enable(gl.DEPTH_TEST);
  gl.enable(gl.POLYGON_OFFSET_FILL);
  gl.polygonOffset(1, 1);

  function strokes({ buffer, count: many }, mode) {
    gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
    gl.disableVertexAttribArray(normal);
    gl.vertexAttrib3f(normal, 0, 0, 1);
    gl.vertexAttribPointer(place, 3, gl.FLOAT, false, 12, 0);
    gl.uniform3fv(uniform.colour, INK);
    gl.uniform1f(uniform.shaded, 0);
    gl.uniform1f(uniform.nearer, 0.0004);
    gl.drawArrays(mode, 0, many);
  }

  // What is seen of the corners when turned: its middle, and half its width and its length into the picture.
  const corners = model.solids.flat().flatMap((slab) => slab.rings);
  function extent(turn) {
    const [c, s] = [Math.cos(turn), Math.sin(turn)];
    let [left, right, near, far] = [1e9, -1e9, 1e9, -1e9];
    for (const ring of corners) {
      for (let i = 0; i < ring.length; i += 2) {
        const u = c * ring[i] - s * ring[i + 1], v = s * ring[i] + c * ring[i + 1];
        [left, right, near, far] = [Math.min(left, u), Math.max(right, u), Math.min(near, v), Math.max(far, v)];
      }
    }
    const [u, v] = [(left + right) / 2, (near + far) / 2];
    return { across: (right - left) / 2, away: (far - near) / 2, x: c * u + s * v, y: c * v - s * u };
  }

  function draw() {
    if (!canvas.clientWidth) return; // folded away
    const ratio = window.devicePixelRatio || 1;
    const wide = Math.round(canvas.clientWidth * ratio), tall = Math.round(canvas.clientHeight * ratio);
    if (canvas.width !== wide || canvas.height !== tall) Object.assign(canvas, { width: wide, height: tall });
    const [turn, tilt] = [view.turn * RAD, view.tilt * RAD];
    const far = view.apart * gap * count;
    const seen = extent(turn);
    const up = seen.away * Math.abs(Math.sin(tilt)) + (depth + far / 2) * Math.abs(Math.cos(tilt));
    const scale = 0.96 * view.size * Math.min(wide / 2 / seen.across, tall / 2 / up);
    gl.viewport(0, 0, wide, tall);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.enableVertexAttribArray(place);
    gl.uniform4f(uniform.angle, Math.sin(turn), Math.cos(turn), Math.sin(tilt), Math.cos(tilt));
    gl.uniform3f(uniform.scale, (2 * scale) / wide, (2 * scale) / tall, 0.5 / (reach + depth + far));
    gl.uniform3f(uniform.middle, seen.x, seen.y, middle[2] + far / 2);
    for (const thing of things.filter((t) => t.shown)) {
      gl.uniform1f(uniform.lift, view.apart * gap * thing.step);
      gl.bindBuffer(gl.ARRAY_BUFFER, thing.faces.buffer);
      gl.enableVertexAttribArray(normal);
      gl.vertexAttribPointer(place, 3, gl.FLOAT, false, 24, 0);
      gl.vertexAttribPointer(normal, 3, gl.FLOAT, false, 24, 12);
      gl.uniform3fv(uniform.colour, thing.picked ? PICKED : thing.colour);
      gl.uniform1f(uniform.shaded, 1);
      gl.uniform1f(uniform.nearer, 0);
      gl.drawArrays(gl.TRIANGLES, 0, thing.faces.count);
      strokes(thing.lines, gl.LINES);
      strokes(thing.ink, gl.LINES);
      strokes(thing.ink, gl.POINTS); // of lines shorter than a pixel nothing is drawn
    }
    const said = { turn: Math.round(view.turn), tilt: Math.round(view.tilt), apart: view.apart.toFixed(2),
      size: view.size.toFixed(2), shown: things.filter((t) => t.shown).map((t) => t.name).join(" ") };
    Object.assign(canvas.dataset, said);
  }

  let asked = 0;
  function again() {
    cancelAnimationFrame(asked);
    asked = requestAnimationFrame(draw);
  }

  // --- moving

  const goal = { ...view };
  let moving = false;
  function go(change) {
    Object.assign(goal, change);
    goal.tilt = Math.min(90, Math.max(-90, goal.tilt));
    goal.size = Math.min(8, Math.max(0.5, goal.size));
    if (still.matches) {
      Object.assign(view, goal);
      return again();
    }
    if (!moving) requestAnimationFrame(step);
    moving = true;
  }
  function step() {
    let left = 0;
    for (const key of Object.keys(goal)) {
      const rest = goal[key] - view[key];
      const near = key === "turn" || key === "tilt" ? 0.05 : 0.001;
      view[key] = Math.abs(rest) < near ? goal[key] : view[key] + 0.3 * rest;
      left += Math.abs(goal[key] - view[key]);
    }
    draw();
    moving = left > 0;
    if (moving) requestAnimationFrame(step);
  }
  const moves = {
    left: () => go({ turn: goal.turn - 15 }),
    right: () => go({ turn: goal.turn + 15 }),
    up: () => go({ tilt: goal.tilt + 10 }),
    down: () => go({ tilt: goal.tilt - 10 }),
    larger: () => go({ size: goal.size * 1.25 }),
    smaller: () => go({ size: goal.size / 1.25 }),
    reset: () => {
      slider.value = 0;
      go({ ...FIRST });
    },
    all: () => {
      for (const thing of things) thing.shown = true;
      for (const button of figure.querySelectorAll("[data-layer]")) button.setAttribute("aria-pressed", "true");
      again();
    },
  };
  const KEYS = { ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down", "+": "larger", "=": "larger",
    "-": "smaller", Home: "reset" };
  canvas.addEventListener("keydown", (event) => {
    const move = !event.ctrlKey && !event.metaKey && !event.altKey && KEYS[event.key];
    if (!move) return;
    event.preventDefault();
    moves[move]();
  });
  let from = null;
  canvas.addEventListener("pointerdown", (event) => {
    from = { x: event.clientX, y: event.clientY, turn: goal.turn, tilt: goal.tilt };
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!from) return;
    go({ turn: from.turn + 0.4 * (event.clientX - from.x), tilt: from.tilt + 0.3 * (event.clientY - from.y) });
  });
  for (const end of ["pointerup", "pointercancel"]) canvas.addEventListener(end, () => { from = null; });
  for (const button of figure.querySelectorAll("[data-do]")) button.addEventListener("click", moves[button.dataset.do]);
  for (const button of figure.querySelectorAll("[data-layer]")) {
    const thing = things.find((t) => t.name === button.dataset.layer);
    const pick = (picked) => () => {
      thing.picked = picked;
      again();
    };
    button.addEventListener("click", () => {
      thing.shown = !thing.shown;
      button.setAttribute("aria-pressed", String(thing.shown));
      again();
    });
    for (const on of ["pointerenter", "focus"]) button.addEventListener(on, pick(true));
    for (const off of ["pointerleave", "blur"]) button.addEventListener(off, pick(false));
  }
  const slider = figure.querySelector("#apart");
  slider.addEventListener("input", () => go({ apart: slider.value / 100 }));

  canvas.addEventListener("webglcontextlost", () => {
    figure.classList.remove("live");
    for (const part of figure.querySelectorAll("canvas, .tools, .how")) part.hidden = true;
  });
  // The frame is as high as the form asks for as it is seen at first, within what a screen has.
  const first = extent(FIRST.turn * RAD);
  const rise = first.away * Math.sin(FIRST.tilt * RAD) + depth * Math.cos(FIRST.tilt * RAD);
  canvas.style.aspectRatio = `${first.across} / ${1.04 * rise}`;

  figure.classList.add("live");
  for (const part of figure.querySelectorAll("canvas, .tools, .how")) part.hidden = false;
  new ResizeObserver(again).observe(canvas);
})();
