import { describe, expect, test } from 'vitest';
import { outlineFit } from '../src/bin/fit/outline-fit.ts';
import { trueShot, outlineRays, POSE_SIZE, poseRows, YAW_PERIOD, type TruePose } from '../src/fit/pose.ts';
import { foundPose, poseShape } from '../src/fit/pose-search.ts';
import { outlineOf, type Outline } from '../src/geometry/outline.ts';
import { DIE_KINDS, dieSolid, type DieKind } from '../src/geometry/solid.ts';
import { seenDie, cardFromBody, uprightTurn, baseFace } from '../src/geometry/standing.ts';
import { balls } from '../src/geometry/solid.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';
import { gapBetween } from '../src/bin/touch.ts';
import { poseOver } from './support/render-card.ts';

const VIEW = { camera: { f: 3000, cx: 2010, cy: 1490, k1: 0.05, k2: -0.1 }, cameraFromCard: poseOver(14, 30, 5, 260) };
const POSE: TruePose = { size: 8, radius: 0.5, x: 12, y: -7, yaw: 0.37 };

/** Outline of a die whose faces may stand proud, with noise along the normals. */
function outlineFor(
  kind: DieKind,
  pose: TruePose,
  noise: number,
  proud: Readonly<Record<number, number>> = {},
): Outline {
  const solid = dieSolid(kind);
  const shot = trueShot(solid);
  const distances = Float64Array.from(solid.labels, (_, f) => pose.size + (proud[f] ?? 0));
  const body = balls(solid, distances, new Float64Array(solid.corners.length).fill(pose.radius));
  const stand = { x: pose.x, y: pose.y, yaw: pose.yaw };
  const onCard = cardFromBody(uprightTurn(solid, shot), stand, distances[baseFace(solid, shot.up)]!);
  const { count, xy, normal } = outlineOf(seenDie(body, VIEW.cameraFromCard, onCard), VIEW.camera, 6);
  const random = seededNormal(seededRandom(4));
  const moved = xy.slice();
  for (let k = 0; k < count; k++) {
    const by = noise * random();
    for (let a = 0; a < 2; a++) moved[2 * k + a]! += by * normal[2 * k + a]!;
  }
  return { xy: moved, normal, sigma: new Float64Array(count).fill(0.1), byTerm: new Float64Array(0), terms: 0 };
}

/** Area of a closed outline and the middle of it. */
function momentsOf(xy: Float64Array): [number, number, number] {
  let [area, u, v] = [0, 0, 0];
  for (let i = 0; i < xy.length; i += 2) {
    const j = (i + 2) % xy.length;
    const w = (xy[i]! * xy[j + 1]! - xy[j]! * xy[i + 1]!) / 2;
    area += w;
    u += (w * (xy[i]! + xy[j]!)) / 3;
    v += (w * (xy[i + 1]! + xy[j + 1]!)) / 3;
  }
  return [Math.abs(area), u / area, v / area];
}

describe('a true die before a camera', () => {
  test.each(DIE_KINDS)('%s: derivatives agree with central differences', (kind) => {
    const { vertices } = poseShape(dieSolid(kind));
    const rays = outlineRays(VIEW.camera, outlineFor(kind, POSE, 0));
    // Close to the outline, where residuals are small: far off they would turn with the scale, too.
    const near = { ...POSE, size: POSE.size + 2e-4, x: POSE.x + 1e-4 };
    const rows = poseRows(vertices, VIEW, near, rays);
    const h = 1e-6;
    let compared = 0;
    (['size', 'radius', 'x', 'y', 'yaw'] as const).forEach((name, q) => {
      const up = poseRows(vertices, VIEW, { ...near, [name]: near[name] + h }, rays);
      const down = poseRows(vertices, VIEW, { ...near, [name]: near[name] - h }, rays);
      for (let k = 0; k < rows.residual.length; k++) {
        // Where the contact changes from one corner to another there is no derivative.
        if (up.first[k] !== down.first[k] || up.second[k] !== down.second[k]) continue;
        compared++;
        const slope = (up.residual[k]! - down.residual[k]!) / (2 * h);
        expect(Math.abs(slope - rows.jacobian[POSE_SIZE * k + q]!)).toBeLessThan(2e-2 * (1 + Math.abs(slope)));
      }
    });
    expect(compared).toBeGreaterThan(3 * rows.residual.length);
  });

  test.each(DIE_KINDS)('%s: the same again after its yaw period', (kind) => {
    const { vertices } = poseShape(dieSolid(kind));
    const rays = outlineRays(VIEW.camera, outlineFor(kind, POSE, 0));
    const turned = poseRows(vertices, VIEW, { ...POSE, yaw: POSE.yaw + YAW_PERIOD[kind] }, rays);
    expect(Math.max(...turned.residual.map(Math.abs))).toBeLessThan(0.02);
  });

  test.each(DIE_KINDS)('%s: found from its outline alone, whatever its turn', (kind) => {
    const shape = poseShape(dieSolid(kind));
    for (const yaw of [0.1, 0.9, 1.7, 2.6]) {
      const outline = outlineFor(kind, { ...POSE, yaw }, 0.2);
      const [area, u, v] = momentsOf(outline.xy);
      const found = foundPose(shape, VIEW, outline, area, [u, v]);
      expect(found.misfit).toBeLessThan(0.0035);
      expect(Math.abs(found.pose.size - POSE.size)).toBeLessThan(0.03);
      expect(Math.hypot(found.pose.x - POSE.x, found.pose.y - POSE.y)).toBeLessThan(0.05);
    }
  });

  test('gap between two cubes side by side', () => {
    const shape = poseShape(dieSolid('d6'));
    const cube = (x: number): TruePose => ({ size: 8, radius: 0.8, x, y: 0, yaw: 0 });
    expect(gapBetween(shape, cube(0), cube(16.4))).toBeCloseTo(0.4, 6);
    expect(gapBetween(shape, cube(0), cube(15.9))).toBeCloseTo(-0.1, 6);
    // Both turned by an eighth: corner to corner, whose rounding shortens each by r (sqrt 2 - 1).
    const turned = (x: number): TruePose => ({ ...cube(x), yaw: Math.PI / 4 });
    const half = 8 * Math.SQRT2 - 0.8 * (Math.SQRT2 - 1);
    expect(gapBetween(shape, turned(0), turned(2 * half + 0.3))).toBeCloseTo(0.3, 6);
  });
});

describe('departure from a true die', () => {
  const fitted = (
    kind: DieKind,
    noise: number,
    proud: Readonly<Record<number, number>> = {},
  ): NonNullable<ReturnType<typeof outlineFit>> => {
    const shape = poseShape(dieSolid(kind));
    return outlineFit(shape, VIEW, outlineFor(kind, POSE, noise, proud), POSE)!;
  };

  test.each(DIE_KINDS)('%s: none where there is none, and size and radius come back', (kind) => {
    const { departure, departureU, size, sizeU, radius, radiusU } = fitted(kind, 0.1);
    expect(departure).toBeLessThan(2 * departureU + 0.004);
    expect(Math.abs(size - POSE.size)).toBeLessThan(2 * sizeU);
    expect(Math.abs(radius - POSE.radius)).toBeLessThan(2 * radiusU);
  });

  test.each([
    ['d6', 0.3],
    ['d20', 0.25],
    ['d12', 0.25],
  ] as const)('%s with stray faces departs, and grows with them', (kind, by) => {
    // Two opposite faces that stand at the sides, not the ones above and below.
    const solid = dieSolid(kind);
    const base = baseFace(solid, trueShot(solid).up);
    const side = solid.labels.findIndex((_, f) => f !== base && f !== solid.opposite[base]);
    const once = fitted(kind, 0.1, { [side]: by, [solid.opposite[side]!]: by });
    const half = fitted(kind, 0.1, { [side]: by / 2, [solid.opposite[side]!]: by / 2 });
    expect(once.departure).toBeGreaterThan(0.04);
    expect(once.departure).toBeGreaterThan(1.5 * half.departure);
    expect(once.departure).toBeGreaterThan(4 * once.departureU);
  });
});
