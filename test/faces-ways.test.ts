import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { FACE_TURNS, faceFrames } from '../src/faces/face-frame.ts';
import { jointWays, type StandEvidence } from '../src/faces/joint.ts';
import { tellKind } from '../src/faces/kind.ts';
import { completedLabels, mirroredLabels, numberingGuesses, ownNumbering } from '../src/faces/numberings.ts';
import { turnTable } from '../src/faces/turn-table.ts';
import { seenPose } from '../src/fit/pose.ts';
import { poseShape } from '../src/fit/pose-search.ts';
import { outlineOf } from '../src/geometry/outline.ts';
import { areaOf, crossedAt } from '../src/geometry/polygon.ts';
import { DIE_KINDS, dieSolid, type DieKind } from '../src/geometry/solid.ts';
import { dot } from '../src/geometry/vec.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';
import type { FoundDie } from '../src/faces/kind.ts';

/** Turns of each solid onto itself: the orders of its rotation group (tetrahedral 12, octahedral 24, icosahedral 60; a kite's dihedral 10). */
const ORDER: Readonly<Record<DieKind, number>> = { d4: 12, d6: 24, d8: 24, d10: 10, d12: 60, d20: 60 };

/** Opposite faces add up to this (common practice, no published source). */
const SUM: Partial<Record<DieKind, number>> = { d6: 7, d8: 9, d10: 9, d12: 13, d20: 21 };

describe.each([...DIE_KINDS])('%s', (kind) => {
  const solid = dieSolid(kind);
  const table = turnTable(solid);

  test('has as many ways to stand as its rotation group has turns, and they make a group', () => {
    const { ways, faces, face, turn, times, inverse, none } = table;
    expect(ways).toBe(ORDER[kind]);
    let wrong = 0;
    for (let a = 0; a < ways; a++) {
      if (times[a * ways + inverse[a]!] !== none) wrong++;
      for (let b = 0; b < ways; b++)
        for (let s = 0; s < faces; s++) {
          const between = face[b * faces + s]!;
          const both = times[a * ways + b]!;
          const turned = (turn[a * faces + between]! + turn[b * faces + s]!) % FACE_TURNS[kind];
          if (face[both * faces + s] !== face[a * faces + between] || turn[both * faces + s] !== turned) wrong++;
        }
    }
    expect(wrong).toBe(0);
  });

  test('has right-handed frames of its faces, whose corners go round counter-clockwise', () => {
    for (const { right, up, normal, corners } of faceFrames(solid)) {
      expect(dot(right, up)).toBeCloseTo(0, 12);
      expect(dot(normal, up)).toBeCloseTo(0, 12);
      const n = [
        right[1] * up[2] - right[2] * up[1],
        right[2] * up[0] - right[0] * up[2],
        right[0] * up[1] - right[1] * up[0],
      ];
      n.forEach((v, k) => expect(v).toBeCloseTo(normal[k]!, 12));
      expect(new Set(corners).size).toBe(corners.length);
    }
  });

  test('has a mirror image of its numbering with the same sums of opposite faces, and both come out of their tables', () => {
    const mirrored = mirroredLabels(solid);
    for (const labels of [solid.labels, mirrored]) {
      const again = ownNumbering(solid, labels, false)!.solid;
      expect([...again.labels].sort()).toEqual([...solid.labels].sort());
      again.opposite.forEach((o, f) => {
        if (o >= 0) expect(Number(again.labels[f]) + Number(again.labels[o])).toBe(SUM[kind]);
      });
    }
    // Not a turn of the usual one: no way lays one on the other.
    const same = Array.from({ length: table.ways }, (_, m) =>
      mirrored.every((l, f) => solid.labels[table.face[m * table.faces + f]!] === l),
    );
    expect(same.includes(true)).toBe(false);
    expect(numberingGuesses(kind, null).map((g) => g.from)).toContain('mirrored');
  });

  test('unseen faces follow from the sum of opposite ones, or stay unknown', () => {
    const seen = solid.labels.map((l, f) => (f === 1 ? null : l));
    expect(completedLabels(solid, seen)).toEqual(solid.labels);
    expect(
      completedLabels(
        solid,
        solid.labels.map(() => null),
      ),
    ).toBeNull();
  });

  test('photos that look alike in pairs are put in order, whatever each alone says little of', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1e6 }), (seed) => {
        const random = seededRandom(seed);
        const normal = seededNormal(random);
        const truth = Array.from({ length: 5 }, () => Math.floor(random() * table.ways));
        const noise = (): number => 0.8 * normal();
        const evidence: StandEvidence = {
          own: truth.map((w) => Float64Array.from({ length: table.ways }, (_, m) => noise() + (m === w ? 5 : 0))),
          pair: truth.map((w, i) =>
            truth.slice(0, i).map((v) => {
              const right = table.times[table.inverse[v]! * table.ways + w]!;
              return Float64Array.from({ length: table.ways }, (_, h) => noise() + (h === right ? 8 : 0));
            }),
          ),
        };
        const { way, chance } = jointWays(table, evidence);
        expect([...way]).toEqual(truth);
        chance.forEach((p, i) => {
          expect(p.reduce((s, v) => s + v, 0)).toBeCloseTo(1, 9);
          expect(p[way[i]!]).toBeGreaterThan(0.99);
        });
      }),
      { numRuns: 20 },
    );
  });

  test('without any evidence no way is likelier than another', () => {
    const silent = [0, 1, 2].map(() => new Float64Array(table.ways));
    const pair = [0, 1, 2].map((i) => silent.slice(0, i));
    for (const p of jointWays(table, { own: silent, pair }).chance)
      for (const v of p) expect(v).toBeCloseTo(1 / table.ways, 9);
  });

  test('is told from its outline alone, standing any way on a card seen from any side', () => {
    const random = seededRandom(7);
    for (let k = 0; k < 3; k++) expect(tellKind([drawn(kind, random)]).kind).toBe(kind);
  });
});

test('a coin is no kind of die', () => {
  const d = drawn('d20', seededRandom(3));
  const { left, top, width, height } = d.crop;
  const [cx, cy, r] = [left + width / 2, top + height / 2, 130];
  const round = Float64Array.from({ length: 400 }, (_, k) =>
    k % 2 === 0 ? cx + r * Math.cos((k * Math.PI) / 200) : cy + r * Math.sin(((k - 1) * Math.PI) / 200),
  );
  expect(tellKind([pictured(d.view, round)]).kind).toBeNull();
});

/** A dark die on a light stage, drawn by its predicted outline, as the search for things on the stage would hand it over. */
function drawn(kind: DieKind, random: () => number): FoundDie {
  const lean = 0.15 + 0.3 * random();
  const [c, s] = [Math.cos(lean), Math.sin(lean)];
  const camera = { f: 2600, cx: 1000, cy: 750, k1: 0, k2: 0 };
  const view = {
    camera,
    cameraFromCard: { rotation: Float64Array.of(1, 0, 0, 0, -c, -s, 0, s, -c), shift: [0, 0, 230] as const },
  };
  const size = { d4: 5.5, d6: 8, d8: 7.5, d10: 7.5, d12: 9, d20: 9.5 }[kind];
  const shape = poseShape(dieSolid(kind));
  const pose = { size, radius: 0.07 * size, x: 4 * random(), y: 4 * random(), yaw: 6.28 * random() };
  return pictured(view, outlineOf(seenPose(shape.vertices, view, pose), camera, 2).xy);
}

function pictured(view: FoundDie['view'], xy: Float64Array): FoundDie {
  const u = xy.filter((_, i) => i % 2 === 0);
  const v = xy.filter((_, i) => i % 2 === 1);
  const [left, top] = [Math.floor(Math.min(...u)) - 40, Math.floor(Math.min(...v)) - 40];
  const width = Math.ceil(Math.max(...u)) + 40 - left;
  const height = Math.ceil(Math.max(...v)) + 40 - top;
  const data = new Uint8Array(3 * width * height).fill(220);
  for (let y = 0; y < height; y++) {
    const [from, to] = crossedAt([...xy], top + y);
    for (let x = Math.ceil(from - left); x <= to - left; x++)
      data.fill(60, 3 * (y * width + x), 3 * (y * width + x) + 3);
  }
  return {
    view,
    region: {
      outline: xy,
      grain: 4,
      area: areaOf(xy),
      cut: false,
      solid: true,
      trimmed: false,
      covered: null,
      spare: null,
    },
    crop: { left, top, width, height, channels: 3, data },
  };
}
