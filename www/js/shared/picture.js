// @ts-check
// One canvas with one figure on it: sharp on any screen, redrawn when its size or the theme changes.

import { onceAFrame } from "app/shared/dom";
import { quantity } from "app/shared/numbers";
import { units, unitsInUse } from "app/shared/units";

const theme = matchMedia("(prefers-color-scheme: dark)");
let printing = false;
/** @type {Set<Picture>} */
const pictures = new Set();

export const style = (scale = 1) => ({ dark: theme.matches, print: printing, units: unitsInUse(), scale });

// Ratio of the page's font size to the usual one. Figures scale with it.
const enlarged = () => parseFloat(getComputedStyle(document.documentElement).fontSize) / 16 || 1;

/** @typedef {{ draw(canvas: HTMLCanvasElement, figure: string, options: Partial<Gatefrost.Options>): Gatefrost.Layout }} Drawn */

export class Picture {
  /** @type {Drawn} */
  #sheet;
  /** @type {string} */
  #figure;
  #options;
  #painted;
  #seen = false;
  #stale = true;
  // Device pixels to a CSS pixel of a page with letters of the usual size.
  #scale = 1;
  /** @type {DOMRect | null} */
  #box = null;
  /** @type {Gatefrost.Layout | null} */
  layout = null;

  // `options()` returns what the figure needs besides the report. `painted()` is called after each drawing.
  /**
   * @param {HTMLCanvasElement} canvas
   * @param {Drawn} sheet
   * @param {string} figure
   * @param {{ options?: () => Partial<Gatefrost.Options>, painted?: () => void }} [more]
   */
  constructor(canvas, sheet, figure, { options = () => ({}), painted = () => {} } = {}) {
    this.canvas = canvas;
    this.#sheet = sheet;
    this.#figure = figure;
    this.#options = options;
    this.#painted = painted;
    this.redraw = onceAFrame(() => this.#paintIfSeen());
    new ResizeObserver(() => this.refresh()).observe(canvas);
    // A figure out of view is drawn when it is scrolled into view.
    new IntersectionObserver(
      ([entry]) => {
        this.#seen = entry.isIntersecting;
        if (this.#seen && this.#stale) this.redraw();
      },
      { rootMargin: "200px" },
    ).observe(canvas);
    pictures.add(this);
  }

  refresh() {
    this.#stale = true;
    this.redraw();
  }

  #paintIfSeen() {
    if (this.#stale && (this.#seen || printing)) this.paint();
  }

  // Draws all of it.
  paint() {
    const painted = this.drawn(this.canvas);
    if (!painted) return;
    this.layout = painted;
    this.#stale = false;
    this.#painted();
  }

  // Draws it on a canvas and returns where its plots lie; null where there is nothing to draw, or no room. `more` is over
  // the options.
  /**
   * @param {HTMLCanvasElement} canvas
   * @param {Partial<Gatefrost.Options>} [more]
   */
  drawn(canvas, more) {
    const [width, height] = this.#size();
    if (width === 0 || height === 0) return null;
    // Setting a size clears the canvas, even to the same size.
    if (canvas.width !== width) canvas.width = width;
    if (canvas.height !== height) canvas.height = height;
    return this.over(canvas, more);
  }

  // Draws it over what a canvas shows.
  /**
   * @param {HTMLCanvasElement} canvas
   * @param {Partial<Gatefrost.Options>} [more]
   */
  over(canvas, more) {
    try {
      return this.#sheet.draw(canvas, this.#figure, { ...style(this.#scale), ...this.#options(), ...more });
    } catch (error) {
      if (error instanceof WebAssembly.RuntimeError) throw error;
      // Nothing to draw yet, or nothing that can be drawn at this size.
      return null;
    }
  }

  // In device pixels. The size in the style is rounded, the size of the box is not.
  #size() {
    const { canvas } = this;
    this.#scale = (devicePixelRatio || 1) * enlarged();
    const box = canvas.getBoundingClientRect();
    const frame = canvas.offsetWidth - canvas.clientWidth;
    return [box.width - frame, box.height - frame].map((side) => Math.max(0, Math.round(side * (devicePixelRatio || 1))));
  }

  get seen() {
    return this.#seen;
  }

  // Where the canvas lies. It is measured once a frame: measuring after a change makes the browser lay out the page.
  #place() {
    if (!this.#box) {
      this.#box = this.canvas.getBoundingClientRect();
      requestAnimationFrame(() => (this.#box = null));
    }
    return this.#box;
  }

  // Where a pointer is, in canvas pixels.
  /**
   * @param {MouseEvent | Touch} event
   * @returns {[number, number]}
   */
  pixel(event) {
    const box = this.#place();
    const scale = this.canvas.width / box.width;
    return [(event.clientX - box.left) * scale, (event.clientY - box.top) * scale];
  }

  // The plot under the pointer, with the fractions along its sides. Outside of the plot they are below 0 or above 1.
  /** @param {MouseEvent | Touch} event */
  place(event) {
    if (!this.layout) return null;
    const [x, y] = this.pixel(event);
    const panels = [this.layout.plot, ...this.layout.others];
    const panel = panels.find(({ rect }) => y >= rect.top && y <= rect.bottom) ?? panels[0];
    const { left, right, top, bottom } = panel.rect;
    return { panel, fractions: [(x - left) / (right - left), (bottom - y) / (bottom - top)] };
  }

  // Distance of a pointer from a place in the first plot, in CSS pixels.
  /**
   * @param {MouseEvent | Touch} event
   * @param {number[]} fractions
   */
  distance(event, fractions) {
    if (!this.layout) return Infinity;
    const [x, y] = this.pixel(event);
    const { left, right, top, bottom } = this.layout.plot.rect;
    const dx = x - (left + fractions[0] * (right - left));
    const dy = y - (bottom - fractions[1] * (bottom - top));
    return (Math.hypot(dx, dy) * this.#place().width) / this.canvas.width;
  }

  // Both coordinates under a pointer, in words.
  /** @param {MouseEvent | Touch} event */
  readOut(event) {
    const place = this.place(event);
    if (!place || place.fractions.some((f) => f < 0 || f > 1)) return "";
    const sides = [place.panel.x, place.panel.y];
    return sides.flatMap((axis, i) => (axis.title ? [reading(axis, place.fractions[i])] : [])).join("  ·  ");
  }
}

/**
 * @param {Gatefrost.AxisSpan} axis
 * @param {number} fraction
 */
function reading(axis, fraction) {
  const value = axis.log ? axis.from * (axis.to / axis.from) ** fraction : axis.from + (axis.to - axis.from) * fraction;
  return `${axis.title} ${quantity(value, axis.unit, 3)}`;
}

function all() {
  for (const picture of pictures) picture.refresh();
}

/** @param {boolean} flag */
function print(flag) {
  printing = flag;
  for (const picture of pictures) {
    picture.refresh();
    if (flag) picture.paint();
  }
}

theme.addEventListener("change", all);
units.addEventListener("changed", all);
// A window dragged to another screen changes its pixel ratio without changing its size.
function watchRatio() {
  const query = matchMedia(`(resolution: ${devicePixelRatio}dppx)`);
  query.addEventListener("change", () => {
    all();
    watchRatio();
  }, { once: true });
}
watchRatio();
addEventListener("beforeprint", () => print(true));
addEventListener("afterprint", () => print(false));
