// Draws the report's timelines so that values can be read off them. Each figure
// holds its data as JSON (reports/chart/live.go tells the names) and a picture,
// which stands in on paper and where scripts are off. Nothing is fetched.
(function () {
  "use strict";
  var LEFT = 58, STRIP = 30, HEAD = 19, GAP = 9, AXIS = 36;
  var MINUTE = 60000, HOUR = 60 * MINUTE, DAY = 24 * HOUR;
  var MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
  var DAYS = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];
  var finer = {}; // what other charts of the page hold of a series, by its key and unit

  var holder = document.createElement("div");
  holder.innerHTML = "<svg></svg>";
  var SPACE = holder.firstChild.namespaceURI;
  function node(name, attrs, parent, text) {
    var e = document.createElementNS(SPACE, name);
    for (var k in attrs) e.setAttribute(k, attrs[k]);
    if (text !== undefined) e.textContent = text;
    if (parent) parent.appendChild(e);
    return e;
  }
  function clamp(v, lo, hi) { return Math.min(Math.max(v, lo), hi); }

  // unpack turns differences back into values; a gap is NaN.
  function unpack(s, tens) {
    if (s === undefined) return null;
    var scale = Math.pow(10, tens), last = 0;
    return s.split(",").map(function (d) {
      if (d === "") return NaN;
      last += Number(d);
      return last / scale;
    });
  }
  function prepare(c) {
    c.panels.forEach(function (p) {
      ["series", "bands", "limits", "points", "marked"].forEach(function (k) { p[k] = p[k] || []; });
      p.series.concat(p.bands).forEach(function (s) {
        s.mean = unpack(s.mean, s.tens);
        s.low = unpack(s.low, s.tens);
        s.high = unpack(s.high, s.tens);
        if (s.key && s.step < HOUR) {
          var k = s.key + "|" + p.unit;
          (finer[k] = finer[k] || []).push(s);
        }
      });
    });
  }

  // The plant's own clock.
  function clockAt(c, ms) {
    var z = c.clock[0];
    c.clock.forEach(function (k) { if (k.from <= ms) z = k; });
    return z;
  }
  function local(c, ms) { return new Date(ms + clockAt(c, ms).offset); }
  function two(n) { return (n < 10 ? "0" : "") + n; }
  function hhmm(d) { return two(d.getUTCHours()) + ":" + two(d.getUTCMinutes()); }
  function dayName(d) { return DAYS[d.getUTCDay()] + " " + d.getUTCDate() + " " + MONTHS[d.getUTCMonth()]; }
  function moment(c, ms) {
    var d = local(c, ms);
    return dayName(d) + " " + d.getUTCFullYear() + " " + hhmm(d) + " " + clockAt(c, ms).name;
  }

  // ticks gives times on whole steps of the clock, as wide apart as their names need.
  function ticks(c, from, to, width) {
    var steps = [15, 30, 60, 120, 180, 360, 720, 1440, 2880, 10080], need = 64 / width * (to - from), step = 0, out = [], last = null;
    steps.some(function (s) { if (s * MINUTE >= need) step = s; return step; });
    for (var t = Math.ceil(from / (15 * MINUTE)) * 15 * MINUTE; t <= to; t += (step && step < 1440 ? 15 * MINUTE : HOUR)) {
      var d = local(c, t), m = d.getUTCHours() * 60 + d.getUTCMinutes(), name = null;
      if (step && step < 1440) {
        if (m % step === 0) name = m === 0 ? dayName(d) : hhmm(d);
      } else if (m === 0 && step) {
        var day = Math.round((t + clockAt(c, t).offset) / DAY);
        if (step === 1440 || step === 2880 && day % 2 === 0 || step === 10080 && d.getUTCDay() === 1) name = d.getUTCDate() + " " + MONTHS[d.getUTCMonth()];
      } else if (m === 0 && d.getUTCDate() === 1) {
        var months = Math.ceil(need / (28 * DAY)), every = [1, 2, 3, 6, 12].filter(function (k) { return k >= months; })[0] || 12;
        if (d.getUTCMonth() % every === 0) name = MONTHS[d.getUTCMonth()] + " " + d.getUTCFullYear();
      }
      if (name && name !== last) { out.push({ at: t, name: name }); last = name; }
    }
    return out;
  }

  // axis gives the ends of a value axis and its ticks.
  function axis(lo, hi, log, height) {
    var out = [], v, e;
    if (log) {
      if (!(lo > 0)) lo = hi > 0 ? hi / 1000 : 0.1;
      if (!(hi > lo)) hi = lo * 10;
      lo /= 1.1; hi *= 1.1;
      for (e = Math.floor(Math.log10(lo)); e <= Math.log10(hi); e++)
        [1, 2, 5].forEach(function (m) { v = m * Math.pow(10, e); if (v >= lo && v <= hi) out.push(v); });
      return { lo: Math.log(lo), hi: Math.log(hi), ticks: out, log: true };
    }
    if (!(hi > lo)) { lo -= 0.5; hi = lo + 1; }
    var raw = (hi - lo) / Math.max(2, height / 30), p = Math.pow(10, Math.floor(Math.log10(raw)));
    var step = [1, 2, 2.5, 5, 10].map(function (m) { return m * p; }).filter(function (s) { return s >= raw * 0.999; })[0];
    lo = Math.floor(lo / step + 1e-9) * step; hi = Math.ceil(hi / step - 1e-9) * step;
    for (v = lo; v <= hi + step / 1e6; v += step) out.push(Math.abs(v) < step / 1e6 ? 0 : v);
    return { lo: lo, hi: hi + (hi - lo) * 0.04, ticks: out, log: false };
  }
  // figure writes a value with the digits that were kept of it, thousands parted.
  function figure(v, tens) {
    if (isNaN(v)) return "–";
    var s = Math.abs(v).toFixed(clamp(tens, 0, 6));
    if (s.indexOf(".") > 0) s = s.replace(/0+$/, "").replace(/\.$/, "");
    var parts = s.split(".");
    parts[0] = parts[0].replace(/\B(?=(\d{3})+$)/g, ",");
    return (v < 0 && Number(s) !== 0 ? "−" : "") + parts.join(".");
  }

  function Chart(fig, id) {
    this.fig = fig;
    this.id = id;
    this.data = JSON.parse(fig.querySelector("script").textContent);
    prepare(this.data);
    this.from = this.data.start;
    this.to = this.data.end;
    this.cursor = null;
    var c = this, box = document.createElement("div");
    box.className = "live";
    this.svg = node("svg", { tabindex: 0, role: "img", "aria-label": fig.querySelector("img").alt + " Arrow keys move a cursor that reads the values.", "aria-describedby": "how-to-read" }, null);
    box.appendChild(this.svg);
    this.words = document.createElement("p"); // for who cannot see the cursor
    this.words.className = "skip";
    this.words.setAttribute("aria-live", "polite");
    box.appendChild(this.words);
    fig.insertBefore(box, fig.firstChild);
    fig.classList.add("drawn");
    this.box = box;
    this.listen();
    new ResizeObserver(function () {
      var w = Math.floor(box.clientWidth);
      if (w > 0 && w !== c.width) { c.width = w; c.draw(); }
    }).observe(box);
  }

  // shown is the column of a series that serves the stretch on screen best.
  Chart.prototype.shown = function (s, unit) {
    var from = this.from, to = this.to, best = s;
    (finer[s.key + "|" + unit] || []).forEach(function (f) {
      if (f.step < best.step && f.at <= from + f.step && f.at + f.mean.length * f.step >= to - f.step) best = f;
    });
    return best;
  };
  Chart.prototype.x = function (t) { return LEFT + (t - this.from) / (this.to - this.from) * this.plot; };
  Chart.prototype.time = function (x) { return this.from + (x - LEFT) / this.plot * (this.to - this.from); };

  // extent finds what the axis of a panel must hold of the stretch on screen.
  Chart.prototype.extent = function (p) {
    var lo = Infinity, hi = -Infinity, c = this;
    function add(v) { if (v === v && (!p.log || v > 0)) { if (v < lo) lo = v; if (v > hi) hi = v; } }
    if (p.keep) return p.keep;
    if (p.whole && this.from === this.data.start && this.to === this.data.end) return p.whole;
    p.series.concat(p.bands).forEach(function (whole) {
      var s = c.shown(whole, p.unit);
      for (var i = Math.max(0, Math.floor((c.from - s.at) / s.step)); i * s.step + s.at <= c.to; i++) {
        if (s.mean) add(s.mean[i]);
        if (s.low) { add(s.low[i]); add(s.high[i]); }
      }
    });
    p.points.forEach(function (g) { g.t.forEach(function (t, i) { if (t >= c.from && t <= c.to) add(g.y[i]); }); });
    if (lo <= hi) { (p.reach || []).forEach(add); p.limits.forEach(function (l) { add(l.value); (l.y || []).forEach(add); }); }
    return [lo, hi];
  };

  Chart.prototype.draw = function () {
    var c = this, d = this.data, svg = this.svg, n = d.panels.length;
    this.right = this.width > 640 && d.panels.some(function (p) { return p.limits.length; }) ? 104 : 12;
    this.plot = this.width - LEFT - this.right;
    var event = !this.fig.closest("#timeline");
    var h = clamp(Math.floor(((event ? 430 : 640) - n * (HEAD + GAP)) / n), event ? 40 : 44, 96), y = 22;
    while (svg.firstChild) svg.removeChild(svg.firstChild);
    var defs = node("defs", {}, svg), hatch = node("pattern", { id: "hatch-" + this.id, width: 6, height: 6, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, defs);
    node("line", { x1: 0, y1: 0, x2: 0, y2: 6, "class": "hatch" }, hatch);
    y += 17 * (this.heading(d.title) - 1);
    this.when = node("text", { x: this.width - 2, y: 13, "text-anchor": "end", "class": "when" }, svg, "");
    var lanes = (d.spans || []).filter(function (s) { return s.name && s.to > c.from && s.from < c.to; });
    var marks = (d.marks || []).filter(function (m) { return m.at >= c.from && m.at <= c.to; });
    if (lanes.length + marks.length > 0) y = this.names(lanes, marks, y);
    this.top = y;
    this.tops = [];
    d.panels.forEach(function (p, k) {
      c.panel(p, k, y, h, lanes, marks);
      y += HEAD + h + GAP;
    });
    this.foot = y - GAP;
    this.clock(h);
    y = this.foot + AXIS;
    this.strip(y);
    y += STRIP + 4;
    this.height = y;
    svg.setAttribute("width", this.width);
    svg.setAttribute("height", y);
    svg.setAttribute("viewBox", "0 0 " + this.width + " " + y);
    this.line = node("line", { "class": "cursor", y1: this.top, y2: this.foot, visibility: "hidden" }, svg);
    this.drag = node("rect", { "class": "drag", y: this.top, height: this.foot - this.top, visibility: "hidden" }, svg);
    this.fig.dataset.from = this.from;
    this.fig.dataset.to = this.to;
    this.read();
  };

  // heading writes the title on as many lines as it needs, and says how many.
  Chart.prototype.heading = function (title) {
    var c = this, line = "", lines = [], room = Math.floor(this.width / 7.9);
    title.split(" ").forEach(function (w) {
      if (line && (line + " " + w).length > room) { lines.push(line); line = w; } else line = line ? line + " " + w : w;
    });
    lines.push(line);
    this.title = lines.map(function (l, i) { return node("text", { x: 0, y: 13 + 17 * i, "class": "title" }, c.svg, l); });
    return lines.length;
  };

  // names writes the spans and marks above the panels, each where there is room.
  Chart.prototype.names = function (spans, marks, y) {
    var c = this, rows = [], item = [];
    spans.forEach(function (s) { item.push({ x: c.x(Math.max(s.from, c.from)), x1: c.x(Math.min(s.to, c.to)), name: s.name }); });
    marks.forEach(function (m) { item.push({ x: c.x(m.at), name: m.name, first: m.first }); });
    item.sort(function (a, b) { return a.x - b.x; });
    item.forEach(function (m) {
      var w = m.name.length * 6.4 + 14, left = Math.min(m.x, c.width - w), row = 0;
      if (!m.x1 && left < m.x) left = Math.max(0, m.x - w); // before its flag, not across it
      while (rows[row] !== undefined && rows[row] > Math.min(left, m.x) - 4) row++;
      rows[row] = Math.max(left + w, m.x1 || 0);
      m.row = row; m.left = left;
    });
    item.forEach(function (m) {
      var at = y + m.row * 16;
      if (m.x1) node("rect", { x: m.x, y: at, width: Math.max(2, m.x1 - m.x), height: 14, "class": "lane" }, c.svg);
      else node("path", { d: "M" + (m.x - 4) + " " + (at + 3) + "h8l-4 8z", "class": "flag" }, c.svg);
      node("text", { x: m.left + 7, y: at + 11, "class": m.first ? "strong" : "" }, c.svg, m.name);
    });
    return y + rows.length * 16 + 4;
  };

  Chart.prototype.panel = function (p, k, top, h, spans, marks) {
    var c = this, e = this.extent(p), g = node("g", {}, this.svg), y0 = top + HEAD, empty = !(e[0] <= e[1]);
    var clip = "clip-" + this.id + "-" + k;
    node("rect", { x: LEFT, y: y0, width: this.plot, height: h }, node("clipPath", { id: clip }, g));
    node("rect", { x: LEFT, y: y0, width: this.plot, height: h, "class": "panel" }, g);
    spans.forEach(function (s) {
      var x = c.x(Math.max(s.from, c.from));
      node("rect", { x: x, y: y0, width: Math.max(1, c.x(Math.min(s.to, c.to)) - x), height: h, "class": "span" }, g);
    });
    // The name and the legend, whose values the cursor fills in.
    var head = node("text", { x: LEFT, y: top + 13, "class": "name" }, g, p.name), legend = node("text", { x: this.width - this.right, y: top + 13, "text-anchor": "end", "class": "legend" }, g);
    var values = [];
    var keys = 0;
    p.series.forEach(function (s) {
      if (s.faint && !s.name) return;
      node("tspan", { "class": "key k" + s.colour + (s.faint ? " faint" : "") }, legend, s.faint ? "  ┈ " : !keys++ ? "  ━ " : "  ╍ ");
      node("tspan", {}, legend, s.name);
      values.push({ s: s, t: node("tspan", { "class": "value" }, legend, "") });
    });
    p.bands.forEach(function (s) {
      node("tspan", { "class": "key band" }, legend, "  ▬ ");
      node("tspan", {}, legend, s.name);
      values.push({ s: s, t: node("tspan", { "class": "value" }, legend, "") });
    });
    p.points.forEach(function (s, i) { node("tspan", {}, legend, "  " + "◆□▲○"[i % 4] + " " + s.name); });
    if (p.marked.length) node("tspan", {}, legend, "  ▨ " + p.marked[0].name);
    this.tops[k] = { p: p, values: values, legend: legend, head: head };
    if (empty) {
      node("text", { x: LEFT + this.plot / 2, y: y0 + h / 2 + 4, "text-anchor": "middle", "class": "soft" }, g, "no readings in this stretch");
      node("text", { x: LEFT - 6, y: y0 + h / 2 + 4, "text-anchor": "end", "class": "soft" }, g, p.unit);
      return;
    }
    var a = axis(e[0], e[1], p.log, h);
    function y(v) { return y0 + h - ((a.log ? Math.log(Math.max(v, 1e-12)) : v) - a.lo) / (a.hi - a.lo) * h; }
    var digits = a.ticks.length > 1 ? clamp(2 - Math.floor(Math.log10(Math.abs(a.ticks[1] - a.ticks[0]))), 0, 6) : 2;
    a.ticks.forEach(function (v) {
      node("line", { x1: LEFT, x2: LEFT + c.plot, y1: y(v), y2: y(v), "class": "grid" }, g);
      node("text", { x: LEFT - 6, y: y(v) + 4, "text-anchor": "end", "class": "tick" }, g, figure(v, digits));
    });
    node("text", { x: 11, y: y0 + h / 2, "text-anchor": "middle", "class": "tick", transform: "rotate(-90 11 " + (y0 + h / 2) + ")" }, g, p.unit);
    var data = node("g", { "clip-path": "url(#" + clip + ")" }, g);
    ticks(this.data, this.from, this.to, this.plot).forEach(function (t) { node("line", { x1: c.x(t.at), x2: c.x(t.at), y1: y0, y2: y0 + h, "class": "grid" }, data); });
    marks.forEach(function (m) { node("line", { x1: c.x(m.at), x2: c.x(m.at), y1: y0, y2: y0 + h, "class": m.first ? "mark first" : "mark" }, data); });
    p.bands.forEach(function (s) { c.area(c.shown(s, p.unit), y, data, "band"); });
    p.marked.forEach(function (s) {
      if (s.to <= c.from || s.from >= c.to) return;
      var x = c.x(Math.max(s.from, c.from));
      node("rect", { x: x, y: y0, width: Math.max(2, c.x(Math.min(s.to, c.to)) - x), height: h, "class": "marked", fill: "url(#hatch-" + c.id + ")" }, data);
    });
    var strong = 0;
    p.series.forEach(function (whole) {
      var s = c.shown(whole, p.unit), nth = whole.faint ? "" : strong++ ? " second" : "";
      if (s.low) c.area(s, y, data, "range k" + whole.colour);
      if (whole.bars) c.bars(s, y, data, "bars k" + whole.colour, clamp(a.lo, 0, a.hi));
      else c.path(s, y, data, "line k" + whole.colour + (whole.faint ? " faint" : "") + nth, whole.steps);
    });
    p.limits.forEach(function (l) {
      var d = "", value = l.value;
      if (l.t) l.t.forEach(function (t, i) {
        d += (i ? "H" : "M") + (i ? c.x(t) : c.x(t) + " " + y(l.y[i])) + (i ? "V" + y(l.y[i]) : "");
        if (t <= c.to) value = l.y[i];
      });
      d = d ? d + "H" + (LEFT + c.plot) : "M" + LEFT + " " + y(value) + "H" + (LEFT + c.plot);
      node("path", { d: d, "class": "limit" }, data);
      var text = l.name + " " + figure(value, 4);
      if (c.right > 100) c.beside(text, clamp(y(value) + 4, y0 + 8, y0 + h), g);
      else node("tspan", { "class": "limitname" }, legend, "  ╌ " + text);
    });
    p.points.forEach(function (s, i) {
      s.t.forEach(function (t, k) {
        if (t < c.from || t > c.to) return;
        var x = c.x(t), v = y(s.y[k]);
        node("path", { d: i % 2 ? "M" + (x - 3) + " " + (v - 3) + "h6v6h-6z" : "M" + (x - 4) + " " + v + "l4-4l4 4l-4 4z", "class": i % 2 ? "point open" : "point" }, data);
      });
    });
    node("rect", { x: LEFT, y: y0, width: this.plot, height: h, "class": "frame" }, g);
  };

  // beside names a limit right of its panel, on two lines where it is long.
  Chart.prototype.beside = function (text, y, g) {
    var x = LEFT + this.plot + 6, cut = text.length > 15 ? text.lastIndexOf(" ", 15) : -1;
    if (cut < 1) { node("text", { x: x, y: y, "class": "limitname" }, g, text); return; }
    node("text", { x: x, y: y - 6, "class": "limitname" }, g, text.slice(0, cut));
    node("text", { x: x, y: y + 7, "class": "limitname" }, g, text.slice(cut + 1));
  };

  // points gives the drawn places of a series as unbroken runs of [x, mean, low, high];
  // many values to a pixel become one.
  Chart.prototype.points = function (s) {
    var runs = [], run = null, first = Math.max(0, Math.floor((this.from - s.at) / s.step) - 1);
    var last = Math.min((s.mean || s.low).length - 1, Math.ceil((this.to - s.at) / s.step) + 1);
    var per = Math.max(1, Math.floor((last - first) / this.plot));
    for (var i = first; i <= last; i += per) {
      var sum = 0, n = 0, lo = Infinity, hi = -Infinity;
      for (var j = i; j < i + per && j <= last; j++) {
        var m = s.mean ? s.mean[j] : s.low[j];
        if (m !== m) continue;
        sum += m; n++;
        lo = Math.min(lo, s.low ? s.low[j] : m);
        hi = Math.max(hi, s.high ? s.high[j] : m);
      }
      if (!n) { run = null; continue; }
      if (!run) runs.push(run = []);
      run.push([this.x(s.at + i * s.step), sum / n, lo, hi, this.x(s.at + (i + per) * s.step)]);
    }
    return runs;
  };
  Chart.prototype.path = function (s, y, g, cls, steps) {
    var d = "", half = s.step >= HOUR && !steps;
    this.points(s).forEach(function (run) {
      run.forEach(function (q, i) {
        var x = half ? (q[0] + q[4]) / 2 : q[0]; // a mean stands in the middle of its time
        d += (i ? "L" : "M") + x.toFixed(1) + " " + y(q[1]).toFixed(1);
        if (steps) d += "H" + q[4].toFixed(1);
        else if (run.length === 1) d += "h2"; // a single reading must be seen
      });
    });
    if (d) node("path", { d: d, "class": cls }, g);
  };
  Chart.prototype.bars = function (s, y, g, cls, zero) {
    var d = "";
    this.points(s).forEach(function (run) {
      run.forEach(function (q) { d += "M" + q[0].toFixed(1) + " " + y(zero).toFixed(1) + "V" + y(q[1]).toFixed(1) + "H" + q[4].toFixed(1) + "V" + y(zero).toFixed(1) + "Z"; });
    });
    if (d) node("path", { d: d, "class": cls }, g);
  };
  Chart.prototype.area = function (s, y, g, cls) {
    var d = "", half = s.step >= HOUR && s.mean ? 2 : 1e9;
    this.points(s).forEach(function (run) {
      var back = "";
      run.forEach(function (q, i) {
        var x = (half === 2 ? (q[0] + q[4]) / 2 : q[0]).toFixed(1);
        d += (i ? "L" : "M") + x + " " + y(q[3]).toFixed(1);
        back = "L" + x + " " + y(q[2]).toFixed(1) + back;
      });
      d += back + "Z";
    });
    if (d) node("path", { d: d, "class": cls }, g);
  };

  Chart.prototype.clock = function () {
    var c = this, last = -1e9;
    ticks(this.data, this.from, this.to, this.plot).forEach(function (t) {
      var x = c.x(t.at);
      node("line", { x1: x, x2: x, y1: c.foot, y2: c.foot + 4, "class": "axis" }, c.svg);
      if (x - last < 54 || x > c.width - 24) return;
      node("text", { x: x, y: c.foot + 16, "text-anchor": "middle", "class": "tick" }, c.svg, t.name);
      last = x;
    });
    var z = clockAt(this.data, this.from).name, e = clockAt(this.data, this.to - 1).name;
    node("text", { x: LEFT, y: this.foot + 30, "class": "soft" }, this.svg, "Plant clock, " + z + (e !== z ? " and " + e : "") + (this.from > this.data.start || this.to < this.data.end ? "; double-click for the whole" : ""));
  };

  // strip is the whole of the time below the panels, and the part on screen.
  Chart.prototype.strip = function (y) {
    var c = this, d = this.data, span = d.end - d.start, from = this.from, to = this.to;
    function at(t) { return LEFT + (t - d.start) / span * c.plot; }
    this.stripTop = y;
    node("rect", { x: LEFT, y: y, width: this.plot, height: STRIP, "class": "panel" }, this.svg);
    (d.spans || []).forEach(function (s) { node("rect", { x: at(Math.max(s.from, d.start)), y: y, width: Math.max(1, at(Math.min(s.to, d.end)) - at(Math.max(s.from, d.start))), height: STRIP, "class": "span" }, c.svg); });
    var p = d.panels[0], s = p.series[0];
    if (s && s.mean) {
      var e = s.mean.filter(function (v) { return v === v; }), lo = Math.min.apply(null, e), hi = Math.max.apply(null, e);
      this.from = d.start; this.to = d.end;
      this.path(s, function (v) { return y + STRIP - 3 - (v - lo) / (hi - lo || 1) * (STRIP - 6); }, this.svg, "line faint k" + s.colour, false);
      this.from = from; this.to = to;
    }
    node("rect", { x: LEFT, y: y, width: Math.max(0, at(from) - LEFT), height: STRIP, "class": "out" }, this.svg);
    node("rect", { x: at(to), y: y, width: Math.max(0, LEFT + this.plot - at(to)), height: STRIP, "class": "out" }, this.svg);
    node("rect", { x: at(from), y: y, width: Math.max(4, at(to) - at(from)), height: STRIP, "class": "window" }, this.svg);
  };

  // show zooms to a stretch, not below twenty minutes and not past the ends.
  Chart.prototype.show = function (from, to) {
    var d = this.data, least = 20 * MINUTE;
    if (to - from < least) { var mid = (from + to) / 2; from = mid - least / 2; to = mid + least / 2; }
    var len = Math.min(to - from, d.end - d.start);
    from = clamp(from, d.start, d.end - len);
    this.from = Math.round(from);
    this.to = Math.round(from + len);
    if (this.cursor !== null) this.cursor = clamp(this.cursor, this.from, this.to);
    this.draw();
  };
  Chart.prototype.step = function () {
    var c = this, least = DAY;
    this.data.panels.forEach(function (p) { p.series.forEach(function (s) { least = Math.min(least, c.shown(s, p.unit).step); }); });
    return least;
  };

  // read moves the cursor's line and fills in the values of every panel.
  Chart.prototype.read = function () {
    var t = this.cursor, c = this, said = [];
    this.title[0].setAttribute("visibility", t !== null && this.width < 700 ? "hidden" : "visible"); // the moment stands there
    if (t === null) {
      this.line.setAttribute("visibility", "hidden");
      this.when.textContent = "";
      this.tops.forEach(function (k) { k.values.forEach(function (v) { v.t.textContent = ""; }); c.trim(k); });
      delete this.fig.dataset.cursor;
      return;
    }
    this.line.setAttribute("visibility", "visible");
    this.line.setAttribute("x1", this.x(t));
    this.line.setAttribute("x2", this.x(t));
    var shownStep = this.step();
    this.when.textContent = moment(this.data, t) + (shownStep >= DAY ? " (day's mean, least to most)" : shownStep >= HOUR ? " (hour's mean, least to most)" : "");
    this.tops.forEach(function (k) {
      k.values.forEach(function (v) {
        var s = c.shown(v.s, k.p.unit), i = Math.floor((t - s.at) / s.step), text;
        if (s.mean) text = figure(i in s.mean ? s.mean[i] : NaN, s.tens);
        if (s.low && !isNaN(s.low[i])) text = (text ? text + " (" : "") + figure(s.low[i], s.tens) + " to " + figure(s.high[i], s.tens) + (text ? ")" : "");
        text = text || "–";
        v.t.textContent = " " + text;
        said.push(k.p.name + ", " + v.s.name + ": " + text + " " + k.p.unit);
      });
      c.trim(k);
    });
    this.said = moment(this.data, t) + ". " + said.join("; ");
    this.fig.dataset.cursor = t;
  };
  // trim hides a panel's name where the values need its room.
  Chart.prototype.trim = function (k) {
    var room = this.plot - k.legend.getComputedTextLength() - 10, full = k.p.name;
    k.head.textContent = full;
    if (k.head.getComputedTextLength() <= room) return;
    while (full.length > 4 && k.head.getComputedTextLength() > room) { full = full.slice(0, -1); k.head.textContent = full + "…"; }
    if (full.length <= 4) k.head.textContent = "";
  };

  Chart.prototype.listen = function () {
    var c = this, svg = this.svg, down = null;
    function place(ev) { var r = svg.getBoundingClientRect(); return { x: ev.clientX - r.left, y: ev.clientY - r.top }; }
    function inside(x) { return clamp(x, LEFT, LEFT + c.plot); }
    function onStrip(q) { return q.y >= c.stripTop - 2; }
    function stripTime(x) { return c.data.start + (x - LEFT) / c.plot * (c.data.end - c.data.start); }
    svg.addEventListener("pointermove", function (ev) {
      var q = place(ev);
      if (down && down.strip) {
        var t = stripTime(inside(q.x)), len = down.to - down.from;
        if (down.edge === 1) c.show(Math.min(t, down.to - MINUTE), down.to);
        else if (down.edge === 2) c.show(down.from, Math.max(t, down.from + MINUTE));
        else c.show(down.from + t - down.t, down.from + t - down.t + len);
        return;
      }
      if (onStrip(q) && !down) return;
      var step = c.step();
      c.cursor = clamp(Math.floor(c.time(inside(q.x)) / step) * step, c.from, c.to);
      c.read();
      if (down && ev.pointerType !== "touch") {
        var a = Math.min(down.x, inside(q.x)), b = Math.max(down.x, inside(q.x));
        c.drag.setAttribute("visibility", "visible");
        c.drag.setAttribute("x", a);
        c.drag.setAttribute("width", b - a);
      }
    });
    svg.addEventListener("pointerdown", function (ev) {
      var q = place(ev), d = c.data;
      if (ev.button > 0) return;
      down = { x: inside(q.x), from: c.from, to: c.to };
      if (onStrip(q)) {
        var t = stripTime(inside(q.x)), near = 7 / c.plot * (d.end - d.start);
        down.strip = true;
        if (Math.abs(t - c.from) < near) down.edge = 1;
        else if (Math.abs(t - c.to) < near) down.edge = 2;
        else if (t < c.from || t > c.to) { c.show(t - (c.to - c.from) / 2, t + (c.to - c.from) / 2); down.from = c.from; down.to = c.to; }
        down.t = t;
      }
      try { svg.setPointerCapture(ev.pointerId); } catch (e) { /* a pointer that is gone already */ }
    });
    function up(ev) {
      if (!down) return;
      var was = down, x = inside(place(ev).x);
      down = null;
      c.drag.setAttribute("visibility", "hidden");
      if (was.strip || ev.pointerType === "touch" || Math.abs(x - was.x) < 6) return;
      c.show(c.time(Math.min(x, was.x)), c.time(Math.max(x, was.x)));
    }
    svg.addEventListener("pointerup", up);
    svg.addEventListener("pointercancel", function () { down = null; c.drag.setAttribute("visibility", "hidden"); });
    svg.addEventListener("pointerleave", function () { if (!down && document.activeElement !== svg) { c.cursor = null; c.read(); } });
    svg.addEventListener("dblclick", function () { c.show(c.data.start, c.data.end); });
    svg.addEventListener("keydown", function (ev) {
      var step = c.step() * (ev.shiftKey ? 10 : 1), len = c.to - c.from, mid = c.cursor === null ? (c.from + c.to) / 2 : c.cursor;
      if (ev.ctrlKey || ev.metaKey || ev.altKey) return;
      switch (ev.key) {
        case "ArrowLeft": case "ArrowRight":
          if (c.cursor === null) c.cursor = Math.floor(mid / c.step()) * c.step();
          else c.cursor = clamp(c.cursor + (ev.key === "ArrowLeft" ? -step : step), c.data.start, c.data.end - c.step());
          if (c.cursor < c.from) c.show(c.cursor, c.cursor + len);
          else if (c.cursor > c.to) c.show(c.cursor - len, c.cursor);
          else c.read();
          c.words.textContent = c.said;
          break;
        case "+": case "=": c.show(mid - (mid - c.from) / 2, mid + (c.to - mid) / 2); break;
        case "-": case "_": c.show(mid - (mid - c.from) * 2, mid + (c.to - mid) * 2); break;
        case "Home": case "Escape": c.show(c.data.start, c.data.end); break;
        default: return;
      }
      ev.preventDefault();
    });
  };

  function openTo(id) { // a link to something folded opens it
    var e = id && document.getElementById(id);
    for (var p = e; p; p = p.parentElement) if (p.tagName === "DETAILS") p.open = true;
    if (e) e.scrollIntoView();
  }
  addEventListener("hashchange", function () { openTo(location.hash.slice(1)); });
  document.addEventListener("DOMContentLoaded", function () {
    var all = document.querySelectorAll("details.fold"), button = document.getElementById("open-all");
    if (button && all.length) {
      button.hidden = false;
      button.addEventListener("click", function () {
        var open = button.dataset.open !== "yes";
        all.forEach(function (d) { d.open = open; });
        button.dataset.open = open ? "yes" : "";
        button.textContent = open ? "Fold again" : "Open every fold (to print all)";
      });
    }
    document.querySelectorAll("figure.timeline").forEach(function (f, i) {
      try { new Chart(f, i); } catch (e) { f.classList.remove("drawn"); if (window.console) console.error(e); }
    });
    if (location.hash) openTo(location.hash.slice(1));
  });
})();
