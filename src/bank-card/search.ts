import { BANK_CARD, BANK_CARD_MAKE } from './size.ts';
import { printedAt, type Printed } from './print.ts';
import { STEPS, stepsAlong, type Shown, type Step } from './steps.ts';
import type { Picture } from '../vision/picture.ts';

/** A straight side of a bank card on the printed card. Sides go round: right, top, left, bottom. */
export interface SideLine {
  /** Turn of the side's outward normal from the card's axis that it belongs to, rad, anticlockwise as the card is read. */
  readonly turn: number;
  /** Distance of the line from the stage's centre along that normal, mm. */
  readonly offset: number;
}

export const SEARCH = {
  /** A print's size over its design, at least and at most; and how much its two directions may differ. */
  scale: [0.93, 1.07],
  anisotropy: 0.03,
  /** Largest turn of the bank card against the ring and its step, rad. */
  turn: (4 * Math.PI) / 180,
  turnStep: (0.1 * Math.PI) / 180,
  /** Between two samples of a side, and how far to either side of its usual place it is sought, mm. */
  pitch: 0.5,
  reach: 6,
  /** How near to a line a step must lie to speak for it, mm. */
  near: 0.15,
  /** Share of a side's samples that must speak for a line, of those where nothing printed lies beside it. */
  support: 0.7,
  /** Least length of a side that has nothing printed beside it, mm. */
  clean: 14,
  /** A second line this far off, of so much of the first one's steepness, makes a side doubtful. */
  rivalApart: 0.35,
  rivalShare: 0.5,
  candidates: 6,
} as const;

export type SearchFailure =
  | { readonly code: 'bank-none'; readonly seen: number; readonly needed: number }
  | { readonly code: 'bank-two'; readonly seen: number; readonly needed: number };

/** What is known of the print that a bank card lies on: px per mm, and what its stage looks like. */
export interface Ground {
  readonly scale: number;
  readonly stage: Printed;
}

interface Sample {
  readonly s: number;
  readonly steps: readonly Step[];
}

interface Candidate extends SideLine {
  readonly support: number;
  /** Mean steepness over the samples that count. */
  readonly weight: number;
}

/** Half the distance between a side and the one opposite, mm, and half the length of its straight part less a margin. */
export const halfSize = (side: number): number => (side % 2 === 0 ? BANK_CARD.width : BANK_CARD.height) / 2;
export const halfStraight = (side: number, margin: number): number =>
  halfSize(side + 1) - BANK_CARD_MAKE.cornerRadius - margin;

/** Outward normal of a side turned by `turn`; its line runs along [-y, x] of it. */
export const normalOf = (side: number, turn: number): readonly [number, number] => [
  Math.cos((side * Math.PI) / 2 + turn),
  Math.sin((side * Math.PI) / 2 + turn),
];

/**
 * Finds a bank card that lies on the stage, its long side along the card's: four lines round a rectangle of its proportions.
 *
 * A printed border has steps along half its length at most, since the ring's squares alternate; the card's side has them all along,
 * where it is told from what it lies on.
 *
 * @param shown  Where a place of the card as designed (mm) stands in the picture.
 * @returns      Lines of the right, top, left and bottom side, in mm as designed, to about 0.1 mm.
 */
export function bankCardSides(
  picture: Picture,
  shown: Shown,
  ground: Ground,
): { readonly ok: true; readonly value: readonly SideLine[] } | { readonly ok: false; readonly error: SearchFailure } {
  const samples = [0, 1, 2, 3].map((side) => sideSamples(picture, shown, ground.scale, side));
  let best: Found | null = null;
  let most = 0;
  for (let turn = -SEARCH.turn; turn <= SEARCH.turn; turn += SEARCH.turnStep) {
    const lines = samples.map((list, side) => candidates(list, side, turn, ground));
    most = Math.max(most, lines.filter((list) => list.length > 0).length);
    const found = bestRectangle(lines);
    if (found && (best === null || found.score > best.score)) best = found;
  }
  if (best === null) return { ok: false, error: { code: 'bank-none', seen: most, needed: 4 } };
  if (best.rival !== null)
    return { ok: false, error: { code: 'bank-two', seen: best.rival, needed: SEARCH.rivalApart } };
  return { ok: true, value: best.sides };
}

function sideSamples(picture: Picture, shown: Shown, scale: number, side: number): Sample[] {
  const normal = normalOf(side, 0);
  const [half, length] = [halfSize(side), halfStraight(side, 3)];
  const out: Sample[] = [];
  for (let s = -length; s <= length; s += SEARCH.pitch) {
    const from = [half * normal[0] - s * normal[1], half * normal[1] + s * normal[0]] as const;
    out.push({ s, steps: stepsAlong(picture, shown, from, normal, SEARCH.reach, scale, STEPS.noise) });
  }
  return out;
}

const BIN = 0.1;

/** Lines of one side at one turn that enough samples speak for, the strongest places of a histogram of offsets. */
function candidates(samples: readonly Sample[], side: number, turn: number, ground: Ground): Candidate[] {
  const [half, cos, sin] = [halfSize(side), Math.cos(turn), Math.sin(turn)];
  const first = half - SEARCH.reach - 4;
  const bins = new Float64Array(Math.ceil((2 * SEARCH.reach + 8) / BIN));
  const offset = (s: number, at: number): number => (half + at) * cos + s * sin;
  for (const { s, steps } of samples)
    for (const { at } of steps) {
      const k = Math.floor((offset(s, at) - first) / BIN);
      if (k >= 0 && k < bins.length) bins[k]!++;
    }
  const smooth = bins.map((v, k) => (bins[k - 1] ?? 0) + v + (bins[k + 1] ?? 0));
  const peaks = Array.from(smooth.keys())
    .filter((k) => smooth[k]! >= (smooth[k - 1] ?? 0) && smooth[k]! > (smooth[k + 1] ?? 0))
    .sort((a, b) => smooth[b]! - smooth[a]!)
    .slice(0, SEARCH.candidates);
  return peaks
    .map((k) => judged(samples, side, { turn, offset: first + (k + 0.5) * BIN }, ground))
    .filter((line) => line !== null && line.support >= SEARCH.support) as Candidate[];
}

/** How well a line is borne out; null where too little of it has nothing printed beside it. */
function judged(samples: readonly Sample[], side: number, line: SideLine, ground: Ground): Candidate | null {
  const { turn, offset } = line;
  const [half, cos, sin] = [halfSize(side), Math.cos(turn), Math.sin(turn)];
  let [clean, hits, weight] = [0, 0, 0];
  for (const { s, steps } of samples) {
    if (!nothingBeside(side, line, s, ground)) continue;
    clean++;
    let strongest = 0;
    for (const { at, strength } of steps)
      if (Math.abs((half + at) * cos + s * sin - offset) < SEARCH.near) strongest = Math.max(strongest, strength);
    if (strongest > 0) hits++;
    weight += strongest;
  }
  if (clean * SEARCH.pitch < SEARCH.clean) return null;
  return { turn, offset, support: hits / clean, weight: weight / clean };
}

/** Places beside a line that must show one and the same print: outwards and along, px. Farther borders do not reach the line's own blur. */
const BESIDE = [1, 2.2, 3.4].flatMap((out) => [-3, 0, 3].map((along) => [out, along] as const));

/** Whether the print just outside a line is even at `s` along it, both in mm as designed and as seen on the print. */
export function nothingBeside(side: number, { turn, offset }: SideLine, s: number, { scale, stage }: Ground): boolean {
  const [nx, ny] = normalOf(side, turn);
  const at = ([out, along]: readonly [number, number]): string => {
    const [d, e] = [offset + out / scale, s + along / scale];
    return printedAt(d * nx - e * ny, d * ny + e * nx, stage);
  };
  const first = at(BESIDE[0]!);
  return BESIDE.every((place) => at(place) === first);
}

interface Found {
  readonly sides: readonly Candidate[];
  readonly score: number;
  /** Distance to a second line that might be the side as well, mm, or null. */
  readonly rival: number | null;
}

interface Pair {
  readonly lines: readonly [Candidate, Candidate];
  readonly scale: number;
  readonly score: number;
}

/** The four lines that together are borne out best, of those with a bank card's proportions. */
function bestRectangle(lines: readonly (readonly Candidate[])[]): Found | null {
  const across = pairs(lines[0]!, lines[2]!, BANK_CARD.width);
  const upright = pairs(lines[1]!, lines[3]!, BANK_CARD.height);
  const fits = across.flatMap((a) =>
    upright
      .filter((b) => Math.abs(a.scale / b.scale - 1) < SEARCH.anisotropy)
      .map((b) => ({
        sides: [a.lines[0], b.lines[0], a.lines[1], b.lines[1]],
        score: a.score + b.score,
      })),
  );
  if (fits.length === 0) return null;
  const best = fits.reduce((p, q) => (q.score > p.score ? q : p));
  const rivals = fits.map(({ sides }) => rivalry(sides, best.sides)).filter((apart) => apart > 0);
  return { ...best, rival: rivals.length === 0 ? null : Math.min(...rivals) };
}

function pairs(one: readonly Candidate[], other: readonly Candidate[], size: number): Pair[] {
  const strongest = Math.max(...[...one, ...other].map(({ weight }) => weight));
  const out: Pair[] = [];
  for (const a of one)
    for (const b of other) {
      const scale = size / (a.offset + b.offset);
      if (!(scale > SEARCH.scale[0] && scale < SEARCH.scale[1])) continue;
      out.push({
        lines: [a, b],
        scale,
        score: a.support + b.support + (a.weight + b.weight) / (2 * strongest),
      });
    }
  return out;
}

/** How far apart the first of the sides that differ are, where the others' are nearly as steep; 0 where they are no rivals. */
function rivalry(others: readonly Candidate[], best: readonly Candidate[]): number {
  let apart = 0;
  for (const [side, { offset, weight }] of others.entries()) {
    const distance = Math.abs(offset - best[side]!.offset);
    if (distance < SEARCH.rivalApart) continue;
    if (weight < SEARCH.rivalShare * best[side]!.weight) return 0;
    apart = Math.max(apart, distance);
  }
  return apart;
}
