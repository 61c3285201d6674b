// Plane geometry in picture coordinates: x to the right, y down, angles counter-clockwise as seen.

export const distance = (p, q) => Math.hypot(p[0] - q[0], p[1] - q[1]);
export const middle = (p, q) => [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2];
export const along = (p, q, t) => [p[0] + (q[0] - p[0]) * t, p[1] + (q[1] - p[1]) * t];

/** Direction from p to q in degrees, 0 to the right, 90 upwards, in [0, 360). */
export function direction(p, q) {
  return turned((Math.atan2(p[1] - q[1], q[0] - p[0]) * 180) / Math.PI);
}

export const turned = (degrees) => ((degrees % 360) + 360) % 360;

/** Unit vector of a direction, in picture coordinates (y down). */
export function heading(degrees) {
  const angle = (degrees * Math.PI) / 180;
  return [Math.cos(angle), -Math.sin(angle)];
}

/** Smallest turn between two directions, in degrees. */
export const between = (a, b) => Math.abs(((a - b + 540) % 360) - 180);

/** Nearest point of segment pq to r: its place t in [0, 1], the point and the distance. */
export function foot(p, q, r) {
  const dx = q[0] - p[0];
  const dy = q[1] - p[1];
  const square = dx * dx + dy * dy || 1;
  const t = Math.min(1, Math.max(0, ((r[0] - p[0]) * dx + (r[1] - p[1]) * dy) / square));
  const point = along(p, q, t);
  return { t, point, distance: distance(point, r) };
}

/** Where segments pq and rs cross well inside both of them, or null. */
export function crossing(p, q, r, s, margin = 0.04) {
  const ax = q[0] - p[0];
  const ay = q[1] - p[1];
  const bx = s[0] - r[0];
  const by = s[1] - r[1];
  const area = ax * by - ay * bx;
  if (Math.abs(area) < 1e-9 * (ax * ax + ay * ay + bx * bx + by * by)) return null;
  const t = ((r[0] - p[0]) * by - (r[1] - p[1]) * bx) / area;
  const u = ((r[0] - p[0]) * ay - (r[1] - p[1]) * ax) / area;
  const inside = (v) => v > margin && v < 1 - margin;
  return inside(t) && inside(u) ? along(p, q, t) : null;
}

/**
 * Snap a direction to `wanted` ones first (within `reach` degrees), then to steps.
 * Without a snap within reach the direction is rounded to whole degrees.
 */
export function snapped(degrees, wanted = [], step = 15, reach = 4) {
  const near = wanted
    .map((angle) => ({ angle: turned(angle), off: between(angle, degrees) }))
    .filter((candidate) => candidate.off <= reach)
    .sort((a, b) => a.off - b.off)[0];
  if (near) return near.angle;
  const stepped = turned(Math.round(degrees / step) * step);
  return between(stepped, degrees) <= reach ? stepped : turned(Math.round(degrees));
}

export const inBox = ([x, y], [x0, y0, x1, y1]) =>
  x >= Math.min(x0, x1) && x <= Math.max(x0, x1) && y >= Math.min(y0, y1) && y <= Math.max(y0, y1);
