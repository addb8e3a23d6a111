// @ts-check
/** Degrees, metres and shapes: decoding, distances and areas on WGS 84, and what lies under a pointer. */

import { visible } from "./visible.js";

const STEPS = 1e7;
const SEMI_MAJOR = 6378137;
const ECCENTRICITY_2 = 0.00669437999014;

const ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
const VALUES = new Uint8Array(128);
for (let at = 0; at < ALPHABET.length; at += 1) VALUES[ALPHABET.charCodeAt(at)] = at;

/**
 * @typedef {{form: string, style: string, title: string, parts: string[][], facts?: [number, string][],
 *   label?: string, place?: string, arrow?: boolean, mark?: string}} StoredShape
 * @typedef {{form: string, style: string, title: string, parts: [number, number][][][], facts: [string, string][],
 *   label: string, place: [number, number], arrow: boolean, mark: string, box: [number, number, number, number]}} Shape
 */

/**
 * Return the points of a text of coordinates, latitude before longitude, which is the order of the map library.
 * @param {string} text
 */
function pointsOf(text) {
  /** @type {[number, number][]} */
  const points = [];
  const last = [0, 0];
  let axis = 0;
  let doubled = 0;
  let weight = 1;
  for (let at = 0; at < text.length; at += 1) {
    const value = VALUES[text.charCodeAt(at)];
    doubled += (value & 31) * weight;
    weight *= 32;
    if (value > 31) continue;
    last[axis] += doubled % 2 ? -(doubled + 1) / 2 : doubled / 2;
    if (axis) points.push([last[1] / STEPS, last[0] / STEPS]);
    axis = 1 - axis;
    doubled = 0;
    weight = 1;
  }
  return points;
}

/**
 * Return a shape as the map takes it.
 * @param {StoredShape} stored
 * @param {string[]} labels of facts
 * @returns {Shape}
 */
export function decoded(stored, labels) {
  /** @type {[number, number, number, number]} */
  const box = [Infinity, Infinity, -Infinity, -Infinity];
  const parts = stored.parts.map((rings) => rings.map(pointsOf));
  for (const rings of parts) {
    for (const ring of rings) {
      for (const [y, x] of ring) {
        if (x < box[0]) box[0] = x;
        if (y < box[1]) box[1] = y;
        if (x > box[2]) box[2] = x;
        if (y > box[3]) box[3] = y;
      }
    }
  }
  return {
    form: stored.form, style: stored.style, title: visible(stored.title), parts, label: visible(stored.label || ""),
    facts: (stored.facts || []).map(([label, value]) => [visible(labels[label]), visible(value)]),
    place: stored.place ? pointsOf(stored.place)[0] : [0, 0], arrow: Boolean(stored.arrow), mark: stored.mark || "", box,
  };
}

/**
 * Return how many metres a degree of longitude and one of latitude have (radii of curvature of WGS 84).
 * @param {number} lat
 * @returns {[number, number]}
 */
export function degreeMetres(lat) {
  const angle = lat * Math.PI / 180;
  const flat = 1 - ECCENTRICITY_2 * Math.sin(angle) ** 2;
  const root = Math.sqrt(flat);
  return [
    SEMI_MAJOR / root * Math.cos(angle) * Math.PI / 180,
    SEMI_MAJOR * (1 - ECCENTRICITY_2) / (flat * root) * Math.PI / 180,
  ];
}

/**
 * Return the length of a course in metres; within some kilometres it is that of the geodesic to a millionth.
 * @param {[number, number][]} points latitude and longitude
 */
export function courseLength(points) {
  let sum = 0;
  for (let at = 1; at < points.length; at += 1) {
    const [east, north] = degreeMetres((points[at][0] + points[at - 1][0]) / 2);
    sum += Math.hypot((points[at][1] - points[at - 1][1]) * east, (points[at][0] - points[at - 1][0]) * north);
  }
  return sum;
}

/**
 * Return the area of a ring in square metres, in the plane about its first point.
 * @param {[number, number][]} points latitude and longitude
 */
export function ringArea(points) {
  if (points.length < 3) return 0;
  const middle = points.reduce((sum, point) => sum + point[0], 0) / points.length;
  const [east, north] = degreeMetres(middle);
  let sum = 0;
  for (let at = 0; at < points.length; at += 1) {
    const here = points[at];
    const next = points[(at + 1) % points.length];
    sum += (here[1] - points[0][1]) * (next[0] - points[0][0]) - (next[1] - points[0][1]) * (here[0] - points[0][0]);
  }
  return Math.abs(sum) / 2 * east * north;
}

/**
 * Tell whether a place lies in a shape, or within some degrees of its lines or points.
 * @param {Shape} shape
 * @param {number} lat
 * @param {number} lon
 * @param {number} near degrees of latitude
 */
export function holds(shape, lat, lon, near) {
  const slack = shape.form === "area" ? 0 : near;
  const wide = slack / Math.max(0.05, Math.cos(lat * Math.PI / 180));
  if (lon < shape.box[0] - wide || lon > shape.box[2] + wide) return false;
  if (lat < shape.box[1] - slack || lat > shape.box[3] + slack) return false;
  if (shape.form === "area") {
    return shape.parts.some((rings) => rings.reduce((inside, ring) => inside !== inRing(ring, lat, lon), false));
  }
  const squeeze = slack / wide;
  return shape.parts.some((lines) => lines.some((line) => nearLine(line, lat, lon, slack, squeeze)));
}

/**
 * @param {[number, number][]} ring
 * @param {number} lat
 * @param {number} lon
 */
function inRing(ring, lat, lon) {
  let inside = false;
  for (let at = 0, last = ring.length - 1; at < ring.length; last = at, at += 1) {
    const [y, x] = ring[at];
    const [before, left] = ring[last];
    if ((y > lat) !== (before > lat) && lon < (left - x) * (lat - y) / (before - y) + x) inside = !inside;
  }
  return inside;
}

/**
 * @param {[number, number][]} line
 * @param {number} lat
 * @param {number} lon
 * @param {number} near
 * @param {number} squeeze
 */
function nearLine(line, lat, lon, near, squeeze) {
  for (let at = 0; at < line.length; at += 1) {
    const x = (line[at][1] - lon) * squeeze;
    const y = line[at][0] - lat;
    if (x * x + y * y <= near * near) return true;
    if (!at) continue;
    const fromX = (line[at - 1][1] - lon) * squeeze;
    const fromY = line[at - 1][0] - lat;
    const dx = x - fromX;
    const dy = y - fromY;
    const share = -(fromX * dx + fromY * dy) / (dx * dx + dy * dy || 1);
    if (share > 0 && share < 1 && Math.hypot(fromX + share * dx, fromY + share * dy) <= near) return true;
  }
  return false;
}
