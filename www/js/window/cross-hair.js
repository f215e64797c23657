// @ts-check
// Reading the window: a cross-hair under the pointer, the limits that are met and not met there and the nearest line. The
// line under the pointer is emphasised. A finger that rests on the figure reads, too; one that moves at once scrolls.

import { fraction_of } from "app/shared/core";
import { byId, el, put, putHidden } from "app/shared/dom";
import { keep, recall } from "app/shared/keep";
import { limitWords } from "app/shared/limits";
import { quantity } from "app/shared/numbers";
import { units } from "app/shared/units";
import { lit } from "app/window/lit";
import { axisOf } from "app/window/plane";
import { limitUnder } from "app/window/press";
import { model } from "app/window/settings/model";

// Time in ms after which a finger that rests reads, and how far it may stray until then, CSS pixels.
const [HOLD, STRAY] = [350, 8];
// Room between the card and what it tells of, as a share of the plot.
const ROOM = 0.03;
const HINTED = "gatefrost.hinted";
const storage = () => localStorage;

/**
 * What the cross-hair needs of the figure.
 * @typedef {object} Target
 * @property {import("app/shared/picture").Picture} picture
 * @property {import("app/shared/core").Sheet} sheet
 * @property {(event: MouseEvent | Touch) => boolean} onMark whether a mouse takes hold of the set point there
 * @property {(event: MouseEvent | Touch) => boolean} inGrip the same for a finger
 * @property {() => string} setPoint the set point in words
 */

/** @param {Target} target */
export const buildCrossHair = (target) => new CrossHair(target);

class CrossHair {
  #target;
  #canvas;
  #across = el("span", { className: "hair level", hidden: true });
  #up = el("span", { className: "hair", hidden: true });
  #card = el("div", { className: "card", hidden: true });
  #words = byId("window-reading");
  #hinting = recall(storage, HINTED) === null;
  // A finger that may come to rest, or reads.
  /** @type {{ timer: ReturnType<typeof setTimeout>, x: number, y: number, reads: boolean } | null} */
  #finger = null;

  /** @param {Target} target */
  constructor(target) {
    const { canvas } = target.picture;
    this.#target = target;
    this.#canvas = canvas;
    canvas.after(this.#across, this.#up, this.#card);
    canvas.addEventListener("pointermove", (event) => event.pointerType !== "touch" && this.#hover(event));
    canvas.addEventListener("pointerleave", (event) => event.pointerType !== "touch" && this.#clear());
    canvas.addEventListener("pointerdown", () => this.#clear());
    this.#watchFinger();
    const say = () => this.#sayPlace("");
    model.addEventListener("changed", () => {
      this.#hinting = false;
      say();
    });
    units.addEventListener("changed", say);
    if (this.#hinting) keep(storage, HINTED, "yes");
    say();
  }

  /** @param {PointerEvent} event */
  #hover(event) {
    const { picture, sheet, onMark } = this.#target;
    const free = event.buttons === 0 && !this.#canvas.classList.contains("dragging");
    if (!free) {
      this.#clear();
      this.#sayPlace(picture.readOut(event));
      return;
    }
    const limit = onMark(event) ? null : limitUnder(picture, sheet, event);
    this.#canvas.classList.toggle("on-line", limit !== null);
    lit.point(limit);
    this.#read(event);
  }

  /** @param {MouseEvent | Touch} event */
  #read(event) {
    const { picture, sheet } = this.#target;
    const place = picture.place(event);
    const inside = place?.fractions.every((f) => f >= 0 && f <= 1);
    if (!place || !inside) {
      this.#clear();
      return;
    }
    const { rect } = place.panel;
    const [across, up] = place.fractions;
    const found = sheet.reading(rect.right - rect.left, rect.bottom - rect.top, across, up);
    this.#sayPlace(picture.readOut(event));
    if (!found) return;
    this.#card.replaceChildren(...told(found));
    for (const part of [this.#across, this.#up, this.#card]) putHidden(part, false);
    const near = found.nearest && fractionsOf(found.nearest[1]);
    this.#put(rect, [across, up], near ? [near] : []);
  }

  /**
   * @param {Gatefrost.Rect} rect
   * @param {[number, number]} place fractions of the plot
   * @param {[number, number][]} told other places that the card tells of
   */
  #put(rect, [across, up], told) {
    const { offsetLeft, offsetTop, clientLeft, clientTop, clientWidth, width } = this.#canvas;
    const scale = clientWidth / width;
    const x = (/** @type {number} */ pixel) => `${offsetLeft + clientLeft + pixel * scale}px`;
    const y = (/** @type {number} */ pixel) => `${offsetTop + clientTop + pixel * scale}px`;
    const [wide, high] = [rect.right - rect.left, rect.bottom - rect.top];
    Object.assign(this.#up.style, { left: x(rect.left + across * wide), top: y(rect.top), height: `${high * scale}px` });
    Object.assign(this.#across.style, { left: x(rect.left), top: y(rect.bottom - up * high), width: `${wide * scale}px` });
    this.#card.style.maxWidth = `${0.6 * wide * scale}px`;
    const [left, lower] = this.#corner([across, up], told, [this.#card.offsetWidth / (wide * scale), this.#card.offsetHeight / (high * scale)]);
    this.#card.style.left = x(left ? rect.left : rect.right);
    this.#card.style.top = y(lower ? rect.bottom : rect.top);
    this.#card.dataset.corner = `${lower ? "lower" : "upper"} ${left ? "left" : "right"}`;
  }

  // The corner of the plot for the card, [left, lower]: the one furthest from the pointer, unless the card would cover there
  // what it tells of.
  /**
   * @param {[number, number]} place
   * @param {[number, number][]} told
   * @param {[number, number]} size of the card, as shares of the plot
   */
  #corner([across, up], told, [wide, high]) {
    const [left, lower] = [across > 0.5, up > 0.5];
    const free = [[left, lower], [left, !lower], [!left, lower], [!left, !lower]].map(([l, low]) => {
      const covers = (/** @type {[number, number]} */ [x, y]) => (l ? x < wide + ROOM : x > 1 - wide - ROOM) && (low ? y < high + ROOM : y > 1 - high - ROOM);
      return { corner: [l, low], hit: (covers([across, up]) ? 2 : 0) + told.filter(covers).length };
    });
    return free.toSorted((a, b) => a.hit - b.hit)[0].corner;
  }

  #clear() {
    for (const part of [this.#across, this.#up, this.#card]) putHidden(part, true);
    if (this.#canvas.classList.contains("on-line")) this.#canvas.classList.remove("on-line");
    lit.point(null);
    this.#sayPlace("");
  }

  /** @param {string} place */
  #sayPlace(place) {
    put(this.#words, place || (this.#hinting ? hint() : this.#target.setPoint()));
  }

  #watchFinger() {
    const canvas = this.#canvas;
    canvas.addEventListener("touchstart", (event) => this.#rest(event), { passive: true });
    canvas.addEventListener(
      "touchmove",
      (event) => {
        const [touch] = event.touches;
        if (this.#finger?.reads) {
          event.preventDefault();
          this.#readBy(touch);
        } else if (this.#finger && Math.hypot(touch.clientX - this.#finger.x, touch.clientY - this.#finger.y) > STRAY) {
          this.#lift();
        }
      },
      { passive: false },
    );
    canvas.addEventListener("touchend", (event) => {
      // What was read stays until the next press. It is no tap.
      if (this.#finger?.reads) event.preventDefault();
      this.#lift();
    });
    canvas.addEventListener("touchcancel", () => this.#lift());
    canvas.addEventListener("contextmenu", (event) => this.#finger && event.preventDefault());
  }

  /** @param {TouchEvent} event */
  #rest(event) {
    this.#lift();
    const [touch] = event.touches;
    if (event.touches.length !== 1 || this.#target.inGrip(touch)) return;
    const timer = setTimeout(() => {
      if (this.#finger) this.#finger.reads = true;
      this.#readBy(touch);
    }, HOLD);
    this.#finger = { timer, x: touch.clientX, y: touch.clientY, reads: false };
  }

  /** @param {Touch} touch */
  #readBy(touch) {
    lit.point(limitUnder(this.#target.picture, this.#target.sheet, touch));
    this.#read(touch);
  }

  #lift() {
    clearTimeout(this.#finger?.timer);
    this.#finger = null;
  }
}

const hint = () =>
  matchMedia("(pointer: coarse)").matches
    ? "Drag the ring to move the set point. Rest a finger on the figure to read a place."
    : "Drag the ring to move the set point. Point at a place to read it.";

/** @param {Gatefrost.Reading} reading */
function told({ met, not_met: missed, nearest }) {
  const names = (/** @type {Gatefrost.Limit[]} */ limits) => limits.map((limit) => limitWords[limit].label).join(", ");
  const line = (/** @type {string} */ head, /** @type {string} */ words) => el("p", {}, el("b", {}, head), words);
  return [
    missed.length > 0 ? line("Not met here: ", names(missed)) : line("Every limit is met here.", ""),
    missed.length > 0 && met.length > 0 && line("Met: ", names(met)),
    nearest && line("Nearest line: ", `${names([nearest[0]])}, at ${where(nearest[1])}`),
  ].filter((part) => part instanceof HTMLElement);
}

/** @param {[number, number]} place */
function fractionsOf(place) {
  const { x, y } = model.scenario.window;
  return /** @type {[number, number]} */ ([x, y].map((span, i) => fraction_of(JSON.stringify(span), place[i])));
}

/** @param {[number, number]} place */
function where(place) {
  const { x, y } = model.scenario.window;
  return [x, y].map(({ axis }, i) => quantity(place[i], axisOf(axis).unit, 3)).join(" and ");
}
