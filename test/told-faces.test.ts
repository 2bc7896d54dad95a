import { expect, test } from 'vitest';
import { faceFrames } from '../src/faces/face-frame.ts';
import { labelsLeft, shotsTold } from '../src/faces/told-faces.ts';
import { DIE_KINDS, dieSolid } from '../src/geometry/solid.ts';
import { turnInPhoto } from '../src/measure/seen-numbers.ts';

test.each(DIE_KINDS)('two faces that meet tell how a %s stands', (kind) => {
  const solid = dieSolid(kind);
  const [a, b] = solid.edges[0]!.faces;
  const slots = { up: a, front: b };
  for (const { faces } of solid.edges) {
    for (const [p, q] of [faces, [...faces].reverse()] as [number, number][]) {
      const told = [
        { slot: a, label: solid.labels[p]! },
        { slot: b, label: solid.labels[q]! },
      ];
      const shots = shotsTold(solid, slots, told);
      // A kite's edges are of two kinds: what meets along one cannot be shown along the other.
      if (kind === 'd10') expect(shots.length).toBeLessThanOrEqual(1);
      else expect(shots).toEqual([{ up: solid.labels[p], front: solid.labels[q] }]);
    }
  }
});

test('one face leaves as many ways as it has turns, and none where the numbers cannot meet', () => {
  const d20 = dieSolid('d20');
  const top = d20.labels.indexOf('20');
  const beside = d20.edges.find(({ faces }) => faces.includes(top))!.faces.find((f) => f !== top)!;
  expect(
    shotsTold(d20, { up: top, front: beside }, [{ slot: top, label: '20' }])
      .map((s) => s.front)
      .sort(),
  ).toEqual(['14', '2', '8']);
  // 1 lies opposite 20 (opposite faces of a d20 sum to 21: common practice).
  expect(
    shotsTold(d20, { up: top, front: beside }, [
      { slot: top, label: '20' },
      { slot: beside, label: '1' },
    ]),
  ).toEqual([]);
  expect(labelsLeft(d20, beside, [{ slot: top, label: '20' }])).toEqual(['2', '8', '14']);
  expect(labelsLeft(d20, top, [])).toHaveLength(20);
});

test.each(DIE_KINDS)("a straightened face of a %s is turned so that its corners lie as the photo's do", (kind) => {
  const solid = dieSolid(kind);
  const [normal, right, up] = (({ normal, right, up }) => [normal, right, up])(faceFrames(solid)[0]!);
  for (const degrees of [0, 40, 135, -70]) {
    const [c, s] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
    // Camera's axes: right, down, away. The face looks at the camera, its top turned clockwise by so much.
    const rows = [
      [0, 1, 2].map((k) => c * right[k]! + s * up[k]!),
      [0, 1, 2].map((k) => s * right[k]! - c * up[k]!),
      [0, 1, 2].map((k) => -normal[k]!),
    ];
    const camera = { rotation: Float64Array.from(rows.flat()), shift: [0, 0, 100] as const };
    expect(turnInPhoto(solid, camera, 0)).toBeCloseTo(degrees, 9);
  }
});
