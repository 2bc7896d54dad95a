import { describe, expect, test } from 'vitest';
import { faceFrame } from '../src/bias/die/face-frame.ts';
import { solidFor } from '../src/bias/die/die-shape.ts';
import { readShape } from '../src/bias/meaning/shape-record.ts';
import { drawnMark, markAt, type LaidFace } from '../src/figures/mark-on-net.ts';
import { netFigure } from '../src/figures/net.ts';
import { netOf } from '../src/figures/net-drawing.ts';
import { NO_JUDGED_MARKS } from '../src/formats/kept.ts';
import type { MarkResult } from '../src/formats/result.ts';
import { bearingOf, faceMiddle, toCorner } from '../src/geometry/face-bearing.ts';
import { DIE_KINDS, dieSolid } from '../src/geometry/solid.ts';
import { byAxis, cross, dot, norm, vec3At } from '../src/geometry/vec.ts';
import { judgedOtherwise, withJudgedMarks } from '../src/judging/judged-marks.ts';
import { usualShape } from '../src/shots/candidates.ts';
import { madeResult } from './support/made-result.ts';

/** A mark three tenths of the way from a face's middle to one of its corners. */
function markTowards(kind: (typeof DIE_KINDS)[number], face: number): { mark: MarkResult; corner: number } {
  const solid = dieSolid(kind);
  const own = solid.corners.flatMap((c, i) => (c.faces.includes(face) ? [i] : []));
  const corner = own.at(-1)!;
  const to = toCorner(solid, face, corner);
  const far = 0.3 * 8 * norm(to);
  const mark = {
    face: solid.labels[face]!,
    place: [0, far] as const,
    size: [1.2, 0.8] as const,
    height: { value: 0.1, u: 0.01 },
    kind: 'proud' as const,
    bearing: bearingOf(solid, face, to),
  };
  return { mark, corner };
}

describe.each(DIE_KINDS)('a mark on a %s', (kind) => {
  const solid = dieSolid(kind);
  const shape = usualShape(solid, 16);
  const net = netOf(shape, 1.5);
  const laid = (face: number): LaidFace => {
    const f = net.faces.find((x) => x.face === face)!;
    return { face, corners: f.corners.map((c) => c.corner), points: f.points };
  };

  test('lies on its net on the way to the corner that it lies towards on the solid', () => {
    const face = solid.labels.length - 1;
    const { mark, corner } = markTowards(kind, face);
    const f = laid(face);
    const drawn = drawnMark(solid, f, 8, mark)!;
    const middle = [0, 1].map((k) => f.points.reduce((s, p) => s + p[k]! / f.points.length, 0));
    const p = f.points[f.corners.indexOf(corner)]!;
    expect(drawn.x).toBeCloseTo(middle[0]! + 0.3 * (p[0] - middle[0]!), 6);
    expect(drawn.y).toBeCloseTo(middle[1]! + 0.3 * (p[1] - middle[1]!), 6);
  });

  test('pointed at on the net is drawn where it was pointed at', () => {
    const f = laid(0);
    const at = [
      f.points[0]![0] * 0.4 + f.points[1]![0] * 0.3 + f.points[2]![0] * 0.3,
      f.points[0]![1] * 0.4 + f.points[1]![1] * 0.3 + f.points[2]![1] * 0.3,
    ] as const;
    const drawn = drawnMark(solid, f, 8, markAt(solid, f, 8, at))!;
    expect([drawn.x, drawn.y]).toEqual([expect.closeTo(at[0], 6), expect.closeTo(at[1], 6)]);
  });

  test('is thrown where it was measured: the way to its corner is the same in the body of the throws', () => {
    const face = 1;
    const { mark, corner } = markTowards(kind, face);
    const read = readShape({ ...madeResult(kind), marks: [{ ...mark, height: { value: 0.02, u: 0.01 } }, mark] });
    if (!read.ok) throw new Error(read.error.code);
    const thrown = read.value.shape;
    const { mark: own } = thrown;
    expect(own).toMatchObject({ height: 0.1, width: Math.sqrt(1.2 * 0.8) });
    expect(thrown.labels[own!.face]).toBe(mark.face);
    const frame = faceFrame(thrown, own!.face);
    const along = byAxis((k) => own!.at[0] * frame.x[k]! + own!.at[1] * frame.y[k]!);
    expect(norm(along)).toBeCloseTo(Math.hypot(...mark.place), 9);
    const s = solidFor(thrown);
    const same = (faces: readonly number[]): string =>
      faces
        .map((f) => thrown.labels[f])
        .sort()
        .join('-');
    const there = s.corners.findIndex((c) => same(c.faces) === solid.corners[corner]!.name.split('-').sort().join('-'));
    const to = toCorner(s, own!.face, there);
    const n = vec3At(s.normals, own!.face);
    const level = byAxis((k) => to[k]! - dot(to, n) * n[k]!);
    expect(norm(cross(along, level)) / norm(along) / norm(level)).toBeLessThan(1e-6);
    expect(dot(along, level)).toBeGreaterThan(0);
  });
});

test('a face has its middle in the mean of its corners', () => {
  const solid = dieSolid('d6');
  expect(norm(faceMiddle(solid, 0))).toBeCloseTo(1, 12);
});

test('a person takes a mark out, takes that back, and adds one; measuring again finds the same one hardly elsewhere', () => {
  const { mark } = markTowards('d20', 3);
  const result = { ...madeResult('d20'), marks: [mark] };
  const out = judgedOtherwise(mark, NO_JUDGED_MARKS);
  expect(withJudgedMarks(result, out).marks).toEqual([]);
  const moved = { ...mark, place: [mark.place[0] + 0.2, mark.place[1] - 0.2] as const };
  expect(withJudgedMarks({ ...result, marks: [moved] }, out).marks).toEqual([]);
  expect(withJudgedMarks(result, judgedOtherwise(mark, out)).marks).toEqual([mark]);
  const own: MarkResult = { ...mark, place: [-1.5, 0], from: ['person'] };
  const added = { rejected: [], added: [own] };
  expect(withJudgedMarks(result, added).marks).toEqual([mark, own]);
  expect(judgedOtherwise(own, added).added).toEqual([]);
  expect(withJudgedMarks(result, NO_JUDGED_MARKS)).toBe(result);
});

test("the report's net has a circle more for each mark", () => {
  const result = madeResult('d12');
  const { mark } = markTowards('d12', 0);
  const count = (marks: readonly MarkResult[]): number => netFigure({ ...result, marks }, null, 400, 300).marks.length;
  expect(count([mark]) - count([])).toBe(1);
});
