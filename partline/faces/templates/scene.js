"use strict";
(async () => {
  const facts = JSON.parse(document.getElementById("facts").textContent);
  const canvas = document.getElementById("view");
  const note = document.getElementById("note");
  const gl = canvas.getContext("webgl2", { alpha: false, antialias: true, preserveDrawingBuffer: true });
  if (!gl) { note.textContent = facts.words.no3d; return; }

  // Unpack: base64, then zlib, both by the browser itself.
  const text = atob(document.getElementById("numbers").textContent.trim());
  const bytes = Uint8Array.from(text, c => c.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
  const raw = new Uint8Array(await new Response(stream).arrayBuffer());

  const shader = (kind, code) => {
    const s = gl.createShader(kind);
    gl.shaderSource(s, code); gl.compileShader(s);
    if (!gl.getShaderParameter(s, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(s));
    return s;
  };
  const program = gl.createProgram();
  gl.attachShader(program, shader(gl.VERTEX_SHADER, `#version 300 es
    in vec3 place; in vec3 normal; in float weight;
    uniform mat4 move; uniform mat3 turn; out vec3 out_normal; out vec3 out_place; out float out_weight;
    void main() { out_place = turn * place; gl_Position = move * vec4(place, 1.0); out_normal = turn * normal; out_weight = weight; }`));
  gl.attachShader(program, shader(gl.FRAGMENT_SHADER, `#version 300 es
    precision highp float; in vec3 out_normal; in vec3 out_place; in float out_weight;
    uniform vec4 colour; uniform vec3 fine; uniform float shown; uniform float smooth_; out vec4 pixel;
    void main() {
      // Plain shapes have hard edges: they are shaded face by face.
      vec3 n = smooth_ > 0.5 ? normalize(out_normal) : normalize(cross(dFdx(out_place), dFdy(out_place)));
      if (n.z < 0.0) n = -n;
      float light = 0.42 + 0.5 * max(dot(n, normalize(vec3(-0.35, 0.55, 0.75))), 0.0) + 0.14 * max(dot(n, normalize(vec3(0.8, 0.1, 0.4))), 0.0);
      vec3 base = mix(colour.rgb, fine, shown * out_weight);
      pixel = vec4(base * light, colour.a);
    }`));
  ["place", "normal", "weight"].forEach((name, k) => gl.bindAttribLocation(program, k, name));
  gl.linkProgram(program); gl.useProgram(program);
  const at = name => gl.getUniformLocation(program, name);
  const spots = { move: at("move"), turn: at("turn"), colour: at("colour"), fine: at("fine"), shown: at("shown"), smooth: at("smooth_") };
  const rgb = c => [1, 3, 5].map(k => parseInt(c.slice(k, k + 2), 16) / 255);
  const buffer = (data, target) => { const b = gl.createBuffer(); gl.bindBuffer(target, b); gl.bufferData(target, data, gl.STATIC_DRAW); return b; };

  const size = facts.box.size, low = facts.box.low;
  let reach = [[1e9, 1e9, 1e9], [-1e9, -1e9, -1e9]];
  const parts = facts.parts.map(p => {
    const n = p.vertices, m = 3 * p.faces;
    let o = p.at;
    const places = new Float32Array(3 * n);
    for (let axis = 0; axis < 3; axis++) {
      let sum = 0;
      for (let k = 0; k < n; k++) {
        const j = axis * n + k;
        sum = (sum + raw[o + j] + 256 * raw[o + 3 * n + j]) & 65535;
        const v = low[axis] + sum / 65535 * size;
        places[3 * k + axis] = v;
        reach[0][axis] = Math.min(reach[0][axis], v); reach[1][axis] = Math.max(reach[1][axis], v);
      }
    }
    o += 6 * n;
    const faces = new Uint32Array(m);
    let last = 0;
    for (let k = 0; k < m; k++) {
      const z = raw[o + k] + 256 * raw[o + m + k] + 65536 * raw[o + 2 * m + k] + 16777216 * raw[o + 3 * m + k];
      last += z & 1 ? -(z + 1) / 2 : z / 2;
      faces[k] = last;
    }
    o += 4 * m;
    const normals = new Float32Array(3 * n);
    for (let k = 0; k < m; k += 3) {
      const [a, b, c] = [3 * faces[k], 3 * faces[k + 1], 3 * faces[k + 2]];
      const u = [0, 1, 2].map(i => places[b + i] - places[a + i]), v = [0, 1, 2].map(i => places[c + i] - places[a + i]);
      const w = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
      for (const q of [a, b, c]) for (let i = 0; i < 3; i++) normals[q + i] += w[i];
    }
    const array = gl.createVertexArray(); gl.bindVertexArray(array);
    [[places, 3], [normals, 3]].forEach(([data, count], k) => {
      buffer(data, gl.ARRAY_BUFFER); gl.enableVertexAttribArray(k); gl.vertexAttribPointer(k, count, gl.FLOAT, false, 0, 0);
    });
    if (p.weights) {
      buffer(raw.slice(o, o + n), gl.ARRAY_BUFFER); gl.enableVertexAttribArray(2); gl.vertexAttribPointer(2, 1, gl.UNSIGNED_BYTE, true, 0, 0);
    } else gl.vertexAttrib1f(2, 0);
    buffer(faces, gl.ELEMENT_ARRAY_BUFFER);
    return { ...p, array, count: m, rgb: rgb(p.colour) };
  });

  const state = { pour: "rubber", yaw: 0.35, pitch: 0.22, zoom: 1, shown: {} };
  document.querySelectorAll("input[type=checkbox]").forEach(box => {
    state.shown[box.value] = box.checked;
    box.addEventListener("change", () => { state.shown[box.value] = box.checked; draw(); });
  });
  const pours = document.querySelectorAll("input[name=pour]");
  const poured = () => {
    pours.forEach(b => { if (b.checked) state.pour = b.value; });
    document.querySelectorAll("[data-pour]").forEach(e => { e.hidden = e.dataset.pour !== state.pour; });
    draw();
  };
  pours.forEach(b => b.addEventListener("change", poured));

  const middle = [0, 1, 2].map(k => (reach[0][k] + reach[1][k]) / 2);
  const radius = Math.hypot(...[0, 1, 2].map(k => reach[1][k] - reach[0][k])) / 2;
  const signs = document.getElementById("signs");

  function frame() {
    // Rows right, up, toward the eye; z is up, the front is -y.
    const [sy, cy, sp, cp] = [Math.sin(state.yaw), Math.cos(state.yaw), Math.sin(state.pitch), Math.cos(state.pitch)];
    const over = state.pour === "resin" ? -1 : 1;
    const rows = [[cy, sy, 0], [-sp * sy, sp * cy, cp], [cp * sy, -cp * cy, sp]];
    // Turned over the block is rolled sideways: x and z change sign, the front stays.
    return rows.map(r => [r[0] * over, r[1], r[2] * over]);
  }

  function draw() {
    const ratio = window.devicePixelRatio || 1, w = canvas.clientWidth, h = canvas.clientHeight;
    if (canvas.width !== Math.round(w * ratio) || canvas.height !== Math.round(h * ratio)) { canvas.width = Math.round(w * ratio); canvas.height = Math.round(h * ratio); }
    gl.viewport(0, 0, canvas.width, canvas.height);
    gl.clearColor(1, 1, 1, 1); gl.enable(gl.DEPTH_TEST);
    gl.depthMask(true); gl.colorMask(true, true, true, true); gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    const rows = frame(), s = 0.94 * state.zoom / radius * Math.min(1, w / h) , sx = s * h / w, far = 1 / (4 * radius);
    const scale = [sx, s, -far];
    const move = new Float32Array(16);
    for (let r = 0; r < 3; r++) {
      for (let c = 0; c < 3; c++) move[4 * c + r] = rows[r][c] * scale[r];
      move[12 + r] = -scale[r] * (rows[r][0] * middle[0] + rows[r][1] * middle[1] + rows[r][2] * middle[2]);
    }
    move[15] = 1;
    gl.uniformMatrix4fv(spots.move, false, move);
    gl.uniformMatrix3fv(spots.turn, false, new Float32Array([0, 1, 2].flatMap(c => [0, 1, 2].map(r => rows[r][c]))));
    gl.uniform3fv(spots.fine, rgb(facts.fine));
    const on = p => state.shown[p.group === "cup" || p.group === "block" ? "block" : p.group] && (p.pours === "both" || p.pours === state.pour);
    const one = (p, alpha) => {
      gl.uniform4f(spots.colour, ...p.rgb, alpha); gl.uniform1f(spots.shown, p.weights && state.shown.detail ? 1 : 0);
      gl.uniform1f(spots.smooth, p.group === "piece" ? 1 : 0);
      gl.bindVertexArray(p.array); gl.drawElements(gl.TRIANGLES, p.count, gl.UNSIGNED_INT, 0);
    };
    const glass = p => p.opacity < 0.9 ? p.opacity : p.group === "piece" && state.shown.air ? 0.62 : 1;
    const shown = parts.filter(on);
    gl.disable(gl.BLEND);
    shown.filter(p => glass(p) === 1).forEach(p => one(p, 1));
    gl.enable(gl.BLEND); gl.blendFunc(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA); gl.depthFunc(gl.LEQUAL);
    shown.filter(p => glass(p) < 1 && p.group === "piece").forEach(p => {
      gl.colorMask(false, false, false, false); one(p, 1); gl.colorMask(true, true, true, true); one(p, glass(p));
    });
    gl.depthMask(false);
    shown.filter(p => glass(p) < 1 && p.group !== "piece").forEach(p => one(p, glass(p)));
    gl.depthMask(true);
    labels(move, w, h);
  }

  const tags = facts.tags.map(t => { const e = document.createElement("span"); e.textContent = t.word; e.className = t.group; const line = document.createElement("b"); signs.append(line, e); return { ...t, e, line }; });
  function labels(move, w, h) {
    const placed = [];
    for (const t of tags) {
      const shown = state.shown[t.group] && (t.pours === "both" || t.pours === state.pour);
      t.e.hidden = !shown; t.line.hidden = true;
      if (!shown) continue;
      const p = [0, 1].map(r => move[r] * t.at[0] + move[4 + r] * t.at[1] + move[8 + r] * t.at[2] + move[12 + r]);
      const x = (p[0] + 1) / 2 * w;
      let y = (1 - p[1]) / 2 * h;
      // No label over another: the later one goes below.
      for (let tries = 0; tries < 12; tries++) {
        const near = placed.find(q => Math.abs(q[0] - x) < q[2] + 4.5 * t.word.length + 6 && Math.abs(q[1] - y) < 21);
        if (!near) break;
        y = near[1] + 21.5;
      }
      const from = (1 - p[1]) / 2 * h;
      if (y > from) {
        t.line.hidden = false;
        t.line.style.left = `${x}px`; t.line.style.top = `${from}px`; t.line.style.height = `${y - from}px`;
      }
      placed.push([x, y, 4.5 * t.word.length + 6]);
      t.e.style.left = `${x}px`; t.e.style.top = `${y}px`;
    }
  }

  let grip = null;
  canvas.addEventListener("pointerdown", e => { grip = [e.clientX, e.clientY]; canvas.setPointerCapture(e.pointerId); });
  canvas.addEventListener("pointerup", () => { grip = null; });
  canvas.addEventListener("pointermove", e => {
    if (!grip) return;
    state.yaw -= (e.clientX - grip[0]) * 0.009;
    state.pitch = Math.max(-1.57, Math.min(1.57, state.pitch + (e.clientY - grip[1]) * 0.009));
    grip = [e.clientX, e.clientY]; draw();
  });
  canvas.addEventListener("wheel", e => { e.preventDefault(); state.zoom = Math.max(0.4, Math.min(12, state.zoom * Math.exp(-e.deltaY * 0.001))); draw(); }, { passive: false });
  canvas.addEventListener("keydown", e => {
    const step = { ArrowLeft: [-0.12, 0], ArrowRight: [0.12, 0], ArrowUp: [0, 0.12], ArrowDown: [0, -0.12] }[e.key];
    if (step) { state.yaw += step[0]; state.pitch = Math.max(-1.57, Math.min(1.57, state.pitch + step[1])); }
    else if (e.key === "+") state.zoom = Math.min(12, state.zoom * 1.15);
    else if (e.key === "-") state.zoom = Math.max(0.4, state.zoom / 1.15);
    else return;
    e.preventDefault(); draw();
  });
  window.addEventListener("resize", draw);
  poured();
  document.body.dataset.ready = "yes";
})().catch(e => { document.getElementById("note").textContent = String(e.message || e); });
