// The one chart that can be looked at closely: any quantity second by second, zoomed, at the second of the one cursor.
// uPlot draws it, in the kit's colours and type; it is made when it is unfolded first.

import uPlot from "uplot";
import "uplot/dist/uPlot.min.css";

import { type Cursor, nearestTime } from "./cursor";
import { all, maybe, one } from "./dom";

const HEIGHT_PX = 260;
const CLOSEST_S = 10;

export function startCharts(cursor: Cursor): void {
  const fold = maybe("#fold-charts", HTMLDetailsElement);
  if (fold === null || cursor.flight.quantities.length === 0) return;
  let chart: Chart | null = null;
  fold.addEventListener("toggle", () => {
    if (fold.open) chart ??= new Chart(cursor);
  });
}

class Chart {
  private readonly place = one("#chart", HTMLElement);
  private readonly choice = one("#chart-quantity", HTMLSelectElement);
  private readonly seconds: number[];
  private plot: uPlot;

  constructor(private readonly cursor: Cursor) {
    const { flight, store } = cursor;
    this.seconds = flight.time_s.map((time) => time - flight.zero_s);
    this.choice.replaceChildren(...flight.quantities.map((each, index) => new Option(each.title, String(index))));
    this.plot = this.draw();
    this.choice.addEventListener("change", () => this.again());
    for (const button of all("#charts [data-zoom]", HTMLButtonElement)) {
      button.addEventListener("click", () => this.zoom(button.dataset["zoom"] ?? "all"));
    }
    store.listen(() => this.plot.redraw(false));
    new ResizeObserver(() => this.plot.setSize({ width: this.place.clientWidth, height: HEIGHT_PX })).observe(this.place);
    // colours are read when it is drawn, so another theme only needs another drawing
    new MutationObserver(() => this.plot.redraw()).observe(document.documentElement, { attributeFilter: ["data-theme"] });
    window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.plot.redraw());
  }

  private again(): void {
    const { min, max } = this.plot.scales["x"] ?? {};
    this.plot.destroy();
    this.plot = this.draw();
    if (typeof min === "number" && typeof max === "number") this.plot.setScale("x", { min, max });
  }

  private draw(): uPlot {
    const quantity = this.cursor.flight.quantities[Number(this.choice.value)];
    if (quantity === undefined) throw new Error("the chart has no such quantity");
    const nothing = this.seconds.map(() => null);
    const options: uPlot.Options = {
      width: Math.max(this.place.clientWidth, 200),
      height: HEIGHT_PX,
      legend: { show: false },
      scales: { x: { time: false } },
      cursor: { y: false, x: false, points: { show: false }, drag: { x: true, y: false, setScale: true } },
      axes: [axis(40, " s"), axis(56, "")],
      series: [
        {},
        { stroke: colour("--ink"), width: 2.25, points: { show: false } },
        { stroke: colour("--soft"), width: 0.75, dash: [1.5, 3], points: { show: false } },
        { stroke: colour("--soft"), width: 0.75, dash: [1.5, 3], points: { show: false } },
      ],
      hooks: { drawAxes: [zero], draw: [(plot) => this.mark(plot, quantity.values)] },
    };
    const data = [this.seconds, quantity.values, quantity.low ?? nothing, quantity.high ?? nothing];
    const plot = new uPlot(options, data as uPlot.AlignedData, this.place);
    // a click is a second; a drag is a closer look
    plot.over.addEventListener("click", (event) => {
      const seconds = plot.posToVal(event.offsetX, "x") + this.cursor.flight.zero_s;
      this.cursor.store.moveTo(nearestTime(this.cursor.flight, seconds));
    });
    return plot;
  }

  /** Closer about the cursor's second, wider, or the whole flight. */
  private zoom(how: string): void {
    const first = this.seconds[0] ?? 0;
    const last = this.seconds.at(-1) ?? 1;
    const min = this.plot.scales["x"]?.min ?? first;
    const max = this.plot.scales["x"]?.max ?? last;
    const middle = this.seconds[this.cursor.store.index] ?? (min + max) / 2;
    const half = how === "all" ? last - first : Math.max((max - min) * (how === "in" ? 0.25 : 1), CLOSEST_S / 2);
    this.plot.setScale("x", { min: Math.max(middle - half, first), max: Math.min(middle + half, last) });
  }

  /** The one cursor: a dotted drop line with a bead. */
  private mark(plot: uPlot, values: readonly (number | null)[]): void {
    const index = this.cursor.store.index;
    const x = plot.valToPos(this.seconds[index] ?? 0, "x", true);
    const { left, top, width, height } = plot.bbox;
    if (x < left || x > left + width) return;
    const pen = plot.ctx;
    const px = window.devicePixelRatio;
    pen.save();
    pen.strokeStyle = pen.fillStyle = token("--ink");
    pen.lineWidth = px;
    pen.setLineDash([1.5 * px, 3 * px]);
    pen.beginPath();
    pen.moveTo(x, top);
    pen.lineTo(x, top + height);
    pen.stroke();
    const value = values[index];
    if (typeof value === "number") {
      pen.beginPath();
      pen.arc(x, plot.valToPos(value, "y", true), 4.5 * px, 0, 2 * Math.PI);
      pen.fill();
    }
    pen.restore();
  }
}

function token(name: string): string {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

function colour(name: string): () => string {
  return () => token(name);
}

function axis(size: number, unit: string): uPlot.Axis {
  return {
    stroke: colour("--soft"),
    font: "12px Overpass, sans-serif",
    size,
    grid: { show: unit === "", stroke: colour("--grid"), width: 1 },
    ticks: { show: false },
    values: (_, ticks) => ticks.map((tick) => written(tick) + unit),
  };
}

/** Figures as everywhere on the sheet: thousands comma, true minus. */
function written(value: number): string {
  return value.toLocaleString("en-US", { maximumFractionDigits: 1 }).replace("-", "−");
}

/** Zero in ink, where the chart holds it. */
function zero(plot: uPlot): void {
  const { min, max } = plot.scales["y"] ?? {};
  if (typeof min !== "number" || typeof max !== "number" || min > 0 || max < 0) return;
  const y = plot.valToPos(0, "y", true);
  const pen = plot.ctx;
  pen.save();
  pen.strokeStyle = token("--ink");
  pen.lineWidth = 1.5 * window.devicePixelRatio;
  pen.beginPath();
  pen.moveTo(plot.bbox.left, y);
  pen.lineTo(plot.bbox.left + plot.bbox.width, y);
  pen.stroke();
  pen.restore();
}
