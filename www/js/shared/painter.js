// @ts-check
// Draws on a canvas what the core has laid out. `Ink` in the core says what its numbers mean.

const [LINE, AREA, DISC, RING] = [0, 1, 2, 3];
const TURN = 2 * Math.PI;
/** @type {CanvasTextAlign[]} */
const SIDES = ["left", "center", "right"];

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Gatefrost.Ink} ink
 */
export function paint(context, { shapes, texts }) {
  const numbers = new Float32Array(shapes.buffer, shapes.byteOffset, shapes.byteLength / 4);
  const [family, ...words] = texts.split("\n");
  let at = 0;
  const next = () => numbers[at++];
  const trace = () => {
    const count = next();
    context.moveTo(next(), next());
    for (let i = 1; i < count; i += 1) context.lineTo(next(), next());
  };
  const round = (/** @type {number} */ radius) => {
    context.beginPath();
    context.arc(next(), next(), radius, 0, TURN);
  };
  // Lines of one ink that follow each other are drawn in one stroke.
  let drawing = "";
  const finish = () => {
    if (drawing) context.stroke();
    drawing = "";
  };
  context.textBaseline = "middle";
  while (at < numbers.length) {
    const [kind, color, measure] = [next(), inWords(next()), next()];
    if (kind !== LINE || drawing !== `${color} ${measure}`) finish();
    if (kind === LINE) {
      if (!drawing) begin(context, color, measure);
      drawing = `${color} ${measure}`;
      trace();
    } else if (kind === RING) {
      round(measure);
      context.strokeStyle = color;
      context.lineWidth = next();
      context.stroke();
    } else {
      context.fillStyle = color;
      if (kind === AREA || kind === DISC) {
        if (kind === DISC) round(measure);
        else {
          context.beginPath();
          trace();
        }
        context.fill();
      } else {
        const [x, y, side, bold] = [next(), next(), next(), next()];
        context.textAlign = SIDES[side];
        context.font = `${bold ? "bold " : ""}${measure}px ${family}`;
        context.fillText(words.shift() ?? "", x, y);
      }
    }
  }
  finish();
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {string} color
 * @param {number} width
 */
function begin(context, color, width) {
  context.beginPath();
  context.strokeStyle = color;
  context.lineWidth = width;
}

const inWords = (/** @type {number} */ color) => `#${color.toString(16).padStart(6, "0")}`;
