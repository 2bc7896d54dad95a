/** A part's solid core: its hull, the ends of its rows' runs and of what was taken off, reduced px. */
export interface Core {
  readonly hull: readonly number[];
  readonly ends: readonly number[];
  readonly off: readonly number[];
}

/** How near to what was taken off an outline is not the thing's own, share of the root of its area; how far it may pass by what is left, reduced px. */
const COVER = 0.12;
const BRIDGE = 2.5;

/** Per point of a hull, reduced px, 1 where it lies beside what was taken off a thing of a size (root of its area), or bridges a hollow of what is left. */
export function coveredBy(points: readonly number[], { ends, off }: Core, size: number): Uint8Array {
  const out = new Uint8Array(points.length / 2);
  for (let i = 0; i < out.length; i++) {
    const [x, y] = [points[2 * i]!, points[2 * i + 1]!];
    out[i] = isNear(off, x, y, COVER * size) || !isNear(ends, x, y, BRIDGE) ? 1 : 0;
  }
  return out;
}

/** Whether one of a list of places is so near; most are told to be far from one coordinate. */
function isNear(list: readonly number[], x: number, y: number, most: number): boolean {
  for (let k = 0; k < list.length; k += 2) {
    const dx = list[k]! - x;
    const dy = list[k + 1]! - y;
    if (dx <= most && dx >= -most && dy <= most && dy >= -most && Math.hypot(dx, dy) <= most) return true;
  }
  return false;
}

/** Whether most of an outline is the thing's own: where it is not, what was taken off was a part of it. */
export const mostlyOwn = (cover: Uint8Array | null): boolean =>
  cover === null || 2 * cover.reduce((n, v) => n + v, 0) <= cover.length;
