import { matchText } from '../text/bin-reasons.ts';
import type { BinDie, BinMatching, BinPhoto, Reason, Verdict } from './types.ts';

/** Dice of two photos are one where their places are nearer than this share of their size, and sizes and radii agree within so many u. */
export const MATCH = { place: 0.6, sigmas: 4 } as const;

/** Photos of the same dice, each turned where it lay: one verdict per place, if they can be matched. */
export function matching(photos: readonly BinPhoto[]): BinMatching {
  const shown = photos
    .filter((p) => p.status !== 'left-out')
    .map((p) => ({ photo: p.photo, dice: p.dice.filter((d) => d.size !== null) }));
  const [first, ...rest] = shown;
  if (!first || rest.length === 0) return no({ code: 'one-photo' });
  const places = first.dice.map((d) => [d]);
  for (const { photo, dice } of rest) {
    if (dice.length !== first.dice.length)
      return no({ code: 'counts', seen: dice.length, needed: first.dice.length, photos: [photo, first.photo] });
    const taken = new Set<BinDie>();
    for (const at of places) {
      const d = nearest(at[0]!, dice);
      if (!d || taken.has(d)) return no({ code: 'places', photos: [photo, first.photo] });
      taken.add(d);
      if (!alike(at[0]!, d)) return no({ code: 'unlike', seen: placeOf(d), photos: [photo, first.photo] });
      at.push(d);
    }
  }
  return {
    possible: true,
    ...told({ code: 'matched', seen: shown.length }),
    places: places.map((at) => ({ x: at[0]!.x, y: at[0]!.y, ...together(at) })),
  };
}

type Why = Pick<BinMatching, 'code' | 'seen' | 'needed' | 'photos'>;
const told = (why: Why): Why & { readonly remark: string } => ({ ...why, remark: matchText(why) });
const no = (why: Why): BinMatching => ({ possible: false, ...told(why), places: [] });
const placeOf = (d: BinDie): string => `${d.x.toFixed(1)}, ${d.y.toFixed(1)}`;

function nearest(to: BinDie, dice: readonly BinDie[]): BinDie | null {
  const far = (d: BinDie): number => Math.hypot(d.x - to.x, d.y - to.y);
  const best = dice.reduce<BinDie | null>((p, d) => (p === null || far(d) < far(p) ? d : p), null);
  return best && far(best) < MATCH.place * to.size!.value ? best : null;
}

function alike(a: BinDie, b: BinDie): boolean {
  const near = (p: BinDie['size'], q: BinDie['size']): boolean =>
    Math.abs(p!.value - q!.value) < MATCH.sigmas * Math.hypot(p!.u, q!.u);
  return near(a.size, b.size) && near(a.radius, b.radius);
}

/** Any view that breaks a limit counts; all views that keep them make a keeper. */
function together(views: readonly BinDie[]): { verdict: Verdict; reason: string; reasons: readonly Reason[] } {
  const worst = (v: Verdict): BinDie | undefined => views.find((d) => d.verdict === v);
  const d = worst('reject') ?? worst('look-again') ?? views[0]!;
  const { reasons } = d;
  return {
    verdict: d.verdict,
    reasons,
    reason: d.verdict === 'keep' ? `${views.length} views: ${d.reason}` : d.reason,
  };
}
