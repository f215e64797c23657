// @ts-check
// The window with the mark of the set point. While only the mark moves, the lines, their hatching and their names stay as
// they were drawn once, and the mark is drawn over them. When it rests, the names make room for it again.

import { onceAFrame, whenQuiet } from "app/shared/dom";
import { Picture } from "app/shared/picture";

// Time without a movement after which the whole picture is drawn anew, and time without a change after which the ground
// for the next movement is drawn, in ms.
const [REST, READY] = [150, 400];
/** @type {Partial<Gatefrost.Options>} */
const UNMARKED = { set_point: [null, null] };

export class MarkedPicture extends Picture {
  // The picture without the mark, what it was drawn with, and where its plot lies.
  #ground = document.createElement("canvas");
  #drawnWith = "";
  /** @type {Gatefrost.Layout | null} */
  #layout = null;
  #options;
  #held = false;
  #move = onceAFrame(() => this.#paintMark());
  #settle = whenQuiet(REST, () => this.#held || super.refresh());
  #prepare = whenQuiet(READY, () => this.seen && this.#readyGround());

  /**
   * @param {HTMLCanvasElement} canvas
   * @param {import("app/shared/picture").Drawn} sheet
   * @param {() => Partial<Gatefrost.Options>} options
   */
  constructor(canvas, sheet, options) {
    super(canvas, sheet, "window", { options });
    this.#options = options;
  }

  refresh() {
    this.#layout = null;
    super.refresh();
    this.#prepare();
  }

  /**
   * The set point has moved. What else has changed is drawn anew by `refresh`.
   * @param {boolean} held whether a pointer holds it
   */
  move(held) {
    this.#held = held;
    if (this.seen) this.#move();
    this.#settle();
  }

  #readyGround() {
    const others = JSON.stringify({ ...this.#options(), ...UNMARKED });
    if (this.#layout && this.#drawnWith === others) return;
    this.#layout = this.drawn(this.#ground, UNMARKED);
    this.#drawnWith = others;
  }

  #paintMark() {
    const { canvas } = this;
    this.#readyGround();
    const context = canvas.getContext("2d");
    if (!this.#layout || !context || canvas.width !== this.#ground.width || canvas.height !== this.#ground.height) return;
    const { left, top, right, bottom } = this.#layout.plot.rect;
    // It covers all that was there, so that the browser need not keep it.
    context.globalCompositeOperation = "copy";
    context.drawImage(this.#ground, 0, 0);
    context.globalCompositeOperation = "source-over";
    this.over(canvas, { mark_from: [left, top], mark_to: [right, bottom] });
    this.layout = this.#layout;
  }
}
