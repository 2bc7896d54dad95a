import { describe, expect, test } from 'vitest';
import { seenIn, withCrowns } from '../src/fit/die-state.ts';
import { viewingRay } from '../src/geometry/camera.ts';
import { CARD } from '../src/geometry/card.ts';
import { outlineOf } from '../src/geometry/outline.ts';
import { newHit, RayCaster } from '../src/geometry/ray-cast.ts';
import { RIM_DEPTHS } from '../src/geometry/inward-rays.ts';
import { RAISE, rimOf } from '../src/geometry/rim.ts';
import { dot, minus, scaled, unitVector, type Vec3 } from '../src/geometry/vec.ts';
import { cardMap } from '../src/vision/card-map.ts';
import { LUMA, type Picture } from '../src/vision/picture.ts';
import { fillProfile, type Response } from '../src/vision/profile.ts';
import { lightOn, stageLight, STAGE_LIGHT } from '../src/vision/stage-light.ts';
import { toneCurve } from '../src/vision/tone.ts';
import { unevenDie } from './support/synthetic-die.ts';

/** Display values that are light itself. */
const PLAIN = toneCurve((l) => l);
/** Five px a millimetre, the card's middle in the picture's, y up. */
const [WIDTH, HEIGHT, SCALE] = [1000, 800, 5] as const;
const placed = (x: number, y: number): [number, number] => [WIDTH / 2 + SCALE * x, HEIGHT / 2 - SCALE * y];
const light = (x: number, y: number): number => 0.5 + 0.002 * x - 0.001 * y;

const picture: Picture = {
  width: WIDTH,
  height: HEIGHT,
  channels: 3,
  data: Uint8Array.from({ length: 3 * WIDTH * HEIGHT }, (_, k) => {
    const p = Math.floor(k / 3);
    return Math.round(255 * light((((p % WIDTH) - WIDTH / 2) / SCALE) as number, (HEIGHT / 2 - p / WIDTH) / SCALE));
  }),
};

describe("the card's light by places", () => {
  const corners = [-40, -30, 40, -30, 40, 30, -40, 30];
  const map = cardMap(
    corners,
    [0, 2, 4, 6].flatMap((k) => placed(corners[k]!, corners[k + 1]!)),
  )!;
  const die = Float64Array.from(
    [-8, -8, 8, -8, 8, 8, -8, 8].flatMap((_, k, q) => (k % 2 ? [] : placed(q[k]!, q[k + 1]!))),
  );
  const found = stageLight(picture, map, [127.5, 127.5, 127.5], die, PLAIN);

  test('is what the picture shows there, over the bare stage', () => {
    for (const [x, y] of [
      [20, 10],
      [-33.3, 21.7],
      [0.4, -40],
    ] as const)
      expect(lightOn(found, x, y)).toBeCloseTo(light(x, y) / 0.5, 2);
  });

  test('is unknown behind the die and beyond what was looked at', () => {
    expect(lightOn(found, 0, 0)).toBeNaN();
    expect(lightOn(found, CARD.width / 2 + STAGE_LIGHT.beyond + 2, 0)).toBeNaN();
  });
});

describe('where on the card a rim mirrors', () => {
  // Source: the law of reflection; the normal halves the angle between the ways to camera and to what is mirrored.
  test('half the angle between camera and place is the incidence that the rim has there', () => {
    const { truth, photos } = unevenDie('d6', 5);
    const state = withCrowns(truth, new Float64Array(6).fill(0.05));
    let looked = 0;
    for (const [i, photo] of photos.entries()) {
      const seen = seenIn(state, photo, i);
      const higher = seenIn({ ...state, crowns: state.crowns!.map((b) => b + RAISE) }, photo, i, state.crowns);
      const curve = outlineOf(seen, photo.camera, 1);
      const rim = rimOf(seen, state.solid, photo.camera, photo.cameraFromCard, curve, 8, higher);
      const { rotation: c, shift } = photo.cameraFromCard;
      const axis = (k: number): Vec3 => [c[k]!, c[3 + k]!, c[6 + k]!];
      const caster = new RayCaster(seen, state.solid);
      const hit = newHit();
      for (let segment = 0; segment < rim.segments.count; segment += 8) {
        const k = rim.segments.middle[segment]!;
        for (const depth of [2, 5, 8]) {
          const o = segment * RIM_DEPTHS.length + depth;
          const [x, y] = [rim.mirrored![3 * o]!, rim.mirrored![3 * o + 1]!];
          if (Number.isNaN(x)) continue;
          const inside = RIM_DEPTHS[depth]!;
          const ray = viewingRay(
            photo.camera,
            curve.xy[2 * k]! - inside * curve.normal[2 * k]!,
            curve.xy[2 * k + 1]! - inside * curve.normal[2 * k + 1]!,
          );
          const from: Vec3 = [shift[0]!, shift[1]!, shift[2]!];
          caster.cast(ray[0], ray[1], ray[2], hit);
          if (Number.isNaN(hit.cosine)) continue;
          const point = scaled(ray, hit.distance);
          const place = [0, 1, 2].map((a) => from[a]! + x * axis(0)[a]! + y * axis(1)[a]!) as unknown as Vec3;
          const half = Math.acos(dot(unitVector(scaled(point, -1)), unitVector(minus(place, point)))) / 2;
          expect(Math.cos(half)).toBeCloseTo(rim.cosines[o]!, 3);
          looked++;
        }
      }
    }
    expect(looked).toBeGreaterThan(100);
  });
});

describe('a profile whose rim mirrors other light than that just outside', () => {
  const response: Response = { tone: PLAIN, sharpening: 0, radius: 1, plane: LUMA, colourBlur: 1 };
  const surface = { mirror: 0.7, rough: 0.3, limb: 0.2, shade: 1 };
  const cosines = RIM_DEPTHS.map((d) => Math.min(0.9, 0.1 + d / 6));
  const value = (times: number | null): Float64Array => {
    const mirrored = times === null ? null : new Float64Array(RIM_DEPTHS.length).fill(times);
    const depths = { depths: null, cosines, mirrored };
    return fillProfile('VALUE', [0.1, 0.1, 0.1], [0.6, 0.6, 0.6], depths, null, surface, 0.5, response, 'all').slice();
  };

  test('is the same where that is as bright', () => {
    value(1).forEach((v, i) => expect(v).toBeCloseTo(value(null)[i]!, 10));
  });

  test('is lighter inside in proportion, and the same outside', () => {
    const [plain, bright, brighter] = [value(1), value(1.5), value(2)];
    const middle = (plain.length - 1) / 2;
    expect(bright[middle]! - plain[middle]!).toBeGreaterThan(1);
    expect(brighter[middle]! - plain[middle]!).toBeCloseTo(2 * (bright[middle]! - plain[middle]!), 1);
    expect(bright[plain.length - 1]).toBeCloseTo(plain[plain.length - 1]!, 6);
  });
});
