import type { Numbering } from '../geometry/numbering.ts';
import { dieSolid, NumberingError, type DieKind, type DieSolid } from '../geometry/solid.ts';
import { dot, minus, norm, vec3At, type Vec3 } from '../geometry/vec.ts';
import { faceFrames } from './face-frame.ts';

/** A numbering that a die may have. */
export interface NumberingGuess {
  readonly from: 'given' | 'usual' | 'mirrored' | 'own';
  readonly solid: DieSolid;
  /** Null for the usual one. */
  readonly numbering: Numbering | null;
  /** Whether a d10 counts in tens: its 8 is printed as 80. */
  readonly tens: boolean;
  /** Whether a sign stands in place of its highest number: a matter of the die, not of a photo. */
  readonly sign: boolean;
  /** Whether a d6 bears pips or figures: a matter of the die too. Null for the other kinds, and where it does not count. */
  readonly pips: boolean | null;
  /** Whether a d4 bears a number near each corner of its faces, that of the face across; else one number a face. */
  readonly corners: boolean;
  /** Natural log of how likely it is beforehand, but for a constant. */
  readonly prior: number;
}

/** How likely numberings are beforehand, logs (common practice, no published source: most dice are numbered as the usual table says). */
const PRIOR = { usual: 0, mirrored: -3, tens: -1, sign: -3 } as const;

const PLAIN = { tens: false, sign: false, pips: null, corners: false, prior: PRIOR.usual } as const;

const known = new Map<DieKind, DieSolid>();

/** The true die of a kind with its usual numbers, worked out once. */
export function usualSolid(kind: DieKind): DieSolid {
  let solid = known.get(kind);
  if (!solid) known.set(kind, (solid = dieSolid(kind)));
  return solid;
}

const usualGuesses = new Map<DieKind, readonly NumberingGuess[]>();

/** The numberings that are tried: the given one alone, or the usual one and its mirror image, a d10's in tens too; the latter worked out once. */
export function numberingGuesses(kind: DieKind, given: Numbering | null): readonly NumberingGuess[] {
  if (given !== null)
    return printed(kind, [{ from: 'given', solid: dieSolid(kind, given), numbering: given, ...PLAIN }]);
  let guesses = usualGuesses.get(kind);
  if (!guesses) usualGuesses.set(kind, (guesses = printed(kind, usualAndMirrored(kind))));
  return guesses;
}

function usualAndMirrored(kind: DieKind): NumberingGuess[] {
  const usual = usualSolid(kind);
  const mirrored = numberingOf(usual, mirroredLabels(usual));
  const once: NumberingGuess[] = [
    { from: 'usual', solid: usual, numbering: null, ...PLAIN },
    { from: 'mirrored', solid: dieSolid(kind, mirrored), numbering: mirrored, ...PLAIN, prior: PRIOR.mirrored },
  ];
  return kind === 'd10' ? [...once, ...once.map((g) => ({ ...g, tens: true, prior: g.prior + PRIOR.tens }))] : once;
}

/** Each guess in the ways in which a die of a kind may be printed. */
function printed(kind: DieKind, guesses: readonly NumberingGuess[]): NumberingGuess[] {
  if (kind === 'd4') return [...withSign(guesses), ...guesses.map((g) => ({ ...g, corners: true }))];
  return withSign(kind === 'd6' ? guesses.flatMap((g) => [false, true].map((pips) => ({ ...g, pips }))) : guesses);
}

/** Each guess without a sign in place of the highest number, and with one. */
export const withSign = (guesses: readonly NumberingGuess[]): NumberingGuess[] =>
  guesses.flatMap((g) => [
    { ...g, sign: false },
    { ...g, sign: true, prior: g.prior + PRIOR.sign },
  ]);

/** What is printed on the face that a solid calls `label`. */
export const printOf = (label: string, tens: boolean): string => (tens ? `${label}0` : label);

/** The labels of the mirror image, per face of the same solid. */
export function mirroredLabels(solid: DieSolid): string[] {
  const normals = solid.labels.map((_, f) => vec3At(solid.normals, f));
  const first = normals[0]!;
  for (const other of normals.slice(1)) {
    const axis = minus(first, other);
    const image = (v: Vec3): number => {
      const s = (2 * dot(v, axis)) / dot(axis, axis);
      return normals.findIndex(
        (w) => norm(minus(w, [v[0] - s * axis[0], v[1] - s * axis[1], v[2] - s * axis[2]])) < 1e-6,
      );
    };
    const to = normals.map(image);
    if (!to.includes(-1)) return to.map((f) => solid.labels[f]!);
  }
  throw new Error('no mirror plane');
}

/** The neighbours' table of labels that stand on the faces of a solid, one per face. */
export function numberingOf(solid: DieSolid, labels: readonly string[]): Numbering {
  return Object.fromEntries(
    faceFrames(solid).map(({ corners }, f) => [
      labels[f]!,
      corners.map((c, i) => {
        const next = corners[(i + 1) % corners.length]!;
        const shared = solid.corners[c]!.faces.find((g) => g !== f && solid.corners[next]!.faces.includes(g))!;
        return labels[shared]!;
      }),
    ]),
  );
}

/** The guess for labels found on the faces of a solid; null where they make no numbering. */
export function ownNumbering(
  solid: DieSolid,
  labels: readonly string[],
  tens: boolean,
  pips: boolean | null = null,
): NumberingGuess | null {
  try {
    const numbering = numberingOf(solid, labels);
    return { from: 'own', solid: dieSolid(solid.kind, numbering), numbering, ...PLAIN, tens, pips };
  } catch (e) {
    if (e instanceof NumberingError) return null;
    throw e;
  }
}

/** Labels for faces that nobody saw: by the sum of opposite faces where all seen pairs keep it, else the one that is left. Null if neither. */
export function completedLabels(solid: DieSolid, seen: readonly (string | null)[]): string[] | null {
  const labels = [...seen];
  const known = solid.opposite.flatMap((o, f) =>
    o > f && labels[f] !== null && labels[o] !== null ? [Number(labels[f]) + Number(labels[o])] : [],
  );
  const usual = Number(solid.labels[0]) + Number(solid.labels[solid.opposite[0]!] ?? NaN);
  if (known.length > 0 && known.every((s) => s === usual))
    solid.opposite.forEach((o, f) => {
      if (labels[f] === null && o >= 0 && labels[o] !== null) labels[f] = String(usual - Number(labels[o]));
    });
  const left = solid.labels.filter((l) => !labels.includes(l));
  if (left.length === 1) labels[labels.indexOf(null)] = left[0]!;
  const whole = labels.filter((l): l is string => l !== null);
  return whole.length === labels.length &&
    new Set(whole).size === whole.length &&
    whole.every((l) => solid.labels.includes(l))
    ? whole
    : null;
}
