import { describe, expect, test } from 'vitest';
import { seenIn, withCrowns } from '../src/fit/die-state.ts';
import { elevations } from '../src/fit/grazed.ts';
import { GRAZING_DEPTHS, RIM_DEPTHS, type InwardRays } from '../src/geometry/inward-rays.ts';
import { outlineOf } from '../src/geometry/outline.ts';
import { RAISE, rimOf } from '../src/geometry/rim.ts';
import { LUMA } from '../src/vision/picture.ts';
import { fillProfile, type Response } from '../src/vision/profile.ts';
import { toneCurve } from '../src/vision/tone.ts';
import { CAMERA, unevenDie } from './support/synthetic-die.ts';
import { poseOver } from './support/render-card.ts';

/** A d6 whose camera stands right above, so far to the side that one side face is seen 6 mrad from its front. */
function sliver() {
  const { truth } = unevenDie('d6', 3);
  const inradius = truth.distances.reduce((s, d) => s + d, 0) / 6;
  const photo = { camera: CAMERA, cameraFromCard: poseOver(0, 0, 0, 250), shot: { up: '1', front: '2' } };
  const stands = [{ x: -inradius - 1.5, y: 2, yaw: 0 }];
  const state = withCrowns({ ...truth, stands }, new Float64Array(6).fill(0.05));
  const seen = seenIn(state, photo, 0);
  const higher = seenIn({ ...state, crowns: state.crowns!.map((b) => b + RAISE) }, photo, 0, state.crowns);
  const curve = outlineOf(seen, photo.camera, 1);
  const rim = rimOf(seen, state.solid, photo.camera, photo.cameraFromCard, curve, 1, higher);
  const over = elevations(state, photo, 0);
  return { rays: [...rim.raised!.rays.values()].filter(({ face }) => over[face]! > 0), over };
}

/** Depth at which the sliver ends at the face's near rim, where the rounding turns to the camera, px. */
const nearRim = ({ depths, cosines }: InwardRays): number => depths[cosines.findIndex((c) => c > 0.1)]!;

describe('rays beside a face seen a little from its front', () => {
  const { rays, over } = sliver();

  test('lie close, and meet a sliver that ends at the near rim', () => {
    expect(rays.length).toBeGreaterThan(15);
    const middle = rays[rays.length >> 1]!;
    expect(over[middle.face]!).toBeGreaterThan(0.003);
    expect(middle.now.depths).toEqual(GRAZING_DEPTHS);
    expect(nearRim(middle.now)).toBeGreaterThan(0.7);
  });

  // What depths of a common table got wrong: the rim's place was that of the table's next depth, and moved with the crown.
  test('higher crowns move the outline, and the near rim stays where it is', () => {
    for (const { shift, now, raised } of rays.slice(4, -4)) {
      expect(shift).toBeGreaterThan(0);
      expect(nearRim(raised) - shift).toBeCloseTo(nearRim(now), 6);
    }
  });
});

describe('a profile by close depths', () => {
  const tone = toneCurve((l) => l);
  const response: Response = { tone, sharpening: 0, radius: 1, plane: LUMA, colourBlur: 1 };
  const surface = { mirror: 0.7, rough: 0.3, limb: 0.2, shade: 1 };
  const values = (depths: Float64Array | null, cosines: Float64Array): Float64Array => {
    const below = { depths, cosines, mirrored: null };
    return fillProfile(
      'VALUE',
      [0.1, 0.1, 0.1],
      [0.6, 0.6, 0.6],
      below,
      null,
      surface,
      0.5,
      response,
      'nothing',
    ).slice();
  };

  test('is the same as by the common ones where the light changes slowly', () => {
    const cosine = (d: number): number => 0.3 + d / 20;
    const [close, common] = [values(GRAZING_DEPTHS, GRAZING_DEPTHS.map(cosine)), values(null, RIM_DEPTHS.map(cosine))];
    close.forEach((v, i) => expect(Math.abs(v - common[i]!)).toBeLessThan(0.15));
  });

  test('moves with a sliver that is wider by a tenth of a px', () => {
    const ending = (at: number): Float64Array =>
      values(
        GRAZING_DEPTHS,
        GRAZING_DEPTHS.map((d) => (d < at ? 0.01 : 0.6)),
      );
    const changes = [2.3, 2.55, 2.8].map((at) => ending(at + 0.125).reduce((s, v, i) => s + v - ending(at)[i]!, 0));
    const mean = changes.reduce((s, v) => s + v, 0) / 3;
    expect(mean).toBeGreaterThan(0);
    for (const c of changes) expect(Math.abs(c / mean - 1)).toBeLessThan(0.1);
  });
});
