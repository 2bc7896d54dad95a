import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import * as v from 'valibot';
import type { MeasureResult } from '../../formats/result.ts';

const TRUTH = v.object({
  axes_mm: v.record(v.string(), v.number()),
  mean_corner_radius_mm: v.number(),
  bow_mm: v.optional(v.record(v.string(), v.number())),
  scars: v.optional(v.array(v.object({ face: v.union([v.string(), v.number()]) })), []),
  print_scale: v.optional(v.union([v.number(), v.tuple([v.number(), v.number()])]), 1),
  shots: v.optional(v.array(v.object({ photo: v.string(), up: v.number(), front: v.number() }))),
});

/** What a rendered set's maker knows of it; lengths in mm. It serves to judge results, never to reach them. */
export type Truth = v.InferOutput<typeof TRUTH>;

export const readTruth = async (folder: string): Promise<Truth> =>
  v.parse(TRUTH, JSON.parse(await readFile(join(folder, 'truth.json'), 'utf8')));

/** How a result agrees with the truth: axes, their differences and the mean radius. */
export interface Agreement {
  /** Root mean square of the axes' errors and their mean stated standard uncertainty; error of the mean radius and its; um. */
  readonly rms: number;
  readonly u: number;
  readonly radius: number;
  readonly radiusU: number;
  /** Largest error over its standard uncertainty, and what it is of. */
  readonly worst: number;
  readonly of: string;
  /** How many quantities lie within U95, and how many there are. */
  readonly within: number;
  readonly count: number;
}

export function agreementOf(result: MeasureResult, truth: Truth): Agreement {
  const names = result.axes.map((a) => a.name);
  const known = names.filter((n) => truth.axes_mm[n] !== undefined);
  const error = (n: string): number => result.axes[names.indexOf(n)]!.length - truth.axes_mm[n]!;
  const cov = (a: string, b: string): number => result.axesCovariance[names.indexOf(a)]![names.indexOf(b)]!;
  const z: { z: number; of: string }[] = [];
  known.forEach((a, i) => {
    z.push({ z: Math.abs(error(a)) / Math.sqrt(cov(a, a)), of: a });
    for (const b of known.slice(0, i)) {
      const variance = Math.max(1e-12, cov(a, a) + cov(b, b) - 2 * cov(a, b));
      z.push({ z: Math.abs(error(a) - error(b)) / Math.sqrt(variance), of: `${a} less ${b}` });
    }
  });
  const radius = result.meanCornerRadius.value - truth.mean_corner_radius_mm;
  z.push({ z: Math.abs(radius) / result.meanCornerRadius.u, of: 'radius' });
  const worst = z.reduce((p, q) => (q.z > p.z ? q : p));
  return {
    rms: 1e3 * Math.sqrt(known.reduce((s, n) => s + error(n) ** 2, 0) / known.length),
    u: (1e3 * known.reduce((s, n) => s + Math.sqrt(cov(n, n)), 0)) / known.length,
    radius: 1e3 * radius,
    radiusU: 1e3 * result.meanCornerRadius.u,
    worst: worst.z,
    of: worst.of,
    within: z.filter((q) => q.z <= 2).length,
    count: z.length,
  };
}

/** How what was told of faces agrees with the truth: crowns (um), and marks by the faces that they are on. */
export interface FaceAgreement {
  readonly crowns: { readonly told: number; readonly rms: number; readonly within: number } | null;
  readonly marks: { readonly found: number; readonly missed: number; readonly invented: number };
}

/** A set whose truth names no crowns has flat faces. */
export function faceAgreementOf({ faces, marks = [] }: MeasureResult, { bow_mm, scars }: Truth): FaceAgreement {
  const told = faces.flatMap(({ name, crown }) =>
    crown ? [{ error: crown.value - (bow_mm?.[name] ?? 0), u: crown.u }] : [],
  );
  const real = new Set(scars.map(({ face }) => String(face)));
  const seen = new Set(marks.map(({ face }) => face));
  const found = [...real].filter((face) => seen.has(face)).length;
  return {
    crowns:
      told.length === 0
        ? null
        : {
            told: told.length,
            rms: 1e3 * Math.sqrt(told.reduce((s, { error }) => s + error ** 2, 0) / told.length),
            within: told.filter(({ error, u }) => Math.abs(error) <= 2 * u).length,
          },
    marks: { found, missed: real.size - found, invented: seen.size - found },
  };
}

/** The same in words for a row of the bench; empty where nothing was there and nothing was told. */
export function faceWords({ crowns, marks: { found, missed, invented } }: FaceAgreement): string {
  const parts = [
    crowns && `crowns ${crowns.told} told, rms ${crowns.rms.toFixed(1)}, within U95 ${crowns.within}/${crowns.told}`,
    found + missed + invented > 0 && `marks ${found} found, ${missed} missed, ${invented} invented`,
  ];
  return parts.filter(Boolean).join('; ');
}
