// What makes the charts of a page answer to a pointer. The pictures stay: they are what is printed, read aloud and shown without
// script; a chart drawn on a canvas stands in a picture's place on a screen. Options are data, never code, and tooltips are letters
// on the canvas, never markup.
import { init, use } from "echarts/core";
import { BarChart, HeatmapChart, LineChart, ScatterChart } from "echarts/charts";
import { GraphicComponent, GridComponent, TooltipComponent, VisualMapComponent } from "echarts/components";
import { CanvasRenderer } from "echarts/renderers";

use([BarChart, HeatmapChart, LineChart, ScatterChart, GraphicComponent, GridComponent, TooltipComponent, VisualMapComponent, CanvasRenderer]);

const least = 12; // px: a shorter drag is a click

class Live {
  constructor(picture, data) {
    this.data = data;
    const { option } = data;
    for (const series of option.series) Object.assign(series, { silent: true, tooltip: { show: false } });
    option.series = option.series.concat(option.hover);
    this.plot = {
      left: parseFloat(option.grid[0] ? option.grid[0].left : option.grid.left),
      right: data.width - parseFloat(option.grid[0] ? option.grid[0].right : option.grid.right),
      bottom: data.height - parseFloat(option.grid[0] ? option.grid[0].bottom : option.grid.bottom),
    };
    this.box = document.createElement("div");
    this.box.className = "live";
    this.box.setAttribute("aria-hidden", "true");
    this.sheet = this.box.appendChild(document.createElement("div"));
    this.pick = this.box.appendChild(document.createElement("div"));
    this.pick.className = "pick";
    picture.classList.add("still");
    picture.after(this.box);
    this.chart = init(this.sheet, null, { width: data.width, height: data.height, devicePixelRatio: Math.max(2, window.devicePixelRatio) });
    this.whole();
    this.fit();
    this.chart.getZr().on("mousedown", (e) => this.begin(e.offsetX));
    this.chart.getZr().on("mousemove", (e) => this.drag(e.offsetX));
    this.chart.getZr().on("mouseup", (e) => this.end(e.offsetX));
    this.chart.getZr().on("dblclick", () => this.whole());
  }

  // fit gives the canvas the room of the picture.
  fit() {
    this.scale = this.box.clientWidth / this.data.width;
    this.box.style.height = `${this.data.height * this.scale}px`;
    this.sheet.style.transform = `scale(${this.scale})`;
  }

  whole() {
    this.chart.setOption(this.data.option, { notMerge: true });
  }

  begin(x) {
    this.from = x >= this.plot.left && x <= this.plot.right ? x : undefined;
  }

  drag(x) {
    if (this.from === undefined) return;
    const [left, right] = this.span(x);
    Object.assign(this.pick.style, { display: "block", left: `${left * this.scale}px`, width: `${(right - left) * this.scale}px` });
  }

  end(x) {
    if (this.from === undefined) return;
    const [left, right] = this.span(x);
    this.from = undefined;
    this.pick.style.display = "none";
    if (right - left >= least) this.zoom(...[left, right].map((at) => this.chart.convertFromPixel({ xAxisIndex: 0 }, at)));
  }

  span(x) {
    const at = Math.min(Math.max(x, this.plot.left), this.plot.right);
    return [Math.min(at, this.from), Math.max(at, this.from)];
  }

  // zoom shows a part of the x axis: what was written for the whole goes, and the part gets labels of its own.
  zoom(low, high) {
    const { option, names } = this.data;
    const still = this.data.still.map((i) => option.graphic[i]);
    const axis = { ...option.xAxis[0], min: low, max: high };
    if (!names) {
      Object.assign(axis, { show: true, axisLine: { show: false }, axisTick: { show: false }, axisLabel: { fontSize: 11, color: "#4a5662", hideOverlap: true } });
    }
    this.chart.setOption({ ...option, xAxis: [axis], graphic: still }, { notMerge: true });
    if (names) this.chart.setOption({ graphic: still.concat(this.labels(low, high)) });
  }

  labels(low, high) {
    const shown = [];
    let free = -Infinity;
    for (let i = Math.max(0, Math.ceil(low)); i <= Math.min(this.data.names.length - 1, Math.floor(high)); i++) {
      const x = this.chart.convertToPixel({ xAxisIndex: 0 }, i);
      const half = this.data.names[i].length * 3.2;
      if (x - half < free) continue;
      free = x + half + 6;
      shown.push({ type: "text", x, y: this.plot.bottom + 13, z: 5, silent: true,
        style: { text: this.data.names[i], fill: "#4a5662", align: "center", verticalAlign: "middle", font: "11px Arial, 'Liberation Sans', sans-serif" } });
    }
    return shown;
  }
}

// A chart is drawn when it comes near the window: a report has a hundred.
function start() {
  const data = JSON.parse(document.getElementById("charts-data").textContent);
  const lively = new Map();
  const near = new IntersectionObserver((seen) => {
    for (const { isIntersecting, target } of seen) {
      if (!isIntersecting || lively.has(target)) continue;
      near.unobserve(target);
      lively.set(target, new Live(target, data[target.querySelector("title").id.replace(/-title$/, "")]));
    }
  }, { rootMargin: "400px" });
  for (const id of Object.keys(data)) {
    const title = document.getElementById(`${id}-title`);
    if (title) near.observe(title.closest("svg"));
  }
  window.addEventListener("resize", () => lively.forEach((chart) => chart.fit()));
}

start();
