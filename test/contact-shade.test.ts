import { describe, expect, test } from 'vitest';
import { contactShade, skyAt } from '../src/geometry/contact-shade.ts';

/**
 * Light on a stage point from an even sky, by walking the half circle of elevations: cosine-weighted share of the directions that meet
 * neither the cylinder (radius r, touching the stage at 0) nor the face that rises from it, both on the side of negative x.
 *
 * A long strip lights as its cross-section does (crossed strings, Hottel 1954), so two dimensions are enough.
 */
function skyByRays(x: number, r: number, faceUp: number, rays = 20000): number {
  const elevation = Math.PI / 2 - Math.asin(faceUp);
  // The face touches the cylinder where its normal is the cylinder's own.
  const [nx, nz] = [Math.sqrt(1 - faceUp * faceUp), faceUp];
  const [px, pz] = [r * nx, r + r * nz];
  let open = 0;
  for (let k = 0; k < rays; k++) {
    const a = (Math.PI * (k + 0.5)) / rays;
    // From the die's side (a = 0) over the zenith to the other.
    const [dx, dz] = [-Math.cos(a), Math.sin(a)];
    // Cylinder about (0, r).
    const along = -x * dx + r * dz;
    const miss = x * x + r * r - along * along;
    const meetsCylinder = along > 0 && miss < r * r;
    // Face: from (px, pz) without end along (-sin of its normal's elevation ...): its elevation from the die's side.
    const [fx, fz] = [-Math.cos(elevation), Math.sin(elevation)];
    const det = dx * -fz + fx * dz;
    const t = ((px - x) * -fz + fx * pz) / det;
    const s = (dx * pz - dz * (px - x)) / det;
    const meetsFace = Math.abs(det) > 1e-12 && t > 0 && s > 0;
    if (!meetsCylinder && !meetsFace) open += (Math.sin(a) * Math.PI) / rays / 2;
  }
  return open;
}

describe('the shade beside an edge that lies on the stage', () => {
  test.each([
    ['a d4, seen from above', 0.4, 1 / 3, 0],
    ['a d4, seen from its own side', 0.4, 1 / 3, -0.3],
    ['a d6, its near side', 0.8, 0, -0.25],
    ['a leaning face', 0.5, 0.2, -0.1],
  ])('covers the sky as rays find it: %s', (_, radius, faceUp, normalUp) => {
    const shade = contactShade(radius, normalUp, faceUp, 15)!;
    expect(shade.radius).toBe(radius);
    for (const px of [0, 0.5, 1, 2, 4, 8]) {
      const x = shade.first + px * shade.perPx;
      expect(skyAt(shade, px)).toBeCloseTo(skyByRays(x, radius, faceUp), 3);
    }
  });

  test('the stage comes into view where the line of sight touches the rounding', () => {
    // Seen straight from above, at one radius from the line of contact.
    expect(contactShade(0.5, 0, 0.3, 20)!.first).toBeCloseTo(0.5, 12);
    // Seen along the stage from the die's own side, close to the line of contact.
    expect(contactShade(0.5, -0.8, 0.3, 20)!.first).toBeLessThan(0.2);
  });

  test('there is none where the face itself is the outline', () => {
    expect(contactShade(0.5, 0.4, 0.3, 20)).toBeNull();
  });
});
