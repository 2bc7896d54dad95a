import { describe, expect, test } from 'vitest';
import { viewOf, type FaceView } from '../src/marks/face-departure.ts';
import { faceReliefs, type FaceRelief } from '../src/marks/face-relief.ts';
import { findMarks, MARKS } from '../src/marks/find-marks.ts';
import { seededRandom } from '../src/maths/random.ts';

/**
 * Marks on drawn faces: a cap of a paraboloid, whose slope is known in closed form (2 h r / R^2), under light from one side by Lambert's
 * law (J. H. Lambert, Photometria, 1760): light = 1 + slope towards the light.
 */

const SIZE = 128;
const UM = 140;
interface Bump {
  readonly x: number;
  readonly y: number;
  readonly radius: number;
  readonly height: number;
}

/** One view of a square face, lit from `angle`; ink as a bar. mm. */
function view(photo: number, angle: number, bump: Bump | null, seed: number, spot = 0): FaceView {
  const random = seededRandom(seed);
  const light = new Float32Array(3 * SIZE * SIZE);
  const half = (SIZE - 1) / 2;
  for (let k = 0; k < SIZE * SIZE; k++) {
    const [x, y] = [((k % SIZE) - half) * (UM / 1000), (half - Math.floor(k / SIZE)) * (UM / 1000)];
    let value = 0.2 * (1 + 0.02 * x);
    if (bump) {
      const [dx, dy] = [x - bump.x, y - bump.y];
      if (Math.hypot(dx, dy) < bump.radius) {
        const slope = (2 * bump.height) / bump.radius ** 2;
        value *= 1 + slope * (dx * Math.cos(angle) + dy * Math.sin(angle)) + spot;
      }
    }
    if (Math.abs(x + 3) < 0.4 && Math.abs(y) < 2) value = 0.7;
    value *= 1 + 0.03 * (random() + random() + random() - 1.5);
    light.fill(value, 3 * k, 3 * k + 3);
  }
  return viewOf({
    face: 0,
    photo,
    size: SIZE,
    umPerPx: UM,
    light,
    mask: new Uint8Array(SIZE * SIZE).fill(1),
    slant: 0.9,
    photoPx: [1, 1],
  });
}

const found = (bump: Bump | null, spot = 0) =>
  findMarks(faceReliefs([[view(0, 0.3, bump, 1, spot), view(1, 2.6, bump, 2, spot), view(2, 4.4, bump, 3, spot)]]));

describe('a mark on a face', () => {
  test('is found with its place and size, and none where there is none', () => {
    expect(found(null).marks).toEqual([]);
    const { marks, least } = found({ x: 1.5, y: -1.2, radius: 1.1, height: 0.12 });
    expect(marks).toHaveLength(1);
    const [{ place, size }] = marks as [(typeof marks)[0]];
    expect(Math.hypot(place[0] - 1.5, place[1] + 1.2)).toBeLessThan(0.25);
    for (const extent of size) expect(extent / 2.2).toBeGreaterThan(0.75);
    for (const extent of size) expect(extent / 2.2).toBeLessThan(1.3);
    expect(least).toBeCloseTo(2 * Math.sqrt(MARKS.area / Math.PI), 6);
  });

  test('that looks the same under every light is a stain and none', () => {
    expect(found({ x: 1.5, y: -1.2, radius: 1.1, height: 0 }, -0.15).marks).toEqual([]);
  });

  test('seen in one photo alone is not told', () => {
    const one = findMarks(faceReliefs([[view(0, 0.3, { x: 1.5, y: -1.2, radius: 1.1, height: 0.12 }, 1)]]));
    expect(one.marks).toEqual([]);
  });

  test('on most faces is the skin’s own pattern: nothing is told, and that is said', () => {
    const face = (seed: number) =>
      [0, 1].map((i) => view(i, 3 * i, { x: 1.5, y: -1.2, radius: 1.1, height: 0.12 }, seed + i));
    const all = findMarks(faceReliefs([face(1), face(11), face(21), [view(0, 0, null, 31), view(1, 3, null, 32)]]));
    expect(all).toMatchObject({ marks: [], patterned: true, least: null });
  });

  // Of what is seen two pixels of three are bare, and beyond it nothing counts: the wider the ellipse, the less it loses, without end.
  test('a speckled patch that is all one sees of a face comes to an end, and is none', () => {
    const patch = (k: number): boolean => Math.hypot((k % SIZE) - 64, Math.floor(k / SIZE) - 64) < 14;
    const all = (value: number): Float32Array => new Float32Array(SIZE * SIZE).fill(value);
    const sized = Uint8Array.from({ length: SIZE * SIZE }, (_, k) => (patch(k) ? 1 : 0));
    const ones = new Uint8Array(SIZE * SIZE).fill(1);
    const energy = all(0).map((_, k) => (patch(k) && (k + Math.floor(k / SIZE)) % 3 === 0 ? 12 : 0));
    const relief: FaceRelief = {
      size: SIZE,
      umPerPx: UM,
      seen: ones,
      sized,
      ink: new Uint8Array(SIZE * SIZE),
      energy,
      mean: all(0),
      views: 2,
      byView: [all(4), all(4)],
      inner: ones,
      noise: 0.01,
    };
    expect(findMarks([relief]).marks).toEqual([]);
  });

  test('faces that no photo shows are named', () => {
    expect(findMarks(faceReliefs([[], [view(0, 0, null, 1)]])).unseen).toEqual([0]);
  });
});
