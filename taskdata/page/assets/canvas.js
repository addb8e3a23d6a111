// @ts-check
/** The canvas that the map is drawn on: fills with patterns, so that no kind of ground is told by its colour alone. */

/** @type {any} */
const library = /** @type {any} */ (globalThis).L;

const PATTERNS = {
  slash: "M-2 8L8 -2M4 14L14 4",
  backslash: "M-2 4L8 14M4 -2L14 8",
  cross: "M-2 8L8 -2M4 14L14 4M-2 4L8 14M4 -2L14 8",
  dots: "M2 3h2M8 9h2",
  wave: "M0 4q3 -3 6 0t6 0M0 10q3 -3 6 0t6 0",
};

/** @type {Map<string, CanvasPattern | string>} */
const made = new Map();

/**
 * Return what a style is filled with.
 * @param {CanvasRenderingContext2D} context
 * @param {{fill: string, stroke: string, pattern: string}} style
 * @returns {CanvasPattern | string}
 */
export function fillOf(context, style) {
  const key = `${style.fill} ${style.stroke} ${style.pattern}`;
  const known = made.get(key);
  if (known) return known;
  const tile = document.createElement("canvas");
  tile.width = 12;
  tile.height = 12;
  const ink = tile.getContext("2d");
  if (!ink) return style.fill;
  ink.fillStyle = style.fill;
  ink.fillRect(0, 0, 12, 12);
  ink.strokeStyle = style.stroke;
  ink.lineWidth = style.pattern === "dots" ? 2 : 1;
  ink.stroke(new Path2D(PATTERNS[/** @type {keyof PATTERNS} */ (style.pattern)]));
  const found = context.createPattern(tile, "repeat") || style.fill;
  made.set(key, found);
  return found;
}

/**
 * Lay out the mark of a point or finding: each has a form of its own beside its colour.
 * @param {CanvasRenderingContext2D} context
 * @param {string} name of its style
 * @param {number} x
 * @param {number} y
 * @param {number} [size] as a share of that on the map
 */
export function markPath(context, name, x, y, size = 1) {
  context.beginPath();
  if (name === "error") {
    context.moveTo(x, y - 8 * size);
    context.lineTo(x + 8 * size, y + 6 * size);
    context.lineTo(x - 8 * size, y + 6 * size);
    context.closePath();
  } else if (name === "warning") {
    context.rect(x - 6 * size, y - 6 * size, 12 * size, 12 * size);
  } else if (name === "change") {
    context.moveTo(x, y - 8 * size);
    context.lineTo(x + 8 * size, y);
    context.lineTo(x, y + 8 * size);
    context.lineTo(x - 8 * size, y);
    context.closePath();
  } else {
    context.arc(x, y, (name === "note" ? 6 : 4.5) * size, 0, 2 * Math.PI);
  }
}

/** A canvas renderer that fills with the pattern of a style, and draws points as the marks of the palette. */
export const PatternCanvas = library.Canvas.extend({
  /**
   * @param {CanvasRenderingContext2D} context
   * @param {any} layer
   */
  _fillStroke(context, layer) {
    const style = layer.options.style;
    if (!style || !style.pattern) {
      library.Canvas.prototype._fillStroke.call(this, context, layer);
      return;
    }
    context.globalAlpha = style.opacity;
    context.fillStyle = fillOf(context, style);
    context.fill("evenodd");
    layer.options.fill = false;
    library.Canvas.prototype._fillStroke.call(this, context, layer);
    layer.options.fill = true;
  },

  /** @param {any} layer */
  _updateCircle(layer) {
    if (!this._drawing || layer._empty()) return;
    const context = this._ctx;
    const at = layer._point;
    markPath(context, layer.options.mark, at.x, at.y);
    this._fillStroke(context, layer);
  },
});
